#include "changes/ratio.h"

#include <algorithm>
#include <map>

#include "num/apportion.h"
#include "num/decimal.h"

namespace scruple::changes {
namespace {

using Amounts = std::map<std::string, Rational>;

std::string measure_of(const std::vector<Fact>& facts) {
    for (const Fact& f : facts) {
        if (f.what == What::measure) return f.text("measure");
    }
    return {};
}

bool in_percent(const std::vector<Fact>& facts) {
    for (const Fact& f : facts) {
        if (f.what == What::measure) return f.flag("in_percent");
    }
    return false;
}

/// Amounts as written; empty where one can't be read.
Amounts amounts_of(const std::vector<Fact>& facts) {
    Amounts out;
    for (const Fact& f : facts) {
        if (f.what != What::part) continue;
        const ParsedNumber n = parse_number(f.text("parts"));
        if (n.error != NumberError::none || !f.exact) return {};
        out.emplace(f.subject, n.value);
    }
    return out;
}

/// How many times the old number the new one of an oil is that stayed: what most oils share. Of several as common, 1; else
/// that of the oil whose name comes first, so that the comparison reads the same from either side.
std::optional<Rational> common_scale(const Amounts& old_amounts, const Amounts& new_amounts) {
    std::vector<std::pair<Rational, std::size_t>> seen;
    for (const auto& [oil, amount] : old_amounts) {
        const auto there = new_amounts.find(oil);
        if (there == new_amounts.end()) continue;
        const Rational times = there->second / amount;
        const auto known = std::find_if(seen.begin(), seen.end(), [&](const auto& s) { return s.first == times; });
        if (known == seen.end()) seen.emplace_back(times, 1);
        else ++known->second;
    }
    const std::pair<Rational, std::size_t>* best = nullptr;
    for (const auto& s : seen) {
        if (!best || s.second > best->second || (s.second == best->second && s.first == Rational(1))) best = &s;
    }
    return best && !best->first.overflowed() ? std::optional<Rational>(best->first) : std::nullopt;
}

/// Smallest whole numbers for both sides in one scale.
bool in_whole_numbers(Amounts& old_amounts, Amounts& new_amounts) {
    std::vector<Rational> all;
    for (const auto& [oil, amount] : old_amounts) all.push_back(amount);
    for (const auto& [oil, amount] : new_amounts) all.push_back(amount);
    const auto whole = smallest_whole_ratio(all);
    if (whole.size() != all.size()) return false;
    std::size_t i = 0;
    for (auto& [oil, amount] : old_amounts) amount = Rational(whole[i++]);
    for (auto& [oil, amount] : new_amounts) amount = Rational(whole[i++]);
    return true;
}

}  // namespace

void judge_parts(UnitChange& unit) {
    Amounts before = amounts_of(unit.old_facts);
    Amounts after = amounts_of(unit.new_facts);
    const bool comparable = measure_of(unit.old_facts) == measure_of(unit.new_facts);
    bool scaled = false;
    // Percentages are read against the whole, whatever the other oils do.
    if (comparable && !(in_percent(unit.old_facts) && in_percent(unit.new_facts))) {
        if (const auto times = common_scale(before, after)) {
            if (!(*times == Rational(1))) {
                for (auto& [oil, amount] : after) amount = amount / *times;
                scaled = in_whole_numbers(before, after);
            }
        }
    }
    for (Change& change : unit.changes) {
        if (change.what != What::part) continue;
        const auto shown = [&](const std::optional<Fact>& fact, const Amounts& amounts) -> std::string {
            if (!fact) return {};
            const auto at = amounts.find(change.subject);
            return scaled && at != amounts.end() ? format_exact(at->second) : fact->text("parts");
        };
        change.old_parts = shown(change.old, before);
        change.new_parts = shown(change.fresh, after);
        if (!change.old) change.direction = Direction::in;
        if (!change.fresh) change.direction = Direction::out;
        if (!change.old || !change.fresh) continue;
        const auto old_at = before.find(change.subject);
        const auto new_at = after.find(change.subject);
        change.direction = Direction::share;
        if (comparable && old_at != before.end() && new_at != after.end()) {
            if (old_at->second < new_at->second) change.direction = Direction::up;
            if (new_at->second < old_at->second) change.direction = Direction::down;
            continue;
        }
        for (const char* key : {"share_ww_percent", "share_vv_percent"}) {
            const auto a = change.old->number(key);
            const auto b = change.fresh->number(key);
            if (!a || !b || same_figure(*a, *b)) continue;
            change.direction = *a < *b ? Direction::up : Direction::down;
            break;
        }
    }
}

}  // namespace scruple::changes
