#include "emit/json_parts.h"

#include <cmath>

#include "diag/place.h"
#include "emit/lots.h"
#include "emit/people.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

std::string_view material_name(const Model& model, MaterialId material) {
    return material < model.materials.size() ? model.materials[material].header.name
                                             : std::string_view();
}

std::string_view rules_name(const Model& model, const Limit* limit) {
    return limit && limit->rules < model.rule_sets.size()
               ? model.rule_sets[limit->rules].header.name
               : std::string_view();
}

void write_source(JsonWriter& json, const Model& model, const LimitRow* row) {
    const Source* source = row ? model.source(row->source) : nullptr;
    json.text_or_null("source", source ? source->text : std::string_view());
    json.text_or_null("standing", source ? standing_word(source->standing)
                                  : row  ? standing_word(Standing::maker)
                                         : std::string_view());
}

void write_check(JsonWriter& json, const Model& model, const Check& check) {
    json.open_row();
    json.text("rule", rule_id(model, check));
    json.text("kind", check_kind_word(check.kind));
    json.text("subject", subject_name(model, check));
    json.text_or_null("rules", rules_name(model, check.from));
    json.text_or_null("category", check.category < model.categories.size()
                                      ? model.categories[check.category].header.name
                                      : std::string_view());
    json.text_or_null("effect", check.row ? effect_word(check.row->effect) : std::string_view());
    json.number("actual_percent", check.actual * 100);
    json.number("actual_at_maximum_percent", check.actual_at_maximum * 100);
    json.number("limit_percent", check.limit * 100);
    // Where nothing is allowed there is no share of it; 0 would read as harmless.
    const auto used = [&](double share) {
        return check.kind == CheckKind::prohibited ? std::nullopt : std::optional<double>(share * 100);
    };
    json.number("used_percent", used(check.used));
    json.number("used_at_maximum_percent", used(check.used_at_maximum));
    json.boolean("soft", check.soft);
    json.text("verdict", verdict_word(check.verdict));
    json.text_or_null("decided_by", decided_word(check.decided_by));
    if (check.decided_by == DecidedBy::lot) json.text("without_lots", verdict_word(check.without_lots));
    write_source(json, model, check.row);
    if (!check.bringers.empty()) {
        json.list("brought_by");
        for (MaterialId material : check.bringers) json.text(material_name(model, material));
        json.close_array();
    }
    if (!check.harm_parts.empty()) {
        json.list("parts");
        for (const HarmPart& part : check.harm_parts) {
            json.open_row();
            json.text("substance", model.substances[part.substance].header.name);
            json.number("limit_percent", part.limit * 100);
            json.number("used_percent", part.used * 100);
            json.close_object();
        }
        json.close_array();
    }
    if (!check.parts.empty()) {
        json.list("parts");
        for (const PhototoxicPart& part : check.parts) {
            json.open_row();
            json.text("material", material_name(model, part.material));
            json.number("actual_percent", part.fraction * 100);
            json.number("limit_percent", part.limit * 100);
            json.text_or_null("rules", rules_name(model, part.from));
            json.close_object();
        }
        json.close_array();
    }
    json.close_object();
}

/// Rounded down: a ceiling that is printed must pass when it is used.
void write_ceiling_ww(JsonWriter& json, std::string_view name, const Ceiling& ceiling) {
    json.key(name);
    if (ceiling.state == Ceiling::State::bound && std::isfinite(ceiling.load_ww)) {
        json.decimal(format_significant(ceiling.load_ww * 100, 10, Rounding::down));
    } else {
        json.null();
    }
}

void write_rule_at(JsonWriter& json, std::string_view name, const Model& model,
                   const Judgement& judgement, std::int32_t index) {
    const Check* check = judgement.check(index);
    json.text_or_null(name, check ? rule_id(model, *check) : std::string());
}

void write_ceiling(JsonWriter& json, std::string_view name, const Model& model,
                   const Product& product, const Judgement& judgement, const Ceiling& ceiling) {
    const OwnBasis own = own_basis(model, product);
    json.row(name);
    json.text("state", ceiling_state_word(ceiling.state));
    json.key("value_percent");
    if (ceiling.state == Ceiling::State::bound && !ceiling.text.empty()) {
        json.decimal(ceiling.text);
    } else {
        json.null();
    }
    json.text("basis", basis_word(own.basis));
    json.text("of", of_word(own.of));
    write_ceiling_ww(json, "ww_percent", ceiling);
    write_rule_at(json, "bound_by", model, judgement, ceiling.bound_by);
    write_rule_at(json, "runner_up", model, judgement, ceiling.runner_up);
    json.close_object();
}

void write_place(JsonWriter& json, const Document& document, Span span) {
    if (!document.sources || !diag::has_place(*document.sources, span)) {
        json.null("file");
        json.null("range");
        return;
    }
    const SourceFile& file = document.sources->file(span.file);
    json.text("file", diag::path_for_programs(file));
    const diag::Range range = diag::utf16_range(file, span);
    json.row("range");
    for (const auto& [name, at] : {std::pair{"start", range.start}, std::pair{"end", range.end}}) {
        json.row(name);
        json.whole("line", at.line);
        json.whole("character", at.column);
        json.close_object();
    }
    json.close_object();
}

}  // namespace

std::string rule_id(const Model& model, const Check& check) {
    if (!check.from) return std::string(check_kind_word(check.kind));
    const std::string_view rules = rules_name(model, check.from), subject = subject_name(model, check);
    const bool placed = check.category < model.categories.size();
    const std::string_view category = placed ? model.categories[check.category].header.name : std::string_view();
    std::string id;
    id.reserve(rules.size() + subject.size() + category.size() + 2);
    id.append(rules).append(1, ':').append(subject);
    if (placed) id.append(1, ':').append(category);
    return id;
}

void write_safety(JsonWriter& json, const Document& document, ProductId id) {
    const Model& model = *document.model;
    const Product& product = model.products[id];
    const Judgement& judgement = (*document.judgements)[id];
    json.open_object();
    json.text("verdict", verdict_word(judgement.verdict));
    json.text_or_null("decided_by", decided_word(judgement.decided_by));
    write_ceiling_ww(json, "max_load_ww_percent", judgement.ceiling);
    write_rule_at(json, "bound_by", model, judgement, judgement.ceiling.bound_by);
    write_ceiling(json, "ceiling", model, product, judgement, judgement.ceiling);
    write_ceiling(json, "careful", model, product, judgement, judgement.careful);
    json.array("checks");
    for (const Check& check : judgement.checks) write_check(json, model, check);
    json.close_array();
    json.array("unknown");
    for (const Unknown& unknown : judgement.unknowns) {
        json.open_row();
        json.text("material", material_name(model, unknown.material));
        json.number("share_of_blend_percent", unknown.share_of_blend * 100);
        json.number("unknown_percent", unknown.unknown_fraction * 100);
        json.close_object();
    }
    json.close_array();
    json.array("unstated");
    for (const UnstatedLimit& limit : judgement.unstated) {
        json.open_row();
        json.text("subject", limit.from->header.name);
        json.text_or_null("rules", rules_name(model, limit.from));
        json.number("actual_percent", limit.actual * 100);
        json.number("actual_at_maximum_percent", limit.actual_at_maximum * 100);
        write_source(json, model, limit.row);
        json.close_object();
    }
    json.close_array();
    if (json.wants("cautions")) write_people(json, document, id);
    write_lots(json, document, id);
    json.close_object();
}

void write_diagnostics(JsonWriter& json, const Document& document) {
    json.open_array();
    if (document.diagnostics) {
        for (const Diagnostic& diagnostic : *document.diagnostics) {
            json.open_object();
            json.text("code", code_info(diagnostic.code).name);
            json.text("severity", severity_word(diagnostic.severity));
            json.text("message", diagnostic.message);
            write_place(json, document, diagnostic.span);
            json.text("label", diagnostic.label);
            json.array("related");
            for (const Label& label : diagnostic.more) {
                json.open_row();
                write_place(json, document, label.span);
                json.text("message", label.text);
                json.close_object();
            }
            json.close_array();
            json.array("notes");
            for (const std::string& note : diagnostic.notes) json.text(note);
            json.close_array();
            json.array("fixes");
            for (const Fix& fix : diagnostic.fixes) {
                json.open_row();
                json.text("title", fix.title);
                json.boolean("safe", fix.safe);
                json.list("edits");
                for (const Edit& edit : fix.edits) {
                    if (!document.sources || !diag::has_place(*document.sources, edit.span))
                        continue;
                    json.open_row();
                    write_place(json, document, edit.span);
                    json.text("text", edit.text);
                    json.close_object();
                }
                json.close_array();
                json.close_object();
            }
            json.close_array();
            json.close_object();
        }
    }
    json.close_array();
}

}  // namespace scruple::emit
