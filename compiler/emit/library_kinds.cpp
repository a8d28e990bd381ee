// Cards of substances, formats, bases, rule sets, categories, sources and units.
#include <algorithm>
#include <map>

#include "emit/library_cards.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

constexpr std::size_t kMostFound =
    15;  // materials that a card lists of those that hold a substance

std::string exact(const std::optional<Rational>& value, std::string_view unit, int scale = 1) {
    return value ? format_exact(*value * Rational(scale)) + std::string(unit) : std::string();
}

std::string category_names(const Model& m, const std::vector<CategoryId>& ids) {
    std::string out;
    for (const auto id : ids)
        out += (out.empty() ? "" : ", ") + std::string(m.categories[id].header.name);
    return out;
}

std::string counts_text(const std::map<Standing, std::size_t>& counts) {
    std::string out;
    for (const auto& [standing, n] : counts) {
        out += (out.empty() ? "" : ", ") + std::to_string(n) + " " +
               std::string(standing_word(standing));
    }
    return out;
}

/// Rows that name a source, at any depth.
std::int64_t naming(const DetailRow& row, std::string_view source) {
    std::int64_t n = row.after("by") == source ? 1 : 0;
    for (const auto& inner : row.rows) n += naming(inner, source);
    return n;
}

}  // namespace

Table limits_table(const Catalogue& c, const std::vector<std::uint32_t>& limits) {
    const Model& m = *c.model;
    Table table;
    table.columns = {{"at most", Align::right, false},
                     {"in", Align::left, true},
                     {"against", Align::left, false},
                     {"standing", Align::left, false},
                     {"remark", Align::left, true}};
    for (const auto index : limits) {
        const Limit& limit = m.limits[index];
        const RuleSet& rules = m.rule_sets[limit.rules];
        table.heading(plain(rules.header.title) + " (" + std::string(rules.header.name) + ")" +
                      (rules.dated.empty() ? "" : ", " + rules.dated));
        for (std::size_t i = 0; i < limit.rows.size(); ++i) {
            const LimitRow& row = limit.rows[i];
            table.line({limit_figure(c, limit, i), category_names(m, row.in),
                        row.effect == Effect::unstated ? "" : std::string(effect_word(row.effect)),
                        std::string(standing_word(m.standing(row.source))), plain(row.remark)});
        }
    }
    return table;
}

Page substance_card(const Catalogue& c, SubstanceId id) {
    const Model& m = *c.model;
    const Substance& s = m.substances[id];
    const Detail* d = c.details->find(NameSpace::substances, s.header.name);
    Page page = card_of(s.header);
    Facts facts;
    facts.add("is", s.is_group ? "a group: substances that one rule sums" : "a substance");
    facts.add("also", d ? joined(d->texts("also")) : "");
    facts.add("CAS", s.cas.empty() && !s.is_group ? "not stated here" : s.cas);
    std::vector<std::string> names;
    for (const auto x : s.is_group ? s.members : s.groups)
        names.emplace_back(m.substances[x].header.name);
    facts.add(s.is_group ? "members" : "counts in", joined(names));
    facts.add("on labels", label_text(m, id, kNone));
    page.facts(facts.take());

    std::vector<std::pair<const Constituent*, const Material*>> in;
    for (const auto x : by_name(m.materials)) {
        for (const auto& part : m.materials[x].contains) {
            if (part.substance == id) in.emplace_back(&part, &m.materials[x]);
        }
    }
    std::stable_sort(in.begin(), in.end(), [](const auto& a, const auto& b) {
        return share_rank(a.first->fraction) > share_rank(b.first->fraction);
    });
    page.heading("Found in");
    if (in.empty())
        page.paragraph("No composition here lists it. That doesn't say that no oil holds it.");
    Table table;
    table.columns = {{"", Align::left, true},
                     {"per cent by weight", Align::right, false},
                     {"standing", Align::left, false}};
    for (std::size_t i = 0; i < in.size() && i < kMostFound; ++i) {
        const auto& [part, x] = in[i];
        table.line(
            {plain(x->header.title), share_text(part->fraction),
             is_stated(*part) ? std::string(standing_word(m.standing(part->source))) : "summed"});
    }
    if (!in.empty()) page.table(std::move(table));
    if (in.size() > kMostFound) {
        page.paragraph("And in " + std::to_string(in.size() - kMostFound) +
                       " more: `scruple library contains " + std::string(s.header.name) +
                       "` lists all.");
    }
    page.heading("Limits in the finished product");
    if (id < m.substance_limits.size() && !m.substance_limits[id].empty()) {
        page.paragraph("By weight, of every rule set here; a workshop may choose fewer.");
        page.table(limits_table(c, m.substance_limits[id]));
    } else {
        page.paragraph("None is known here. That doesn't say that none exists.");
    }
    for (const auto g : s.groups) {
        if (g < m.substance_limits.size() && !m.substance_limits[g].empty()) {
            page.paragraph("It counts towards the limits on " +
                           std::string(m.substances[g].header.name) + ".");
        }
    }
    add_card_end(page, m, {}, d ? d->texts("remark") : std::vector<std::string>{});
    return page;
}

Page format_card(const Catalogue& c, FormatId id) {
    const Model& m = *c.model;
    const Format& f = m.formats[id];
    const Detail* d = c.details->find(NameSpace::formats, f.header.name);
    Page page = card_of(f.header);
    Facts facts;
    facts.add("is", "a product format");
    facts.add("on skin", std::string(contact_text(f.contact)));
    if (f.category != kNone) {
        const Category& k = m.categories[f.category];
        facts.add("limits of", plain(k.header.title) + " (" + std::string(k.header.name) +
                                   (k.code.empty() ? "" : ", category " + k.code) + ")");
    }
    if (f.load_neat) facts.add("usual load", "neat: nothing but the blend");
    if (f.load_low && f.load_high) {
        std::string text = exact(f.load_low, "", 100) + " to " + exact(f.load_high, " %", 100) +
                           " " + basis_text(f.load_basis, f.load_of);
        if (f.load_typical) text += ", typical " + exact(f.load_typical, " %", 100);
        facts.add("usual load", text + "; a habit of the trade, no safety limit");
    }
    facts.add("sold by", f.sold_by ? std::string(dim_word(*f.sold_by)) : "");
    std::vector<std::string> sizes;
    for (const auto& q : f.sizes) sizes.push_back(quantity_text(q));
    facts.add("sizes", joined(sizes));
    facts.add("filled to", f.fill ? exact(f.fill, " % of the brim", 100) : "");
    facts.add("loss in making", exact(f.extra, " %", 100));
    facts.add("keeps", exact(f.keeps_months, " months"));
    facts.add("usual base",
              f.usual_base == kNone ? "" : std::string(m.bases[f.usual_base].header.name));
    facts.add("base in words", plain(f.example));
    facts.add("mixing", plain(f.mixing));
    page.facts(facts.take());
    const auto list = [&](std::string title, const std::vector<std::string>& texts, bool numbered) {
        if (texts.empty()) return;
        page.heading(std::move(title));
        std::vector<std::string> items;
        for (const auto& t : texts) items.push_back(plain(t));
        numbered ? page.numbered(std::move(items)) : page.items(std::move(items), Tone::warning);
    };
    list("Steps", f.steps, true);
    list("Warnings", f.warnings, false);
    add_card_end(page, m, f.sources, d ? d->texts("remark") : std::vector<std::string>{});
    return page;
}

Page base_card(const Catalogue& c, BaseId id) {
    const Model& m = *c.model;
    const Base& b = m.bases[id];
    const Detail* d = c.details->find(NameSpace::materials, b.header.name);
    Page page = card_of(b.header);
    Facts facts;
    facts.add("is", "a base to put a blend into");
    std::vector<std::string> formats;
    for (const auto f : by_name(m.formats)) {
        if (m.formats[f].usual_base == id) formats.emplace_back(m.formats[f].header.name);
    }
    facts.add("usual in", joined(formats));
    page.facts(facts.take());
    page.heading("What goes in");
    Table table;
    table.columns = {{"", Align::left, true},
                     {"per cent", Align::right, false},
                     {"by weight", Align::left, false}};
    for (const auto& phase : b.phases) {
        std::string title = plain(phase.title.empty() ? std::string(phase.name) : phase.title);
        if (phase.at_c) title += (title.empty() ? "" : ", ") + format_exact(*phase.at_c) + " C";
        if (!title.empty()) table.heading(title);
        for (const auto& row : phase.rows) {
            table.line({row.base != kNone ? plain(m.bases[row.base].header.title)
                                          : title_of(m, row.material),
                        row.rest ? "rest" : format_exact(row.fraction * Rational(100)),
                        row.rest              ? ""
                        : row.of == Of::total ? "of the whole"
                                              : "of the base"});
        }
        if (phase.blend_here) table.line({"the blend", "", ""});
    }
    page.table(std::move(table));
    if (!b.steps.empty()) {
        page.heading("Steps");
        std::vector<std::string> items;
        for (const auto& t : b.steps) items.push_back(plain(t));
        page.numbered(std::move(items));
    }
    add_card_end(page, m, b.sources, d ? d->texts("remark") : std::vector<std::string>{});
    return page;
}

/// What a list of allergens wants named on the label.
void add_allergens(Page& page, const Model& m, RuleSetId id) {
    Table table;
    table.columns = {{"name", Align::left, true},
                     {"on skin", Align::right, false},
                     {"rinsed off", Align::right, false},
                     {"stands for", Align::left, true}};
    const auto over = [](const std::string& text) { return text.empty() ? "-" : plain(text) + " %"; };
    for (const Allergen& a : m.allergens) {
        if (a.rules != id) continue;
        std::vector<std::string> names;
        for (const auto s : a.substances) names.emplace_back(m.substances[s].header.name);
        for (const auto x : a.oils) names.emplace_back(m.materials[x].header.name);
        table.line({plain(a.label), over(a.leave_on_text), over(a.rinse_off_text), joined(names)});
    }
    if (table.rows.empty()) return;
    page.heading("What it wants named on the label");
    page.paragraph("Each over such a share of the finished product, by weight:");
    page.table(std::move(table));
}

Page rules_card(const Catalogue& c, RuleSetId id) {
    const Model& m = *c.model;
    const RuleSet& r = m.rule_sets[id];
    const Detail* d = c.details->find(NameSpace::rule_sets, r.header.name);
    Page page = card_of(r.header);
    std::map<Standing, std::size_t> standings;
    std::size_t limits = 0, rows = 0, unknown = 0, holes = 0;
    std::map<std::string, std::vector<std::string>> subjects;
    const bool by_category = is_by_category(m, id);
    for (const auto i : limits_by_name(m)) {
        const Limit& limit = m.limits[i];
        if (limit.rules != id) continue;
        ++limits;
        subjects[std::string(subject_kind(m, limit))].emplace_back(subject_name(m, limit));
        for (const auto& row : limit.rows) {
            ++rows;
            ++standings[m.standing(row.source)];
            unknown += row.kind == LimitKind::unstated;
        }
        holes += by_category && !uncovered(m, limit).empty();
    }
    Facts facts;
    facts.add("is", "a rule set");
    facts.add("dated", r.dated.empty() ? "not stated here" : r.dated);
    facts.add("publisher", d ? d->text("publisher") : "");
    std::string markets;
    for (const auto x : r.markets) markets += (markets.empty() ? "" : ", ") + std::string(x);
    facts.add("markets", markets.empty() ? "any" : markets);
    if (r.continues != kNone)
        facts.add("continues", std::string(m.rule_sets[r.continues].header.name));
    facts.add("in force", r.in_force.empty() ? "" : "from " + r.in_force);
    facts.add("older list", r.placed_until.empty() ? "" : "placing on the market until " + r.placed_until);
    facts.add("", r.sold_until.empty() ? "" : "selling until " + r.sold_until);
    if (limits > 0)
        facts.add("holds", count_text(static_cast<std::int64_t>(limits), "limit", "limits") + ", " +
                               count_text(static_cast<std::int64_t>(rows), "row", "rows"));
    facts.add("standing", counts_text(standings));
    if (unknown)
        facts.add("not known", count_text(static_cast<std::int64_t>(unknown), "figure", "figures"));
    if (holes)
        facts.add("holes",
                  count_text(static_cast<std::int64_t>(holes), "limit says", "limits say") +
                      " nothing of some categories: `scruple library --doubts " +
                      std::string(r.header.name) + "`");
    page.facts(facts.take());
    if (limits > 0) {
        page.heading("What it limits");
        Facts of;
        for (const auto& [kind, names] : subjects) of.add(kind, joined(names));
        page.facts(of.take());
    }
    add_allergens(page, m, id);
    add_card_end(page, m, r.sources, d ? d->texts("remark") : std::vector<std::string>{});
    return page;
}

Page category_card(const Catalogue& c, CategoryId id) {
    const Model& m = *c.model;
    const Category& x = m.categories[id];
    const Detail* d = c.details->find(NameSpace::categories, x.header.name);
    Page page = card_of(x.header);
    Facts facts;
    facts.add("is", x.code.empty() ? "a scope of limits" : "a product category of limit tables");
    facts.add("code", x.code);
    std::vector<CategoryId> above, below;
    for (const auto k : x.within) {
        if (k != id) above.push_back(k);
    }
    for (const auto k : by_name(m.categories)) {
        const auto& within = m.categories[k].within;
        if (k != id && std::find(within.begin(), within.end(), id) != within.end())
            below.push_back(k);
    }
    facts.add("lies in", category_names(m, above));
    facts.add("holds", category_names(m, below));
    std::vector<std::string> formats;
    for (const auto f : by_name(m.formats)) {
        if (m.formats[f].category == id) formats.emplace_back(m.formats[f].header.name);
    }
    facts.add("formats", joined(formats));
    page.facts(facts.take());
    std::vector<SourceId> none;
    add_card_end(page, m, none, d ? d->texts("remark") : std::vector<std::string>{});
    return page;
}

Page source_card(const Catalogue& c, const Source& source) {
    const Model& m = *c.model;
    Page page;
    page.title = plain(source.text);
    page.id = std::string(source.name);
    const auto hit = [&](SourceId id) { return m.source(id) == &source; };
    std::int64_t limits = 0, shares = 0, densities = 0;
    for (const auto& limit : m.limits) {
        for (const auto& row : limit.rows) limits += hit(row.source);
    }
    for (const auto& x : m.materials) {
        for (const auto& part : x.contains) shares += hit(part.source);
        densities += x.density && hit(x.density->source);
    }
    std::int64_t all = 0;
    for (const auto& d : c.details->all()) all += naming(d.declaration, source.name);
    const auto others = std::max<std::int64_t>(all - limits - shares - densities, 0);
    Facts facts;
    facts.add("is", "a source");
    facts.add("standing", std::string(standing_word(source.standing)));
    facts.add("stands behind",
              count_text(limits, "row of limits", "rows of limits") + ", " +
                  count_text(shares, "row of compositions", "rows of compositions") + ", " +
                  count_text(densities, "density", "densities") + ", " +
                  count_text(others, "other figure", "other figures"));
    page.facts(facts.take());
    return page;
}

Page unit_card(const Detail& unit) {
    Page page;
    page.title = std::string(unit.name);
    page.id = "unit";
    Facts facts;
    facts.add("is", unit_text(unit));
    facts.add("also", joined(unit_spellings(unit)));
    facts.add("by", std::string(unit.declaration.after("by")));
    page.facts(facts.take());
    return page;
}

}  // namespace scruple::emit
