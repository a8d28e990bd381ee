// What the recipe takes upon itself: the `accepted` and `assessed` lists of a product.
#include "emit/json_parts.h"
#include "emit/words.h"
#include "safety/assessments.h"

namespace scruple::emit {

void write_accepted(JsonWriter& json, const Document& document, ProductId id) {
    const Model& model = *document.model;
    json.open_array();
    for (const WaiverUse& u : (*document.judgements)[id].waivers) {
        if (u.state != WaiverUse::State::accepts) continue;
        const Waiver& w = *u.waiver;
        json.open_row();
        json.text("code", w.code);
        json.text("subject", w.substance != kNone ? model.substances[w.substance].header.name : model.materials[w.material].header.name);
        json.text("rules", model.rule_sets[w.rules].header.name);
        json.number("actual_percent", u.actual * 100);
        json.number("limit_percent", u.limit * 100);
        json.number("ceiling_percent", w.ceiling * 100);
        json.text("because", w.reason);
        json.text_or_null("until", w.until);
        json.close_object();
    }
    json.close_array();
}

void write_assessed(JsonWriter& json, const Document& document, ProductId id) {
    const Model& model = *document.model;
    const Product& product = model.products[id];
    const Formula& formula = (*document.formulas)[id];
    json.open_array();
    for (const Coverage& c : coverage(model, product, formula, document.on)) {
        const Assessment& a = *c.assessment;
        json.open_row();
        json.text("id", a.header.name);
        json.text("name", a.header.title);
        json.text_or_null("assessor", a.assessor);
        json.text_or_null("dated", a.dated);
        json.text_or_null("until", a.until);
        json.text("fingerprint", a.fingerprint);
        json.key("up_to_percent");
        if (c.load) {
            json.decimal(c.load->text);
        } else {
            json.null();
        }
        json.boolean("covers", c.covers());
        json.list("outside");
        for (const auto& reason : outside_text(model, product, formula, c)) json.text(reason);
        json.close_array();
        json.close_object();
    }
    json.close_array();
}

}  // namespace scruple::emit
