#include "formula/balance.h"

#include <algorithm>

namespace scruple {
namespace {

void add_to_note(Balance::Notes& notes, Note note, const Rational& share) {
    switch (note) {
        case Note::top: notes.top += share; break;
        case Note::top_middle:
            notes.top += share / Rational(2);
            notes.middle += share / Rational(2);
            break;
        case Note::middle: notes.middle += share; break;
        case Note::base: notes.base += share; break;
        case Note::unknown: notes.unknown += share; break;
    }
}

/// A beaker of whole drops with the strength of each oil.
struct OdourBeaker {
    std::vector<Rational> drops;
    std::vector<Rational> impact;

    Rational count() const {
        Rational sum;
        for (const Rational& d : drops) sum += d;
        return sum;
    }
    Rational odour() const {
        Rational sum;
        for (std::size_t i = 0; i < drops.size(); ++i) sum += drops[i] * impact[i];
        return sum;
    }
    bool over_half(std::size_t i) const { return Rational(2) * drops[i] * impact[i] > odour(); }
    bool over_share(std::size_t i) const { return impact[i] * count() > Rational(kSticksOutTimes) * odour(); }
    bool sticks_out(std::size_t i) const { return over_half(i) || over_share(i); }
};

/// Fewest drops of `oil` that bring `leader` to both thresholds; none where no number does.
std::optional<std::int64_t> drops_needed(const OdourBeaker& b, std::size_t leader, std::size_t oil) {
    const Rational strong = b.impact[leader], odour = b.odour();
    Rational need = (Rational(2) * b.drops[leader] * strong - odour) / b.impact[oil];
    // impact x (count + d) <= 3 x (odour + d x impact of the oil)
    const Rational lacks = strong * b.count() - Rational(kSticksOutTimes) * odour;
    const Rational gain = Rational(kSticksOutTimes) * b.impact[oil] - strong;
    if (lacks.sign() > 0) {
        if (gain.sign() <= 0) return std::nullopt;
        need = std::max(need, lacks / gain);
    } else if (gain.sign() < 0 && need * gain < lacks) {
        return std::nullopt;  // so many of a weak oil that the leader is over three times its share instead
    }
    const auto drops = need.ceil();
    if (need.overflowed() || drops < 1 || drops > 1'000'000'000) return std::nullopt;
    return static_cast<std::int64_t>(drops);
}

std::optional<Balance::Raise> find_raise(const Balance& balance, const BlendFigures& blend) {
    OdourBeaker before;
    for (std::size_t i = 0; i < balance.oils.size(); ++i) {
        if (blend.whole_ratio[i] > 1'000'000'000) return std::nullopt;
        before.drops.emplace_back(blend.whole_ratio[i]);
        before.impact.emplace_back(*balance.oils[i].impact);
    }
    std::optional<Balance::Raise> best;
    for (std::size_t oil = 0; oil < balance.oils.size(); ++oil) {
        if (oil == *balance.leader) continue;
        const auto drops = drops_needed(before, *balance.leader, oil);
        if (!drops || (best && *drops >= best->drops)) continue;
        OdourBeaker after = before;
        after.drops[oil] += Rational(*drops);
        bool good = !after.sticks_out(*balance.leader);
        for (std::size_t i = 0; i < after.drops.size() && good; ++i) good = before.sticks_out(i) || !after.sticks_out(i);
        if (!good) continue;
        Balance::Raise raise;
        raise.leader = *balance.leader;
        raise.oil = oil;
        raise.drops = *drops;
        raise.beaker = static_cast<std::int64_t>(before.count().floor());
        raise.before = before.drops[raise.leader] * before.impact[raise.leader] / before.odour();
        raise.after = after.drops[raise.leader] * after.impact[raise.leader] / after.odour();
        best = raise;
    }
    return best;
}

void find_masks(const Model& model, Balance& balance) {
    for (std::size_t strong = 0; strong < balance.oils.size(); ++strong) {
        for (std::size_t weak = 0; weak < balance.oils.size(); ++weak) {
            const auto& a = balance.oils[strong];
            const auto& b = balance.oils[weak];
            if (strong == weak || !a.odour || !b.odour) continue;
            const Material& x = model.materials[a.material];
            const Material& y = model.materials[b.material];
            if (x.odour.empty() || x.odour != y.odour || x.note == Note::unknown || x.note != y.note) continue;
            const Rational times = *a.odour / *b.odour;
            if (times >= Rational(kMasksTimes)) balance.masks.push_back({strong, weak, times});
        }
    }
}

}  // namespace

Balance smell_of(const Model& model, const BlendFigures& blend) {
    Balance out;
    Rational parts, odour;
    for (const auto& line : blend.lines) {
        parts += line.amount;
        if (const auto impact = model.materials[line.material].impact) odour += line.amount * Rational(*impact);
    }
    if (blend.lines.empty() || parts.overflowed() || odour.overflowed() || blend.whole_ratio.empty()) return out;
    out.all_known = true;
    if (odour.sign() > 0) out.by_odour.emplace();
    for (const auto& line : blend.lines) {
        const Material& material = model.materials[line.material];
        Balance::Oil oil;
        oil.material = line.material;
        oil.share = line.amount / parts;
        oil.impact = material.impact;
        add_to_note(out.by_parts, material.note, oil.share);
        if (oil.impact) {
            oil.odour = line.amount * Rational(*oil.impact) / odour;
            add_to_note(*out.by_odour, material.note, *oil.odour);
            if (oil.odour->overflowed()) return {};
        } else {
            out.all_known = false;
        }
        out.oils.push_back(std::move(oil));
    }
    // Among unknown ones nobody can be said to stick out: how much of the whole odour it is, isn't known.
    if (out.all_known && out.oils.size() > 1) {
        for (std::size_t i = 0; i < out.oils.size(); ++i) {
            auto& oil = out.oils[i];
            oil.over_half = *oil.odour * Rational(2) > Rational(1);
            oil.over_share = *oil.odour > Rational(kSticksOutTimes) * oil.share;
            if (oil.sticks_out() && (!out.leader || *oil.odour > *out.oils[*out.leader].odour)) out.leader = i;
        }
    }
    return out;
}

Balance balance_of(const Model& model, const BlendFigures& blend) {
    Balance out = smell_of(model, blend);
    if (out.leader) out.raise = find_raise(out, blend);
    find_masks(model, out);
    return out;
}

}  // namespace scruple
