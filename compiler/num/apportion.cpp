#include "num/apportion.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "num/wide.h"

namespace scruple {

using wide::U128;

namespace {

constexpr auto kMostInt64 = static_cast<U128>(std::numeric_limits<std::int64_t>::max());

/// The weights as whole numbers with the same ratio, as small as can be; empty if a number or their sum leaves `most`.
std::vector<U128> whole_weights(std::span<const Rational> weights, U128 most) {
    U128 shared_num = 0;
    U128 shared_den = 1;
    for (const auto& w : weights) {
        if (w.is_zero()) continue;
        shared_num = wide::gcd(shared_num, wide::magnitude(w.num()));
        const auto den = static_cast<U128>(w.den());
        const auto next = wide::multiply(shared_den, den / wide::gcd(shared_den, den));
        if (!next.fits()) return {};
        shared_den = next.lo;
    }
    std::vector<U128> out;
    out.reserve(weights.size());
    U128 sum = 0;
    for (const auto& w : weights) {
        if (w.is_zero()) {
            out.push_back(0);
            continue;
        }
        const auto product =
            wide::multiply(wide::magnitude(w.num()) / shared_num, shared_den / static_cast<U128>(w.den()));
        if (!product.fits() || product.lo > most - sum) return {};
        sum += product.lo;
        out.push_back(product.lo);
    }
    return out;
}

/// Where the exact ratio is too fine for 128 bits: whole numbers up to 2^40, each within half of the true weight.
std::vector<U128> near_weights(std::span<const Rational> weights) {
    double largest = 0;
    for (const auto& w : weights) largest = std::max(largest, w.to_double());
    std::vector<U128> out;
    out.reserve(weights.size());
    for (const auto& w : weights) {
        const double scaled = std::round(w.to_double() / largest * 0x1p40);
        out.push_back(w.is_zero() ? 0 : static_cast<U128>(std::max(scaled, 1.0)));
    }
    return out;
}

struct Remainder {
    U128 rest = 0;
    std::size_t line = 0;
};

/// Whole numbers and a total below 2^127 to the shares of each.
class Sharer {
public:
    explicit Sharer(std::span<const U128> weights) : weights_(weights), shares_(weights.size()) {
        for (const U128 w : weights_) {
            sum_ += w;
            positive_ += w > 0 ? 1 : 0;
        }
        remainders_.reserve(weights.size());
        fixed_.resize(weights.size());
    }

    U128 sum() const { return sum_; }
    std::int64_t positive() const { return positive_; }
    const std::vector<std::int64_t>& shares() const { return shares_; }

    void share(std::int64_t total, bool at_least_one) {
        std::fill(fixed_.begin(), fixed_.end(), false);
        U128 sum = sum_;
        std::int64_t left = total;
        bool again = at_least_one;
        // Giving 1 to the small lines makes the quotas of the others smaller, so look again until none falls below 1.
        // The others never run out: while every remaining quota is below 1, more was left than there are lines.
        while (again) {
            again = false;
            U128 next_sum = sum;
            std::int64_t next_left = left;
            for (std::size_t i = 0; i < weights_.size(); ++i) {
                if (fixed_[i] || weights_[i] == 0) continue;
                if (wide::compare(wide::multiply(weights_[i], static_cast<U128>(left)), {0, sum}) >= 0) continue;
                fixed_[i] = true;
                shares_[i] = 1;
                next_sum -= weights_[i];
                --next_left;
                again = true;
            }
            sum = next_sum;
            left = next_left;
        }
        remainders_.clear();
        std::int64_t given = 0;
        for (std::size_t i = 0; i < weights_.size(); ++i) {
            if (fixed_[i]) continue;
            const auto quota = wide::divide(wide::multiply(weights_[i], static_cast<U128>(left)), sum);
            shares_[i] = static_cast<std::int64_t>(quota.quotient.lo);
            given += shares_[i];
            if (quota.remainder != 0) remainders_.push_back({quota.remainder, i});
        }
        const auto more = static_cast<std::size_t>(left - given);  // fewer than there are remainders
        if (more == 0) return;
        std::nth_element(remainders_.begin(), remainders_.begin() + static_cast<std::ptrdiff_t>(more - 1),
                         remainders_.end(), [](const Remainder& a, const Remainder& b) {
                             return a.rest != b.rest ? a.rest > b.rest : a.line < b.line;
                         });
        for (std::size_t i = 0; i < more; ++i) ++shares_[remainders_[i].line];
    }

private:
    std::span<const U128> weights_;
    U128 sum_ = 0;
    std::int64_t positive_ = 0;
    std::vector<std::int64_t> shares_;
    std::vector<char> fixed_;
    std::vector<Remainder> remainders_;
};

bool all_usable(std::span<const Rational> weights, bool zero_allowed) {
    bool any = false;
    for (const auto& w : weights) {
        if (w.overflowed() || w.sign() < 0 || (!zero_allowed && w.is_zero())) return false;
        any = any || !w.is_zero();
    }
    return any;
}

/// |drops / total - weight / sum| over weight / sum, as a fraction that is not reduced.
struct Error {
    U128 num = 0;
    U128 den = 1;
};

/// Weights and totals are below 2^63 here, so the products fit.
Error worst_error(std::span<const U128> weights, U128 sum, std::span<const std::int64_t> drops, std::int64_t total) {
    Error worst;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        const U128 have = static_cast<U128>(drops[i]) * sum;
        const U128 want = static_cast<U128>(total) * weights[i];
        const Error error{have > want ? have - want : want - have, want};
        if (wide::compare_fractions(error.num, error.den, worst.num, worst.den) > 0) worst = error;
    }
    return worst;
}

/// The total in [least, most] with the least worst error; the larger of equals.
void search(std::span<const U128> weights, std::int64_t least, std::int64_t most, DropFit& fit) {
    Sharer sharer(weights);
    const auto lines = static_cast<std::int64_t>(weights.size());
    least = std::max({least, sharer.positive(), most - std::max<std::int64_t>(kMostDropTrials / lines, 1) + 1});
    if (most < least) return;
    Error best;
    for (std::int64_t total = most; total >= least; --total) {
        sharer.share(total, true);
        const Error error = worst_error(weights, sharer.sum(), sharer.shares(), total);
        if (!fit.drops.empty() && wide::compare_fractions(error.num, error.den, best.num, best.den) >= 0) continue;
        best = error;
        fit.drops = sharer.shares();
        fit.total = total;
        if (best.num == 0) break;
    }
    const U128 common = wide::gcd(best.num, best.den);
    fit.worst_error = Rational(static_cast<Rational::Int>(best.num / common),
                               static_cast<Rational::Int>(best.den / common));
}

DropFit fit(std::span<const Rational> parts, std::int64_t least, std::int64_t most) {
    DropFit out;
    if (!all_usable(parts, false)) return out;
    auto weights = whole_weights(parts, kMostInt64);
    if (weights.empty()) {
        weights = near_weights(parts);
    } else {
        const auto sum = static_cast<std::int64_t>(std::accumulate(weights.begin(), weights.end(), U128{0}));
        out.smallest_fit = sum;
        const std::int64_t multiple = most < 0 ? 0 : most / sum;
        if (multiple >= 1 && multiple * sum >= least) {
            out.multiple = multiple;
            out.total = multiple * sum;
            out.drops.reserve(weights.size());
            for (const U128 w : weights) out.drops.push_back(static_cast<std::int64_t>(w) * multiple);
            return out;
        }
    }
    if (most < 1) return out;
    search(weights, std::max<std::int64_t>(least, 1), most, out);
    return out;
}

}  // namespace

std::vector<std::int64_t> apportion(std::span<const Rational> weights, std::int64_t total, bool at_least_one) {
    if (total < 0 || !all_usable(weights, true)) return {};
    auto whole = whole_weights(weights, wide::kMaxMagnitude);
    if (whole.empty()) whole = near_weights(weights);
    Sharer sharer(whole);
    if (at_least_one && total < sharer.positive()) return {};
    sharer.share(total, at_least_one);
    return sharer.shares();
}

std::vector<std::int64_t> round_lines(std::span<const double> amounts, double division) {
    if (!(division > 0) || !std::isfinite(division)) return {};
    constexpr double kMost = 0x1p53;
    // A quotient a few last bits off a whole number is that number: 0.3 / 0.1 is 3.
    const auto snap = [](double value) {
        const double near = std::round(value);
        return std::fabs(value - near) <= std::min(1e-12 * std::max(1.0, value), 1e-3) ? near : value;
    };
    struct Part {
        std::int64_t rest = 0;  // in thousand-millionths, so that noise in the last bits breaks no tie
        std::size_t line = 0;
    };
    std::vector<std::int64_t> out;
    std::vector<Part> parts;
    out.reserve(amounts.size());
    std::int64_t given = 0;
    double rests = 0;
    double largest = 1;
    for (std::size_t i = 0; i < amounts.size(); ++i) {
        const double count = snap(amounts[i] / division);
        if (!(count >= 0) || !(count < kMost)) return {};
        const double whole = std::floor(count);
        out.push_back(static_cast<std::int64_t>(whole));
        given += out.back();
        if (given > static_cast<std::int64_t>(kMost)) return {};
        largest = std::max(largest, whole);
        rests += count - whole;
        if (count > whole) parts.push_back({std::llround((count - whole) * 1e9), i});
    }
    // What the floors leave is rounded by itself: the total is a whole number more. Its error is that of the counts.
    const double slack = std::min(1e-12 * largest * static_cast<double>(amounts.size()), 1e-3);
    const auto more = std::min(static_cast<std::size_t>(std::floor(rests + 0.5 + slack)), parts.size());
    std::stable_sort(parts.begin(), parts.end(), [](const Part& a, const Part& b) { return a.rest > b.rest; });
    for (std::size_t i = 0; i < more; ++i) ++out[parts[i].line];
    return out;
}

std::vector<std::int64_t> smallest_whole_ratio(std::span<const Rational> parts) {
    if (!all_usable(parts, false)) return {};
    std::vector<std::int64_t> out;
    for (const U128 w : whole_weights(parts, kMostInt64)) out.push_back(static_cast<std::int64_t>(w));
    return out;
}

DropFit fit_up_to(std::span<const Rational> parts, std::int64_t most) { return fit(parts, 1, most); }

DropFit fit_between(std::span<const Rational> parts, std::int64_t least, std::int64_t most) {
    if (least > most) return fit(parts, std::numeric_limits<std::int64_t>::max(), 0);
    return fit(parts, least, most);
}

NearRatio simplest_ratio(std::span<const Rational> parts, const Rational& tolerance, std::int64_t most) {
    NearRatio out;
    constexpr std::size_t kMostParts = 100;
    if (parts.empty() || parts.size() > kMostParts || !all_usable(parts, false)) return out;
    Rational sum;
    for (const auto& part : parts) sum += part;
    const std::size_t count = parts.size();
    std::vector<Rational> shares;
    for (const auto& part : parts) shares.push_back(part / sum);
    std::vector<std::int64_t> low(count), high(count);
    for (auto total = static_cast<std::int64_t>(count); total <= most; ++total) {
        // A total fits if the whole numbers that each share allows can add up to it.
        std::int64_t least = 0, largest = 0;
        bool fits = true;
        for (std::size_t i = 0; i < count && fits; ++i) {
            const Rational exact = shares[i] * Rational(total);
            const Rational down = exact * (Rational(1) - tolerance), up = exact * (Rational(1) + tolerance);
            if (down.overflowed() || up.overflowed()) return out;
            low[i] = std::max<std::int64_t>(static_cast<std::int64_t>(down.ceil()), 1);
            high[i] = static_cast<std::int64_t>(up.floor());
            fits = low[i] <= high[i];
            least += low[i];
            largest += high[i];
        }
        if (!fits || least > total || largest < total) continue;
        // From the lowest up, each further part to the share that lacks most of it.
        for (std::int64_t left = total - least; left > 0; --left) {
            std::size_t best = count;
            for (std::size_t i = 0; i < count; ++i) {
                if (low[i] == high[i]) continue;
                const auto lacks = [&](std::size_t k) { return shares[k] * Rational(total) - Rational(low[k]); };
                if (best == count || lacks(i) > lacks(best)) best = i;
            }
            ++low[best];
        }
        out.parts = low;
        out.total = total;
        for (std::size_t i = 0; i < count; ++i) {
            const Rational error = Rational(low[i]) / (shares[i] * Rational(total)) - Rational(1);
            out.worst_error = std::max(out.worst_error, error.sign() < 0 ? -error : error);
        }
        return out;
    }
    return out;
}

}  // namespace scruple
