// The `label` object of the formula document.
#include "emit/label.h"

namespace scruple::emit {
namespace {

std::string_view rules_name(const Model& model, RuleSetId rules) {
    return rules < model.rule_sets.size() ? std::string_view(model.rule_sets[rules].header.name)
                                          : std::string_view();
}

void write_named(JsonWriter& json, const Model& model, const NamedAllergen& a) {
    const Source* source = model.source(a.entry->source);
    json.open_row();
    json.text("name", a.entry->label);
    json.text("kind", a.extract ? "extract" : "constituent");
    json.number("share_percent", a.share * 100);
    json.number("typical_share_percent", a.typical_share * 100);
    json.number("threshold_percent", a.threshold * 100);
    json.text_or_null("rules", rules_name(model, a.entry->rules));
    json.text_or_null("later", rules_name(model, a.later));
    json.text_or_null("standing", source ? standing_word(source->standing) : std::string_view());
    json.text_or_null("source", source ? source->text : std::string_view());
    json.list("brought_by");
    for (const MaterialId m : a.bringers) json.text(model.materials[m].header.name);
    json.close_array();
    json.close_object();
}

}  // namespace

std::string_view label_state_word(LabelNames::State state) {
    switch (state) {
        case LabelNames::State::not_known: return "not_known";
        case LabelNames::State::other_law: return "other_law";
        case LabelNames::State::no_list: return "no_list";
        case LabelNames::State::listed: return "listed";
    }
    return "not_known";
}

std::string_view list_state_word(AllergenList::State state) {
    switch (state) {
        case AllergenList::State::holds: return "holds";
        case AllergenList::State::later: return "later";
        case AllergenList::State::not_yet: return "not_yet";
        case AllergenList::State::not_chosen: return "not_chosen";
        case AllergenList::State::elsewhere: return "elsewhere";
        case AllergenList::State::contained: return "contained";
    }
    return "elsewhere";
}

void write_label(JsonWriter& json, const Document& document, ProductId id) {
    if (!document.allergens) {
        json.null();
        return;
    }
    const Model& model = *document.model;
    const LabelNames label =
        document.allergens->names(model.products[id], (*document.formulas)[id]);
    json.open_object();
    json.text("state", label_state_word(label.state));
    json.array("lists");
    for (const AllergenList& list : document.allergens->lists()) {
        const RuleSet& rules = model.rule_sets[list.rules];
        json.open_row();
        json.text("id", rules.header.name);
        json.text("name", rules.header.title);
        json.text("state", list_state_word(list.state));
        json.text_or_null("dated", rules.dated);
        json.text_or_null("in_force", rules.in_force);
        json.text_or_null("placed_until", rules.placed_until);
        json.text_or_null("sold_until", rules.sold_until);
        json.text_or_null("continues", rules_name(model, rules.continues));
        json.close_object();
    }
    json.close_array();
    // Not an empty list where nobody looked: nothing to name would be read as nothing there.
    if (label.state != LabelNames::State::listed) {
        json.null("allergens");
        json.null("under_threshold");
        json.null("unknown_percent");
        json.null("unknown");
        json.close_object();
        return;
    }
    json.array("allergens");
    for (const NamedAllergen& a : label.named) write_named(json, model, a);
    json.close_array();
    json.array("under_threshold");
    for (const NamedAllergen& a : label.under) write_named(json, model, a);
    json.close_array();
    json.number("unknown_percent", label.unknown_share * 100);
    json.list("unknown");
    for (const MaterialId m : label.unknown) json.text(model.materials[m].header.name);
    json.close_array();
    json.close_object();
}

}  // namespace scruple::emit
