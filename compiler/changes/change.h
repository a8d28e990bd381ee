// What differs between two versions of a collection, as data: for each blend and product the facts that came, went or
// changed, in order of what they can do. `compare` makes it; the renderers print it.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "changes/facts.h"
#include "changes/state.h"

namespace scruple::changes {

enum class How : std::uint8_t { added, removed, changed };
std::string_view how_word(How how);

/// Of an oil: against the others, in the ratio. `share`: its part of the ratio stayed, its share of the whole moved.
enum class Direction : std::uint8_t { none, in, out, up, down, share };
std::string_view direction_word(Direction direction);

struct Change {
    What what = What::title;
    How how = How::changed;
    Direction direction = Direction::none;
    bool worse = false;   // could hurt more than before, or is known less: what `--fail-on safety` looks for
    std::string subject;
    std::optional<Fact> old;
    std::optional<Fact> fresh;
    std::string old_parts, new_parts;  // of an oil, both in one scale, so that what stayed reads the same

    Rank rank() const { return info(what).rank; }
    const Fact& any() const { return fresh ? *fresh : *old; }
};

enum class UnitState : std::uint8_t { added, removed, changed };
std::string_view unit_state_word(UnitState state);

struct UnitChange {
    UnitKind kind = UnitKind::product;
    UnitState state = UnitState::changed;
    std::string id;       // the new one; of what was removed the old one
    std::string old_id;   // differs from `id` where it was renamed
    std::string name;     // its title
    std::string follows;  // a variation whose oils changed as those of the blend named here did
    std::string blend;    // of a product
    bool blend_changed = false;
    bool recipe_same = false;    // a product whose amounts stayed: what differs comes from the library or the rules
    std::vector<Change> changes; // what can hurt first
    std::vector<Fact> old_facts, new_facts;  // what words are made of: parts, names, the blend

    bool is_blend() const { return kind == UnitKind::blend; }
    bool is_product() const { return kind == UnitKind::product; }
    bool renamed() const { return state == UnitState::changed && old_id != id; }
    bool worse() const;
    /// The gravest rank of its changes.
    Rank rank() const;
    const Change* find(What what, std::string_view subject = {}) const;
};

/// A row of a rule set that says something else than it did, and the products that it is seen in.
struct RowChange {
    std::string rule;
    std::optional<Fact> old;
    std::optional<Fact> fresh;
    std::vector<std::string> products;
};

/// A blend or product that differs and of which no more is told than this.
struct CountedUnit {
    UnitKind kind = UnitKind::product;
    bool worse = false;
    std::array<bool, kRanks> listed{};  // by rank: more than small changes
};

struct SideName {
    std::string name;   // as it was asked for
    std::string kind;   // "recipes", "document", "revision", "index", "working_tree"
    std::string commit; // id, of a revision
};

struct Changes {
    SideName old_side, new_side;
    std::vector<SideError> old_errors, new_errors;
    std::vector<Change> collection;   // library, compiler, rules, date
    std::vector<RowChange> rows;
    std::vector<UnitChange> units;    // what can hurt first
    std::vector<CountedUnit> counted; // of a long comparison: the others that differ
    bool incomplete() const { return !old_errors.empty() || !new_errors.empty(); }
    /// Anything that differs in meaning.
    bool any() const;
    bool any_worse() const;
};

struct CompareOptions {
    std::vector<std::string> only;   // blends, products or lines by name; empty: all
    /// What is known to be one under two names, old and new, whatever its content.
    std::vector<std::pair<std::string, std::string>> renamed;
    /// Where more units differ, only the first so many of each rank are told in full; 0: all are.
    std::size_t most = 0;
    /// Tells what is only counted from figures where it can. The outcome is the same.
    bool by_figures = true;
};

/// Compares two sides. Units are paired by name; what has no partner by its content (a blend's ratio, a product's blend,
/// format, size and load).
Changes compare(const State& old_side, const State& new_side, const CompareOptions& options = {});

/// What `--fail-on` asks for.
struct Threshold {
    enum class Kind : std::uint8_t { safety, label, cost, any };
    Kind kind = Kind::any;
    double cost_percent = 0;   // met by a unit cost that rises by more
};
/// `safety`, `label`, `cost:5%`, `any`.
std::optional<Threshold> read_threshold(std::string_view text);
bool met(const Changes& changes, const Threshold& threshold);

}  // namespace scruple::changes
