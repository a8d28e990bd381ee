// The text of a merge as it grows: what is settled, and conflicts between it.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "merge/merge.h"

namespace scruple::merging {

/// Whole lines of the three versions that stand for each other.
struct Sides {
    std::string_view base, ours, theirs;
};

class Output {
public:
    void settled(std::string_view lines);
    /// Conflicts with nothing between them become one. `whole`: shown with the lines that both sides share.
    void conflict(const Sides& sides, MergeConflict about, bool whole);
    bool ends_in_conflict() const { return !parts_.empty() && parts_.back().conflict; }

    /// The text, every line ended by LF, and the conflicts with their lines.
    std::string finish(const MergeOptions& options, std::vector<MergeConflict>& conflicts) const;

private:
    struct Part {
        bool conflict = false;
        bool whole = false;
        std::string text;  // settled, or ours
        std::string base, theirs;
        std::vector<MergeConflict> about;
    };
    std::vector<Part> parts_;
};

}  // namespace scruple::merging
