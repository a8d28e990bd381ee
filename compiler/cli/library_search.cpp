#include "cli/library_search.h"

#include <algorithm>
#include <array>
#include <optional>
#include <set>

#include "emit/library.h"
#include "emit/words.h"
#include "sema/names.h"

namespace scruple {
namespace {

constexpr std::array<std::pair<std::string_view, std::string_view>, kShelfCount> kShelves{{
    {"oil", "oils"},
    {"ingredient", "ingredients"},
    {"substance", "substances"},
    {"group", "groups"},
    {"format", "formats"},
    {"base", "bases"},
    {"rules", "rules"},
    {"category", "categories"},
    {"limit", "limits"},
    {"caution", "cautions"},
    {"guide", "guides"},
    {"audience", "audiences"},
    {"unit", "units"},
    {"source", "sources"},
}};

/// `word` starts with a space: it is found where a word of the text begins. Words of one or two letters, and those of
/// which the ending was cut off, are found whole only.
bool hits(std::string_view text, std::string_view word, bool whole) {
    for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
        const auto end = at + word.size();
        if ((word.size() > 3 && !whole) || end == text.size() || text[end] == ' ') return true;
    }
    return false;
}

/// How one word hits an entry.
struct Hit {
    bool by_name = false;
    std::string why;
};

std::optional<Hit> hit(const ShelfEntry& e, std::string_view written, std::string_view word, bool whole = false) {
    if (const auto at = static_cast<std::size_t>(e.shelf); written == kShelves[at].first || written == kShelves[at].second) {
        return Hit{true, ""};
    }
    if (hits(e.folded, word, whole)) return Hit{true, ""};
    // A name also by its inside: many plants are one word with another.
    if (!whole && word.size() > 4 && e.folded.find(word.substr(1)) != std::string::npos) return Hit{true, ""};
    const Facet* best = nullptr;
    for (const auto& f : e.facets) {
        // CAS numbers are found by their beginning, as they are written.
        const bool by = f.label == "CAS" ? f.shown.starts_with(written) : hits(f.folded, word, whole);
        if (!by) continue;
        // One reason is enough: the one that says just this, else the first.
        if (f.folded == word) {
            best = &f;
            break;
        }
        if (!best) best = &f;
    }
    if (!best) return std::nullopt;
    return Hit{false, best->label + " " + best->shown};
}

}  // namespace

std::string_view shelf_word(Shelf shelf, bool many) {
    const auto& words = kShelves[static_cast<std::size_t>(shelf)];
    return many ? words.second : words.first;
}

std::string folded(std::string_view text) {
    std::string out;
    bool apart = true;
    for (char c : text) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
        const bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || static_cast<unsigned char>(c) >= 0x80;
        if (plain && apart) out += ' ';
        if (plain) out += c;
        apart = !plain;
    }
    return out;
}

void LibrarySearch::add(Shelf shelf, std::uint32_t record, std::string_view name, std::string_view title) {
    ShelfEntry e;
    e.shelf = shelf;
    e.record = record;
    e.name = name;
    e.title = title;
    e.folded = folded(name) + folded(title);
    entries_.push_back(std::move(e));
}

void LibrarySearch::facet(std::string_view label, std::string_view text) {
    if (text.empty()) return;
    entries_.back().facets.push_back({std::string(label), std::string(text), folded(text)});
}

void LibrarySearch::also(const Detail* detail) {
    if (!detail) return;
    for (const auto& text : detail->texts("also")) {
        facet("also", text);
        entries_.back().also.push_back(folded(text));
    }
}

LibrarySearch::LibrarySearch(const Catalogue& c) {
    const Model& m = *c.model;
    for (const auto id : by_name(m.materials)) {
        const Material& x = m.materials[id];
        const Detail* d = c.details->find(NameSpace::materials, x.header.name);
        const auto figure = [&](std::string_view field) { return d ? d->figure(field) : std::string(); };
        add(x.kind == MaterialKind::oil ? Shelf::oil : Shelf::ingredient, id, x.header.name, x.header.title);
        also(d);
        facet("botanical", x.botanical);
        if (d) facet("family", d->text("family"));
        if (d) facet("part", d->text("part"));
        facet("won by", figure("process"));
        facet("INCI", x.inci);
        facet("CAS", x.cas);
        facet("role", x.role);
        facet("note", emit::note_word(x.note));
        facet("odour", x.odour);
        for (const auto mood : x.moods) facet("mood", mood);
        facet("price", emit::price_tier_word(figure("cost_tier")));
        if (figure("phototoxic") == "yes") facet("in sunlight", "phototoxic");
        if (!x.cites_appendix.empty()) facet("listed in", "CITES appendix " + std::string(x.cites_appendix));
        if (d) facet("plant's state", d->text("conservation"));
    }
    for (const auto id : by_name(m.substances)) {
        const Substance& s = m.substances[id];
        add(s.is_group ? Shelf::group : Shelf::substance, id, s.header.name, s.header.title);
        also(c.details->find(NameSpace::substances, s.header.name));
        facet("CAS", s.cas);
        for (const auto x : s.members) facet("member", m.substances[x].header.title);
    }
    for (const auto id : by_name(m.formats)) {
        const Format& f = m.formats[id];
        add(Shelf::format, id, f.header.name, f.header.title);
        facet("on skin", emit::contact_text(f.contact));
        if (f.category != kNone) {
            facet("category", m.categories[f.category].header.title);
            facet("category", m.categories[f.category].header.name);
        }
    }
    for (const auto id : by_name(m.bases)) {
        const Base& b = m.bases[id];
        add(Shelf::base, id, b.header.name, b.header.title);
        for (const auto& phase : b.phases) {
            for (const auto& row : phase.rows) {
                if (row.material != kNone) facet("holds", m.materials[row.material].header.title);
            }
        }
    }
    for (const auto id : by_name(m.rule_sets)) {
        const RuleSet& r = m.rule_sets[id];
        add(Shelf::rules, id, r.header.name, r.header.title);
        for (const auto market : r.markets) facet("market", market);
        facet("dated", r.dated);
    }
    for (const auto id : by_name(m.categories)) {
        const Category& x = m.categories[id];
        add(Shelf::category, id, x.header.name, x.header.title);
        facet("code", x.code);
        const Detail* d = c.details->find(NameSpace::categories, x.header.name);
        for (const auto& text : d ? d->texts("remark") : std::vector<std::string>{}) facet("such as", text);
    }
    for (const auto id : limits_by_name(m)) {
        const Limit& x = m.limits[id];
        const auto title = x.substance != kNone ? m.substances[x.substance].header.title
                           : x.material != kNone ? m.materials[x.material].header.title : std::string();
        const auto rules = std::string(m.rule_sets[x.rules].header.name);
        add(Shelf::limit, id, subject_name(m, x), title + ", under " + rules);
        facet("under", m.rule_sets[x.rules].header.title);
        for (const auto& row : x.rows) {
            facet("against", effect_word(row.effect));
            facet("standing", standing_word(m.standing(row.source)));
        }
    }
    for (std::uint32_t i = 0; i < m.cautions.size(); ++i) {
        const Caution& x = m.cautions[i];
        add(Shelf::caution, i, x.header.name, x.text);
        for (const auto a : x.audience) facet("for", m.audiences[a].header.title);
        for (const auto o : x.oils) facet("of", m.materials[o].header.title);
        for (const auto s : x.substances) facet("of", m.substances[s].header.title);
        entries_.back().general = x.usual();
        if (!x.usual()) facet("advice", x.avoid ? "avoid" : "care");
        for (const auto s : x.sources) facet("standing", standing_word(m.standing(s)));
    }
    for (std::uint32_t i = 0; i < m.guides.size(); ++i) {
        const Guide& g = m.guides[i];
        std::string figures;
        for (const auto& row : g.rows) figures += (figures.empty() ? "" : "; ") + emit::guide_figure(row);
        add(Shelf::guide, i, g.header.name, g.header.title + ": " + figures);
        for (const auto a : g.audience) facet("for", m.audiences[a].header.title);
        for (const auto o : g.oils) facet("of", m.materials[o].header.title);
        for (const auto& row : g.rows) facet("standing", standing_word(m.standing(row.source)));
    }
    for (const auto id : by_name(m.audiences)) {
        add(Shelf::audience, id, m.audiences[id].header.name, m.audiences[id].header.title);
        also(c.details->find(NameSpace::audiences, m.audiences[id].header.name));
    }
    const auto& all = c.details->all();
    for (std::uint32_t i = 0; i < all.size(); ++i) {
        if (all[i].kind != Kind::unit) continue;
        add(Shelf::unit, i, all[i].name, emit::unit_text(all[i]));
        for (const auto& spelling : emit::unit_spellings(all[i])) {
            facet("also", spelling);
            entries_.back().also.push_back(folded(spelling));
        }
    }
    for (const auto i : cites_by_name(m)) {
        add(Shelf::source, i, m.sources[i].name, m.sources[i].text);
        facet("standing", standing_word(m.sources[i].standing));
    }
}

std::vector<const ShelfEntry*> LibrarySearch::named(std::string_view text) const {
    const auto wanted = folded(text);
    std::vector<const ShelfEntry*> out;
    const auto collect = [&](auto same) {
        for (const auto& e : entries_) {
            // A limit bears its subject's name and has no card of its own.
            if (out.empty() || e.shelf != Shelf::limit) {
                if (same(e)) out.push_back(&e);
            }
        }
        std::erase_if(out, [](const ShelfEntry* e) { return e->shelf == Shelf::limit; });
    };
    if (wanted.empty()) return out;
    // The name itself before a title, and a title before another name.
    collect([&](const ShelfEntry& e) { return e.name == text || folded(e.name) == wanted; });
    if (out.empty()) collect([&](const ShelfEntry& e) { return folded(e.title) == wanted; });
    if (out.empty()) {
        collect([&](const ShelfEntry& e) { return std::find(e.also.begin(), e.also.end(), wanted) != e.also.end(); });
    }
    return out;
}

std::vector<Found> LibrarySearch::find(const std::vector<std::string>& words) const {
    std::vector<Found> out;
    const bool limits = std::any_of(words.begin(), words.end(), [](const auto& w) { return w == "limit" || w == "limits"; });
    const auto asks_for = [&](Shelf shelf) {
        return std::any_of(words.begin(), words.end(),
                           [&](const auto& w) { return w == shelf_word(shelf, false) || w == shelf_word(shelf, true); });
    };
    const bool cautions = asks_for(Shelf::caution), guides = asks_for(Shelf::guide);
    std::vector<std::pair<std::string, std::string>> wanted;  // as written, and folded
    for (const auto& w : words) {
        auto f = folded(w);
        std::string written = w;
        std::transform(written.begin(), written.end(), written.begin(),
                       [](char ch) { return ch >= 'A' && ch <= 'Z' ? static_cast<char>(ch - 'A' + 'a') : ch; });
        if (!f.empty()) wanted.emplace_back(std::move(written), std::move(f));
    }
    if (wanted.empty()) return out;
    for (const auto& e : entries_) {
        if (e.shelf == Shelf::limit && !limits) continue;
        // One about certain oils or people would crowd every list of oils.
        if (e.shelf == Shelf::caution && !cautions && !e.general) continue;
        if (e.shelf == Shelf::guide && !guides) continue;
        Found found{&e, true, ""};
        bool all = true;
        for (const auto& [written, word] : wanted) {
            auto h = hit(e, written, word);
            // "waxes", "butters": the many for the one.
            const std::string_view one = word;
            if (!h && one.ends_with("es")) h = hit(e, written, one.substr(0, one.size() - 2), true);
            if (!h && one.ends_with("s")) h = hit(e, written, one.substr(0, one.size() - 1), true);
            if (!h) {
                all = false;
                break;
            }
            found.by_name = found.by_name && h->by_name;
            if (!h->why.empty() && found.why.find(h->why) == std::string::npos) {
                found.why += (found.why.empty() ? "" : ", ") + h->why;
            }
        }
        if (all) out.push_back(std::move(found));
    }
    std::stable_sort(out.begin(), out.end(), [](const Found& a, const Found& b) {
        if (a.entry->shelf != b.entry->shelf) return a.entry->shelf < b.entry->shelf;
        return a.by_name > b.by_name;
    });
    return out;
}

std::string LibrarySearch::near(std::string_view word) const {
    std::set<std::string> words;
    for (const auto& e : entries_) {
        words.insert(e.name);
        // Single words of names and facets too: a slip in a mood or a plant.
        const auto split = [&](std::string_view text) {
            while (!text.empty()) {
                text.remove_prefix(1);
                const auto end = std::min(text.find(' '), text.size());
                if (end > 3) words.emplace(text.substr(0, end));
                text.remove_prefix(end);
            }
        };
        if (e.shelf == Shelf::source || e.shelf == Shelf::caution || e.shelf == Shelf::guide) continue;
        split(e.folded);
        for (const auto& f : e.facets) {
            if (f.label != "plant's state" && f.label != "listed in") split(f.folded);  // sentences, not words to look for
        }
    }
    return nearest(word, std::vector<std::string>(words.begin(), words.end()));
}

std::vector<std::string> LibrarySearch::values(std::string_view label) const {
    std::set<std::string> out;
    for (const auto& e : entries_) {
        for (const auto& f : e.facets) {
            if (f.label == label) out.insert(f.shown);
        }
    }
    return {out.begin(), out.end()};
}

}  // namespace scruple
