#include "safety/ceiling.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "num/decimal.h"

namespace scruple {
namespace {

constexpr double kNoBound = std::numeric_limits<double>::infinity();

bool passes_at(const CeilingTask& task, std::size_t i, double w) {
    const double use = task.use[i].at(w);
    if ((*task.checks)[i].kind == CheckKind::prohibited) return !(use > 0);
    return within_limit(use);
}

/// Largest w that check `i` passes; negative where not even w = 0 passes.
double bound_of(const CeilingTask& task, std::size_t i) {
    const Affine use = task.use[i];
    if ((*task.checks)[i].kind == CheckKind::prohibited)
        return use.at_zero > 0 ? -1 : use.slope > 0 ? 0 : kNoBound;
    if (!within_limit(use.at_zero)) {
        // A base that is over by itself, thinned out by the blend: more blend is no danger to this
        // check.
        if (use.slope < 0 && passes_at(task, i, task.load_ww)) return kNoBound;
        return -1;
    }
    if (!(use.slope > 0)) return kNoBound;
    return (1 + kLimitTolerance - use.at_zero) / use.slope;
}

bool passes(const CeilingTask& task, double in_basis) {
    const double w = task.scale->to_ww(in_basis);
    if (task.on_skin && w >= kUndiluted) return false;
    for (std::size_t i = 0; i < task.use.size(); ++i) {
        if (task.counts[i] && !passes_at(task, i, w)) return false;
    }
    return true;
}

/// Rounds down to three significant digits (two to six decimals of a percentage), to a figure that
/// passes while the next one fails. False if no such figure is near.
bool write_down(const CeilingTask& task, double in_basis, Ceiling& ceiling) {
    const double percent = in_basis * 100;
    double power = 100;
    for (double size = 1; percent < size && ceiling.decimals < 6; size /= 10) {
        ++ceiling.decimals;
        power *= 10;
    }
    const auto value = [&](double count) { return count / (power * 100); };
    double count = std::floor(percent * power);
    // Solving and converting lose a few last bits: settle by the predicate itself.
    for (int i = 0; i < 4 && passes(task, value(count + 1)); ++i) count += 1;
    for (int i = 0; i < 4 && count > 0 && !passes(task, value(count)); ++i) count -= 1;
    if (count > 0 && !passes(task, value(count))) return false;
    if (count == 0) {
        ceiling.text.assign(1, '0');
        ceiling.decimals = 0;
        return true;
    }
    ceiling.in_basis = value(count);
    ceiling.text = format_fixed(
        Rational(static_cast<long long>(count)) / Rational(static_cast<long long>(power)),
        ceiling.decimals);
    return true;
}

}  // namespace

Ceiling solve_ceiling(const CeilingTask& task) {
    Ceiling ceiling;
    ceiling.basis = task.basis;
    ceiling.of = task.of;
    double least = kNoBound, second = kNoBound;
    for (std::size_t i = 0; i < task.use.size(); ++i) {
        if (!task.counts[i] || (*task.checks)[i].kind == CheckKind::undiluted) continue;
        const double bound = bound_of(task, i);
        if (bound < least) {
            second = least;
            ceiling.runner_up = ceiling.bound_by;
            least = bound;
            ceiling.bound_by = static_cast<std::int32_t>(i);
        } else if (bound < second) {
            second = bound;
            ceiling.runner_up = static_cast<std::int32_t>(i);
        }
    }
    const double most = std::min(task.most_ww, task.on_skin ? kUndiluted : 1.0);
    if (!(second < most)) {
        ceiling.runner_up = -1;
        second = 0;
    }
    ceiling.runner_up_ww = std::max(0.0, second);
    if (least < 0) {
        ceiling.state = Ceiling::State::over_without_blend;
        return ceiling;
    }
    const double in_basis = task.scale && least < most ? task.scale->from_ww(least) : kNoBound;
    if (!(least < most) || (task.scale && std::isfinite(in_basis) && in_basis >= 1)) {
        ceiling.bound_by = -1;
        ceiling.runner_up = -1;
        ceiling.load_ww = most;
        ceiling.state = task.all_known ? Ceiling::State::none_applies : Ceiling::State::not_known;
        return ceiling;
    }
    if (!task.scale || !std::isfinite(in_basis)) {
        ceiling.bound_by = -1;
        ceiling.runner_up = -1;
        return ceiling;  // not_known: no way to say it in the product's basis
    }
    ceiling.load_ww = least;
    ceiling.state = write_down(task, in_basis, ceiling) ? Ceiling::State::bound
                                                        : Ceiling::State::over_without_blend;
    return ceiling;
}

}  // namespace scruple
