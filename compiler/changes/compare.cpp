#include <algorithm>
#include <atomic>
#include <map>
#include <set>
#include <thread>
#include <unordered_map>

#include "base/parallel.h"
#include "changes/change.h"
#include "changes/judge.h"
#include "changes/ratio.h"
#include "changes/strike.h"

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
        pair_up(old_.benches, new_.benches, UnitKind::bench);
        pair_up(old_.blends, new_.blends, UnitKind::blend);
        // What a product says of its blend is known once the blends are compared.
        compare_pairs(out);
        for (const UnitChange& u : out.units) {
            const bool parts = u.is_blend() && u.state == UnitState::changed && u.find(What::part);
            if (parts) changed_blends_.insert(u.id);
        }
        pair_up(old_.products, new_.products, UnitKind::product);
        compare_pairs(out);
        std::erase_if(out.units, [&](const UnitChange& u) { return !wanted(u); });
        follow(out);
        collect_rows(out);
        put_gravest_first(out);
        return out;
    }

private:
    void pair_up(const std::vector<Unit>& before, const std::vector<Unit>& after, UnitKind kind);
    void pair_by_content(std::vector<const Unit*>& gone, std::vector<const Unit*>& came, UnitKind kind);
    std::string content(const Unit& unit, bool old_side, UnitKind kind, bool loosely);
    void compare_pairs(Changes& out);
    bool wanted(const UnitChange& u) const;
    std::optional<UnitChange> compared(const Pair& pair, Reading& reading) const;
    void follow(Changes& out) const;
    static void collect_rows(Changes& out);
    static void put_gravest_first(Changes& out);

    const State& old_;
    const State& new_;
    const CompareOptions& options_;
    std::vector<Pair> pairs_;  // still to be compared
    std::map<std::string, std::string, std::less<>> renamed_;  // blends, old to new
    std::set<std::string, std::less<>> changed_blends_;        // by the new name
};

void Comparison::pair_up(const std::vector<Unit>& before, const std::vector<Unit>& after, UnitKind kind) {
    const auto pair = [&](const Unit& was, const Unit& is) {
        if (was.document || is.document || was.id != is.id || was.text != is.text) pairs_.push_back({&was, &is});
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
    for (const Unit* u : gone) pairs_.push_back({u, nullptr});
    for (const Unit* u : came) pairs_.push_back({nullptr, u});
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
            pairs_.push_back({a, b});
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

void Comparison::compare_pairs(Changes& out) {
    std::vector<std::optional<UnitChange>> found(pairs_.size());
    // Shares are small, since what differs may stand together.
    constexpr std::size_t kShare = 64;
    const std::size_t shares = (pairs_.size() + kShare - 1) / kShare;
    const std::size_t threads = std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, 16);
    std::atomic<std::size_t> next{0};
    in_parallel(std::min(threads, shares), [&](std::size_t) {
        Reading reading;
        for (std::size_t share = next++; share < shares; share = next++) {
            for (std::size_t i = share * kShare; i < std::min(pairs_.size(), (share + 1) * kShare); ++i) found[i] = compared(pairs_[i], reading);
        }
    });
    for (auto& u : found) {
        if (u) out.units.push_back(std::move(*u));
    }
    pairs_.clear();
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
void Comparison::collect_rows(Changes& out) {
    std::map<std::string, RowChange> rows;
    for (const UnitChange& u : out.units) {
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
    }
    for (auto& [rule, r] : rows) out.rows.push_back(std::move(r));
}

void Comparison::put_gravest_first(Changes& out) {
    using Gravity = std::tuple<bool, bool, int, Rank, bool, UnitKind, std::string_view>;
    const auto gravity = [](const UnitChange& u) {
        const bool assessed = std::any_of(u.changes.begin(), u.changes.end(),
                                          [](const Change& c) { return c.what == What::assessed && c.worse; });
        int flips = 9;
        for (const Change& c : u.changes) {
            if (c.what == What::verdict && c.worse) flips = 9 - verdict_order(c.fresh->text("verdict"));
        }
        return Gravity(!assessed, !u.worse(), flips, u.rank(), !u.is_blend(), u.kind, u.id);
    };
    std::vector<std::pair<Gravity, std::size_t>> order;
    order.reserve(out.units.size());
    for (std::size_t i = 0; i < out.units.size(); ++i) order.emplace_back(gravity(out.units[i]), i);
    std::sort(order.begin(), order.end());
    std::vector<UnitChange> sorted;
    sorted.reserve(order.size());
    for (const auto& [_, i] : order) sorted.push_back(std::move(out.units[i]));
    out.units = std::move(sorted);
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
    return !units.empty() || std::any_of(collection.begin(), collection.end(), [](const Change& c) { return c.what != What::compiler; });
}

Changes compare(const State& old_side, const State& new_side, const CompareOptions& options) {
    return Comparison(old_side, new_side, options).run();
}

}  // namespace scruple::changes
