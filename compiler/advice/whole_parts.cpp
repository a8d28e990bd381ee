#include "advice/whole_parts.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>
#include <tuple>

namespace scruple {
namespace {

/// Around a rounded ratio of so many oils two parts are moved, or one; of more oils it is taken as it is.
constexpr std::size_t kTwoMoves = 6;
constexpr std::size_t kOneMove = 40;

using Parts = std::vector<std::int64_t>;

struct Candidate {
    Parts parts;
    double distance = 0;
    int changed = 0;
    std::int64_t total = 0;
};

/// Distances that differ by less are the same: they are sums of a few shares.
std::int64_t step_of(double distance) { return std::llround(distance * 1e12); }

bool nearer(const Candidate& a, const Candidate& b) {
    return std::tuple(step_of(a.distance), a.changed, a.total, std::cref(b.parts).get()) <
           std::tuple(step_of(b.distance), b.changed, b.total, std::cref(a.parts).get());
}

class Search {
public:
    Search(const AdviceTask& task, const ShareRows& rows) : task_(task), rows_(rows), weights_(part_weights(task)) {
        steady_ = !in_drops(task.product.load);
    }

    bool possible() const { return !weights_.empty() && rows_.state == ShareRows::State::linear; }
    const std::vector<double>& weights() const { return weights_; }

    void consider(const Parts& parts) {
        std::int64_t common = 0, total = 0;
        for (const auto p : parts) {
            common = std::gcd(common, p);
            total += p;
        }
        if (total == 0) return;
        Candidate c;
        c.parts = parts;
        if (task_.blend.percent) {
            if (total != 100) return;
        } else if (common != 1) {
            return;  // its smallest form is looked at by itself
        }
        c.total = total;
        const auto shares = shares_of(weights_, std::vector<double>(parts.begin(), parts.end()));
        c.distance = distance(rows_.now, shares);
        c.changed = changed_shares(rows_.now, shares);
        found_.push_back(std::move(c));
    }

    /// Every ratio of `total` parts or fewer.
    void all_up_to(std::int64_t total) {
        Parts parts(rows_.now.size(), 0);
        fill(parts, 0, total);
    }

    /// The ratios of exactly `total` parts around these shares: the rounded one, and with a part or two moved.
    void around(const std::vector<double>& shares, std::int64_t total) {
        const std::size_t count = shares.size();
        std::vector<double> exact(count);
        double sum = 0;
        for (std::size_t i = 0; i < count; ++i) sum += exact[i] = shares[i] / weights_[i];
        Parts parts(count);
        std::int64_t left = total;
        for (std::size_t i = 0; i < count; ++i) {
            exact[i] *= static_cast<double>(total) / sum;
            parts[i] = static_cast<std::int64_t>(std::floor(exact[i] + 1e-9));
            left -= parts[i];
        }
        std::vector<std::size_t> order(count);
        std::iota(order.begin(), order.end(), 0);
        std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
            return exact[a] - static_cast<double>(parts[a]) > exact[b] - static_cast<double>(parts[b]);
        });
        for (std::size_t i = 0; left > 0; i = (i + 1) % count, --left) ++parts[order[i]];
        move(parts, count <= kTwoMoves ? 2 : count <= kOneMove ? 1 : 0);
    }

    WholeParts best(const std::vector<double>* keep = nullptr) {
        std::sort(found_.begin(), found_.end(), nearer);
        WholeParts out;
        const Candidate* last = nullptr;
        for (const auto& c : found_) {
            if (last && last->parts == c.parts) continue;
            last = &c;
            if (keep) {
                bool kept = true;
                for (std::size_t i = 0; i < keep->size(); ++i) kept = kept && ((*keep)[i] <= kSameShare || c.parts[i] > 0);
                if (!kept) continue;
            }
            auto shares = shares_of(weights_, std::vector<double>(c.parts.begin(), c.parts.end()));
            if (steady_ && !keeps_within(rows_, shares)) continue;
            std::vector<Rational> amounts;
            for (const auto p : c.parts) amounts.push_back(task_.blend.percent ? Rational(p) / Rational(100) : Rational(p));
            Trial trial = try_amounts(task_, amounts);
            if (!trial.within(task_)) continue;
            out.found = true;
            out.parts = c.parts;
            out.total = c.total;
            out.distance = c.distance;
            out.changed = c.changed;
            out.shares = std::move(shares);
            out.trial = std::move(trial);
            break;
        }
        found_.clear();
        return out;
    }

private:
    void fill(Parts& parts, std::size_t at, std::int64_t left) {
        if (at == parts.size()) return consider(parts);
        for (std::int64_t p = 0; p <= left; ++p) {
            parts[at] = p;
            fill(parts, at + 1, left - p);
        }
        parts[at] = 0;
    }

    void move(Parts& parts, int times) {
        consider(parts);
        if (times == 0) return;
        for (std::size_t from = 0; from < parts.size(); ++from) {
            if (parts[from] == 0) continue;
            for (std::size_t to = 0; to < parts.size(); ++to) {
                if (to == from) continue;
                --parts[from];
                ++parts[to];
                move(parts, times - 1);
                ++parts[from];
                --parts[to];
            }
        }
    }

    const AdviceTask& task_;
    const ShareRows& rows_;
    std::vector<double> weights_;
    bool steady_ = true;  // the load is the same for every ratio that is tried
    std::vector<Candidate> found_;
};

}  // namespace

WholeParts nearest_parts(const AdviceTask& task, const ShareRows& rows, const std::vector<double>& near) {
    Search search(task, rows);
    if (!search.possible()) return {};
    if (task.blend.percent) {
        search.around(near, 100);
        return search.best();
    }
    const bool all = rows.now.size() <= kAllOils;
    if (all) search.all_up_to(kAllParts);
    // Of more oils than five, also ratios in which each could have a part or two.
    const auto most = std::clamp(static_cast<std::int64_t>(2 * near.size()), kAllParts, kMostParts);
    for (std::int64_t total = 1; !all && total <= most; ++total) search.around(near, total);
    WholeParts out = search.best();
    out.all_tried = all;
    return out;
}

WholeParts parts_that_keep_all(const AdviceTask& task, const ShareRows& rows, const std::vector<double>& near) {
    Search search(task, rows);
    if (!search.possible() || task.blend.percent) return {};
    const auto kept = std::count_if(near.begin(), near.end(), [](double share) { return share > kSameShare; });
    for (auto total = static_cast<std::int64_t>(kept); total <= kMostParts; ++total) {
        search.around(near, total);
        WholeParts out = search.best(&near);
        if (out.found) return out;
    }
    return {};
}

}  // namespace scruple
