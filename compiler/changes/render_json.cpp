// The changes document, schema `scruple.changes/1` (grammar/changes.schema.json). Keys only ever get added.
#include "changes/render.h"
#include "changes/sentence.h"
#include "emit/emit.h"
#include "emit/json_text.h"

namespace scruple::changes {
namespace {

using emit::JsonWriter;

void write_scalar(JsonWriter& json, const Scalar& value) {
    if (std::holds_alternative<std::monostate>(value)) json.null();
    if (const auto* b = std::get_if<bool>(&value)) json.boolean(*b);
    if (const auto* n = std::get_if<double>(&value)) json.number(*n);
    if (const auto* t = std::get_if<std::string>(&value)) json.text(*t);
    if (const auto* l = std::get_if<std::vector<std::string>>(&value)) {
        json.open_list();
        for (const std::string& item : *l) json.text(item);
        json.close_array();
    }
}

void write_fact(JsonWriter& json, std::string_view key, const std::optional<Fact>& fact) {
    json.key(key);
    if (!fact) {
        json.null();
        return;
    }
    json.open_row();
    for (const Field& f : fact->fields) {
        json.key(f.name);
        write_scalar(json, f.value);
    }
    json.close_object();
}

void write_change(JsonWriter& json, const UnitChange& unit, const Change& c) {
    json.open_object();
    json.text("what", info(c.what).word);
    json.text("rank", rank_word(c.rank()));
    json.text("how", how_word(c.how));
    json.boolean("worse", c.worse);
    json.text_or_null("subject", c.subject);
    if (c.what == What::part) {
        json.text("direction", direction_word(c.direction));
        json.text_or_null("old_parts", c.old_parts);
        json.text_or_null("new_parts", c.new_parts);
    }
    json.text("text", sentence(unit, c));
    write_fact(json, "old", c.old);
    write_fact(json, "new", c.fresh);
    json.close_object();
}

void write_side(JsonWriter& json, std::string_view key, const SideName& side, const std::vector<SideError>& errors) {
    json.object(key);
    json.text("name", side.name);
    json.text("kind", side.kind);
    json.text_or_null("commit", side.commit);
    json.boolean("complete", errors.empty());
    json.array("errors");
    for (const SideError& e : errors) {
        json.open_row();
        json.text("code", e.code);
        json.text("message", e.message);
        json.text_or_null("file", e.file);
        if (e.line > 0) json.whole("line", static_cast<std::int64_t>(e.line));
        else json.null("line");
        json.close_object();
    }
    json.close_array();
    json.close_object();
}

void write_unit(JsonWriter& json, const UnitChange& u) {
    json.open_object();
    json.text("id", u.id);
    json.text("old_id", u.old_id);
    json.text("name", u.name);
    json.text("state", unit_state_word(u.state));
    json.boolean("renamed", u.renamed());
    json.text("rank", rank_word(u.rank()));
    json.boolean("worse", u.worse());
    if (u.is_blend()) json.text_or_null("follows", u.follows);
    if (u.is_product()) {
        json.text_or_null("blend", u.blend);
        json.boolean("blend_changed", u.blend_changed);
        json.boolean("recipe_same", u.recipe_same);
    }
    json.array("changes");
    for (const Change& c : u.changes) write_change(json, u, c);
    json.close_array();
    json.close_object();
}

}  // namespace

std::string render_json(const Changes& changes) {
    emit::JsonText json;
    json.open_object();
    json.text("schema", "scruple.changes/1");
    json.text("compiler", kVersion);
    json.boolean("differs", changes.any());
    write_side(json, "old", changes.old_side, changes.old_errors);
    write_side(json, "new", changes.new_side, changes.new_errors);
    json.array("summary");
    for (const std::string& line : summary(changes)) json.text(line);
    json.close_array();
    json.array("collection");
    const UnitChange nobody;
    for (const Change& c : changes.collection) write_change(json, nobody, c);
    json.close_array();
    json.array("rows");
    for (const RowChange& r : changes.rows) {
        json.open_object();
        json.text("rule", r.rule);
        json.text("text", row_sentence(r));
        json.list("products");
        for (const std::string& p : r.products) json.text(p);
        json.close_array();
        json.close_object();
    }
    json.close_array();
    for (const auto& [key, kind] : {std::pair("benches", UnitKind::bench), std::pair("blends", UnitKind::blend), std::pair("products", UnitKind::product)}) {
        json.array(key);
        for (const UnitChange& u : changes.units) {
            if (u.kind == kind) write_unit(json, u);
        }
        json.close_array();
    }
    json.close_object();
    return json.take();
}

}  // namespace scruple::changes
