// Cards of cautions, audiences and guides, and what an oil's card says of people.
#include <algorithm>

#include "emit/library_cards.h"
#include "emit/words.h"
#include "num/decimal.h"
#include "safety/people.h"

namespace scruple::emit {
namespace {

std::string capitalised(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

std::string standings_of(const Model& m, const Caution& x) {
    std::vector<std::string> out;
    for (const auto s : x.sources) out.emplace_back(standing_word(m.standing(s)));
    return joined(out);
}

std::string whom_of(const Model& m, const Caution& x) {
    return x.audience.empty() ? "Anybody" : capitalised(plain(audiences_text(m, x.audience)));
}

std::vector<const Caution*> by_rank(std::vector<const Caution*> all) {
    std::stable_sort(all.begin(), all.end(), [](const Caution* a, const Caution* b) { return a->rank < b->rank; });
    return all;
}

}  // namespace

std::vector<std::string> audience_names(const Model& model, const std::vector<AudienceId>& audiences) {
    std::vector<std::string> out;
    for (const auto a : audiences) out.emplace_back(model.audiences[a].header.name);
    return out;
}

std::vector<std::string> material_names(const Model& model, const std::vector<MaterialId>& materials) {
    std::vector<std::string> out;
    for (const auto x : materials) out.emplace_back(model.materials[x].header.name);
    return out;
}

std::vector<std::string> substance_names(const Model& model, const std::vector<SubstanceId>& substances) {
    std::vector<std::string> out;
    for (const auto x : substances) out.emplace_back(model.substances[x].header.name);
    return out;
}

std::string guide_figure(const GuideRow& row) {
    if (row.none) return "none";
    if (row.low == row.high) return exact_percent(row.high) + " %";
    std::string out = exact_percent(row.low) + " to " + exact_percent(row.high) + " %";
    return row.typical == row.high ? out : out + ", typically " + exact_percent(row.typical) + " %";
}

void add_material_cautions(Page& page, const Catalogue& c, MaterialId id) {
    const Model& m = *c.model;
    std::vector<const Caution*> found;
    for (const auto& caution : m.cautions) {
        if (caution.of_oils && speaks_of(m, caution, id)) found.push_back(&caution);
    }
    // Its own words make those for every oil that holds so much of something needless.
    const auto named = found;
    std::erase_if(found, [&](const Caution* x) {
        return !x->substances.empty() && std::any_of(named.begin(), named.end(), [&](const Caution* own) {
            return own->substances.empty() && own->audience == x->audience;
        });
    });
    Facts facts;
    std::string label;
    for (const Caution* x : by_rank(std::move(found))) {
        const std::string whom = whom_of(m, *x);
        facts.add(whom == label ? std::string() : whom, plain(x->text) + " (" + standings_of(m, *x) + ")");
        label = whom;
    }
    for (const auto& g : m.guides) {
        const bool speaks = std::any_of(g.oils.begin(), g.oils.end(), [&](MaterialId o) { return counts_as(m, id, o) > 0; });
        if (!speaks) continue;
        for (const auto& row : g.rows) {
            facts.add(capitalised(plain(audiences_text(m, g.audience))),
                      "usually at most " + guide_figure(row) + " of the product (" + std::string(standing_word(m.standing(row.source))) + ")");
        }
    }
    auto all = facts.take();
    if (all.empty()) return;
    page.heading("Cautions");
    page.facts(std::move(all));
}

Page caution_card(const Catalogue& c, const Caution& x) {
    const Model& m = *c.model;
    Page page = card_of(x.header);
    page.title = "Caution";
    page.paragraph(plain(x.text));
    std::vector<std::string> where;
    if (x.bench && !x.of_oils) where.emplace_back("blends, at the bench");
    if (x.leave_on) where.emplace_back("what stays on skin");
    if (x.rinse_off) where.emplace_back("what is rinsed off");
    if (x.no_skin) where.emplace_back("what is not for the skin");
    Facts facts;
    facts.add("printed for", joined(where));
    if (!x.audience.empty()) facts.add("for", plain(audiences_text(m, x.audience)));
    facts.add("oils", joined(material_names(m, x.oils)));
    if (!x.substances.empty()) {
        facts.add("substances", joined(substance_names(m, x.substances)) +
                                    (x.from > 0 ? ", from " + percent_text(x.from) + " % of an oil" : std::string()));
    }
    if (!x.usual()) {
        facts.add("advice", x.avoid ? "avoid: not at all for these people" : "care");
        facts.add("rank", std::to_string(x.rank) + " of 5; 1 can hurt most");
    }
    if (x.rules != kNone) facts.add("rule of", std::string(m.rule_sets[x.rules].header.name));
    page.facts(facts.take());
    add_card_end(page, m, x.sources, {});
    return page;
}

Page audience_card(const Catalogue& c, AudienceId id) {
    const Model& m = *c.model;
    const Audience& a = m.audiences[id];
    Page page = card_of(a.header);
    page.title = capitalised(plain(a.header.title));
    Facts facts;
    facts.add("is", a.assumed ? "an audience; taken where a recipe names nobody" : "an audience");
    if (a.leaves.size() > 1) facts.add("takes in", joined(audience_names(m, a.leaves)));
    const Detail* d = c.details->find(NameSpace::audiences, a.header.name);
    facts.add("also", d ? joined(d->texts("also")) : "");
    page.facts(facts.take());
    const auto about = [&](const std::vector<AudienceId>& list) {
        return std::any_of(list.begin(), list.end(), [&](AudienceId x) { return overlaps(m, x, id); });
    };
    Table guides;
    guides.columns = {{"usual dilution", Align::left, false}, {"", Align::left, true}, {"at most", Align::right, false}, {"sources say", Align::left, true}};
    for (const auto& g : m.guides) {
        if (!about(g.audience)) continue;
        const GuideRow* least = &g.rows.front();
        std::vector<std::string> figures;
        for (const auto& row : g.rows) {
            if (row.none || (!least->none && row.high < least->high)) least = &row;
            if (const auto text = guide_figure(row); std::find(figures.begin(), figures.end(), text) == figures.end()) figures.push_back(text);
        }
        guides.line({std::string(g.header.name), plain(g.header.title), least->none ? "none" : exact_percent(least->high) + " %",
                     joined(figures, "; ")});
    }
    guides.rows.empty() ? page.paragraph("No usual dilution is known here for them. Unknown is not the same as safe.", Tone::warning)
                        : page.table(std::move(guides));
    std::vector<const Caution*> found;
    for (const auto& x : m.cautions) {
        if (about(x.audience)) found.push_back(&x);
    }
    if (!found.empty()) {
        page.heading("Cautions");
        std::vector<std::string> items;
        for (const Caution* x : by_rank(std::move(found))) {
            std::string oils = joined(material_names(m, x->oils)) + joined(substance_names(m, x->substances));
            items.push_back((oils.empty() ? "" : oils + ": ") + plain(x->text) + " (" + standings_of(m, *x) + ")");
        }
        page.items(std::move(items));
    }
    add_card_end(page, m, a.sources, d ? d->texts("remark") : std::vector<std::string>{});
    return page;
}

Page guide_card(const Catalogue& c, const Guide& g) {
    const Model& m = *c.model;
    Page page = card_of(g.header);
    page.title = "Usual dilution: " + plain(g.header.title);
    std::vector<std::string> purposes;
    for (const auto x : g.categories) purposes.emplace_back(m.categories[x].header.name);
    for (const auto x : g.formats) purposes.emplace_back(m.formats[x].header.name);
    Facts facts;
    facts.add("is", "a guide: practice, no law. Its sources may disagree, and the lowest figure counts");
    facts.add("for", plain(audiences_text(m, g.audience)));
    facts.add("in", joined(purposes));
    facts.add("of", joined(material_names(m, g.oils)));
    page.facts(facts.take());
    Table table;
    table.columns = {{"at most", Align::left, true}, {"standing", Align::left, false}, {"source", Align::left, true}};
    for (const auto& row : g.rows) {
        const Source* s = m.source(row.source);
        table.line({guide_figure(row), std::string(standing_word(m.standing(row.source))),
                    (s ? plain(s->text) : std::string()) + (row.remark.empty() ? "" : "; " + plain(row.remark))});
    }
    page.table(std::move(table));
    const Detail* d = c.details->find(NameSpace::guides, g.header.name);
    add_card_end(page, m, {}, d ? d->texts("remark") : std::vector<std::string>{});
    return page;
}

}  // namespace scruple::emit
