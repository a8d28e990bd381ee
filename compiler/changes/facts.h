// What a formula document says of a blend, a product or the collection, taken apart into facts: a kind, a subject and a
// few named values. Two versions are compared fact by fact, so that nothing of a document is compared by its text.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "num/rational.h"

namespace scruple::changes {

/// What matters first: what can hurt, then what the label says, then money, then smell. Then what the bench does with
/// it, what the figures rest on, and words.
enum class Rank : std::uint8_t { safety, label, cost, smell, making, ground, words };
inline constexpr std::size_t kRanks = 7;
std::string_view rank_word(Rank rank);  // "safety"

/// Kinds of facts in the order in which they are shown. Each has its row in facts.cpp.
enum class What : std::uint8_t {
    assessed, complete, verdict, check, waiver, ceiling, careful, unknown, unstated, caution, usual_dilution, lot,
    audience,
    allergen, label_state, allergen_list, allergen_under, label_unknown, warning, conservation, content, title,
    cost,
    part, measure, leader, notes, odour, impact, density, intent, mood, raise, mask,
    blend, format, load, units, batch, phases, line, premix, drop_plan, steps, log,
    library, compiler, rules, on, assumption,
    doc, variation_of, line_of,
};
struct WhatInfo {
    std::string_view word;  // in the changes document: "check"
    Rank rank;
};
const WhatInfo& info(What what);

using Scalar = std::variant<std::monostate, bool, double, std::string, std::vector<std::string>>;

struct Field {
    std::string_view name;  // a literal
    Scalar value;
    bool carried = false;   // shown beside the others; a difference in it alone is none
};

struct Fact {
    What what = What::title;
    std::string subject;           // which one: a rule, an oil; empty where there is one of the kind only
    std::vector<Field> fields;
    std::optional<Rational> exact{};  // a part's share of the ratio: decides in place of what is written

    const Scalar* find(std::string_view name) const;
    /// Empty, nothing or false where the field is not there or of another type.
    std::string text(std::string_view name) const;
    std::optional<double> number(std::string_view name) const;
    bool flag(std::string_view name) const;
    std::vector<std::string> list(std::string_view name) const;
};

/// Equal but for how figures print: documents carry ten significant digits.
bool same_figure(double a, double b);
bool same(const Scalar& a, const Scalar& b);
/// The same kind and subject are taken as given.
bool same(const Fact& a, const Fact& b);

}  // namespace scruple::changes
