// The history document, schema `scruple.history/1` (grammar/history.schema.json). Keys only ever get added.
#include <algorithm>

#include "emit/emit.h"
#include "emit/json_text.h"
#include "history/history.h"

namespace scruple::history {
namespace {

using emit::JsonWriter;

void write_texts(JsonWriter& json, std::string_view key, const std::vector<std::string>& texts) {
    json.key(key);
    json.open_list();
    for (const auto& text : texts) json.text(text);
    json.close_array();
}

void write_product(JsonWriter& json, const ProductFigures& p) {
    json.open_row();
    json.text("id", p.id);
    json.text_or_null("verdict", p.verdict);
    json.text_or_null("ceiling", p.ceiling);
    json.number("ceiling_percent", p.ceiling_percent);
    json.number("cost_per_unit", p.cost_per_unit);
    json.text_or_null("currency", p.currency);
    json.close_object();
}

void write_entry(JsonWriter& json, const Entry& e) {
    json.open_object();
    json.text("commit", e.commit->id);
    json.text("date", e.commit->date);
    json.text("author", e.commit->author);
    json.text("message", e.commit->subject);
    json.boolean("merge", e.merge);
    json.text("event", event_word(e.event));
    json.text("name", e.name);
    json.text("old_name", e.old_name);
    json.text_or_null("title", e.figures.title);
    json.text_or_null("blend", e.figures.blend);
    json.text_or_null("fingerprint", e.figures.fingerprint);
    json.array("parts");
    for (const auto& [parts, material] : e.figures.parts) {
        json.open_row();
        json.text("parts", parts);
        json.text("material", material);
        json.close_object();
    }
    json.close_array();
    json.text_or_null("leads", e.figures.leads);
    json.array("products");
    for (const auto& p : e.figures.products) write_product(json, p);
    json.close_array();
    json.boolean("worse", e.worse);
    write_texts(json, "changes", e.changes);
    write_texts(json, "errors", e.errors);
    json.close_object();
}

}  // namespace

std::string render_json(const History& history, const Question& question, std::size_t most) {
    emit::JsonText json;
    json.open_object();
    json.text("schema", "scruple.history/1");
    json.text("compiler", kVersion);
    json.text("name", question.name);
    json.boolean("shallow", history.shallow);
    json.whole("versions_in_all", static_cast<std::int64_t>(history.entries.size()));
    json.array("versions");
    const std::size_t count = most ? std::min(most, history.entries.size()) : history.entries.size();
    for (std::size_t i = 0; i < count; ++i) write_entry(json, history.entries[i]);
    json.close_array();
    json.close_object();
    return json.take();
}

std::string render_sightings_json(const Sightings& sightings, const std::string& wanted) {
    emit::JsonText json;
    json.open_object();
    json.text("schema", "scruple.sightings/1");
    json.text("compiler", kVersion);
    json.text("wanted", wanted);
    json.boolean("shallow", sightings.shallow);
    json.whole("versions", static_cast<std::int64_t>(sightings.versions));
    json.array("found");
    for (const auto& s : sightings.found) {
        json.open_row();
        json.text("fingerprint", s.fingerprint);
        json.text("blend", s.blend);
        json.text("since", s.since->id);
        json.text("since_date", s.since->date);
        json.text("since_message", s.since->subject);
        json.text_or_null("until", s.until ? s.until->id : std::string());
        json.close_object();
    }
    json.close_array();
    json.close_object();
    return json.take();
}

}  // namespace scruple::history
