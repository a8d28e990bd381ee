// The library as tables: one a kind, one row a record, or a row a figure where a record has many.
// Lists inside a cell are joined by "; ". An empty cell is what is not known here.
#include <algorithm>

#include "emit/csv_writer.h"
#include "emit/library.h"
#include "emit/words.h"

namespace scruple::emit {
namespace {

using SV = std::string_view;

class Tables {
public:
    explicit Tables(const Catalogue& catalogue) : c_(catalogue), m_(*catalogue.model) {}

    std::string oils() {
        static constexpr SV kColumns[] = {"id",
                                          "title",
                                          "also",
                                          "botanical",
                                          "family",
                                          "part",
                                          "process",
                                          "inci",
                                          "cas",
                                          "density_low",
                                          "density_typical",
                                          "density_high",
                                          "density_at_c",
                                          "density_standing",
                                          "density_source",
                                          "flash_c",
                                          "note",
                                          "odour",
                                          "impact",
                                          "keeps_months",
                                          "phototoxic",
                                          "moods",
                                          "cost_tier",
                                          "conservation",
                                          "cites_appendix",
                                          "typical_known_percent",
                                          "unknown",
                                          "sources",
                                          "remarks"};
        CsvWriter csv(kColumns);
        for (const auto id : by_name(m_.materials)) {
            const Material& x = m_.materials[id];
            if (x.kind != MaterialKind::oil) continue;
            const Detail* d = c_.details->find(NameSpace::materials, x.header.name);
            const auto texts = [&](SV field) {
                return d ? joined(d->texts(field), "; ") : std::string();
            };
            head(csv, x.header);
            csv.text(texts("also"));
            csv.text(x.botanical);
            csv.text(texts("family"));
            csv.text(texts("part"));
            csv.text(d ? d->figure("process") : "");
            csv.text(x.inci);
            csv.text(x.cas);
            density(csv, x);
            csv.number(x.flash_c);
            csv.text(d ? d->figure("note") : "");
            csv.text(x.odour);
            csv.text(x.impact ? std::to_string(*x.impact) : "");
            rational(csv, x.keeps_months);
            csv.text(d ? d->figure("phototoxic") : "");
            csv.text(words(x.moods));
            csv.text(d ? d->figure("cost_tier") : "");
            csv.text(texts("conservation"));
            csv.text(x.cites_appendix);
            x.contains.empty() ? csv.nothing() : csv.number(x.known_typical * 100);
            csv.text(words(missing_fields(c_, x)));
            csv.text(sources(x.sources));
            csv.text(texts("remark"));
        }
        return csv.take();
    }

    std::string compositions() {
        static constexpr SV kColumns[] = {"material",        "substance",    "low_percent",
                                          "typical_percent", "high_percent", "stated",
                                          "standing",        "source",       "cite"};
        CsvWriter csv(kColumns);
        for (const auto id : by_name(m_.materials)) {
            const Material& x = m_.materials[id];
            for (const auto& part : x.contains) {
                csv.text(x.header.name);
                csv.text(m_.substances[part.substance].header.name);
                range(csv, part.fraction, 100);
                csv.text(is_stated(part) ? "yes"
                                         : "no");  // no: what the rows of its members come to
                is_stated(part) ? source(csv, part.source) : csv.nothing(3);
            }
        }
        return csv.take();
    }

    std::string ingredients() {
        static constexpr SV kColumns[] = {"id",
                                          "title",
                                          "also",
                                          "role",
                                          "inci",
                                          "cas",
                                          "density_low",
                                          "density_typical",
                                          "density_high",
                                          "density_at_c",
                                          "density_standing",
                                          "density_source",
                                          "state",
                                          "bulk_g_per_ml",
                                          "melts",
                                          "flash_c",
                                          "keeps_months",
                                          "saponification",
                                          "iodine",
                                          "typical_known_percent",
                                          "unknown",
                                          "sources",
                                          "remarks"};
        CsvWriter csv(kColumns);
        for (const auto id : by_name(m_.materials)) {
            const Material& x = m_.materials[id];
            if (x.kind != MaterialKind::ingredient) continue;
            const Detail* d = c_.details->find(NameSpace::materials, x.header.name);
            const auto texts = [&](SV field) {
                return d ? joined(d->texts(field), "; ") : std::string();
            };
            const auto figure = [&](SV field) { return d ? d->figure(field) : std::string(); };
            head(csv, x.header);
            csv.text(texts("also"));
            csv.text(x.role);
            csv.text(x.inci);
            csv.text(x.cas);
            density(csv, x);
            csv.text(x.state);
            csv.number(x.bulk_g_per_ml);
            csv.text(figure("melts"));
            csv.number(x.flash_c);
            rational(csv, x.keeps_months);
            csv.text(figure("saponification"));
            csv.text(figure("iodine"));
            x.contains.empty() ? csv.nothing() : csv.number(x.known_typical * 100);
            csv.text(words(missing_fields(c_, x)));
            csv.text(sources(x.sources));
            csv.text(texts("remark"));
        }
        return csv.take();
    }

    std::string substances(bool groups) {
        const SV columns[] = {
            "id", "title", "also", "cas", groups ? SV("members") : SV("groups"), "remarks"};
        CsvWriter csv(columns);
        for (const auto id : by_name(m_.substances)) {
            const Substance& s = m_.substances[id];
            if (s.is_group != groups) continue;
            const Detail* d = c_.details->find(NameSpace::substances, s.header.name);
            head(csv, s.header);
            csv.text(d ? joined(d->texts("also"), "; ") : "");
            csv.text(s.cas);
            std::vector<std::string> names;
            for (const auto x : groups ? s.members : s.groups)
                names.emplace_back(m_.substances[x].header.name);
            csv.text(joined(names, "; "));
            csv.text(d ? joined(d->texts("remark"), "; ") : "");
        }
        return csv.take();
    }

    std::string categories() {
        static constexpr SV kColumns[] = {"id", "title", "code", "within", "remarks"};
        CsvWriter csv(kColumns);
        for (const auto id : by_name(m_.categories)) {
            const Category& x = m_.categories[id];
            const Detail* d = c_.details->find(NameSpace::categories, x.header.name);
            head(csv, x.header);
            csv.text(x.code);
            std::vector<CategoryId> above;
            for (const auto c : x.within) {
                if (c != id) above.push_back(c);
            }
            csv.text(names(above));
            csv.text(d ? joined(d->texts("remark"), "; ") : "");
        }
        return csv.take();
    }

    std::string rules() {
        static constexpr SV kColumns[] = {"id",          "title",   "markets", "dated",
                                          "by_category", "sources", "remarks"};
        CsvWriter csv(kColumns);
        for (const auto id : by_name(m_.rule_sets)) {
            const RuleSet& r = m_.rule_sets[id];
            const Detail* d = c_.details->find(NameSpace::rule_sets, r.header.name);
            head(csv, r.header);
            csv.text(words(r.markets));
            csv.text(r.dated);
            csv.text(is_by_category(m_, id) ? "yes" : "no");
            csv.text(sources(r.sources));
            csv.text(d ? joined(d->texts("remark"), "; ") : "");
        }
        return csv.take();
    }

    std::string limits() {
        static constexpr SV kColumns[] = {"subject",  "subject_kind", "rules",      "kind",
                                          "percent",  "figure",       "categories", "effect",
                                          "standing", "source",       "cite",       "remark"};
        CsvWriter csv(kColumns);
        for (const auto id : limits_by_name(m_)) {
            const Limit& x = m_.limits[id];
            for (std::size_t i = 0; i < x.rows.size(); ++i) {
                const LimitRow& row = x.rows[i];
                csv.text(subject_name(m_, x));
                csv.text(subject_kind(m_, x));
                csv.text(m_.rule_sets[x.rules].header.name);
                csv.text(limit_kind_word(row.kind));
                row.max_text.empty() ? csv.nothing() : csv.number(row.max_fraction * 100);
                csv.text(limit_figure(c_, x, i));
                csv.text(names(row.in));
                csv.text(effect_word(row.effect));
                source(csv, row.source);
                csv.text(row.remark);
            }
        }
        return csv.take();
    }

    std::string formats() {
        static constexpr SV kColumns[] = {"id",
                                          "title",
                                          "contact",
                                          "category",
                                          "load_low_percent",
                                          "load_typical_percent",
                                          "load_high_percent",
                                          "load_basis",
                                          "load_of",
                                          "sold_by",
                                          "sizes",
                                          "fill_percent",
                                          "extra_percent",
                                          "keeps_months",
                                          "usual_base",
                                          "mixing",
                                          "steps",
                                          "warnings",
                                          "sources",
                                          "remarks"};
        CsvWriter csv(kColumns);
        for (const auto id : by_name(m_.formats)) {
            const Format& f = m_.formats[id];
            const Detail* d = c_.details->find(NameSpace::formats, f.header.name);
            head(csv, f.header);
            csv.text(contact_word(f.contact));
            csv.text(f.category == kNone ? SV() : m_.categories[f.category].header.name);
            rational(csv, f.load_low, 100);
            rational(csv, f.load_typical, 100);
            rational(csv, f.load_high, 100);
            const bool load = f.load_neat || f.load_low;
            csv.text(f.load_neat ? SV("neat") : load ? basis_word(f.load_basis) : SV());
            csv.text(load && !f.load_neat ? of_word(f.load_of) : SV());
            csv.text(f.sold_by ? dim_word(*f.sold_by) : SV());
            std::vector<std::string> sizes;
            for (const auto& q : f.sizes) sizes.push_back(quantity_text(q));
            csv.text(joined(sizes, "; "));
            rational(csv, f.fill, 100);
            rational(csv, f.extra, 100);
            rational(csv, f.keeps_months);
            csv.text(f.usual_base == kNone ? SV() : m_.bases[f.usual_base].header.name);
            csv.text(f.mixing);
            csv.text(joined(f.steps, "; "));
            csv.text(joined(f.warnings, "; "));
            csv.text(sources(f.sources));
            csv.text(d ? joined(d->texts("remark"), "; ") : "");
        }
        return csv.take();
    }

    std::string bases() {
        static constexpr SV kColumns[] = {"base", "title", "phase", "material", "percent", "of"};
        CsvWriter csv(kColumns);
        for (const auto id : by_name(m_.bases)) {
            const Base& b = m_.bases[id];
            for (const auto& phase : b.phases) {
                for (const auto& row : phase.rows) {
                    head(csv, b.header);
                    csv.text(phase.name);
                    csv.text(row.base != kNone ? m_.bases[row.base].header.name
                                               : m_.materials[row.material].header.name);
                    row.rest ? csv.text("rest")
                             : csv.number((row.fraction * Rational(100)).to_double());
                    csv.text(of_word(row.of));
                }
            }
        }
        return csv.take();
    }

    std::string units() {
        static constexpr SV kColumns[] = {"id", "also", "is", "cite"};
        CsvWriter csv(kColumns);
        for (const auto& d : c_.details->all()) {
            if (d.kind != Kind::unit) continue;
            csv.text(d.name);
            csv.text(joined(unit_spellings(d), "; "));
            csv.text(unit_text(d));
            csv.text(d.declaration.after("by"));
        }
        return csv.take();
    }

    std::string cautions() {
        static constexpr SV kColumns[] = {"id", "text", "applies", "audience", "oils", "substances", "from_percent", "advice", "rank", "rules", "sources"};
        CsvWriter csv(kColumns);
        for (const auto& x : m_.cautions) {
            csv.text(x.header.name);
            csv.text(x.text);
            csv.text(words(carried_by(x)));
            csv.text(joined(audience_names(m_, x.audience), "; "));
            csv.text(joined(material_names(m_, x.oils), "; "));
            csv.text(joined(substance_names(m_, x.substances), "; "));
            csv.number(x.substances.empty() ? std::nullopt : std::optional<double>(x.from * 100));
            csv.text(x.avoid ? "avoid" : "care");
            csv.text(x.usual() ? "" : std::to_string(x.rank));
            csv.text(x.rules == kNone ? SV() : m_.rule_sets[x.rules].header.name);
            csv.text(sources(x.sources));
        }
        return csv.take();
    }

    std::string audiences() {
        static constexpr SV kColumns[] = {"id", "title", "also", "members", "assumed", "sources"};
        CsvWriter csv(kColumns);
        for (const auto& x : m_.audiences) {
            head(csv, x.header);
            const Detail* d = c_.details->find(NameSpace::audiences, x.header.name);
            csv.text(d ? joined(d->texts("also"), "; ") : "");
            csv.text(joined(audience_names(m_, x.leaves), "; "));
            csv.text(x.assumed ? "yes" : "no");
            csv.text(sources(x.sources));
        }
        return csv.take();
    }

    std::string guides() {
        static constexpr SV kColumns[] = {"id", "title", "audience", "categories", "formats", "oils", "low_percent",
                                          "typical_percent", "most_percent", "standing", "source", "cite", "remark"};
        CsvWriter csv(kColumns);
        for (const auto& x : m_.guides) {
            for (const auto& row : x.rows) {
                head(csv, x.header);
                csv.text(joined(audience_names(m_, x.audience), "; "));
                csv.text(names(x.categories));
                std::vector<std::string> formats;
                for (const auto f : x.formats) formats.emplace_back(m_.formats[f].header.name);
                csv.text(joined(formats, "; "));
                csv.text(joined(material_names(m_, x.oils), "; "));
                csv.number(row.none ? 0.0 : row.low.to_double() * 100);
                csv.number(row.none ? 0.0 : row.typical.to_double() * 100);
                csv.number(row.none ? 0.0 : row.high.to_double() * 100);
                source(csv, row.source);
                csv.text(row.remark);
            }
        }
        return csv.take();
    }

    std::string cites() {
        static constexpr SV kColumns[] = {"id", "standing", "source"};
        CsvWriter csv(kColumns);
        for (const auto id : cites_by_name(m_)) {
            const Source& s = m_.sources[id];
            csv.text(s.name);
            csv.text(standing_word(s.standing));
            csv.text(s.text);
        }
        return csv.take();
    }

private:
    static void head(CsvWriter& csv, const Header& header) {
        csv.text(header.name);
        csv.text(header.title);
    }
    static void rational(CsvWriter& csv, const std::optional<Rational>& value, int scale = 1) {
        csv.number(value ? std::optional<double>((*value * Rational(scale)).to_double())
                         : std::nullopt);
    }
    static void range(CsvWriter& csv, const Range& r, double scale) {
        csv.number(r.low * scale);
        csv.number(r.stated_typical ? std::optional<double>(r.typical * scale) : std::nullopt);
        csv.number(r.high * scale);
    }
    void density(CsvWriter& csv, const Material& x) const {
        if (!x.density) return csv.nothing(6);
        range(csv, x.density->g_per_ml, 1);
        csv.number(x.density->at_c);
        const Source* s = m_.source(x.density->source);
        csv.text(s ? standing_word(s->standing) : SV());
        csv.text(s ? s->text : SV());
    }
    void source(CsvWriter& csv, SourceId id) const {
        const Source* s = m_.source(id);
        csv.text(s ? standing_word(s->standing) : SV());
        csv.text(s ? s->text : SV());
        csv.text(s ? s->name : SV());
    }
    std::string sources(const std::vector<SourceId>& ids) const {
        std::vector<std::string> texts;
        for (const auto id : ids) {
            if (const Source* s = m_.source(id))
                texts.push_back(std::string(standing_word(s->standing)) + ": " +
                                std::string(s->text));
        }
        return joined(texts, "; ");
    }
    static std::string words(const std::vector<SV>& list) {
        return joined(std::vector<std::string>(list.begin(), list.end()), "; ");
    }
    std::string names(const std::vector<CategoryId>& ids) const {
        std::vector<std::string> out;
        for (const auto id : ids) out.emplace_back(m_.categories[id].header.name);
        return joined(out, "; ");
    }

    const Catalogue& c_;
    const Model& m_;
};

constexpr SV kTables[] = {"oils",       "compositions", "ingredients", "substances", "groups",
                          "categories", "rules",        "limits",      "formats",    "bases",
                          "units",      "cautions",     "audiences",   "guides",     "sources"};

}  // namespace

std::span<const std::string_view> library_tables() {
    return kTables;
}

std::string library_csv(const Catalogue& catalogue, std::string_view table) {
    Tables tables(catalogue);
    if (table == "oils") return tables.oils();
    if (table == "compositions") return tables.compositions();
    if (table == "ingredients") return tables.ingredients();
    if (table == "substances") return tables.substances(false);
    if (table == "groups") return tables.substances(true);
    if (table == "categories") return tables.categories();
    if (table == "rules") return tables.rules();
    if (table == "limits") return tables.limits();
    if (table == "formats") return tables.formats();
    if (table == "bases") return tables.bases();
    if (table == "units") return tables.units();
    if (table == "cautions") return tables.cautions();
    if (table == "audiences") return tables.audiences();
    if (table == "guides") return tables.guides();
    return table == "sources" ? tables.cites() : std::string();
}

}  // namespace scruple::emit
