// The pages' parts about money: what a blend costs by the gram and in each product, and what a batch costs.
#include <algorithm>

#include "emit/figures.h"
#include "emit/page.h"
#include "emit/words.h"
#include "formula/balance.h"
#include "formula/physical.h"
#include "num/apportion.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

constexpr double kCent = 0.01;
/// One oil that is more of a product's cost than this is called out. A convention of this project.
constexpr double kDearShare = 0.5;

std::string money_text(double value) { return format_fixed(value, 2); }

/// Printed lines that add up to the printed sum.
std::vector<std::string> cents(const std::vector<double>& amounts) {
    std::vector<std::string> out;
    for (const std::int64_t c : round_lines(amounts, kCent)) out.push_back(format_fixed(Rational(c) / Rational(100), 2));
    return out;
}

std::string cost_line_title(const Model& model, const CostLine& line) {
    switch (line.kind) {
        case CostLine::Kind::base: return plain(model.bases[line.id].header.title) + ", bought ready-made";
        case CostLine::Kind::container: return plain(model.containers[line.id].header.title);
        case CostLine::Kind::material: break;
    }
    return title_of(model, line.id);
}

/// As written, with cents where there are any: "36 EUR", "8.20 EUR".
std::string price_as_written(const Money& money) {
    const bool whole = money.value.is_whole();
    const bool cent = (money.value * Rational(100)).is_whole();
    return (cent && !whole ? format_fixed(money.value, 2) : format_exact(money.value)) + " " + std::string(money.currency);
}

std::string row_text(const Model& model, const PriceRow& row) {
    const PriceList& list = model.price_lists[row.list];
    std::string from = list.supplier.empty() ? std::string() : plain(list.supplier) + ", ";
    return plain(row.pack_text) + " for " + price_as_written(row.money) + " (" + from + plain(list.dated) + ")";
}

/// How a pack's price became the price of a gram, with what that takes as given.
std::string price_text(const Document& document, std::uint32_t id, const Price& price, std::string_view per) {
    const Model& model = *document.model;
    std::string text = row_text(model, *price.row);
    if (price.second) {
        return text + " and what it is in, " + row_text(model, *price.second) + ": " + small_money(*price.money) + " a gram";
    }
    if (price.rate) {
        text += ", at 1 " + std::string(price.rate->from) + " = " + format_significant(price.rate->value.to_double(), 6) + " " +
                std::string(price.rate->to) + " of " + plain(price.rate->dated);
    }
    text += ": " + small_money(*price.money) + " " + std::string(per);
    if (price.density > 0) {
        std::vector<Assumption> given;
        density_of(model, id, &given);
        text += ", at " + format_significant(price.density, 4) + " g/ml" + (given.empty() ? "" : ", as taken here");
    }
    if (price.stale) text += "; that price is old on " + plain(document.on);
    return text;
}

/// "Neroli alone is 34.05 of the 50.45 that one costs"; empty where no oil of the blend is most of it.
std::string dear_oil_text(const Document& document, const Cost& cost) {
    const CostLine* line = cost.dearest();
    if (!line || line->kind != CostLine::Kind::material || line->role != LineRole::blend) return {};
    if (*line->money <= kDearShare * cost.batch) return {};
    const auto units = static_cast<double>(cost.units);
    return cost_line_title(*document.model, *line) + " alone is " + money_text(*line->money / units) + " of the " +
           (cost.complete ? "" : "at least ") + money_text(cost.unit()) + " that one costs";
}

/// What all of a line costs: the same oils in each of its formats.
void add_line_totals(Page& page, const Document& document, BlendId id) {
    const Model& model = *document.model;
    struct Total {
        std::string_view line;
        std::int64_t units = 0;
        double money = 0;
        bool complete = true;
    };
    std::vector<Total> totals;
    for (const ProductId p : document.products) {
        const Product& product = model.products[p];
        if (product.blend != id || product.line.empty()) continue;
        auto at = std::find_if(totals.begin(), totals.end(), [&](const Total& t) { return t.line == product.line; });
        if (at == totals.end()) at = totals.insert(at, Total{product.line});
        const Cost& cost = (*document.costs)[p];
        at->units += cost.units;
        at->money += cost.batch;
        at->complete &= cost.complete;
    }
    for (const Total& total : totals) {
        page.paragraph("The line " + plain(total.line) + ", " + count_text(total.units, "unit", "units") + ", costs " +
                       (total.complete ? "" : "at least ") + money_text(total.money) + " to make.");
    }
}

void add_across(Page& page, const Document& document, BlendId id) {
    const Model& model = *document.model;
    std::vector<std::string> dear;
    Table table;
    table.columns = {{"", Align::left, true}, {"blend in each, g", Align::right, false}, {"its cost", Align::right, false},
                     {"one costs", Align::right, false}, {"dearest oil", Align::left, true}};
    for (const ProductId p : document.products) {
        const Product& product = model.products[p];
        if (product.blend != id) continue;
        const Cost& cost = (*document.costs)[p];
        const Formula& formula = (*document.formulas)[p];
        if (!formula.complete) continue;
        const auto units = static_cast<double>(cost.units);
        const CostLine* dearest = nullptr;
        double grams = 0;
        bool known = true;
        if (std::string text = dear_oil_text(document, cost); !text.empty()) dear.push_back(plain(product.header.title) + ": " + text + ".");
        for (const CostLine& line : cost.lines) {
            if (line.kind != CostLine::Kind::material || line.role != LineRole::blend) continue;
            grams += line.amount;
            known &= line.money.has_value();
            if (line.money && (!dearest || *line.money > *dearest->money)) dearest = &line;
        }
        table.line({plain(product.header.title), format_significant(grams / units, 3),
                    (known ? "" : "at least ") + money_text(cost.blend / units),
                    (cost.complete ? "" : "at least ") + money_text(cost.unit()),
                    dearest ? cost_line_title(model, *dearest) + ", " + money_text(*dearest->money / units) : "?"});
    }
    if (table.rows.empty()) return;
    page.paragraph("In each of what it goes into, with what is made over:");
    page.table(std::move(table));
    page.items(std::move(dear), Tone::warning);
    add_line_totals(page, document, id);
}

/// How the price of each oil came about, each once.
void add_blend_prices(Page& page, const Document& document, const BlendFigures& figures, const BlendCost& cost) {
    std::vector<std::string> prices;
    for (std::size_t i = 0; i < cost.lines.size(); ++i) {
        const Price& price = cost.lines[i].price;
        const MaterialId id = figures.lines[i].material;
        if (!price.row || !price.money) continue;
        prices.push_back(title_of(*document.model, id) + ": " + price_text(document, price.lacking == kNone ? id : price.lacking, price, "a gram"));
    }
    page.paragraph("Prices:");
    page.items(std::move(prices));
}

}  // namespace

void add_blend_cost(Page& page, const Document& document, BlendId id) {
    if (!document.prices || !document.blend_costs || !(*document.blend_costs)[id].asked) return;
    const Model& model = *document.model;
    const BlendFigures& figures = (*document.blend_figures)[id];
    const BlendCost& cost = (*document.blend_costs)[id];
    const bool any = std::any_of(cost.lines.begin(), cost.lines.end(), [](const auto& l) { return l.price.money.has_value(); });
    if (!any) return;
    const Balance balance = balance_of(model, figures);
    page.heading("Cost, in " + std::string(document.prices->currency()));
    Table table;
    table.columns = {{"", Align::left, true}, {"a gram", Align::right, false}, {"a drop", Align::right, false},
                     {"of the parts", Align::right, false}, {"of the odour", Align::right, false}, {"of the cost", Align::right, false}};
    const auto percent = [](double share) { return format_fixed(share * 100, 1) + " %"; };
    for (std::size_t i = 0; i < cost.lines.size(); ++i) {
        const BlendCost::Line& line = cost.lines[i];
        const bool balanced = i < balance.oils.size();
        table.line({title_of(model, figures.lines[i].material), line.price.money ? small_money(*line.price.money) : "?",
                    line.per_drop ? small_money(*line.per_drop) : "?", balanced ? percent(balance.oils[i].share.to_double()) : "?",
                    balanced && balance.all_known && balance.oils[i].odour ? percent(balance.oils[i].odour->to_double()) : "?",
                    line.share ? percent(*line.share) : "?"});
    }
    if (cost.per_g) table.total({"The blend", small_money(*cost.per_g), "", "", "", ""});
    page.table(std::move(table));
    if (cost.per_g) {
        std::string text = "10 g of it cost " + money_text(*cost.per_g * 10);
        if (cost.per_ml) text += ", 10 ml " + money_text(*cost.per_ml * 10);
        page.paragraph(text + ".");
    } else {
        const std::string least = cost.at_least_per_g ? "10 g of it cost at least " + money_text(*cost.at_least_per_g * 10) + ", and what the rest of it costs"
                                                      : std::string("What the blend costs");
        page.paragraph(least + " is not known: an oil has no price that can be used. A missing price is not nothing.", Tone::warning);
    }
    add_blend_prices(page, document, figures, cost);
    add_across(page, document, id);
}

void add_cost(Page& page, const Document& document, ProductId id) {
    if (!document.prices || !document.costs || !(*document.costs)[id].asked) return;
    const Model& model = *document.model;
    const Product& product = model.products[id];
    const Cost& cost = (*document.costs)[id];
    const bool any = std::any_of(cost.lines.begin(), cost.lines.end(), [](const CostLine& l) { return l.money.has_value(); });
    if (!any && !product.budget) return;
    const std::string currency(document.prices->currency());
    page.heading("Cost, in " + currency);
    if (cost.lines.empty()) {
        page.paragraph("Not known: neither are the amounts.", Tone::warning);
        return;
    }
    Table table;
    table.columns = {{"", Align::left, true}, {"for " + count_text(cost.units, "unit", "units"), Align::right, false},
                     {"each", Align::right, false}, {"of the cost", Align::right, false}};
    std::vector<double> amounts;
    for (const CostLine& line : cost.lines) amounts.push_back(line.money.value_or(0));
    if (cost.labour) amounts.push_back(*cost.labour);
    if (cost.overhead) amounts.push_back(*cost.overhead);
    const std::vector<std::string> printed = cents(amounts);
    std::size_t at = 0;
    const auto units = static_cast<double>(cost.units);
    const auto add = [&](const std::string& title, bool known) {
        const double money = amounts[at];
        const std::string batch = at < printed.size() ? printed[at] : money_text(money);
        ++at;
        if (!known) {
            table.line({title, "?", "?", "?"});
            return;
        }
        table.line({title, batch, small_money(money / units), cost.batch > 0 ? format_fixed(money / cost.batch * 100, 1) + " %" : ""});
    };
    std::string part;
    for (const CostLine& line : cost.lines) {
        const std::string now = line.kind == CostLine::Kind::container ? "Packaging" : line.kind == CostLine::Kind::base || line.role == LineRole::base
                                ? "Base" : "Blend: " + (product.blend < model.blends.size() ? plain(model.blends[product.blend].header.title) : "");
        if (now != part) table.heading(now);
        part = now;
        add(cost_line_title(model, line), line.money.has_value());
    }
    if (cost.labour || cost.overhead) table.heading("Making");
    if (cost.labour) add("Work, " + format_trimmed(cost.hours, 2) + " h", true);
    if (cost.overhead) add("Overhead, " + format_trimmed(model.workshop.overhead->to_double() * 100, 2) + " % of the above", true);
    const std::string least = cost.complete ? "" : "at least ";
    table.total({"Total", least + money_text(cost.batch), least + money_text(cost.unit()), ""});
    page.table(std::move(table));
    if (const std::string dear = dear_oil_text(document, cost); !dear.empty()) page.paragraph(dear + ".", Tone::warning);

    std::vector<std::pair<std::string, std::string>> facts;
    if (cost.wholesale) {
        facts.emplace_back("Shops", money_text(*cost.wholesale) + " each: " + format_trimmed(*model.workshop.wholesale, 2) + " times the cost, as the workshop reckons");
    }
    if (cost.retail) {
        facts.emplace_back("People", money_text(*cost.retail) + " each: " + format_trimmed(*model.workshop.retail, 2) + " times " +
                                         (cost.wholesale ? "that" : "the cost") + "; taxes are not in it");
    }
    if (product.budget && cost.budget) {
        facts.emplace_back("Budget", money_text(*cost.budget) + " each: " + (cost.over_budget ? "over it by " + money_text(cost.unit() - *cost.budget)
                                         : cost.complete ? money_text(*cost.budget - cost.unit()) + " to spare" : "not known whether that is enough"));
    }
    page.facts(std::move(facts));

    std::vector<std::string> missing;
    for (const CostLine& line : cost.lines) {
        if (!line.money) missing.push_back(gap_text(model, line));
    }
    if (cost.labour_missing) missing.emplace_back("work: the time, or what an hour costs");
    if (!cost.packaging_stated) missing.emplace_back("packaging: the recipe names none, so none is counted");
    if (!cost.labour && !cost.labour_missing) missing.emplace_back("work: neither the recipe nor the workshop says, so none is counted");
    if (!missing.empty()) {
        page.paragraph("Not in the sum:", cost.complete ? Tone::plain : Tone::warning);
        page.items(std::move(missing));
    }
    std::vector<std::string> prices;
    for (const CostLine& line : cost.lines) {
        if (!line.money || !line.price.row) continue;
        const MaterialId weighed = line.price.lacking == kNone ? line.id : line.price.lacking;
        prices.push_back(cost_line_title(model, line) + ": " + price_text(document, weighed, line.price, line.kind == CostLine::Kind::container ? "each" : "a gram"));
    }
    page.paragraph("Prices:");
    page.items(std::move(prices));
}

}  // namespace scruple::emit
