// The formula document, schema `scruple.formula/1` (grammar/formula.schema.json). Keys only ever
// get added. Rows of tables stand on one line each, so that a changed row is a changed line.
#include <functional>

#include "emit/emit.h"
#include "emit/figures.h"
#include "emit/balance.h"
#include "emit/bench.h"
#include "formula/fingerprint.h"
#include "emit/json_parts.h"
#include "emit/json_text.h"
#include "emit/lots.h"
#include "emit/label.h"
#include "emit/people.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple {

using namespace emit;

namespace {

std::string_view material_name(const Model& model, MaterialId material) {
    return material < model.materials.size() ? model.materials[material].header.name
                                             : std::string_view();
}

std::optional<double> percent(bool known, double fraction) {
    return known ? std::optional<double>(fraction * 100) : std::nullopt;
}

std::optional<double> percent(std::optional<double> fraction) {
    return fraction ? std::optional<double>(*fraction * 100) : std::nullopt;
}

std::optional<double> known(bool complete, double value) {
    return complete ? std::optional<double>(value) : std::nullopt;
}

void write_assumptions(JsonWriter& json, const std::vector<Assumption>& assumptions) {
    json.array("assumptions");
    for (const Assumption& a : assumptions) {
        json.open_row();
        json.text("what", a.what);
        json.text("source", a.source);
        json.close_object();
    }
    json.close_array();
}

}  // namespace

void emit::write_blend(JsonWriter& json, const Document& document, BlendId id) {
    const Model& model = *document.model;
    const Blend& blend = model.blends[id];
    const BlendFigures& figures = (*document.blend_figures)[id];
    json.open_object();
    json.text("id", blend.header.name);
    json.text("name", blend.header.title);
    json.text_or_null("fingerprint",
                      figures.lines.empty() ? std::string() : fingerprint(model, blend));
    json.text_or_null("doc", blend.header.doc);
    json.text_or_null("variation_of", blend.variation_of < model.blends.size()
                                          ? model.blends[blend.variation_of].header.name
                                          : std::string_view());
    if (blend.from_bench < model.benches.size()) {
        json.row("from_bench");
        json.text("bench", model.benches[blend.from_bench].header.name);
        json.text("mark", blend.from_mark);
        json.close_object();
    } else {
        json.null("from_bench");
    }
    json.text("measure", blend.measure == Measure::mass    ? "mass"
                         : blend.measure == Measure::drops ? "drops"
                                                           : "volume");
    json.boolean("in_percent", blend.percent);
    json.boolean("complete", figures.complete);
    json.array("parts");
    for (const BlendFigures::Line& line : figures.lines) {
        json.open_row();
        json.text("material", material_name(model, line.material));
        json.text("name", title_of(model, line.material));
        json.text("parts", parts_text(blend, line.amount));
        json.number("share_vv_percent", percent(volumes_known(figures), line.share_vv));
        json.number("share_ww_percent", percent(figures.complete, line.share_ww));
        json.close_object();
    }
    json.close_array();
    json.list("whole_ratio");
    for (std::int64_t part : figures.whole_ratio) json.whole(part);
    json.close_array();
    if (!json.wants("near_ratio")) {
        // Nothing stands in its place.
    } else if (const auto near = near_ratio(figures)) {
        json.row("near_ratio");
        json.list("parts");
        for (std::int64_t part : near->parts) json.whole(part);
        json.close_array();
        json.number("worst_error_percent", near->worst_error.to_double() * 100);
        json.close_object();
    } else {
        json.null("near_ratio");
    }
    json.number("density_g_per_ml",
                known(figures.complete && figures.density > 0, figures.density));
    json.row("notes");
    json.number("top_percent", figures.note_share[0] * 100);
    json.number("middle_percent", figures.note_share[1] * 100);
    json.number("base_percent", figures.note_share[2] * 100);
    json.number("unknown_percent", figures.note_unknown * 100);
    json.close_object();
    json.list("intent");
    for (std::string_view word : blend.intent) json.text(word);
    json.close_array();
    write_intent(json, document, id);
    write_balance(json, document, id);
    if (json.wants("blend_cost")) {
        json.key("cost");
        write_blend_cost(json, document, id);
    }
    write_assumptions(json, blend_assumptions(document, id));
    json.close_object();
}

namespace {

void add_load(JsonWriter& json, const Model& model, const Product& product,
              const Formula& formula) {
    const OwnBasis own = own_basis(model, product);
    std::optional<double> value = percent(formula.load_in_basis);
    if (product.load.kind == LoadKind::percent) value = product.load.value.to_double() * 100;
    if (product.load.kind == LoadKind::neat) value = 100;
    if (!formula.complete && product.load.kind != LoadKind::percent) value.reset();
    json.row("load");
    json.text("kind", load_kind_word(product.load.kind));
    json.text("text", load_text(product.load));
    json.number("value_percent", value);
    json.text("basis", basis_word(own.basis));
    json.text("of", of_word(own.of));
    json.number("ww_percent", percent(formula.complete, formula.load_ww));
    json.number("vv_percent", formula.complete ? percent(formula.load_vv) : std::nullopt);
    json.number("drops_per_unit", formula.complete ? formula.drops_per_unit : std::nullopt);
    json.boolean("from_format", product.load.from_format);
    json.close_object();
}

void add_amounts(JsonWriter& json, const Product& product, const Formula& formula) {
    const bool complete = formula.complete;
    json.row("content");
    const bool by_volume = product.content.dimension == kVolume;
    json.number("mass_g", by_volume ? std::nullopt
                                    : std::optional<double>(product.content.value.to_double()));
    json.number("volume_ml", by_volume ? std::optional<double>(product.content.value.to_double())
                                       : std::nullopt);
    json.close_object();
    json.row("fill");
    json.number("mass_g", known(complete, formula.unit_mass_g));
    json.number("volume_ml", complete ? formula.unit_volume_ml : std::nullopt);
    json.close_object();
    json.row("batch");
    json.number("mass_g", known(complete, formula.batch_mass_g));
    json.number("volume_ml", complete ? formula.batch_volume_ml : std::nullopt);
    json.number("extra_percent", formula.extra * 100);
    json.number("scale_division_g", known(complete, formula.scale_division_g));
    json.number("weigh_g",
                known(complete && formula.batch_divisions > 0,
                      static_cast<double>(formula.batch_divisions) * formula.scale_division_g));
    json.close_object();
}

void add_lines(JsonWriter& json, const Model& model, const Formula& formula) {
    const bool complete = formula.complete;
    json.array("phases");
    for (const FormulaPhase& phase : formula.phases) {
        json.open_row();
        json.text("name", phase.name);
        json.text("title", phase.title);
        json.number("at_c", phase.at_c);
        json.boolean("blend_here", phase.blend_here);
        json.close_object();
    }
    json.close_array();
    json.array("lines");
    for (const FormulaLine& line : formula.lines) {
        json.open_row();
        json.text("material", material_name(model, line.material));
        json.text("name", title_of(model, line.material));
        json.text_or_null("phase", line.phase < formula.phases.size()
                                       ? formula.phases[line.phase].name
                                       : std::string());
        json.text("role", line.role == LineRole::blend ? "blend" : "base");
        json.number("percent_ww", percent(complete, line.fraction));
        json.number("mass_g", known(complete, line.mass_g));
        json.number("weigh_g",
                    known(complete && formula.batch_divisions > 0,
                          static_cast<double>(line.divisions) * formula.scale_division_g));
        json.number("scale_division_g", known(complete && line.division_g > 0, line.division_g));
        json.number("volume_ml", complete ? line.volume_ml : std::nullopt);
        json.number("drops", complete ? line.drops : std::nullopt);
        if (complete && line.whole_drops) {
            json.whole("drops_per_unit", *line.whole_drops);
        } else {
            json.null("drops_per_unit");
        }
        json.boolean("too_light", complete && line.too_light);
        json.text_or_null("lot", lot_number(model, line.material));
        if (const auto& dilution = model.materials[line.material].dilution) {
            json.row("diluted");
            json.number("percent_ww", dilution->share.to_double() * 100);
            json.text("in", material_name(model, dilution->in));
            json.close_object();
        } else {
            json.null("diluted");
        }
        json.close_object();
    }
    json.close_array();
    json.array("premixes");
    if (complete) {
        for (const Premix& premix : formula.premixes) {
            json.open_row();
            json.text("material", material_name(model, premix.material));
            json.text("carrier", material_name(model, premix.carrier));
            json.number("oil_g", premix.oil_g);
            json.number("carrier_g", premix.carrier_g);
            json.number("use_g", premix.use_g);
            json.close_object();
        }
    }
    json.close_array();
    if (!complete || !formula.drop_plan) {
        json.null("drop_plan");
        return;
    }
    const DropPlan& plan = *formula.drop_plan;
    json.row("drop_plan");
    json.list("drops");
    for (std::int64_t drops : plan.drops) json.whole(drops);
    json.close_array();
    json.whole("total", plan.total);
    json.whole("multiple", plan.multiple);
    json.number("worst_error_percent", plan.worst_error * 100);
    json.whole("smallest_fit", plan.smallest_fit);
    json.close_object();
}

void add_steps(JsonWriter& json, const Document& document, const Product& product,
               const Formula& formula) {
    json.array("steps");
    for (const std::string& step : filled_steps(document, product, formula)) json.text(step);
    json.close_array();
}

}  // namespace

void emit::write_product(JsonWriter& json, const Document& document, ProductId id) {
    const Model& model = *document.model;
    const Product& product = model.products[id];
    const Formula& formula = (*document.formulas)[id];
    const Format* format =
        product.format < model.formats.size() ? &model.formats[product.format] : nullptr;
    json.open_object();
    json.text("id", product.header.name);
    json.text("name", product.header.title);
    json.text_or_null("doc", product.header.doc);
    json.text_or_null("blend", product.blend < model.blends.size()
                                   ? model.blends[product.blend].header.name
                                   : std::string_view());
    json.text_or_null("format", format ? format->header.name : std::string_view());
    json.text_or_null("category", format && format->category < model.categories.size()
                                      ? model.categories[format->category].header.name
                                      : std::string_view());
    json.text_or_null("line", product.line);
    json.list("usual_sizes");
    if (format) {
        for (const Quantity& size : format->sizes) json.text(quantity_text(size));
    }
    json.close_array();
    json.whole("units", made_units(product, formula));
    json.boolean("complete", formula.complete);
    if (json.wants("lines")) {
        add_load(json, model, product, formula);
        add_amounts(json, product, formula);
        add_lines(json, model, formula);
        add_steps(json, document, product, formula);
        json.list("warnings");
        for (const std::string& warning : product.warnings) json.text(warning);
        if (format) {
            for (const std::string& warning : format->warnings) json.text(warning);
        }
        json.close_array();
    }
    if (json.wants("safety")) {
        json.key("safety");
        write_safety(json, document, id);
    }
    if (json.wants("label")) {
        json.key("label");
        write_label(json, document, id);
    }
    if (json.wants("lines")) write_conservation(json, model, formula);
    if (json.wants("cost")) {
        json.key("cost");
        write_cost(json, document, id);
    }
    if (json.wants("assumptions")) write_assumptions(json, all_assumptions(document, id, formula));
    if (json.wants("safety")) {
        json.key("accepted");
        write_accepted(json, document, id);
        json.key("assessed");
        write_assessed(json, document, id);
    }
    json.close_object();
}

namespace {

void add_rules(JsonWriter& json, const Document& document) {
    const Model& model = *document.model;
    json.array("rules");
    for (RuleSetId id = 0; id < model.rule_sets.size(); ++id) {
        if (!rules_hold(model, id)) continue;
        if (document.allergens && document.allergens->is_list(id)) continue;  // these stand with the labels
        const RuleSet& rules = model.rule_sets[id];
        json.open_row();
        json.text("id", rules.header.name);
        json.text("name", rules.header.title);
        json.text_or_null("dated", rules.dated);
        json.list("markets");
        for (std::string_view market : rules.markets) json.text(market);
        json.close_array();
        json.close_object();
    }
    json.close_array();
}

}  // namespace

void emit::write_head(JsonWriter& json, const Document& document) {
    json.text("schema", "scruple.formula/1");
    json.text("compiler", kVersion);
    json.text("library", kLibraryEdition);
    add_rules(json, document);
    json.text("collection", document.collection);
    json.text_or_null("on", document.on);
}

void emit_json(const Document& document, FunctionRef<void(std::string_view)> sink) {
    JsonText json(sink);
    json.open_object();
    write_head(json, document);
    json.array("benches");
    for (BenchId bench : document.benches) {
        write_bench(json, document, bench);
        json.pass_on();
    }
    json.close_array();
    json.array("blends");
    for (BlendId blend : document.blends) {
        write_blend(json, document, blend);
        json.pass_on();
    }
    json.close_array();
    json.array("products");
    for (ProductId product : document.products) {
        write_product(json, document, product);
        json.pass_on();
    }
    json.close_array();
    json.key("diagnostics");
    write_diagnostics(json, document);
    json.close_object();
    sink(json.take());
}

std::string emit_json(const Document& document) {
    std::string text;
    emit_json(document, [&](std::string_view piece) { text += piece; });
    return text;
}

}  // namespace scruple
