#include <algorithm>
#include <atomic>
#include <map>
#include <memory>
#include <set>
#include <thread>
#include <unordered_map>

#include "base/parallel.h"
#include "changes/change.h"
#include "changes/judge.h"
#include "changes/listed.h"
#include "changes/ratio.h"
#include "changes/strike.h"
#include "changes/weigh.h"

namespace scruple::changes {
namespace {

const Fact* fact_of(const std::vector<Fact>& facts, What what) {
    for (const Fact& f : facts) {
        if (f.what == what) return &f;
    }
    return nullptr;
}

std::string value_of(const std::vector<Fact>& facts, What what, std::string_view field) {
    const Fact* f = fact_of(facts, what);
    return f ? f->text(field) : std::string();
}

/// Both lists in order of kind and subject, as `put_in_order` leaves them. What differs is taken out of them.
std::vector<Change> differences(std::vector<Fact> before, std::vector<Fact> after) {
    const auto key = [](const Fact& f) { return std::pair(f.what, std::string_view(f.subject)); };
    std::vector<Change> out;
    std::size_t a = 0, b = 0;
    while (a < before.size() || b < after.size()) {
        const bool gone = b == after.size() || (a < before.size() && key(before[a]) < key(after[b]));
        const bool came = !gone && (a == before.size() || key(after[b]) < key(before[a]));
        if (!gone && !came && same(before[a], after[b])) {
            ++a;
            ++b;
            continue;
        }
        Change& c = out.emplace_back();
        if (!came) c.old = std::move(before[a++]);
        if (!gone) c.fresh = std::move(after[b++]);
        c.what = c.any().what;
        c.subject = c.any().subject;
        c.how = gone ? How::removed : came ? How::added : How::changed;
    }
    return out;
}

/// Of a unit's facts those that words about its changes are made of.
std::vector<Fact> facts_for_words(const std::vector<Fact>& all) {
    std::vector<Fact> out;
    for (const Fact& f : all) {
        const bool wanted = f.what == What::part || f.what == What::measure || f.what == What::title || f.what == What::line_of ||
                            f.what == What::variation_of || f.what == What::blend || f.what == What::complete;
        if (wanted) out.push_back(f);
    }
    return out;
}

struct Pair {
    const Unit* old = nullptr;
    const Unit* fresh = nullptr;
    UnitKind kind() const { return (fresh ? fresh : old)->kind; }
};

/// A pair, and what is known of it so far.
struct Entry {
    Pair pair;
    Weight weight = Weight::unknown();
    bool looked_at = false;
    bool wanted = false;  // to be looked at, though what it comes to is known
    std::unique_ptr<UnitChange> found;  // nothing where it was looked at and nothing differs

    bool open() const { return !looked_at && !weight.settled(); }
    bool differs() const { return looked_at ? found != nullptr : weight.differs == Sure::yes; }
    std::array<bool, kRanks> listed() const {
        if (looked_at) return listed_ranks(*found);
        std::array<bool, kRanks> out{};
        for (std::size_t r = 0; r < kRanks; ++r) out[r] = weight.listed[r] == Sure::yes;
        return out;
    }
};

/// Room for the values of a pair, kept from one to the next.
struct Reading {
    emit::Values before, after;
};

class Comparison {
public:
    Comparison(const State& before, const State& after, const CompareOptions& options)
        : old_(before), new_(after), options_(options) {}

    Changes run() {
        Changes out;
        out.old_errors = old_.errors;
        out.new_errors = new_.errors;
        out.collection = differences(old_.facts, new_.facts);
        pairs_.reserve(new_.benches.size() + new_.blends.size() + new_.products.size());
        pair_up(old_.benches, new_.benches, UnitKind::bench);
        pair_up(old_.blends, new_.blends, UnitKind::blend);
        pair_up(old_.products, new_.products, UnitKind::product);
        const std::size_t most = options_.most;
        const bool by_figures = options_.by_figures && most > 0 && pairs_.size() > most && options_.only.empty();
        if (by_figures) each(Kinds::all, [&](Entry& e, Reading&) { weigh_pair(e); });
        // What a product says of its blend is known once the blends are compared.
        look_at_open(Kinds::others);
        note_changed_blends();
        look_at_open(Kinds::products);
        const auto differ = static_cast<std::size_t>(std::count_if(pairs_.begin(), pairs_.end(), [](const Entry& e) { return e.differs(); }));
        std::vector<Entry*> order = gravest_first();
        if (by_figures) {
            for (Entry& e : pairs_) e.wanted = e.differs() && differ <= most;
            if (differ > most) want_first(order, most);
            want_rows();
            want_origins();
            each(Kinds::all, [&](Entry& e, Reading& reading) {
                if (e.wanted && !e.looked_at) look_at(e, reading);
            });
        }
        collect_rows(out);
        for (Entry* e : order) {
            if (e->found) out.units.push_back(std::move(*e->found));
            else if (!e->looked_at) out.counted.push_back({e->pair.kind(), e->weight.worse == Sure::yes, e->listed()});
        }
        std::erase_if(out.units, [&](const UnitChange& u) { return !wanted(u); });
        follow(out);
        if (most > 0) shorten(out, most);
        return out;
    }

private:
    void add_pair(Pair pair) { pairs_.emplace_back().pair = pair; }
    void pair_up(const std::vector<Unit>& before, const std::vector<Unit>& after, UnitKind kind);
    void pair_by_content(std::vector<const Unit*>& gone, std::vector<const Unit*>& came, UnitKind kind);
    std::string content(const Unit& unit, bool old_side, UnitKind kind, bool loosely);
    enum class Kinds : std::uint8_t { all, others, products };
    template <class Work>
    void each(Kinds kinds, const Work& work);
    void weigh_pair(Entry& entry) const;
    void look_at(Entry& entry, Reading& reading) const;
    void look_at_open(Kinds kinds);
    void note_changed_blends();
    std::vector<Entry*> gravest_first();
    static void want_first(const std::vector<Entry*>& order, std::size_t most);
    void want_rows();
    void want_origins();
    bool wanted(const UnitChange& u) const;
    std::optional<UnitChange> compared(const Pair& pair, Reading& reading) const;
    void follow(Changes& out) const;
    void collect_rows(Changes& out) const;

    const State& old_;
    const State& new_;
    const CompareOptions& options_;
    std::vector<Entry> pairs_;  // benches, blends, products
    std::map<std::string, std::string, std::less<>> renamed_;  // blends, old to new
    std::set<std::string, std::less<>> changed_blends_;        // by the new name
};

void Comparison::pair_up(const std::vector<Unit>& before, const std::vector<Unit>& after, UnitKind kind) {
    const auto pair = [&](const Unit& was, const Unit& is) {
        if (was.document || is.document || was.id != is.id || was.text != is.text) add_pair({&was, &is});
    };
    // Most stands where it stood.
    std::size_t head = 0;
    for (; head < std::min(before.size(), after.size()) && before[head].id == after[head].id; ++head) pair(before[head], after[head]);
    // Two of one name are a mistake in the recipes; they are paired in order.
    std::unordered_map<std::string_view, std::vector<const Unit*>> by_name;
    for (std::size_t i = before.size(); i > head; --i) by_name[before[i - 1].id].push_back(&before[i - 1]);
    const auto take = [&](std::string_view name) -> const Unit* {
        const auto at = by_name.find(name);
        if (at == by_name.end() || at->second.empty()) return nullptr;
        const Unit* unit = at->second.back();
        at->second.pop_back();
        return unit;
    };
    std::vector<const Unit*> came;
    for (std::size_t i = head; i < after.size(); ++i) {
        const Unit& u = after[i];
        const Unit* was = take(u.id);
        for (auto known = options_.renamed.begin(); !was && known != options_.renamed.end(); ++known) {
            if (known->second != u.id) continue;
            was = take(known->first);
            if (was && kind == UnitKind::blend) renamed_[known->first] = known->second;
        }
        if (!was) {
            came.push_back(&u);
        } else {
            pair(*was, u);
        }
    }
    std::vector<const Unit*> gone;
    for (auto& [name, left] : by_name) {
        std::reverse(left.begin(), left.end());
        gone.insert(gone.end(), left.begin(), left.end());
    }
    const auto by_id = [](const Unit* a, const Unit* b) { return a->id < b->id; };
    std::stable_sort(gone.begin(), gone.end(), by_id);
    std::stable_sort(came.begin(), came.end(), by_id);
    pair_by_content(gone, came, kind);
    for (const Unit* u : gone) add_pair({u, nullptr});
    for (const Unit* u : came) add_pair({nullptr, u});
}

/// What a unit is apart from its name; empty where that is not enough to know it again.
std::string Comparison::content(const Unit& unit, bool old_side, UnitKind kind, bool loosely) {
    const std::vector<Fact>& facts = unit.facts();
    if (kind == UnitKind::bench) {
        const Fact* log = fact_of(facts, What::log);
        std::string rows;
        for (const auto& row : log && !loosely ? log->list("rows") : std::vector<std::string>{}) rows += row + "\n";
        return rows;
    }
    if (kind == UnitKind::blend) return loosely ? std::string() : value_of(facts, What::complete, "fingerprint");
    std::string blend = value_of(facts, What::blend, "blend");
    if (old_side) {
        if (const auto at = renamed_.find(blend); at != renamed_.end()) blend = at->second;
    }
    if (blend.empty()) return {};
    std::string key = blend + "\n" + value_of(facts, What::format, "format");
    if (loosely) {
        // A product of a line is named after its size.
        const std::string line = value_of(facts, What::line_of, "line");
        return line.empty() ? std::string() : key + "\n" + line;
    }
    const Fact* content = fact_of(facts, What::content);
    const Fact* load = fact_of(facts, What::load);
    for (const char* k : {"mass_g", "volume_ml"}) {
        const auto n = content ? content->number(k) : std::nullopt;
        key += "\n" + (n ? std::to_string(*n) : std::string("-"));
    }
    return key + "\n" + (load ? load->text("text") : std::string());
}

void Comparison::pair_by_content(std::vector<const Unit*>& gone, std::vector<const Unit*>& came, UnitKind kind) {
    for (const bool loosely : {false, true}) {
        if (gone.empty() || came.empty()) return;
        std::map<std::string, std::pair<std::vector<const Unit*>, std::vector<const Unit*>>> groups;
        for (const Unit* h : gone) groups[content(*h, true, kind, loosely)].first.push_back(h);
        for (const Unit* h : came) groups[content(*h, false, kind, loosely)].second.push_back(h);
        std::set<const Unit*> taken;
        const auto take = [&](const Unit* a, const Unit* b) {
            add_pair({a, b});
            taken.insert(a);
            taken.insert(b);
            if (kind == UnitKind::blend) renamed_[a->id] = b->id;
        };
        for (auto& [key, group] : groups) {
            auto& [before, after] = group;
            if (key.empty() || before.empty() || after.empty()) continue;
            if (loosely && (before.size() > 1 || after.size() > 1)) continue;
            // Of several with one content the one with the same title, then in order of their names.
            for (const Unit* a : before) {
                const auto same_title = std::find_if(after.begin(), after.end(), [&](const Unit* b) {
                    return !taken.contains(b) &&
                           value_of(a->facts(), What::title, "name") == value_of(b->facts(), What::title, "name");
                });
                if (same_title != after.end()) take(a, *same_title);
            }
            std::erase_if(before, [&](const Unit* h) { return taken.contains(h); });
            std::erase_if(after, [&](const Unit* h) { return taken.contains(h); });
            for (std::size_t i = 0; i < std::min(before.size(), after.size()); ++i) take(before[i], after[i]);
        }
        std::erase_if(gone, [&](const Unit* h) { return taken.contains(h); });
        std::erase_if(came, [&](const Unit* h) { return taken.contains(h); });
    }
}

template <class Work>
void Comparison::each(Kinds kinds, const Work& work) {
    // Shares are small, since what differs may stand together.
    constexpr std::size_t kShare = 64;
    const std::size_t shares = (pairs_.size() + kShare - 1) / kShare;
    const std::size_t threads = std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, 16);
    std::atomic<std::size_t> next{0};
    in_parallel(std::min(threads, shares), [&](std::size_t) {
        Reading reading;
        for (std::size_t share = next++; share < shares; share = next++) {
            for (std::size_t i = share * kShare; i < std::min(pairs_.size(), (share + 1) * kShare); ++i) {
                const bool product = pairs_[i].pair.kind() == UnitKind::product;
                if (kinds == Kinds::all || product == (kinds == Kinds::products)) work(pairs_[i], reading);
            }
        }
    });
}

void Comparison::weigh_pair(Entry& entry) const {
    const Unit *was = entry.pair.old, *is = entry.pair.fresh;
    if (!was || !is || !was->document || !is->document || was->id != is->id || is->kind == UnitKind::bench || !renamed_.empty()) return;
    if (is->kind == UnitKind::blend) {
        entry.weight = weigh(*was, *is);
        return;
    }
    if (!was->document->on_demand || !is->document->on_demand) return;
    Wanted wanted = is->wanted;
    wanted.briefly = true;
    was->document->on_demand->make(was->index, wanted);
    is->document->on_demand->make(is->index, wanted);
    entry.weight = weigh(*was, *is);
    was->document->on_demand->forget(was->index);
    is->document->on_demand->forget(is->index);
}

void Comparison::look_at(Entry& entry, Reading& reading) const {
    if (auto found = compared(entry.pair, reading)) entry.found = std::make_unique<UnitChange>(std::move(*found));
    entry.looked_at = true;
}

void Comparison::look_at_open(Kinds kinds) {
    each(kinds, [&](Entry& e, Reading& reading) {
        if (e.open()) look_at(e, reading);
    });
}

void Comparison::note_changed_blends() {
    for (const Entry& e : pairs_) {
        if (e.pair.kind() != UnitKind::blend) continue;
        const bool parts = e.looked_at ? e.found && e.found->state == UnitState::changed && e.found->find(What::part) : e.weight.parts == Sure::yes;
        if (parts) changed_blends_.insert(e.pair.fresh->id);
    }
}

/// Those that differ, in the order in which they are told.
std::vector<Entry*> Comparison::gravest_first() {
    using Gravity = std::tuple<bool, bool, int, std::size_t, bool, UnitKind, std::string_view, std::size_t>;
    std::vector<std::pair<Gravity, Entry*>> order;
    for (Entry& e : pairs_) {
        if (!e.differs()) continue;
        bool assessed = false, worse = e.weight.worse == Sure::yes;
        int verdict = e.weight.verdict;
        if (e.looked_at) {
            worse = e.found->worse();
            verdict = 0;
            for (const Change& c : e.found->changes) {
                assessed |= c.what == What::assessed && c.worse;
                if (c.what == What::verdict && c.worse) verdict = verdict_order(c.fresh->text("verdict"));
            }
        }
        const auto listed = e.listed();
        const auto rank = static_cast<std::size_t>(std::find(listed.begin(), listed.end(), true) - listed.begin());
        const UnitKind kind = e.pair.kind();
        order.emplace_back(Gravity(!assessed, !worse, -verdict, rank, kind != UnitKind::blend, kind, (e.pair.fresh ? e.pair.fresh : e.pair.old)->id, order.size()), &e);
    }
    std::sort(order.begin(), order.end());
    std::vector<Entry*> out;
    for (const auto& [_, e] : order) out.push_back(e);
    return out;
}

/// The first so many of each rank are told in full.
void Comparison::want_first(const std::vector<Entry*>& order, std::size_t most) {
    std::array<std::size_t, kRanks> listed{};
    for (Entry* e : order) {
        const auto ranks = e->listed();
        for (std::size_t r = 0; r < kRanks; ++r) {
            if (ranks[r] && listed[r]++ < most) e->wanted = true;
        }
    }
}

/// A row that says something else is told as the last product that it is seen in has it.
void Comparison::want_rows() {
    std::map<std::string_view, Entry*> last;
    for (Entry& e : pairs_) {
        if (e.looked_at) continue;
        for (const std::string& row : e.weight.rows) last[row] = &e;
    }
    for (const auto& [row, e] : last) e->wanted = true;
}

/// Whether a variation followed its origin is seen at the origin's changes.
void Comparison::want_origins() {
    std::unordered_map<std::string_view, Entry*> blends;
    for (Entry& e : pairs_) {
        if (e.pair.kind() == UnitKind::blend && e.pair.fresh && e.differs()) blends[e.pair.fresh->id] = &e;
    }
    const auto origin_of = [](const Entry& e) -> std::string_view {
        const Unit& u = *e.pair.fresh;
        if (!u.document) return {};
        const Model& model = *u.document->model;
        const BlendId from = model.blends[u.index].variation_of;
        return from < model.blends.size() ? model.blends[from].header.name : std::string_view();
    };
    std::vector<Entry*> origins;
    for (const auto& [id, e] : blends) {
        if (!e->wanted && !e->looked_at) continue;
        if (const auto origin = blends.find(origin_of(*e)); origin != blends.end()) origins.push_back(origin->second);
    }
    for (Entry* e : origins) e->wanted = true;
}

bool Comparison::wanted(const UnitChange& u) const {
    if (options_.only.empty()) return true;
    const auto named = [&](const std::string& name) {
        return !name.empty() && std::find(options_.only.begin(), options_.only.end(), name) != options_.only.end();
    };
    return named(u.id) || named(u.old_id) || named(value_of(u.old_facts, What::line_of, "line")) ||
           named(value_of(u.new_facts, What::line_of, "line"));
}

/// Nothing where nothing differs.
std::optional<UnitChange> Comparison::compared(const Pair& pair, Reading& reading) const {
    UnitChange u;
    const Unit* any = pair.fresh ? pair.fresh : pair.old;
    u.kind = any->kind;
    u.id = any->id;
    u.old_id = pair.old ? pair.old->id : u.id;
    u.state = !pair.old ? UnitState::added : !pair.fresh ? UnitState::removed : UnitState::changed;
    if (pair.old) pair.old->read(reading.before);
    if (pair.fresh) pair.fresh->read(reading.after);
    if (pair.old && pair.fresh && !strike_same(reading.before, reading.after, u.kind)) return std::nullopt;
    auto before = pair.old ? facts_of(u.kind, reading.before.root()) : std::vector<Fact>{};
    auto after = pair.fresh ? facts_of(u.kind, reading.after.root()) : std::vector<Fact>{};
    u.old_facts = facts_for_words(before);
    u.new_facts = facts_for_words(after);
    u.changes = differences(std::move(before), std::move(after));
    const auto& facts = pair.fresh ? u.new_facts : u.old_facts;
    u.name = value_of(facts, What::title, "name");
    u.blend = value_of(facts, What::blend, "blend");
    const auto same_but_renamed = [&](const Change& c) {
        if ((c.what != What::blend && c.what != What::variation_of) || c.how != How::changed) return false;
        const std::string key = c.what == What::blend ? "blend" : "variation_of";
        const auto at = renamed_.find(c.old->text(key));
        return at != renamed_.end() && at->second == c.fresh->text(key);
    };
    std::erase_if(u.changes, same_but_renamed);
    // Of what can't be read nothing is said: its oils did not all leave.
    const auto unreadable = [&](const std::vector<Fact>& f) {
        const Fact* complete = fact_of(f, What::complete);
        return u.is_blend() && complete && !complete->flag("readable");
    };
    if (u.state == UnitState::changed && unreadable(u.old_facts) != unreadable(u.new_facts)) {
        std::erase_if(u.changes, [](const Change& c) { return c.rank() == Rank::smell || c.what == What::assumption; });
    }
    if (u.changes.empty() && u.state == UnitState::changed && !u.renamed()) return std::nullopt;
    judge_parts(u);
    judge_harm(u);
    u.blend_changed = u.is_product() && changed_blends_.contains(u.blend);
    u.recipe_same = u.is_product() && u.state == UnitState::changed &&
                    std::none_of(u.changes.begin(), u.changes.end(), [](const Change& c) {
                        return c.what == What::line || c.what == What::format || c.what == What::lot || c.what == What::audience;
                    });
    // Within a kind what got worse first.
    std::stable_sort(u.changes.begin(), u.changes.end(), [](const Change& a, const Change& b) {
        return std::tuple(a.rank(), !a.worse, a.what) < std::tuple(b.rank(), !b.worse, b.what);
    });
    return u;
}

void Comparison::follow(Changes& out) const {
    const auto oils = [](const UnitChange& u) {
        std::map<std::string_view, std::tuple<Direction, std::string_view, std::string_view>> m;
        for (const Change& c : u.changes) {
            if (c.what == What::part && c.direction != Direction::share) m[c.subject] = {c.direction, c.old_parts, c.new_parts};
        }
        return m;
    };
    std::unordered_multimap<std::string_view, const UnitChange*> blends;
    for (const UnitChange& u : out.units) {
        if (u.is_blend()) blends.emplace(u.id, &u);
    }
    for (UnitChange& u : out.units) {
        if (!u.is_blend() || u.state != UnitState::changed) continue;
        const std::string from = value_of(u.new_facts, What::variation_of, "variation_of");
        if (from.empty()) continue;
        const auto own = oils(u);
        if (own.empty()) continue;
        const auto [begin, end] = blends.equal_range(from);
        for (auto origin = begin; origin != end; ++origin) {
            const auto theirs = oils(*origin->second);
            const bool all = std::all_of(own.begin(), own.end(), [&](const auto& oil) {
                const auto at = theirs.find(oil.first);
                return at != theirs.end() && at->second == oil.second;
            });
            if (all) u.follows = from;
        }
    }
}

/// Where a limit says something else, or one came or went while the amounts stayed, the row did it and not the recipe.
void Comparison::collect_rows(Changes& out) const {
    std::map<std::string, RowChange> rows;
    const auto add = [&](const UnitChange& u) {
        for (const Change& c : u.changes) {
            if (c.what != What::check || u.state != UnitState::changed) continue;
            const auto said = [](const std::optional<Fact>& f) {
                return f ? std::tuple(f->number("limit_percent"), f->text("standing"), f->text("source"))
                         : std::tuple(std::optional<double>(), std::string(), std::string());
            };
            const bool row = c.how == How::changed ? said(c.old) != said(c.fresh) && c.any().text("kind") != "phototoxic_sum"
                                                   : u.recipe_same && !c.any().text("rules").empty();
            if (!row) continue;
            RowChange& r = rows[c.subject];
            r.rule = c.subject;
            r.old = c.old;
            r.fresh = c.fresh;
            r.products.push_back(u.id);
        }
    };
    for (const Entry& e : pairs_) {
        if (e.found && wanted(*e.found)) add(*e.found);
        if (e.looked_at) continue;
        for (const std::string& row : e.weight.rows) rows[row].products.push_back(e.pair.fresh->id);
    }
    for (auto& [rule, r] : rows) out.rows.push_back(std::move(r));
}

}  // namespace

std::string_view how_word(How how) {
    return how == How::added ? "added" : how == How::removed ? "removed" : "changed";
}

std::string_view direction_word(Direction direction) {
    switch (direction) {
        case Direction::none: return "";
        case Direction::in: return "in";
        case Direction::out: return "out";
        case Direction::up: return "up";
        case Direction::down: return "down";
        case Direction::share: return "share";
    }
    return "";
}

std::string_view unit_state_word(UnitState state) {
    return state == UnitState::added ? "added" : state == UnitState::removed ? "removed" : "changed";
}

bool UnitChange::worse() const {
    return std::any_of(changes.begin(), changes.end(), [](const Change& c) { return c.worse; });
}

Rank UnitChange::rank() const {
    Rank gravest = Rank::words;
    for (const Change& c : changes) gravest = std::min(gravest, c.rank());
    return gravest;
}

const Change* UnitChange::find(What what, std::string_view subject) const {
    for (const Change& c : changes) {
        if (c.what == what && (subject.empty() || c.subject == subject)) return &c;
    }
    return nullptr;
}

bool Changes::any() const {
    // The compiler's version alone says nothing of a recipe.
    return !units.empty() || !counted.empty() || std::any_of(collection.begin(), collection.end(), [](const Change& c) { return c.what != What::compiler; });
}

bool Changes::any_worse() const {
    return std::any_of(units.begin(), units.end(), [](const UnitChange& u) { return u.worse(); }) ||
           std::any_of(counted.begin(), counted.end(), [](const CountedUnit& u) { return u.worse; });
}

Changes compare(const State& old_side, const State& new_side, const CompareOptions& options) {
    return Comparison(old_side, new_side, options).run();
}

}  // namespace scruple::changes
