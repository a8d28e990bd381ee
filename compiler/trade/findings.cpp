#include <fmt/core.h>

#include <algorithm>

#include "num/decimal.h"
#include "trade/cost.h"

namespace scruple {
namespace {

constexpr std::size_t kNamed = 6;  // of what is missing; the rest is counted

std::string money_phrase(double value, std::string_view currency) { return fmt::format("{} {}", format_fixed(value, 2), currency); }

std::string name_in_cost(const Model& model, const CostLine& line) {
    switch (line.kind) {
        case CostLine::Kind::base: return std::string(model.bases[line.id].header.name);
        case CostLine::Kind::container: return std::string(model.containers[line.id].header.name);
        case CostLine::Kind::material: break;
    }
    return std::string(model.materials[line.price.lacking == kNone ? line.id : line.price.lacking].header.name);
}

void report_foreign(const PriceBook& book, const Money& money, Bag& bag) {
    bag.add(Code::no_rate, money.span,
            fmt::format("this is in {}, and no rate leads from there to {}: currencies are never mixed", money.currency, book.currency()))
        .note(fmt::format("write the rate that you reckon with, for example `rate 1 {} = … {} on 2026-04-01`", money.currency,
                          book.currency()));
}

void report_gaps(const Model& model, const PriceBook& book, const Product& product, const Cost& cost, Bag& bag) {
    std::vector<std::string> names;
    std::vector<std::string> weightless;
    bool any_known = false;
    for (const CostLine& line : cost.lines) {
        any_known |= line.money.has_value();
        if (line.money) continue;
        if (line.price.gap == PriceGap::no_rate && line.price.row) {
            report_foreign(book, line.price.row->money, bag);
            continue;
        }
        auto& list = line.price.gap == PriceGap::no_density ? weightless : names;
        const std::string name = name_in_cost(model, line);
        if (std::find(list.begin(), list.end(), name) == list.end()) list.push_back(name);
    }
    // A product of which nothing is priced is one whose maker does not ask.
    if (!any_known && !product.budget) return;
    const auto listed = [](const std::vector<std::string>& all) {
        std::string text;
        for (std::size_t i = 0; i < std::min(all.size(), kNamed); ++i) text += fmt::format("{}`{}`", i == 0 ? "" : ", ", all[i]);
        if (all.size() > kNamed) text += fmt::format(" and {} more", all.size() - kNamed);
        return text;
    };
    if (!names.empty()) {
        bag.add(Code::no_price, product.header.name_span,
                fmt::format("what this costs is not known in full: there is no price for {}", listed(names)))
            .note("a price that is missing is not nothing: the sums say `at least`")
            .note("a row of a price list gives it, for example `30 ml OIL for 11.40 EUR`");
    }
    if (!weightless.empty()) {
        bag.add(Code::no_price, product.header.name_span,
                fmt::format("what this costs is not known in full: {} {} a price by volume, and no density to weigh it by",
                            listed(weightless), weightless.size() == 1 ? "has" : "have"))
            .note("give the pack's weight instead, or state a density");
    }
    if (cost.labour_missing) {
        const bool foreign = model.workshop.labour && (product.batch_hours || product.unit_hours);
        if (foreign) {
            report_foreign(book, *model.workshop.labour, bag);
        } else {
            bag.add(Code::no_price, product.header.name_span,
                    model.workshop.labour
                        ? "what this costs is not known in full: the workshop says what an hour costs, and the product not how long it takes"
                        : "what this costs is not known in full: the product says how long it takes, and the workshop not what an hour costs")
                .note(model.workshop.labour ? "a row `work 45 min, 2 min/each` in the product says so" : "a row `labour 18 EUR/h` in the workshop says so");
        }
    }
}

}  // namespace

std::string gap_text(const Model& model, const CostLine& line) {
    const std::string name = name_in_cost(model, line);
    switch (line.price.gap) {
        case PriceGap::none: return {};
        case PriceGap::no_price: return fmt::format("no price for {}", name);
        case PriceGap::no_density: return fmt::format("a price by volume and no density for {}", name);
        case PriceGap::no_rate: return fmt::format("no rate for the price of {}, in {}", name, line.price.row->money.currency);
    }
    return {};
}

void report_cost(const Model& model, const PriceBook& book, const Product& product, const Cost& cost, std::string_view on,
                 Bag& bag) {
    // What an error keeps from being read is not missing: the error is said.
    if (!cost.asked || model.money_broken || model.workshop.header.broken) return;
    if (product.budget && !cost.budget) report_foreign(book, *product.budget, bag);
    report_gaps(model, book, product, cost, bag);
    for (const CostLine& line : cost.lines) {
        if (!line.price.stale) continue;
        const auto old = [&](const PriceRow* row) {
            if (!row) return;
            const PriceList& list = model.price_lists[row->list];
            bag.add(Code::stale_price, row->span,
                    fmt::format("this price is of {}, and on {} that is old: ask again before you reckon with it", list.dated, on))
                .note("`prices_keep` in the workshop says after how many months a price is old; 12 if not said");
        };
        old(line.price.row);
        old(line.price.second);
    }
    if (!cost.over_budget) return;
    const CostLine* dearest = cost.dearest();
    auto found = bag.add(Code::over_budget, product.budget->span,
                         fmt::format("one costs {}{}, and the budget is {}", cost.complete ? "" : "at least ",
                                     money_phrase(cost.unit(), book.currency()), money_phrase(*cost.budget, book.currency())));
    if (dearest) {
        const double each = *dearest->money / static_cast<double>(cost.units);
        found.also(dearest->span, fmt::format("`{}` is the dearest line: {} of it", name_in_cost(model, *dearest),
                                              money_phrase(each, book.currency())));
    }
}

}  // namespace scruple
