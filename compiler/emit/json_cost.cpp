// The `cost` objects of the formula document.
#include "emit/json_parts.h"
#include "emit/words.h"
#include "formula/physical.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

std::string_view gap_word(PriceGap gap) {
    switch (gap) {
        case PriceGap::none: return "";
        case PriceGap::no_price: return "no_price";
        case PriceGap::no_density: return "no_density";
        case PriceGap::no_rate: return "no_rate";
    }
    return "";
}

void write_row(JsonWriter& json, const Model& model, std::string_view key, const PriceRow* row) {
    if (!row) {
        json.null(key);
        return;
    }
    json.row(key);
    json.number("pack", row->pack.to_double());
    json.text("unit", row->measure == Dim::mass ? "g" : row->measure == Dim::volume ? "ml" : "each");
    json.number("money", row->money.value.to_double());
    json.text("currency", row->money.currency);
    json.text_or_null("supplier", model.price_lists[row->list].supplier);
    json.text("dated", model.price_lists[row->list].dated);
    json.close_object();
}

void write_price(JsonWriter& json, const Model& model, const Price& price) {
    json.row("price");
    json.number("per_unit", price.money);
    json.text_or_null("missing", gap_word(price.gap));
    write_row(json, model, "from", price.row);
    write_row(json, model, "and_from", price.second);
    json.number("density_g_per_ml", price.density > 0 ? std::optional<double>(price.density) : std::nullopt);
    if (price.rate) {
        json.row("rate");
        json.text("from", price.rate->from);
        json.text("to", price.rate->to);
        json.number("value", price.rate->value.to_double());
        json.text("dated", price.rate->dated);
        json.close_object();
    } else {
        json.null("rate");
    }
    json.boolean("stale", price.stale);
    json.close_object();
}

std::string_view cost_line_id(const Model& model, const CostLine& line) {
    switch (line.kind) {
        case CostLine::Kind::base: return model.bases[line.id].header.name;
        case CostLine::Kind::container: return model.containers[line.id].header.name;
        case CostLine::Kind::material: break;
    }
    return model.materials[line.id].header.name;
}

}  // namespace

void write_blend_cost(JsonWriter& json, const Document& document, BlendId id) {
    if (!document.blend_costs || !(*document.blend_costs)[id].asked) {
        json.null();
        return;
    }
    const Model& model = *document.model;
    const BlendCost& cost = (*document.blend_costs)[id];
    const BlendFigures& figures = (*document.blend_figures)[id];
    json.open_object();
    json.text("currency", document.prices->currency());
    json.number("per_g", cost.per_g);
    json.number("per_ml", cost.per_ml);
    json.number("at_least_per_g", cost.at_least_per_g);
    json.array("lines");
    for (std::size_t i = 0; i < cost.lines.size(); ++i) {
        json.open_row();
        json.text("id", model.materials[figures.lines[i].material].header.name);
        json.number("per_drop", cost.lines[i].per_drop);
        json.number("cost_percent", cost.lines[i].share ? std::optional<double>(*cost.lines[i].share * 100) : std::nullopt);
        write_price(json, model, cost.lines[i].price);
        json.close_object();
    }
    json.close_array();
    json.close_object();
}

void write_cost(JsonWriter& json, const Document& document, ProductId id) {
    if (!document.costs || !(*document.costs)[id].asked) {
        json.null();
        return;
    }
    const Model& model = *document.model;
    const Cost& cost = (*document.costs)[id];
    const bool worked_out = !cost.lines.empty();
    const auto sum = [&](double value) { return worked_out ? std::optional<double>(value) : std::nullopt; };
    json.open_object();
    json.text("currency", document.prices->currency());
    json.boolean("complete", cost.complete);
    json.whole("units", cost.units);
    json.array("lines");
    for (const CostLine& line : cost.lines) {
        json.open_row();
        json.text("kind", line.kind == CostLine::Kind::material ? "material" : line.kind == CostLine::Kind::base ? "base" : "container");
        json.text("id", cost_line_id(model, line));
        json.text("role", line.kind == CostLine::Kind::container ? "packaging" : line.kind == CostLine::Kind::material && line.role == LineRole::blend ? "blend" : "base");
        json.number("amount", line.amount);
        json.text("unit", line.kind == CostLine::Kind::container ? "each" : "g");
        json.number("cost", line.money);
        write_price(json, model, line.price);
        json.close_object();
    }
    json.close_array();
    json.row("batch");
    json.number("blend", sum(cost.blend));
    json.number("base", sum(cost.base));
    json.number("packaging", worked_out && cost.packaging_stated ? std::optional<double>(cost.packaging) : std::nullopt);
    json.number("hours", cost.labour ? std::optional<double>(cost.hours) : std::nullopt);
    json.number("labour", cost.labour);
    json.number("overhead", cost.overhead);
    json.number("total", sum(cost.batch));
    json.close_object();
    json.row("each");
    json.number("cost", sum(cost.unit()));
    json.number("wholesale", cost.wholesale);
    json.number("retail", cost.retail);
    json.number("budget", cost.budget);
    json.boolean("over_budget", cost.over_budget);
    json.close_object();
    json.close_object();
}

}  // namespace scruple::emit
