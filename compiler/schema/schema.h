// THE table: every declaration kind and field, with its form, its unit, its basis, whether it must be there, and one
// line of words. Checking, completion, `explain` and the reference pages are read from it.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <span>
#include <string_view>

#include "num/quantity.h"

namespace scruple {

enum class Kind : std::uint8_t {
    allergen, assessed, audience, base, bench, blend, category, caution, cite, container, format, group, guide, harm,
    ingredient, let, limit, line, lot, oil, prices, product, rate, rules, substance, unit, use, variation, workshop,
};
inline constexpr std::size_t kKindCount = 29;

/// A few kinds, in the order in which they are spoken of. A value: one is made for every name that is read.
class Kinds {
public:
    constexpr Kinds() = default;
    constexpr Kinds(std::initializer_list<Kind> kinds) {
        for (const Kind kind : kinds) kinds_[count_++] = kind;
    }
    constexpr const Kind* begin() const { return kinds_.data(); }
    constexpr const Kind* end() const { return kinds_.data() + count_; }
    constexpr std::size_t size() const { return count_; }
    constexpr Kind operator[](std::size_t i) const { return kinds_[i]; }
    constexpr Kind front() const { return kinds_[0]; }
    constexpr bool has(Kind kind) const {
        for (const Kind k : *this) {
            if (k == kind) return true;
        }
        return false;
    }

private:
    std::array<Kind, kKindCount> kinds_{};
    std::uint8_t count_ = 0;
};

/// Which names must differ from each other.
enum class NameSpace : std::uint8_t {
    materials,   // oil, ingredient, blend, variation, base
    substances,  // substance, group
    categories, rule_sets, formats,
    products,    // product, line
    lots,        // by the maker's own numbers
    containers,
    units,       // unit, let
    cites, cautions, audiences, guides,
    limits,      // by subject and rule set
    allergens,   // by name and rule set
    assessments,
    harms,
    benches,
    none,        // workshop, use, prices, rate
};
inline constexpr std::size_t kNameSpaceCount = 19;

/// The form of a field's value.
enum class Shape : std::uint8_t {
    text,        // one string
    texts,       // strings joined by commas
    word,        // one of `choices`, or any word where there are none
    words,       // words joined by commas
    name,        // a name of name space `refers`
    names,       // names joined by commas
    yes_no,
    number,      // a bare number
    whole,       // a bare whole number, at least 1
    quantity,    // a number with a unit of `dimension`
    quantities,  // joined by commas
    figure,      // a quantity or range of `dimension`, with `at 20 C` and `by CITE` where it is measured
    percent,     // a bare percentage; its basis is the field's
    load,        // a percentage or range with its basis, or `neat`
    date,
    source,      // a standing and a string
    special,     // read by the kind's own code: `blend`, `format`, `in`, `weighs_to`, `keeps`, `price`
    block,       // a block of rows: `contains`, `phase`
};

/// Fields in all kinds; one enumerator a spelling.
enum class Field : std::uint8_t {
    accept, add, address, advice, after, also, applies, assessor, assumed, at, audience, best_before, blend, botanical, brim,
    budget, bulk, by, cas, categories, category, certificate, cites_appendix, code, conservation, contact, container,
    contains, continues, cost_tier, currency, dated, density, diluted, dropper, effect, example, extra, family, fill,
    fingerprint, flash, format, formats, from, harms, impact, in, in_force, inci, intent, iodine, keeps, label, labour,
    leave_on, library, load, lots, make, mark, market, markets, melts, members, mixing, moods, note, odour, oils, on, opened,
    overhead, packaging, part, peroxide, phase, phototoxic, placed_until, price, prices_keep, process, publisher, rank,
    remark, remove, replace, replaces, retail, rinse_off, role, rules, saponification, set, sizes, sold_by, sold_until,
    source, standing, state, steps, strip, substances, tenacity, text, until, usual_base, warnings, weighs_to, wholesale,
    within, work,
};

inline constexpr std::size_t kFieldCount = static_cast<std::size_t>(Field::work) + 1;

struct FieldSpec {
    Field field;
    std::string_view word;
    Shape shape;
    std::string_view doc;                                // one line, no full stop
    Dimension dimension{};                               // quantity, quantities, figure
    std::span<const std::string_view> choices{};         // word, words
    bool open = false;                                   // other words than `choices` are allowed: they are the usual ones
    NameSpace refers = NameSpace::none;                  // name, names
    bool required = false;
    bool repeatable = false;
    double least = -1e300, most = 1e300;                 // allowed range in base units (fractions for percent)
};

/// What the rows of a block are that start with a number, `rest` or `none`.
enum class Rows : std::uint8_t { none, assessed, bench, blend, base, limit, line, guide, prices };

struct KindSpec {
    Kind kind;
    std::string_view word;
    NameSpace space;
    std::string_view doc;              // one line
    std::span<const FieldSpec> fields;
    Rows rows = Rows::none;
    bool block = true;                 // must have a block
    bool like = false;                 // may start from another's fields
    bool user = true;                  // worth offering to a maker who misspelt a kind
};

std::span<const KindSpec> all_kinds();
const KindSpec& kind_spec(Kind kind);
/// Null if no kind has that word.
const KindSpec* find_kind(std::string_view word);
const FieldSpec* find_field(const KindSpec& kind, std::string_view word);
std::string_view field_word(Field field);
/// "an oil", "a blend": for messages.
std::string_view kind_phrase(Kind kind);
std::string_view name_space_phrase(NameSpace space);

/// Words that are never names.
bool is_reserved(std::string_view word);

}  // namespace scruple
