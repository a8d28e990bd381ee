// Merges the blocks of three versions, element by element and block by block.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "merge/output.h"
#include "merge/row_names.h"
#include "merge/version.h"
#include "merge/weave.h"

namespace scruple::merging {

class Merger {
public:
    Merger(const Version& base, const Version& ours, const Version& theirs, Output& out)
        : versions_{&base, &ours, &theirs}, out_(out) {}

    /// The whole file. False, with nothing settled, where a version has no elements of whole lines.
    bool file();

private:
    struct Scope {
        Place place;
        std::string declaration;  // "blend stile"
    };
    using Elements = std::array<const Element*, 3>;
    using Levels = std::array<const Level*, 3>;
    using Texts = std::array<std::string_view, 3>;
    using Rows = std::vector<const Element*>;
    enum class Pick : std::uint8_t { base, ours, theirs, conflict };

    void level(const Levels& levels, const Scope& scope);
    void by_name(const Levels& levels, const Scope& scope, std::array<std::vector<std::string>, 3> names);
    void in_sequence(const Levels& levels, const Scope& scope);
    bool find_names(const Levels& levels, const Scope& scope, std::array<std::vector<std::string>, 3>& names) const;
    bool edited_twice_among(const std::array<std::vector<std::string>, 3>& names,
                            const std::array<std::vector<std::string>, 3>& full,
                            const std::vector<std::string>& repeated) const;

    enum class First : std::uint8_t { nowhere, somewhere, everywhere };
    void put(const Elements& elements, First first, const Scope& scope);
    void gap(const Elements& elements, First first, const Scope& scope);
    First first_of(const Levels& levels, const Elements& elements) const;
    void element(const Elements& elements, const Scope& scope);
    void block(const Elements& elements, const Scope& scope);
    void row(const Elements& elements, const Scope& scope);
    bool comment_apart(const Elements& elements);
    bool line_by_line(const Elements& elements);
    bool stays_whole(const Elements& elements, const Scope& scope);
    bool leaf(const Texts& texts, const std::array<std::string, 3>& meanings);
    Pick pick(const Texts& texts, const std::array<std::string, 3>& meanings) const;
    void settle(Pick pick, const Texts& texts);

    std::string_view text(std::size_t side, const Element& e) const { return versions_[side]->view(e.lead, e.end); }
    std::string head_meaning(std::size_t side, const Element& e) const;
    MergeConflict about(MergeConflict::Why why, const Elements& elements, const Scope& scope) const;
    Texts all_of(const Elements& elements) const;
    Elements elements_of(const Levels& levels, const Slot& slot) const;

    std::array<const Version*, 3> versions_;
    Output& out_;
    bool first_ = true;          // nothing stands before in this block
    bool after_comment_ = false;  // comments that stand alone came last
};

}  // namespace scruple::merging
