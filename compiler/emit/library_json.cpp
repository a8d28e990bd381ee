// The library as JSON. Percentages are in per cent by weight, densities in grams to the millilitre,
// temperatures in degrees Celsius, times in months and hours. Null is what is not known here.
#include "emit/emit.h"
#include "emit/json_text.h"
#include "emit/library.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

class Writer {
public:
    Writer(const Catalogue& catalogue, FunctionRef<void(std::string_view)> sink)
        : c_(catalogue), m_(*catalogue.model), json_(sink), sink_(sink) {}

    void run() {
        json_.open_object();
        json_.text("schema", "scruple.library/1");
        json_.text("compiler", kVersion);
        json_.text("library", kLibraryEdition);
        each("oils", m_.materials,
             [&](const Material& x) { return x.kind == MaterialKind::oil && oil(x); });
        each("ingredients", m_.materials, [&](const Material& x) {
            return x.kind == MaterialKind::ingredient && ingredient(x);
        });
        each("substances", m_.substances,
             [&](const Substance& s) { return !s.is_group && substance(s); });
        each("groups", m_.substances,
             [&](const Substance& s) { return s.is_group && substance(s); });
        each("categories", m_.categories, [&](const Category& x) { return category(x); });
        json_.array("rule_sets");
        for (const auto id : by_name(m_.rule_sets)) rule_set(id);
        json_.close_array();
        json_.array("limits");
        for (const auto id : limits_by_name(m_)) limit(m_.limits[id]);
        json_.close_array();
        json_.array("harms");
        for (const auto& h : m_.harms) harm(h);
        json_.close_array();
        json_.array("allergens");
        for (const auto& a : m_.allergens) allergen(a);
        json_.close_array();
        each("formats", m_.formats, [&](const Format& f) { return format(f); });
        each("bases", m_.bases, [&](const Base& b) { return base(b); });
        units();
        json_.array("cautions");
        for (const auto& x : m_.cautions) caution(x);
        json_.close_array();
        json_.array("audiences");
        for (const auto& x : m_.audiences) audience(x);
        json_.close_array();
        json_.array("guides");
        for (const auto& x : m_.guides) guide(x);
        json_.close_array();
        cites();
        gaps();
        json_.close_object();
        sink_(json_.take());
    }

private:
    template <class Store, class Write>
    void each(std::string_view name, const Store& store, Write write) {
        json_.array(name);
        for (const auto id : by_name(store)) {
            if (write(store[id])) json_.pass_on();
        }
        json_.close_array();
    }

    template <class Texts>
    void list(std::string_view name, const Texts& texts) {
        json_.list(name);
        for (const auto& text : texts) json_.text(text);
        json_.close_array();
    }

    void texts_of(const Detail* d, std::string_view key, std::string_view field) {
        list(key, d ? d->texts(field) : std::vector<std::string>{});
    }

    void source(SourceId id) {
        const Source* s = m_.source(id);
        json_.text_or_null("standing", s ? standing_word(s->standing) : std::string_view());
        json_.text_or_null("source", s ? s->text : std::string_view());
        json_.text_or_null("cite", s ? s->name : std::string_view());
    }

    void sources(const std::vector<SourceId>& ids) {
        json_.array("sources");
        for (const auto id : ids) {
            const Source* s = m_.source(id);
            if (!s) continue;
            json_.open_row();
            json_.text("standing", standing_word(s->standing));
            json_.text("source", s->text);
            json_.close_object();
        }
        json_.close_array();
    }

    void head(const Header& header) {
        json_.text("id", header.name);
        json_.text("title", header.title);
    }

    void range(const Range& r, double scale) {
        json_.number("low", r.low * scale);
        json_.number("typical",
                     r.stated_typical ? std::optional<double>(r.typical * scale) : std::nullopt);
        json_.number("high", r.high * scale);
    }

    void density(const Material& x) {
        if (!x.density) return json_.null("density");
        json_.row("density");
        range(x.density->g_per_ml, 1);
        json_.number("at_c", x.density->at_c);
        source(x.density->source);
        json_.close_object();
    }

    void rational(std::string_view name, const std::optional<Rational>& value, int scale = 1) {
        json_.number(name, value ? std::optional<double>((*value * Rational(scale)).to_double())
                                 : std::nullopt);
    }

    /// The number of a field that no record keeps, if it is one.
    void plain_number(const Detail* d, std::string_view key, std::string_view field) {
        const auto text = d ? d->figure(field) : std::string();
        const auto number = parse_number(std::string_view(text).substr(0, text.find(' ')));
        json_.number(key, number.error == NumberError::none
                              ? std::optional<double>(number.value.to_double())
                              : std::nullopt);
    }

    void composition(const Material& x) {
        if (x.contains.empty()) return json_.null("composition");
        json_.object("composition");
        json_.number("typical_known_percent", x.known_typical * 100);
        json_.number("typical_unknown_percent", (1 - x.known_typical) * 100);
        for (const bool stated : {true, false}) {
            json_.array(stated ? "rows" : "group_sums");
            for (const auto& part : x.contains) {
                if (is_stated(part) != stated) continue;
                json_.open_row();
                json_.text("substance", m_.substances[part.substance].header.name);
                range(part.fraction, 100);
                if (stated) {
                    source(part.source);
                    const DetailRow* row = contains_row(c_, x, part.substance);
                    json_.text_or_null("remark", row ? joined(row->texts(), "; ") : std::string());
                }
                json_.close_object();
            }
            json_.close_array();
        }
        json_.close_object();
    }

    void unknown(const Material& x) { list("unknown", missing_fields(c_, x)); }

    bool oil(const Material& x) {
        const Detail* d = c_.details->find(NameSpace::materials, x.header.name);
        const auto text = [&](std::string_view field) {
            return d ? d->text(field) : std::string();
        };
        const auto word = [&](std::string_view field) {
            return d ? d->figure(field) : std::string();
        };
        json_.open_object();
        head(x.header);
        texts_of(d, "also", "also");
        json_.text_or_null("botanical", x.botanical);
        json_.text_or_null("family", text("family"));
        json_.text_or_null("part", text("part"));
        json_.text_or_null("process", word("process"));
        json_.text_or_null("inci", x.inci);
        json_.text_or_null("cas", x.cas);
        density(x);
        json_.number("flash_c", x.flash_c);
        json_.text_or_null("note", word("note"));
        const DetailRow* note = d ? d->field("note") : nullptr;
        json_.text_or_null("note_cite", note ? note->after("by") : std::string_view());
        json_.text_or_null("odour", x.odour);
        json_.number("impact", x.impact ? std::optional<double>(*x.impact) : std::nullopt);
        plain_number(d, "tenacity_hours", "tenacity");
        rational("keeps_months", x.keeps_months);
        const auto light = word("phototoxic");
        light.empty() ? json_.null("phototoxic") : json_.boolean("phototoxic", light == "yes");
        list("moods", x.moods);
        plain_number(d, "cost_tier", "cost_tier");
        json_.text_or_null("example_price", word("price"));
        json_.text_or_null("conservation", text("conservation"));
        json_.text_or_null("cites_appendix", x.cites_appendix);
        json_.text_or_null("cites_standing", x.cites_appendix.empty() ? std::string_view() : standing_word(m_.standing(x.cites_source)));
        const Source* cites = m_.source(x.cites_source);
        json_.text_or_null("cites_source", cites ? cites->text : std::string_view());
        rational("drops_per_ml", x.drops_per_ml);
        composition(x);
        unknown(x);
        sources(x.sources);
        texts_of(d, "remarks", "remark");
        json_.close_object();
        return true;
    }

    bool ingredient(const Material& x) {
        const Detail* d = c_.details->find(NameSpace::materials, x.header.name);
        json_.open_object();
        head(x.header);
        texts_of(d, "also", "also");
        json_.text_or_null("role", x.role);
        json_.text_or_null("inci", x.inci);
        json_.text_or_null("cas", x.cas);
        density(x);
        json_.text_or_null("state", x.state);
        json_.number("bulk_g_per_ml", x.bulk_g_per_ml);
        for (const std::string_view field : {"melts", "saponification", "iodine"}) {
            json_.text_or_null(field, d ? d->figure(field) : std::string());
        }
        json_.number("flash_c", x.flash_c);
        rational("keeps_months", x.keeps_months);
        rational("drops_per_ml", x.drops_per_ml);
        composition(x);
        unknown(x);
        sources(x.sources);
        texts_of(d, "remarks", "remark");
        json_.close_object();
        return true;
    }

    bool substance(const Substance& s) {
        const Detail* d = c_.details->find(NameSpace::substances, s.header.name);
        s.is_group ? json_.open_object() : json_.open_row();
        head(s.header);
        texts_of(d, "also", "also");
        json_.text_or_null("cas", s.cas);
        json_.list(s.is_group ? "members" : "groups");
        for (const auto id : s.is_group ? s.members : s.groups)
            json_.text(m_.substances[id].header.name);
        json_.close_array();
        texts_of(d, "remarks", "remark");
        json_.close_object();
        return true;
    }

    bool category(const Category& x) {
        const Detail* d = c_.details->find(NameSpace::categories, x.header.name);
        json_.open_row();
        head(x.header);
        json_.text_or_null("code", x.code);
        json_.list("within");
        for (const auto id : x.within) {
            if (&m_.categories[id] != &x) json_.text(m_.categories[id].header.name);
        }
        json_.close_array();
        texts_of(d, "remarks", "remark");
        json_.close_object();
        return true;
    }

    void rule_set(RuleSetId id) {
        const RuleSet& r = m_.rule_sets[id];
        const Detail* d = c_.details->find(NameSpace::rule_sets, r.header.name);
        json_.open_object();
        head(r.header);
        list("markets", r.markets);
        json_.text_or_null("dated", r.dated);
        json_.text_or_null("publisher", d ? d->text("publisher") : std::string());
        json_.boolean("by_category", is_by_category(m_, id));
        json_.text_or_null("continues", r.continues == kNone ? std::string_view()
                                                             : m_.rule_sets[r.continues].header.name);
        json_.text_or_null("in_force", r.in_force);
        json_.text_or_null("placed_until", r.placed_until);
        json_.text_or_null("sold_until", r.sold_until);
        sources(r.sources);
        texts_of(d, "remarks", "remark");
        json_.close_object();
    }

    void limit(const Limit& x) {
        const auto rules = m_.rule_sets[x.rules].header.name;
        const Detail* d = c_.details->limit(subject_name(m_, x), rules);
        json_.open_object();
        json_.text("subject", subject_name(m_, x));
        json_.text("subject_kind", subject_kind(m_, x));
        json_.text("rules", rules);
        json_.boolean("replaces_phototoxic_sum", x.replaces_sum);
        json_.array("rows");
        for (std::size_t i = 0; i < x.rows.size(); ++i) {
            const LimitRow& row = x.rows[i];
            json_.open_row();
            json_.text("kind", limit_kind_word(row.kind));
            json_.key("percent");
            row.max_text.empty() ? json_.null() : json_.number(row.max_fraction * 100);
            json_.number("peroxide_mmol_per_l", row.max_peroxide);
            json_.text("figure", limit_figure(c_, x, i));
            json_.list("categories");
            for (const auto id : row.in) json_.text(m_.categories[id].header.name);
            json_.close_array();
            json_.text("effect", effect_word(row.effect));
            source(row.source);
            json_.text_or_null("remark", row.remark);
            json_.close_object();
        }
        json_.close_array();
        texts_of(d, "remarks", "remark");
        json_.close_object();
        json_.pass_on();
    }

    void harm(const Harm& h) {
        json_.open_row();
        json_.text("id", h.header.name);
        json_.text("name", h.header.title);
        json_.list("substances");
        for (const auto id : h.substances) json_.text(m_.substances[id].header.name);
        json_.close_array();
        source(h.source);
        json_.close_object();
    }

    void allergen(const Allergen& a) {
        const auto over = [](std::optional<double> share) {
            return share ? std::optional<double>(*share * 100) : std::nullopt;
        };
        json_.open_row();
        json_.text("id", a.header.name);
        json_.text("label", a.label);
        json_.text("rules", m_.rule_sets[a.rules].header.name);
        json_.list("substances");
        for (const auto id : a.substances) json_.text(m_.substances[id].header.name);
        json_.close_array();
        json_.list("materials");
        for (const auto id : a.oils) json_.text(m_.materials[id].header.name);
        json_.close_array();
        json_.number("leave_on_percent", over(a.leave_on));
        json_.number("rinse_off_percent", over(a.rinse_off));
        source(a.source);
        json_.close_object();
    }

    bool format(const Format& f) {
        const Detail* d = c_.details->find(NameSpace::formats, f.header.name);
        json_.open_object();
        head(f.header);
        json_.text("contact", contact_word(f.contact));
        json_.text_or_null("category", f.category == kNone ? std::string_view()
                                                           : m_.categories[f.category].header.name);
        if (f.load_neat || f.load_low) {
            json_.row("load");
            json_.boolean("neat", f.load_neat);
            rational("low_percent", f.load_low, 100);
            rational("typical_percent", f.load_typical, 100);
            rational("high_percent", f.load_high, 100);
            json_.text("basis", basis_word(f.load_basis));
            json_.text("of", of_word(f.load_of));
            json_.close_object();
        } else {
            json_.null("load");
        }
        json_.text_or_null("sold_by", f.sold_by ? dim_word(*f.sold_by) : std::string_view());
        json_.list("sizes");
        for (const auto& q : f.sizes) json_.text(quantity_text(q));
        json_.close_array();
        rational("fill_percent", f.fill, 100);
        rational("extra_percent", f.extra, 100);
        rational("keeps_months", f.keeps_months);
        json_.text_or_null("usual_base", f.usual_base == kNone
                                             ? std::string_view()
                                             : m_.bases[f.usual_base].header.name);
        json_.text_or_null("example", f.example);
        json_.text_or_null("mixing", f.mixing);
        list("steps", f.steps);
        list("warnings", f.warnings);
        sources(f.sources);
        texts_of(d, "remarks", "remark");
        json_.close_object();
        return true;
    }

    bool base(const Base& b) {
        const Detail* d = c_.details->find(NameSpace::materials, b.header.name);
        json_.open_object();
        head(b.header);
        json_.array("phases");
        for (const auto& phase : b.phases) {
            json_.open_object();
            json_.text_or_null("name", phase.name);
            json_.text_or_null("title", phase.title);
            rational("at_c", phase.at_c);
            json_.boolean("blend_here", phase.blend_here);
            json_.array("rows");
            for (const auto& row : phase.rows) {
                json_.open_row();
                json_.text("material", row.base != kNone ? m_.bases[row.base].header.name
                                                         : m_.materials[row.material].header.name);
                json_.boolean("rest", row.rest);
                json_.number("percent", row.rest ? std::nullopt
                                                 : std::optional<double>(
                                                       (row.fraction * Rational(100)).to_double()));
                json_.text("of", of_word(row.of));
                json_.close_object();
            }
            json_.close_array();
            json_.close_object();
        }
        json_.close_array();
        list("steps", b.steps);
        sources(b.sources);
        texts_of(d, "remarks", "remark");
        json_.close_object();
        return true;
    }

    void units() {
        json_.array("units");
        for (const auto& d : c_.details->all()) {
            if (d.kind != Kind::unit) continue;
            json_.open_row();
            json_.text("id", d.name);
            list("also", unit_spellings(d));
            json_.text("is", unit_text(d));
            const Source* s = nullptr;
            const auto by = d.declaration.after("by");
            for (const auto& x : m_.sources) {
                if (!by.empty() && x.name == by) s = &x;
            }
            json_.text_or_null("standing", s ? standing_word(s->standing) : std::string_view());
            json_.text_or_null("source", s ? s->text : std::string_view());
            json_.text_or_null("cite", by);
            json_.close_object();
        }
        json_.close_array();
    }

    void caution(const Caution& x) {
        json_.open_object();
        json_.text("id", x.header.name);
        json_.text("text", x.text);
        list("applies", carried_by(x));
        list("audience", audience_names(m_, x.audience));
        list("oils", material_names(m_, x.oils));
        list("substances", substance_names(m_, x.substances));
        json_.number("from_percent", x.substances.empty() ? std::nullopt : std::optional<double>(x.from * 100));
        json_.text("advice", x.avoid ? "avoid" : "care");
        json_.number("rank", x.usual() ? std::nullopt : std::optional<double>(x.rank));
        json_.text_or_null("rules", x.rules == kNone ? std::string_view() : m_.rule_sets[x.rules].header.name);
        sources(x.sources);
        json_.close_object();
    }

    void audience(const Audience& x) {
        json_.open_object();
        json_.text("id", x.header.name);
        json_.text("title", x.header.title);
        const Detail* d = c_.details->find(NameSpace::audiences, x.header.name);
        texts_of(d, "also", "also");
        list("members", audience_names(m_, x.leaves));
        json_.boolean("assumed", x.assumed);
        sources(x.sources);
        texts_of(d, "remarks", "remark");
        json_.close_object();
    }

    void guide(const Guide& x) {
        json_.open_object();
        json_.text("id", x.header.name);
        json_.text("title", x.header.title);
        list("audience", audience_names(m_, x.audience));
        json_.list("categories");
        for (const auto c : x.categories) json_.text(m_.categories[c].header.name);
        json_.close_array();
        json_.list("formats");
        for (const auto f : x.formats) json_.text(m_.formats[f].header.name);
        json_.close_array();
        list("oils", material_names(m_, x.oils));
        json_.array("rows");
        for (const auto& row : x.rows) {
            json_.open_row();
            json_.number("low_percent", row.none ? 0.0 : row.low.to_double() * 100);
            json_.number("typical_percent", row.none ? 0.0 : row.typical.to_double() * 100);
            json_.number("most_percent", row.none ? 0.0 : row.high.to_double() * 100);
            source(row.source);
            json_.text_or_null("remark", row.remark);
            json_.close_object();
        }
        json_.close_array();
        json_.close_object();
    }

    void cites() {
        json_.array("sources");
        for (const auto id : cites_by_name(m_)) {
            const Source& s = m_.sources[id];
            json_.open_row();
            json_.text("id", s.name);
            json_.text("standing", standing_word(s.standing));
            json_.text("source", s.text);
            json_.close_object();
        }
        json_.close_array();
    }

    /// Categories that a limit of a rule set by category says nothing of.
    void gaps() {
        std::vector<bool> by_category;
        for (RuleSetId r = 0; r < m_.rule_sets.size(); ++r)
            by_category.push_back(is_by_category(m_, r));
        json_.array("gaps");
        for (const auto id : limits_by_name(m_)) {
            const Limit& x = m_.limits[id];
            if (!by_category[x.rules]) continue;
            const auto open = uncovered(m_, x);
            if (open.empty()) continue;
            json_.open_row();
            json_.text("subject", subject_name(m_, x));
            json_.text("rules", m_.rule_sets[x.rules].header.name);
            json_.list("categories");
            for (const auto c : open) json_.text(m_.categories[c].header.name);
            json_.close_array();
            json_.close_object();
        }
        json_.close_array();
    }

    const Catalogue& c_;
    const Model& m_;
    JsonText json_;
    FunctionRef<void(std::string_view)> sink_;
};

}  // namespace

void library_json(const Catalogue& catalogue, FunctionRef<void(std::string_view)> sink) {
    Writer(catalogue, sink).run();
}

}  // namespace scruple::emit
