// What a product's page says of its label: the allergens to name, how much of each there is and who
// brings it, by which list, and what may hide. Nothing here may read as an approval.
#include <algorithm>

#include "base/text.h"
#include "emit/page.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

using ListState = AllergenList::State;

constexpr std::size_t kBringersShown = 2;

std::string name_of(const Model& model, RuleSetId rules) {
    return plain(model.rule_sets[rules].header.name);
}

/// The names of the lists in one state.
std::vector<std::string> lists_in(const Document& document, ListState state) {
    std::vector<std::string> names;
    for (const AllergenList& list : document.allergens->lists()) {
        if (list.state == state) names.push_back(name_of(*document.model, list.rules));
    }
    return names;
}

/// By the names that the recipe calls them: titles hold commas.
std::string bringers_text(const Model& model, const Bringers& bringers) {
    std::string text;
    for (std::size_t i = 0; i < bringers.size() && i < kBringersShown; ++i)
        text += (text.empty() ? "" : ", ") + plain(model.materials[bringers[i]].header.name);
    if (bringers.size() > kBringersShown) text += " and more";
    return text;
}

std::string joined(const std::vector<const NamedAllergen*>& names) {
    std::string text;
    for (const NamedAllergen* a : names)
        text += (text.empty() ? "" : ", ") + plain(a->entry->label);
    return text;
}

/// What the dates of the lists come to, in words.
void add_dates(std::vector<std::string>& items, const Document& document) {
    const Model& model = *document.model;
    const bool dated = !document.allergens->on().empty();
    for (const AllergenList& list : document.allergens->lists()) {
        const RuleSet& rules = model.rule_sets[list.rules];
        const std::string name = name_of(model, list.rules);
        if (list.state == ListState::holds) {
            std::string text = name + ": " + plain(rules.header.title);
            if (!rules.placed_until.empty() && !dated) {
                text +=
                    ". It is the longest list, taken since no date was given (`--on`): what was "
                    "placed on the market "
                    "until " +
                    plain(rules.placed_until) + " may follow the shorter one";
            } else if (!rules.placed_until.empty()) {
                text += ". It holds for what is placed on the market after " +
                        plain(rules.placed_until);
            }
            if (!rules.placed_until.empty() && !rules.sold_until.empty())
                text += dated ? "; what was placed before by the shorter one may be sold until " +
                                    plain(rules.sold_until)
                              : ", and be sold until " + plain(rules.sold_until);
            items.push_back(text);
        } else if (list.state == ListState::later) {
            items.push_back(
                name + ": " + plain(rules.header.title) + ". On " +
                plain(document.allergens->on()) +
                " it need not be followed yet: what follows the shorter list may be placed on the "
                "market until " +
                plain(rules.placed_until) +
                (rules.sold_until.empty() ? "" : " and be sold until " + plain(rules.sold_until)));
        } else if (list.state == ListState::not_yet) {
            items.push_back(name + ": not in force before " + plain(rules.in_force));
        }
    }
}

void add_names(Page& page, const Document& document, const LabelNames& label, Contact contact) {
    const Model& model = *document.model;
    std::vector<const NamedAllergen*> now, later;
    for (const NamedAllergen& a : label.named) (a.later == kNone ? now : later).push_back(&a);
    const std::string stays = contact == Contact::leave_on ? "stays on the skin" : "is rinsed off";
    const bool alike = std::all_of(
        label.named.begin(), label.named.end(),
        [&](const NamedAllergen& a) { return a.threshold_text == label.named[0].threshold_text; });
    if (label.named.empty()) {
        page.paragraph("No name on the list is over its threshold for a product that " + stays +
                       ", as far as the compositions are known here.");
    } else {
        if (!now.empty()) {
            page.paragraph("To name in the list of ingredients, each over " +
                           (alike ? plain(now[0]->threshold_text) + " % of"
                                  : std::string("its threshold in")) +
                           " a product that " + stays + ":");
            page.items({joined(now)});
        }
        if (!later.empty()) {
            page.paragraph("And by " + name_of(model, later[0]->later) +
                           ", which must be followed after " +
                           plain(model.rule_sets[later[0]->later].placed_until) + ":");
            page.items({joined(later)});
        }
        Table table;
        table.columns = {{"name", Align::left, true}, {"at most", Align::right, false}};
        if (!alike) table.columns.push_back({"named over", Align::right, false});
        table.columns.push_back({"brought by", Align::left, true});
        const auto add = [&](const NamedAllergen* a) {
            std::vector<std::string> cells = {
                plain(a->entry->label),
                percent_apart(a->share, a->threshold, plain(a->threshold_text)) + " %"};
            if (!alike) cells.push_back(plain(a->threshold_text) + " %");
            cells.push_back(bringers_text(model, a->bringers));
            table.line(std::move(cells));
        };
        for (const NamedAllergen* a : now) add(a);
        if (!later.empty()) table.heading("By " + name_of(model, later[0]->later));
        for (const NamedAllergen* a : later) add(a);
        page.table(std::move(table));
        page.paragraph("Shares are of the finished product, by weight, at the top of every range.");
    }
    if (!label.under.empty()) {
        std::vector<const NamedAllergen*> under;
        for (const NamedAllergen& a : label.under) under.push_back(&a);
        page.paragraph("There, but not over: " + joined(under) + ".");
    }
    if (label.unknown_share > 0) {
        page.paragraph(
            "Allergens may hide in what is not known here: " + percent_text(label.unknown_share) +
                " % of the product is oil whose composition is not known.",
            Tone::warning);
    }
    if (!label.unknown.empty()) {
        std::vector<std::string> oils;
        for (const MaterialId m : label.unknown) oils.push_back(title_of(model, m));
        page.paragraph("Of " + list_text(oils) + " nothing is known, so that names may be missing.",
                       Tone::warning);
    }
}

}  // namespace

void add_label(Page& page, const Document& document, ProductId id) {
    if (!document.allergens) return;
    const Model& model = *document.model;
    const Product& product = model.products[id];
    const LabelNames label = document.allergens->names(product, (*document.formulas)[id]);
    page.heading("Allergens to name on the label");
    switch (label.state) {
        case LabelNames::State::not_known:
            page.paragraph("Not known, since the amounts are not.", Tone::warning);
            return;
        case LabelNames::State::other_law:
            page.paragraph(
                "It is not made for skin, so that the law of cosmetics does not say what to name. "
                "Other law does, that "
                "of classification and labelling of mixtures, and it is not worked out here.");
            return;
        case LabelNames::State::no_list: {
            const auto passed_over = lists_in(document, ListState::not_chosen);
            if (!passed_over.empty()) {
                page.paragraph(
                    "Not looked for: the workshop names rules, and none of them is a list of "
                    "allergens. Known here: " +
                        list_text(passed_over) + ".",
                    Tone::warning);
            } else {
                page.paragraph("No list of allergens is known here for where the workshop sells" +
                                   (model.workshop.market.empty()
                                        ? std::string()
                                        : " (" + plain(model.workshop.market) + ")") +
                                   ". That is not to say that nothing must be named.",
                               Tone::warning);
            }
            return;
        }
        case LabelNames::State::listed: break;
    }
    add_names(page, document, label, model.formats[product.format].contact);
    std::vector<std::string> lists;
    add_dates(lists, document);
    page.paragraph("Lists:");
    page.items(std::move(lists));
    const auto passed_over = lists_in(document, ListState::not_chosen);
    if (!passed_over.empty()) {
        page.paragraph("Not looked into, since the workshop names other rules: " +
                           list_text(passed_over) + ".",
                       Tone::warning);
    }
    page.paragraph("The local rules decide what is named and how. This list is no approval.");
}

}  // namespace scruple::emit
