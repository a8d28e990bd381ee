// What in the library rests on memory or on working out, and what it lacks: so that it can be worked off.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "library/catalogue.h"

namespace scruple {

/// From memory, worked out, chosen by us, or disputed: nobody should rest on it without a second look.
bool is_doubtful(Standing standing);
/// A source that was read may say that part of it is from memory: that part is not known which.
bool is_doubtful(const Source& source);

/// What matters most for safety comes first.
enum class DoubtKind : std::uint8_t {
    limit,           // a row of a limit
    unknown_limit,   // a limit whose figure is not known here
    uncovered,       // categories of which a limit of a rule set by category says nothing
    composition,     // the share of a substance that has limits
    density,
    botany,
    other_figure,    // CAS numbers, flash points and the like
    format,          // categories and loads
    category,
    caution,
    guide,           // usual dilutions
    missing,         // what is not known of an oil or an ingredient
    unsourced_cas,   // CAS numbers of substances, for which no source is stated
};
inline constexpr std::size_t kDoubtKindCount = 13;
std::string_view doubt_word(DoubtKind kind);   // "limit"
std::string_view doubt_title(DoubtKind kind);  // "Limits"

struct Doubt {
    DoubtKind kind{};
    std::string subject_kind;  // "oil", "substance", …
    std::string subject;       // its name
    std::string about;         // rule set, substance or field; may be empty
    std::string figure;
    std::string standing;      // "unknown" where there is no figure
    std::string source;        // in words; empty where there is none
    std::string cite;          // the source's name, if it has one
};

/// By kind, subject and place in the text.
std::vector<Doubt> doubts(const Catalogue& catalogue);

/// Codes in the order of the tables: 2, 5A, 5B, 10A.
std::pair<int, std::string_view> code_order(std::string_view code);
/// The categories that tables speak of, in the order of their codes: those with a code that lie in no other with a code.
std::vector<CategoryId> table_categories(const Model& model);
/// A rule set that gives its limits by category: at least one of its limits names several categories and reaches all.
bool is_by_category(const Model& model, RuleSetId rules);
/// Categories of which a limit says nothing.
std::vector<CategoryId> uncovered(const Model& model, const Limit& limit);

/// Fields that nothing is known of, by their words: `density`, `contains` …
std::vector<std::string_view> missing_fields(const Catalogue& catalogue, const Material& material);

}  // namespace scruple
