// What the formula document says of people and of threatened plants.
#include <algorithm>

#include "emit/people.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

void write_source_of(JsonWriter& json, const Model& model, SourceId id) {
    const Source* source = model.source(id);
    json.text_or_null("standing", source ? standing_word(source->standing) : std::string_view());
    json.text_or_null("source", source ? source->text : std::string_view());
}

void write_audiences(JsonWriter& json, std::string_view key, const Model& model, const std::vector<AudienceId>& list) {
    json.list(key);
    for (const AudienceId a : list) json.text(model.audiences[a].header.name);
    json.close_array();
}

void write_figure(JsonWriter& json, const Model& model, const UsualFigure& f) {
    json.text("guide", f.guide->header.name);
    json.text("name", f.guide->header.title);
    json.text_or_null("for", f.audience == kNone ? std::string_view() : model.audiences[f.audience].header.name);
    json.list("oils");
    if (f.guide->of_oils) {
        for (const MaterialId m : f.guide->oils) json.text(model.materials[m].header.name);
    }
    json.close_array();
    json.number("most_percent", f.row->none ? 0.0 : f.row->high.to_double() * 100);
    write_source_of(json, model, f.row->source);
    json.text_or_null("remark", f.row->remark);
}

void write_usual(JsonWriter& json, const Model& model, const Product& product, const PeopleJudgement& people) {
    if (!people.guided) {
        json.null("usual_dilution");
        return;
    }
    const OwnBasis own = own_basis(model, product);
    json.object("usual_dilution");
    json.text("state", ceiling_state_word(people.ceiling.state));
    json.key("value_percent");
    if (people.ceiling.state == Ceiling::State::bound && !people.ceiling.text.empty()) {
        json.decimal(people.ceiling.text);
    } else {
        json.null();
    }
    json.text("basis", basis_word(own.basis));
    json.text("of", of_word(own.of));
    json.number("actual_percent", people.strength * 100);
    json.boolean("over", people.over);
    write_figure(json, model, people.usual);
    json.array("others");
    for (const UsualFigure& f : people.others) {
        json.open_row();
        write_figure(json, model, f);
        json.close_object();
    }
    json.close_array();
    json.close_object();
}

}  // namespace

void write_people(JsonWriter& json, const Document& document, ProductId id) {
    if (!document.people) return;
    const Model& model = *document.model;
    const PeopleJudgement& people = (*document.people)[id];
    json.row("audience");
    json.boolean("named", people.named);
    write_audiences(json, "ids", model, people.audience);
    write_audiences(json, "usual_dilution_not_known", model, people.unguided);
    json.close_object();
    write_usual(json, model, model.products[id], people);
    json.array("cautions");
    for (const PersonalCaution& c : people.cautions) {
        json.open_row();
        json.text("id", c.caution->header.name);
        json.text("text", c.caution->text);
        write_audiences(json, "audience", model, c.caution->audience);
        json.list("materials");
        for (const MaterialId m : c.materials) json.text(model.materials[m].header.name);
        json.close_array();
        json.text("advice", c.caution->avoid ? "avoid" : "care");
        json.whole("rank", c.caution->rank);
        json.boolean("meant", c.meant);
        write_source_of(json, model, c.caution->sources.empty() ? kNone : c.caution->sources.front());
        json.list("more_sources");
        for (std::size_t i = 1; i < c.caution->sources.size(); ++i) {
            json.open_row();
            write_source_of(json, model, c.caution->sources[i]);
            json.close_object();
        }
        json.close_array();
        json.close_object();
    }
    json.close_array();
}

void write_conservation(JsonWriter& json, const Model& model, const Formula& formula) {
    std::vector<MaterialId> seen;
    json.array("conservation");
    for (const FormulaLine& line : formula.lines) {
        const Material& m = model.materials[line.material];
        if (m.conservation.empty() && m.cites_appendix.empty()) continue;
        if (std::find(seen.begin(), seen.end(), line.material) != seen.end()) continue;
        seen.push_back(line.material);
        json.open_row();
        json.text("material", m.header.name);
        json.text_or_null("text", m.conservation);
        json.text_or_null("cites_appendix", m.cites_appendix);
        write_source_of(json, model, m.cites_appendix.empty() ? kNone : m.cites_source);
        json.close_object();
    }
    json.close_array();
}

}  // namespace scruple::emit
