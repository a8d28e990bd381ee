// Three versions of a recipe made one: what either side changed since their common base, taken by meaning. Declarations
// are matched by kind and name, rows by their field or by the oil that they speak of. No amount is made up: each one in
// the result stands in that row of a side. What can't be decided is a conflict with both sides shown.
//
// Laws: merge(b, o, b) = o and merge(b, b, t) = t byte for byte, merge(b, o, o) = o; merge(b, t, o) is merge(b, o, t)
// but for the sides of a conflict.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/limits.h"

namespace scruple {

/// What a conflict shows: both sides; the base between them; the same without the lines that the sides share.
enum class ConflictStyle : std::uint8_t { merge, diff3, zdiff3 };

struct MergeOptions {
    std::string ours = "ours";  // behind the markers
    std::string base = "base";
    std::string theirs = "theirs";
    std::uint32_t marker_size = 7;
    ConflictStyle style = ConflictStyle::merge;
    ResourceLimits limits{};
};

struct MergeConflict {
    enum class Why : std::uint8_t {
        changed_twice,        // differently on both sides
        changed_and_removed,
        added_twice,          // differently
        same_place,           // both added where order is meaning
        order,                // both changed an order that is meaning
        basis,                // one side counts all of a ratio anew, the other changes some of it
        not_closed,           // each side comes to the whole, both together don't
    };
    Why why = Why::changed_twice;
    std::string declaration;  // "blend stile"; empty outside of any
    std::string subject;      // the oil, field or phase; empty for the declaration as a whole
    std::uint32_t line = 0;   // of the opening marker, from 1
};

/// One side changed what a declaration is derived from, the other the declaration. Both are in the result, and what
/// follows from them neither side has seen.
struct MergeFollow {
    std::string name;        // "variation stile_dusk"
    std::string from;        // "blend stile", "oil rose_ten"
    bool ours_changed_from = false;  // else theirs did
    bool rescaled = false;   // the amounts that `name` counts in are others now
};

struct MergeResult {
    enum class Trouble : std::uint8_t {
        none,
        unreadable,  // a side has mistakes of syntax
        crowded,     // declarations that share a line
        fault,       // the result could not be read again: no text should bring this about
    };
    Trouble trouble = Trouble::none;  // else there is no text
    std::uint8_t version = 0;         // with `unreadable`: 0 base, 1 ours, 2 theirs
    std::uint32_t line = 0;           // and where, from 1
    std::string text;
    std::vector<MergeConflict> conflicts;  // in text order
    std::vector<MergeFollow> follows;
};

/// Never throws for what the texts hold. Work and memory are linear in them but for sorting.
MergeResult merge_recipes(std::string_view base, std::string_view ours, std::string_view theirs,
                          const MergeOptions& options = {});

}  // namespace scruple
