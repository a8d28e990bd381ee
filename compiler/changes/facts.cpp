#include "changes/facts.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace scruple::changes {
namespace {

constexpr std::array kKinds = {
    WhatInfo{"assessed", Rank::safety},
    WhatInfo{"complete", Rank::safety},
    WhatInfo{"verdict", Rank::safety},
    WhatInfo{"check", Rank::safety},
    WhatInfo{"waiver", Rank::safety},
    WhatInfo{"ceiling", Rank::safety},
    WhatInfo{"careful_ceiling", Rank::safety},
    WhatInfo{"unknown_composition", Rank::safety},
    WhatInfo{"unstated_limit", Rank::safety},
    WhatInfo{"caution", Rank::safety},
    WhatInfo{"usual_dilution", Rank::safety},
    WhatInfo{"lot", Rank::safety},
    WhatInfo{"audience", Rank::safety},
    WhatInfo{"allergen", Rank::label},
    WhatInfo{"label", Rank::label},
    WhatInfo{"allergen_list", Rank::label},
    WhatInfo{"allergen_under_threshold", Rank::label},
    WhatInfo{"label_unknown", Rank::label},
    WhatInfo{"warning", Rank::label},
    WhatInfo{"conservation", Rank::label},
    WhatInfo{"content", Rank::label},
    WhatInfo{"name", Rank::label},
    WhatInfo{"cost", Rank::cost},
    WhatInfo{"part", Rank::smell},
    WhatInfo{"measure", Rank::smell},
    WhatInfo{"leader", Rank::smell},
    WhatInfo{"notes", Rank::smell},
    WhatInfo{"odour", Rank::smell},
    WhatInfo{"impact", Rank::smell},
    WhatInfo{"density", Rank::smell},
    WhatInfo{"intent", Rank::smell},
    WhatInfo{"mood", Rank::smell},
    WhatInfo{"raise", Rank::smell},
    WhatInfo{"mask", Rank::smell},
    WhatInfo{"blend", Rank::making},
    WhatInfo{"format", Rank::making},
    WhatInfo{"load", Rank::making},
    WhatInfo{"units", Rank::making},
    WhatInfo{"batch", Rank::making},
    WhatInfo{"phases", Rank::making},
    WhatInfo{"line", Rank::making},
    WhatInfo{"premix", Rank::making},
    WhatInfo{"drop_plan", Rank::making},
    WhatInfo{"steps", Rank::making},
    WhatInfo{"log", Rank::making},
    WhatInfo{"library", Rank::ground},
    WhatInfo{"compiler", Rank::ground},
    WhatInfo{"rules", Rank::ground},
    WhatInfo{"on", Rank::ground},
    WhatInfo{"assumption", Rank::ground},
    WhatInfo{"doc", Rank::words},
    WhatInfo{"variation_of", Rank::words},
    WhatInfo{"line_of", Rank::words},
};
static_assert(kKinds.size() == static_cast<std::size_t>(What::line_of) + 1);

}  // namespace

std::string_view rank_word(Rank rank) {
    switch (rank) {
        case Rank::safety: return "safety";
        case Rank::label: return "label";
        case Rank::cost: return "cost";
        case Rank::smell: return "smell";
        case Rank::making: return "making";
        case Rank::ground: return "ground";
        case Rank::words: return "words";
    }
    return "words";
}

const WhatInfo& info(What what) { return kKinds[static_cast<std::size_t>(what)]; }

const Scalar* Fact::find(std::string_view name) const {
    for (const Field& f : fields) {
        if (f.name == name) return &f.value;
    }
    return nullptr;
}

std::string Fact::text(std::string_view name) const {
    const Scalar* s = find(name);
    const auto* t = s ? std::get_if<std::string>(s) : nullptr;
    return t ? *t : std::string();
}

std::optional<double> Fact::number(std::string_view name) const {
    const Scalar* s = find(name);
    const auto* n = s ? std::get_if<double>(s) : nullptr;
    return n ? std::optional<double>(*n) : std::nullopt;
}

bool Fact::flag(std::string_view name) const {
    const Scalar* s = find(name);
    const auto* b = s ? std::get_if<bool>(s) : nullptr;
    return b && *b;
}

std::vector<std::string> Fact::list(std::string_view name) const {
    const Scalar* s = find(name);
    const auto* l = s ? std::get_if<std::vector<std::string>>(s) : nullptr;
    return l ? *l : std::vector<std::string>();
}

bool same_figure(double a, double b) {
    // Two units in the last of ten digits, and sums that were added up in another order.
    constexpr double kPrinted = 5e-9;
    return a == b || std::abs(a - b) <= kPrinted * std::max(std::abs(a), std::abs(b));
}

bool same(const Scalar& a, const Scalar& b) {
    const auto* x = std::get_if<double>(&a);
    const auto* y = std::get_if<double>(&b);
    return x && y ? same_figure(*x, *y) : a == b;
}

bool same(const Fact& a, const Fact& b) {
    if (a.exact && b.exact && !(*a.exact == *b.exact)) return false;
    if (a.fields.size() != b.fields.size()) return false;
    for (std::size_t i = 0; i < a.fields.size(); ++i) {
        if (a.fields[i].name != b.fields[i].name) return false;
        if (!a.fields[i].carried && !same(a.fields[i].value, b.fields[i].value)) return false;
    }
    return true;
}

}  // namespace scruple::changes
