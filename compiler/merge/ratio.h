// The amounts of a blend, a base or a variation as a whole: an amount means something only beside the others. Where one
// side counted all of them anew and the other changed some, row by row would make a ratio that neither meant.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "merge/version.h"
#include "num/rational.h"

namespace scruple::merging {

struct Amount {
    std::string name;             // the row's, behind that of its phase
    std::string text;             // all that the row says
    std::string measure;          // unit and basis: "parts", "% of total"; "rest"
    std::optional<Rational> value;
    friend bool operator==(const Amount& a, const Amount& b) { return a.name == b.name && a.text == b.text; }
};

struct Amounts {
    std::vector<Amount> rows;  // by name
    std::string basis;         // what the amounts count by: `by weight`, what a variation is of
    bool repeated = false;     // a name stands twice
};

bool has_ratio(std::string_view kind);

/// Of a declaration's row.
Amounts amounts_of(const Version& version, std::uint32_t row);
bool same_amounts(const Amounts& a, const Amounts& b);
/// Whether `side` counts the ratio of `base` anew: in another measure, all amounts by one factor or most of them, every
/// amount changed, or another row as the rest.
bool counts_anew(const Amounts& base, const Amounts& side, bool variation);

enum class Joined : std::uint8_t { fine, basis, not_closed };
/// What the amounts of three versions come to when they are taken row by row.
Joined join_amounts(const Amounts& base, const Amounts& ours, const Amounts& theirs, bool variation);

}  // namespace scruple::merging
