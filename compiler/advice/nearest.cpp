#include "advice/nearest.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "advice/program.h"
#include "safety/ceiling.h"

namespace scruple {
namespace {

/// Programs to solve at most in search of the fewest oils to change.
constexpr std::size_t kMostPrograms = 4000;
/// Two optima nearer than this are one.
constexpr double kSameOptimum = 1e-8;

/// Shares as what each oil has now, plus what it gains, less what it loses.
Solution nearest_with(const ShareRows& rows, const std::vector<char>& may_change) {
    const std::size_t count = rows.now.size();
    LinearProgram p;
    std::vector<int> gain(count), loss(count);
    for (std::size_t i = 0; i < count; ++i) {
        gain[i] = p.column(1, may_change[i] && !rows.banned[i] ? 1 : 0);
        loss[i] = p.column(1, may_change[i] ? rows.now[i] : 0);
    }
    LinearProgram::Row whole{0, 0, {}};
    for (std::size_t i = 0; i < count; ++i) {
        whole.entries.push_back({gain[i], 1});
        whole.entries.push_back({loss[i], -1});
        if (rows.banned[i]) p.rows.push_back({rows.now[i], rows.now[i], {{loss[i], 1}}});
    }
    p.rows.push_back(std::move(whole));
    // The rows are as large as `thin` is; in the units of a use they are near 1.
    double scale = 0;
    for (std::size_t i = 0; i < count; ++i) scale += rows.thin[i] * rows.now[i];
    const auto add = [&](const std::vector<double>& of, double at_most, int beside, double beside_value) {
        LinearProgram::Row row{-LinearProgram::kUnbounded, at_most, {}};
        for (std::size_t i = 0; i < count; ++i) {
            const double per = of[i] / scale;
            row.most -= per * rows.now[i];
            row.entries.push_back({gain[i], per});
            row.entries.push_back({loss[i], -per});
        }
        if (beside >= 0) row.entries.push_back({beside, beside_value});
        p.rows.push_back(std::move(row));
    };
    std::vector<double> of(count);
    for (const auto& row : rows.rows) {
        for (std::size_t i = 0; i < count; ++i) of[i] = row.use[i] - rows.thin[i];
        add(of, 0, -1, 0);
    }
    for (const auto& harm : rows.harms) {
        LinearProgram::Row sum{-LinearProgram::kUnbounded, 0, {}};
        for (const auto& substance : harm.of) {
            const int used = p.column(0, LinearProgram::kUnbounded);
            sum.entries.push_back({used, 1});
            for (const std::size_t r : substance) add(rows.rows[r].use, 0, used, -1);
        }
        for (std::size_t i = 0; i < count; ++i) {
            const double per = rows.thin[i] / scale;
            sum.most += per * rows.now[i];
            sum.entries.push_back({gain[i], -per});
            sum.entries.push_back({loss[i], per});
        }
        p.rows.push_back(std::move(sum));
    }
    Solution s = solve(p);
    if (!s.found) return s;
    std::vector<double> shares(count);
    for (std::size_t i = 0; i < count; ++i) {
        shares[i] = rows.now[i] + s.columns[static_cast<std::size_t>(gain[i])] - s.columns[static_cast<std::size_t>(loss[i])];
        if (shares[i] < kSameShare / 1000) shares[i] = 0;
    }
    s.columns = std::move(shares);
    return s;
}

/// How many choices there are of up to `most` of `count` oils; beyond kMostPrograms it does not count on.
std::size_t choices(std::size_t count, std::size_t most) {
    std::size_t all = 0, of_size = 1;
    for (std::size_t size = 1; size <= most && all <= kMostPrograms; ++size) {
        of_size = of_size * (count - size + 1) / size;
        all += of_size;
    }
    return all;
}

/// The first choice of the fewest oils that comes as near, which are at most `most`; empty where there are too many choices.
std::vector<double> with_fewest_changes(const ShareRows& rows, double best, std::size_t most) {
    const std::size_t count = rows.now.size();
    if (choices(count, most) > kMostPrograms) return {};
    for (std::size_t size = 1; size <= most; ++size) {
        std::vector<std::size_t> chosen(size);
        std::iota(chosen.begin(), chosen.end(), 0);
        while (true) {
            std::vector<char> may(count, 0);
            for (const std::size_t i : chosen) may[i] = 1;
            bool worth = true;
            for (std::size_t i = 0; i < count; ++i) worth = worth && (may[i] || !rows.banned[i] || rows.now[i] <= 0);
            if (worth) {
                Solution s = nearest_with(rows, may);
                if (s.found && s.cost <= best + kSameOptimum * std::max(1.0, best)) return s.columns;
            }
            // The next choice, in the order of the blend.
            std::size_t at = size;
            while (at > 0 && chosen[at - 1] == count - size + at - 1) --at;
            if (at == 0) break;
            ++chosen[at - 1];
            for (std::size_t i = at; i < size; ++i) chosen[i] = chosen[i - 1] + 1;
        }
    }
    return {};
}

}  // namespace

double use_of(const ShareRows& rows, std::size_t row, const std::vector<double>& shares) {
    double use = 0, whole = 0;
    for (std::size_t i = 0; i < shares.size(); ++i) {
        use += rows.rows[row].use[i] * shares[i];
        whole += rows.thin[i] * shares[i];
    }
    return use / whole;
}

bool keeps_within(const ShareRows& rows, const std::vector<double>& shares) {
    if (rows.base_banned) return false;
    for (std::size_t i = 0; i < shares.size(); ++i) {
        if (rows.banned[i] && shares[i] > 0) return false;
    }
    for (std::size_t r = 0; r < rows.rows.size(); ++r) {
        if (!within_limit(use_of(rows, r, shares))) return false;
    }
    for (const auto& harm : rows.harms) {
        double sum = 0;
        for (const auto& substance : harm.of) {
            double most = 0;
            for (const std::size_t r : substance) most = std::max(most, use_of(rows, r, shares));
            sum += most;
        }
        if (!within_limit(sum)) return false;
    }
    return true;
}

Nearest nearest_shares(const ShareRows& rows) {
    Nearest out;
    if (rows.state != ShareRows::State::linear || rows.base_banned) return out;
    if (keeps_within(rows, rows.now)) {
        out.state = Nearest::State::there;
        out.shares = rows.now;
        return out;
    }
    const Solution best = nearest_with(rows, std::vector<char>(rows.now.size(), 1));
    if (!best.found) return out;
    out.state = Nearest::State::found;
    out.shares = with_fewest_changes(rows, best.cost, static_cast<std::size_t>(changed_shares(rows.now, best.columns)));
    if (out.shares.empty()) {
        out.fewest = false;
        out.shares = best.columns;
    }
    out.distance = distance(rows.now, out.shares);
    out.changed = changed_shares(rows.now, out.shares);
    return out;
}

MostLoad most_load(const ShareRows& rows) {
    MostLoad out;
    if (rows.state != ShareRows::State::linear || rows.base_banned) return out;
    LinearProgram p;
    const std::size_t count = rows.now.size();
    LinearProgram::Row all{-LinearProgram::kUnbounded, rows.most_ww, {}};
    for (std::size_t i = 0; i < count; ++i) all.entries.push_back({p.column(-1, rows.banned[i] ? 0 : 1), 1});
    p.rows.push_back(std::move(all));
    const auto add = [&](std::size_t r, double at_most, int beside) {
        const auto& parts = rows.parts[r];
        LinearProgram::Row row{-LinearProgram::kUnbounded, at_most - parts.base.at_zero, {}};
        for (std::size_t i = 0; i < count; ++i) row.entries.push_back({static_cast<int>(i), parts.base.slope + parts.of_oil[i]});
        if (beside >= 0) row.entries.push_back({beside, -1});
        p.rows.push_back(std::move(row));
    };
    for (std::size_t r = 0; r < rows.rows.size(); ++r) add(r, 1, -1);
    for (const auto& harm : rows.harms) {
        LinearProgram::Row sum{-LinearProgram::kUnbounded, 1, {}};
        for (const auto& substance : harm.of) {
            const int used = p.column(0, LinearProgram::kUnbounded);
            sum.entries.push_back({used, 1});
            for (const std::size_t r : substance) add(r, 0, used);
        }
        p.rows.push_back(std::move(sum));
    }
    const Solution s = solve(p);
    if (!s.found) return out;
    out.shares.assign(s.columns.begin(), s.columns.begin() + static_cast<std::ptrdiff_t>(count));
    for (const double x : out.shares) out.load_ww += x;
    if (!(out.load_ww > 1e-12)) return out;
    for (double& x : out.shares) x /= out.load_ww;
    out.found = true;
    return out;
}

}  // namespace scruple
