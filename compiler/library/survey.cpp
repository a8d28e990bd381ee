#include "library/survey.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "num/decimal.h"

namespace scruple {
namespace {

struct DoubtWords {
    std::string_view word, title;
};
constexpr std::array<DoubtWords, kDoubtKindCount> kWords{{
    {"limit", "Limits"},
    {"unknown_limit", "Limits whose figure is not known here"},
    {"uncovered", "Categories that a limit says nothing of"},
    {"composition", "Shares of substances that have limits"},
    {"density", "Densities"},
    {"botany", "Botany"},
    {"other_figure", "CAS numbers, flash points and other figures"},
    {"format", "Formats: categories and loads"},
    {"category", "Categories"},
    {"caution", "Cautions"},
    {"guide", "Usual dilutions"},
    {"missing", "Not known of an oil or an ingredient"},
    {"unsourced_cas", "CAS numbers of substances, no source stated"},
}};

std::string range_text(const Range& r, double scale) {
    const auto f = [&](double v) { return format_significant(v * scale, 6); };
    if (r.low == r.high) return f(r.high);
    return r.stated_typical ? fmt::format("{} to {}, typical {}", f(r.low), f(r.high), f(r.typical))
                            : fmt::format("{} to {}", f(r.low), f(r.high));
}

std::string names_text(const Model& m, const std::vector<CategoryId>& ids) {
    std::string out;
    for (const auto id : ids) out += (out.empty() ? "" : ", ") + std::string(m.categories[id].header.name);
    return out;
}

/// "botany, INCI: from memory of …" speaks of botany and INCI; without a colon, of all.
std::string_view source_label(std::string_view text) {
    const auto colon = text.find(": ");
    return colon == std::string_view::npos ? std::string_view() : text.substr(0, colon);
}

class Surveyor {
public:
    explicit Surveyor(const Catalogue& catalogue) : c_(catalogue), m_(*catalogue.model) {}

    std::vector<Doubt> run() {
        limits();
        for (const auto id : by_name(m_.materials)) material(m_.materials[id]);
        for (const auto id : by_name(m_.formats)) {
            const Format& f = m_.formats[id];
            for (const auto s : f.sources) add_source(DoubtKind::format, "format", f.header, s);
        }
        for (const auto& d : c_.details->all()) {
            if (d.kind == Kind::category) category(d);
        }
        for (const auto& caution : m_.cautions) {
            for (const auto s : caution.sources) add_source(DoubtKind::caution, "caution", caution.header, s);
        }
        for (const auto& guide : m_.guides) {
            for (const auto& row : guide.rows) {
                if (!doubtful(row.source)) continue;
                add(DoubtKind::guide, "guide", guide.header.name, "", row.none ? "none" : format_exact(row.high * Rational(100)) + " %",
                    row.source);
            }
        }
        for (const auto id : by_name(m_.substances)) {
            const Substance& s = m_.substances[id];
            if (s.cas.empty()) continue;
            const Detail* d = c_.details->find(NameSpace::substances, s.header.name);
            if (d && d->field("source")) continue;
            out_.push_back({DoubtKind::unsourced_cas, s.is_group ? "group" : "substance", std::string(s.header.name),
                            "cas", s.cas, "unsourced", "", ""});
        }
        std::stable_sort(out_.begin(), out_.end(), [](const Doubt& a, const Doubt& b) { return a.kind < b.kind; });
        return std::move(out_);
    }

private:
    void add(DoubtKind kind, std::string_view subject_kind, std::string_view subject, std::string_view about,
             std::string figure, SourceId id) {
        const Source* s = m_.source(id);
        out_.push_back({kind, std::string(subject_kind), std::string(subject), std::string(about), std::move(figure),
                        std::string(standing_word(m_.standing(id))), s ? std::string(s->text) : "",
                        s ? std::string(s->name) : ""});
    }

    bool doubtful(SourceId id) const {
        const Source* s = m_.source(id);
        return s && is_doubtful(*s);
    }

    void add_source(DoubtKind kind, std::string_view subject_kind, const Header& header, SourceId id) {
        const Source* s = m_.source(id);
        if (s && is_doubtful(*s)) add(kind, subject_kind, header.name, source_label(s->text), "", id);
    }

    void limits() {
        std::vector<bool> by_category;
        for (RuleSetId r = 0; r < m_.rule_sets.size(); ++r) by_category.push_back(is_by_category(m_, r));
        for (const auto id : limits_by_name(m_)) {
            const Limit& limit = m_.limits[id];
            const auto rules = m_.rule_sets[limit.rules].header.name;
            for (std::size_t i = 0; i < limit.rows.size(); ++i) {
                const LimitRow& row = limit.rows[i];
                const bool unknown = row.kind == LimitKind::unstated;
                if (!unknown && !doubtful(row.source)) continue;
                add(unknown ? DoubtKind::unknown_limit : DoubtKind::limit, subject_kind(m_, limit),
                    subject_name(m_, limit), rules,
                    fmt::format("{} in {}", limit_figure(c_, limit, i), names_text(m_, row.in)), row.source);
            }
            const auto open = by_category[limit.rules] ? uncovered(m_, limit) : std::vector<CategoryId>{};
            if (!open.empty()) {
                out_.push_back({DoubtKind::uncovered, std::string(subject_kind(m_, limit)),
                                std::string(subject_name(m_, limit)), std::string(rules), names_text(m_, open),
                                "unknown", "", ""});
            }
        }
    }

    void material(const Material& x) {
        const auto kind = material_kind_word(x.kind);
        const auto name = x.header.name;
        for (const auto& part : x.contains) {
            if (!is_stated(part) || !is_limited(m_, part.substance)) continue;
            if (!doubtful(part.source)) continue;
            add(DoubtKind::composition, kind, name, m_.substances[part.substance].header.name,
                range_text(part.fraction, 100) + " %", part.source);
        }
        if (x.density && doubtful(x.density->source)) {
            add(DoubtKind::density, kind, name, "density", range_text(x.density->g_per_ml, 1) + " g/ml", x.density->source);
        }
        for (const auto id : x.sources) {
            const Source* s = m_.source(id);
            if (!s || !is_doubtful(*s)) continue;
            const auto label = source_label(s->text);
            const bool botany = x.kind == MaterialKind::oil && s->text.find("botany") != std::string_view::npos;
            add(botany ? DoubtKind::botany : DoubtKind::other_figure, kind, name,
                label.size() > 40 ? std::string_view() : label, botany ? x.botanical : std::string(), id);
        }
        if (!x.cites_appendix.empty() && doubtful(x.cites_source)) {
            add(DoubtKind::botany, kind, name, "cites_appendix", std::string(x.cites_appendix), x.cites_source);
        }
        for (const auto word : missing_fields(c_, x)) {
            out_.push_back({DoubtKind::missing, std::string(kind), std::string(name), std::string(word), "not known here",
                            "unknown", "", ""});
        }
    }

    void category(const Detail& d) {
        for (const auto& row : d.declaration.rows) {
            if (row.word() != "source" || row.items.front().size() < 2) continue;
            const auto standing = standing_from_word(row.items.front()[1].text);
            const auto texts = row.texts();
            if (!standing || texts.empty() || !is_doubtful(Source{"", *standing, texts.front(), {}})) continue;
            out_.push_back({DoubtKind::category, "category", std::string(d.name), "", d.text("code"),
                            std::string(standing_word(*standing)), texts.front(), ""});
        }
    }

    const Catalogue& c_;
    const Model& m_;
    std::vector<Doubt> out_;
};

/// By place in `table_categories`.
std::vector<bool> reached(const Model& m, const Limit& limit, const std::vector<CategoryId>& table) {
    std::vector<bool> out(table.size(), false);
    for (const auto& row : limit.rows) {
        if (row.kind == LimitKind::purity) continue;
        for (std::size_t i = 0; i < table.size(); ++i) {
            const auto& within = m.categories[table[i]].within;
            for (const auto c : row.in) {
                if (std::find(within.begin(), within.end(), c) != within.end()) out[i] = true;
            }
        }
    }
    return out;
}

}  // namespace

std::pair<int, std::string_view> code_order(std::string_view code) {
    int number = 0;
    std::size_t at = 0;
    while (at < code.size() && at < 6 && code[at] >= '0' && code[at] <= '9') number = number * 10 + (code[at++] - '0');
    return {number, code.substr(at)};
}

bool is_doubtful(Standing s) {
    return s == Standing::recalled || s == Standing::vague || s == Standing::disputed || is_soft(s);
}

bool is_doubtful(const Source& source) {
    return is_doubtful(source.standing) || source.text.find("from memory") != std::string_view::npos;
}

std::string_view doubt_word(DoubtKind kind) { return kWords[static_cast<std::size_t>(kind)].word; }
std::string_view doubt_title(DoubtKind kind) { return kWords[static_cast<std::size_t>(kind)].title; }

std::vector<CategoryId> table_categories(const Model& model) {
    std::vector<CategoryId> out;
    for (const auto id : by_name(model.categories)) {
        const Category& c = model.categories[id];
        const bool inner = std::any_of(c.within.begin(), c.within.end(), [&](CategoryId above) {
            return above != id && !model.categories[above].code.empty();
        });
        if (!c.code.empty() && !inner) out.push_back(id);
    }
    std::stable_sort(out.begin(), out.end(), [&](CategoryId a, CategoryId b) {
        return code_order(model.categories[a].code) < code_order(model.categories[b].code);
    });
    return out;
}

std::vector<CategoryId> uncovered(const Model& model, const Limit& limit) {
    const auto table = table_categories(model);
    const auto hit = reached(model, limit, table);
    std::vector<CategoryId> out;
    // A rule on the lot alone says nothing of products.
    if (std::all_of(limit.rows.begin(), limit.rows.end(), [](const LimitRow& r) { return r.kind == LimitKind::purity; })) {
        return out;
    }
    for (std::size_t i = 0; i < table.size(); ++i) {
        if (!hit[i]) out.push_back(table[i]);
    }
    return out;
}

bool is_by_category(const Model& model, RuleSetId rules) {
    const auto table = table_categories(model);
    for (const auto& limit : model.limits) {
        if (limit.rules != rules) continue;
        std::vector<CategoryId> named;
        for (const auto& row : limit.rows) {
            for (const auto c : row.in) {
                const bool of_table = std::find(table.begin(), table.end(), c) != table.end();
                if (of_table && std::find(named.begin(), named.end(), c) == named.end()) named.push_back(c);
            }
        }
        const auto hit = reached(model, limit, table);
        if (named.size() > 1 && std::all_of(hit.begin(), hit.end(), [](bool b) { return b; })) return true;
    }
    return false;
}

std::vector<std::string_view> missing_fields(const Catalogue& catalogue, const Material& x) {
    const Detail* d = catalogue.details->find(NameSpace::materials, x.header.name);
    std::vector<std::string_view> out;
    const auto need = [&](std::string_view word, bool there) {
        if (!there) out.push_back(word);
    };
    const auto has = [&](std::string_view word) { return d && d->field(word); };
    // A part, such as a wick, is not poured: it has no density to know.
    if (x.kind == MaterialKind::ingredient) {
        need("inci", !x.inci.empty() || x.state == "part");
        need("density", x.density.has_value() || x.state == "part");
        need("keeps", x.keeps_months.has_value());
        return out;
    }
    need("botanical", !x.botanical.empty());
    need("family", has("family"));
    need("part", has("part"));
    need("process", has("process"));
    need("inci", !x.inci.empty());
    need("cas", !x.cas.empty());
    need("density", x.density.has_value());
    need("flash", x.flash_c.has_value());
    need("note", x.note != Note::unknown);
    need("odour", !x.odour.empty());
    need("impact", x.impact.has_value());
    need("keeps", x.keeps_months.has_value());
    need("contains", x.composition_known);
    return out;
}

std::vector<Doubt> doubts(const Catalogue& catalogue) { return Surveyor(catalogue).run(); }

}  // namespace scruple
