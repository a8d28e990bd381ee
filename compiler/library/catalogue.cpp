#include "library/catalogue.h"

#include <tuple>

namespace scruple {

std::string_view subject_name(const Model& model, const Limit& limit) {
    if (limit.substance != kNone) return model.substances[limit.substance].header.name;
    if (limit.material != kNone) return model.materials[limit.material].header.name;
    return limit.header.name;
}

std::string_view material_kind_word(MaterialKind kind) { return kind == MaterialKind::oil ? "oil" : "ingredient"; }

std::string_view subject_kind(const Model& model, const Limit& limit) {
    if (limit.substance != kNone) return model.substances[limit.substance].is_group ? "group" : "substance";
    return limit.material == kNone ? std::string_view() : material_kind_word(model.materials[limit.material].kind);
}

std::vector<SourceId> cites_by_name(const Model& model) {
    std::vector<SourceId> ids;
    for (SourceId i = 0; i < model.sources.size(); ++i) {
        if (!model.sources[i].name.empty()) ids.push_back(i);
    }
    std::stable_sort(ids.begin(), ids.end(), [&](auto a, auto b) { return model.sources[a].name < model.sources[b].name; });
    return ids;
}

std::vector<std::string_view> carried_by(const Caution& caution) {
    std::vector<std::string_view> out;
    if (caution.bench) out.emplace_back("bench");
    if (caution.leave_on) out.emplace_back("leave_on");
    if (caution.rinse_off) out.emplace_back("rinse_off");
    if (caution.no_skin) out.emplace_back("no_skin");
    return out;
}

std::vector<std::uint32_t> limits_by_name(const Model& model) {
    std::vector<std::uint32_t> ids;
    for (std::uint32_t i = 0; i < model.limits.size(); ++i) {
        if (model.limits[i].rules != kNone) ids.push_back(i);
    }
    const auto key = [&](std::uint32_t i) {
        const Limit& limit = model.limits[i];
        return std::tuple(subject_name(model, limit), model.rule_sets[limit.rules].header.name);
    };
    std::stable_sort(ids.begin(), ids.end(), [&](auto a, auto b) { return key(a) < key(b); });
    return ids;
}

const DetailRow* limit_row(const Catalogue& catalogue, const Limit& limit, std::size_t row) {
    const Model& m = *catalogue.model;
    const Detail* detail = catalogue.details->limit(subject_name(m, limit), m.rule_sets[limit.rules].header.name);
    if (!detail) return nullptr;
    for (const auto& r : detail->declaration.rows) {
        if (find_field(kind_spec(Kind::limit), r.word())) continue;
        if (row-- == 0) return &r;
    }
    return nullptr;
}

const DetailRow* contains_row(const Catalogue& catalogue, const Material& material, SubstanceId substance) {
    const Detail* detail = catalogue.details->find(NameSpace::materials, material.header.name);
    const DetailRow* block = detail ? detail->field("contains") : nullptr;
    if (!block) return nullptr;
    const auto name = catalogue.model->substances[substance].header.name;
    for (const auto& row : block->rows) {
        for (const auto& atom : row.items.front()) {
            if (!atom.is_text && atom.text == name) return &row;
        }
    }
    return nullptr;
}

std::string limit_figure(const Catalogue& catalogue, const Limit& limit, std::size_t index) {
    const LimitRow& row = limit.rows[index];
    if (!row.max_text.empty()) return row.max_text + " %";
    switch (row.kind) {
        case LimitKind::none: return "none";
        case LimitKind::unlimited: return "no limit";
        case LimitKind::unstated: return "not known here";
        default: break;
    }
    // A rule on the lot, such as a peroxide value, has a measure of its own.
    const DetailRow* written = limit_row(catalogue, limit, index);
    if (!written || written->items.empty()) return "a rule on the lot";
    std::string out;
    for (const auto& atom : written->items.front()) {
        if (atom.is_text || atom.text == "in") break;
        append_written(out, atom.text);
    }
    return out;
}

bool is_limited(const Model& model, SubstanceId substance) {
    const auto has = [&](SubstanceId s) {
        return s < model.substance_limits.size() && !model.substance_limits[s].empty();
    };
    if (has(substance)) return true;
    const auto& groups = model.substances[substance].groups;
    return std::any_of(groups.begin(), groups.end(), has);
}

}  // namespace scruple
