#include <algorithm>
#include <map>
#include <set>
#include <thread>

#include "base/parallel.h"
#include "changes/change.h"
#include "changes/judge.h"
#include "changes/ratio.h"

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

/// Both lists in order of kind and subject, as `put_in_order` leaves them.
std::vector<Change> differences(const std::vector<Fact>& before, const std::vector<Fact>& after) {
    const auto key = [](const Fact& f) { return std::pair(f.what, std::string_view(f.subject)); };
    std::vector<Change> out;
    std::size_t a = 0, b = 0;
    while (a < before.size() || b < after.size()) {
        Change c;
        const bool gone = b == after.size() || (a < before.size() && key(before[a]) < key(after[b]));
        const bool came = !gone && (a == before.size() || key(after[b]) < key(before[a]));
        if (!came) c.old = before[a++];
        if (!gone) c.fresh = after[b++];
        if (c.old && c.fresh && same(*c.old, *c.fresh)) continue;
        c.what = c.any().what;
        c.subject = c.any().subject;
        c.how = gone ? How::removed : came ? How::added : How::changed;
        out.push_back(std::move(c));
    }
    return out;
}

/// A unit of one side. What it says is there from when it is first asked for until it was compared: a collection in which
/// everything differs would not fit otherwise.
struct Half {
    const Unit* unit = nullptr;
    std::vector<Fact> own{};
    bool read = false;

    const std::vector<Fact>& get() {
        if (unit->kept_facts()) return *unit->kept_facts();
        if (!read) own = unit->read_facts();
        read = true;
        return own;
    }
    void release() {
        own = {};
        read = false;
    }
};

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
    Half* old = nullptr;
    Half* fresh = nullptr;
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
        pair_up(old_.products, new_.products, UnitKind::product);
        // Taken apart on all cores, a few at a time: all of them would not fit into memory.
        constexpr std::size_t kAtOnce = 512;
        const std::size_t threads = std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, 16);
        for (std::size_t begin = 0; begin < pairs_.size(); begin += kAtOnce) {
            const std::size_t end = std::min(pairs_.size(), begin + kAtOnce);
            const std::size_t pieces = std::min(threads, (end - begin) / 8 + 1);
            in_parallel(pieces, [&](std::size_t piece) {
                for (std::size_t i = begin + (end - begin) * piece / pieces; i < begin + (end - begin) * (piece + 1) / pieces; ++i) {
                    if (pairs_[i].old) pairs_[i].old->get();
                    if (pairs_[i].fresh) pairs_[i].fresh->get();
                }
            });
            for (std::size_t i = begin; i < end; ++i) add(out, pairs_[i]);
        }
        follow(out);
        collect_rows(out);
        put_gravest_first(out);
        return out;
    }

private:
    void pair_up(const std::vector<Unit>& before, const std::vector<Unit>& after, UnitKind kind);
    void pair_by_content(std::vector<Half*>& gone, std::vector<Half*>& came, UnitKind kind);
    std::string content(Half& half, bool old_side, UnitKind kind, bool loosely);
    bool wanted(const UnitChange& u) const;
    void add(Changes& out, const Pair& pair);
    void follow(Changes& out) const;
    static void collect_rows(Changes& out);
    static void put_gravest_first(Changes& out);

    const State& old_;
    const State& new_;
    const CompareOptions& options_;
    std::vector<std::unique_ptr<Half>> halves_;
    std::vector<Pair> pairs_;
    std::map<std::string, std::string, std::less<>> renamed_;  // blends, old to new
    std::set<std::string, std::less<>> changed_blends_;        // by the new name
};

void Comparison::pair_up(const std::vector<Unit>& before, const std::vector<Unit>& after, UnitKind kind) {
    std::map<std::pair<std::string_view, std::size_t>, Half*> by_name;
    std::map<std::string_view, std::size_t> seen;
    const auto half = [&](const Unit& u) {
        halves_.push_back(std::make_unique<Half>());
        halves_.back()->unit = &u;
        return halves_.back().get();
    };
    // Two of one name are a mistake in the recipes; they are paired in order.
    for (const Unit& u : before) by_name.emplace(std::pair(std::string_view(u.id), seen[u.id]++), half(u));
    seen.clear();
    std::vector<Half*> came;
    for (const Unit& u : after) {
        auto at = by_name.find(std::pair(std::string_view(u.id), seen[u.id]++));
        for (const auto& [was, is] : options_.renamed) {
            if (at != by_name.end() || is != u.id) continue;
            at = by_name.find(std::pair(std::string_view(was), std::size_t{0}));
            if (at == by_name.end()) continue;
            pairs_.push_back({at->second, half(u)});
            if (kind == UnitKind::blend) renamed_[was] = is;
        }
        if (at != by_name.end() && at->second->unit->id != u.id) {
            by_name.erase(at);
            continue;
        }
        if (at == by_name.end()) {
            came.push_back(half(u));
            continue;
        }
        if (at->second->unit->text != u.text) pairs_.push_back({at->second, half(u)});
        by_name.erase(at);
    }
    std::vector<Half*> gone;
    for (const auto& [name, h] : by_name) gone.push_back(h);
    std::sort(came.begin(), came.end(), [](const Half* a, const Half* b) { return a->unit->id < b->unit->id; });
    pair_by_content(gone, came, kind);
    for (Half* h : gone) pairs_.push_back({h, nullptr});
    for (Half* h : came) pairs_.push_back({nullptr, h});
}

/// What a unit is apart from its name; empty where that is not enough to know it again.
std::string Comparison::content(Half& half, bool old_side, UnitKind kind, bool loosely) {
    const std::vector<Fact>& facts = half.get();
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

void Comparison::pair_by_content(std::vector<Half*>& gone, std::vector<Half*>& came, UnitKind kind) {
    for (const bool loosely : {false, true}) {
        if (gone.empty() || came.empty()) return;
        std::map<std::string, std::pair<std::vector<Half*>, std::vector<Half*>>> groups;
        for (Half* h : gone) groups[content(*h, true, kind, loosely)].first.push_back(h);
        for (Half* h : came) groups[content(*h, false, kind, loosely)].second.push_back(h);
        std::set<Half*> taken;
        const auto take = [&](Half* a, Half* b) {
            pairs_.push_back({a, b});
            taken.insert(a);
            taken.insert(b);
            if (kind == UnitKind::blend) renamed_[a->unit->id] = b->unit->id;
        };
        for (auto& [key, group] : groups) {
            auto& [before, after] = group;
            if (key.empty() || before.empty() || after.empty()) continue;
            if (loosely && (before.size() > 1 || after.size() > 1)) continue;
            // Of several with one content the one with the same title, then in order of their names.
            for (Half* a : before) {
                const auto same_title = std::find_if(after.begin(), after.end(), [&](Half* b) {
                    return !taken.contains(b) &&
                           value_of(a->get(), What::title, "name") == value_of(b->get(), What::title, "name");
                });
                if (same_title != after.end()) take(a, *same_title);
            }
            std::erase_if(before, [&](Half* h) { return taken.contains(h); });
            std::erase_if(after, [&](Half* h) { return taken.contains(h); });
            for (std::size_t i = 0; i < std::min(before.size(), after.size()); ++i) take(before[i], after[i]);
        }
        std::erase_if(gone, [&](Half* h) { return taken.contains(h); });
        std::erase_if(came, [&](Half* h) { return taken.contains(h); });
    }
}

bool Comparison::wanted(const UnitChange& u) const {
    if (options_.only.empty()) return true;
    const auto named = [&](const std::string& name) {
        return !name.empty() && std::find(options_.only.begin(), options_.only.end(), name) != options_.only.end();
    };
    return named(u.id) || named(u.old_id) || named(value_of(u.old_facts, What::line_of, "line")) ||
           named(value_of(u.new_facts, What::line_of, "line"));
}

void Comparison::add(Changes& out, const Pair& pair) {
    UnitChange u;
    Half* any = pair.fresh ? pair.fresh : pair.old;
    u.kind = any->unit->kind;
    u.id = any->unit->id;
    u.old_id = pair.old ? pair.old->unit->id : u.id;
    u.state = !pair.old ? UnitState::added : !pair.fresh ? UnitState::removed : UnitState::changed;
    const std::vector<Fact> none;
    u.changes = differences(pair.old ? pair.old->get() : none, pair.fresh ? pair.fresh->get() : none);
    if (pair.old) u.old_facts = facts_for_words(pair.old->get());
    if (pair.fresh) u.new_facts = facts_for_words(pair.fresh->get());
    if (pair.old) pair.old->release();
    if (pair.fresh) pair.fresh->release();
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
    if (u.changes.empty() && u.state == UnitState::changed && !u.renamed()) return;
    if (u.is_blend() && u.state == UnitState::changed &&
        std::any_of(u.changes.begin(), u.changes.end(), [](const Change& c) { return c.what == What::part; })) {
        changed_blends_.insert(u.id);
    }
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
    if (wanted(u)) out.units.push_back(std::move(u));
}

void Comparison::follow(Changes& out) const {
    const auto oils = [](const UnitChange& u) {
        std::map<std::string_view, std::tuple<Direction, std::string_view, std::string_view>> m;
        for (const Change& c : u.changes) {
            if (c.what == What::part && c.direction != Direction::share) m[c.subject] = {c.direction, c.old_parts, c.new_parts};
        }
        return m;
    };
    for (UnitChange& u : out.units) {
        if (!u.is_blend() || u.state != UnitState::changed) continue;
        const std::string from = value_of(u.new_facts, What::variation_of, "variation_of");
        const auto own = oils(u);
        if (from.empty() || own.empty()) continue;
        for (const UnitChange& origin : out.units) {
            if (!origin.is_blend() || origin.id != from) continue;
            const auto theirs = oils(origin);
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
    const auto gravity = [](const UnitChange& u) {
        const bool assessed = std::any_of(u.changes.begin(), u.changes.end(),
                                          [](const Change& c) { return c.what == What::assessed && c.worse; });
        int flips = 9;
        for (const Change& c : u.changes) {
            if (c.what == What::verdict && c.worse) flips = 9 - verdict_order(c.fresh->text("verdict"));
        }
        return std::tuple(!assessed, !u.worse(), flips, u.rank(), !u.is_blend(), u.kind, std::string_view(u.id));
    };
    std::stable_sort(out.units.begin(), out.units.end(),
                     [&](const UnitChange& a, const UnitChange& b) { return gravity(a) < gravity(b); });
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
