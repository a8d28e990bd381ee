#include "merge/sequence.h"

#include <algorithm>

namespace scruple::merging {
namespace {

constexpr std::int32_t kMostEdits = 128;  // insertions and deletions within one stretch

class Matcher {
public:
    Matcher(std::span<const std::uint32_t> a, std::span<const std::uint32_t> b)
        : a_(a), b_(b), out_(a.size(), -1) {}

    std::vector<std::int32_t> run() {
        Range in_a{0, static_cast<std::uint32_t>(a_.size())};
        Range in_b{0, static_cast<std::uint32_t>(b_.size())};
        trim(in_a, in_b);
        const auto fixed = unique_pairs(in_a, in_b);
        std::uint32_t i = in_a.begin, k = in_b.begin;
        for (const auto& [at_a, at_b] : fixed) {
            between({i, at_a}, {k, at_b});
            out_[at_a] = static_cast<std::int32_t>(at_b);
            i = at_a + 1;
            k = at_b + 1;
        }
        between({i, in_a.end}, {k, in_b.end});
        return std::move(out_);
    }

private:
    using Pair = std::pair<std::uint32_t, std::uint32_t>;

    void trim(Range& in_a, Range& in_b) {
        while (in_a.size() > 0 && in_b.size() > 0 && a_[in_a.begin] == b_[in_b.begin])
            out_[in_a.begin++] = static_cast<std::int32_t>(in_b.begin++);
        while (in_a.size() > 0 && in_b.size() > 0 && a_[in_a.end - 1] == b_[in_b.end - 1])
            out_[--in_a.end] = static_cast<std::int32_t>(--in_b.end);
    }

    /// What stands once in both, as far as it stands in one order: the longest such run.
    std::vector<Pair> unique_pairs(Range in_a, Range in_b) const {
        struct Seen {
            std::uint32_t in_a = 0, in_b = 0, at_a = 0, at_b = 0;
        };
        std::unordered_map<std::uint32_t, Seen> seen;
        for (std::uint32_t i = in_a.begin; i < in_a.end; ++i) {
            Seen& s = seen[a_[i]];
            ++s.in_a;
            s.at_a = i;
        }
        for (std::uint32_t k = in_b.begin; k < in_b.end; ++k) {
            const auto s = seen.find(b_[k]);
            if (s == seen.end()) continue;
            ++s->second.in_b;
            s->second.at_b = k;
        }
        std::vector<Pair> pairs;
        for (std::uint32_t i = in_a.begin; i < in_a.end; ++i) {
            const Seen& s = seen.at(a_[i]);
            if (s.in_a == 1 && s.in_b == 1) pairs.emplace_back(i, s.at_b);
        }
        std::vector<std::size_t> ends;  // of a rising run of each length, the pair with the least partner
        std::vector<std::size_t> before(pairs.size());
        for (std::size_t p = 0; p < pairs.size(); ++p) {
            const auto at = std::lower_bound(ends.begin(), ends.end(), pairs[p].second,
                                             [&](std::size_t e, std::uint32_t b) { return pairs[e].second < b; });
            before[p] = at == ends.begin() ? pairs.size() : *(at - 1);
            if (at == ends.end()) {
                ends.push_back(p);
            } else {
                *at = p;
            }
        }
        std::vector<Pair> run;
        for (std::size_t p = ends.empty() ? pairs.size() : ends.back(); p < pairs.size(); p = before[p])
            run.push_back(pairs[p]);
        std::reverse(run.begin(), run.end());
        return run;
    }

    /// The fewest insertions and deletions, by furthest-reaching paths (E. W. Myers, "An O(ND) difference algorithm and
    /// its variations", Algorithmica 1, 1986; from memory).
    void between(Range in_a, Range in_b) {
        trim(in_a, in_b);
        const auto n = static_cast<std::int32_t>(in_a.size());
        const auto m = static_cast<std::int32_t>(in_b.size());
        if (n == 0 || m == 0) return;
        const std::int32_t most = std::min(n + m, kMostEdits);
        std::vector<std::vector<std::int32_t>> trace;
        std::vector<std::int32_t> far(static_cast<std::size_t>(2 * most + 3), 0);
        const auto at = [&](std::int32_t diagonal) -> std::int32_t& {
            return far[static_cast<std::size_t>(diagonal + most + 1)];
        };
        for (std::int32_t d = 0; d <= most; ++d) {
            trace.push_back(far);
            for (std::int32_t k = -d; k <= d; k += 2) {
                std::int32_t x = k == -d || (k != d && at(k - 1) < at(k + 1)) ? at(k + 1) : at(k - 1) + 1;
                while (x < n && x - k < m && x - k >= 0 && a_[in_a.begin + static_cast<std::uint32_t>(x)] ==
                                                               b_[in_b.begin + static_cast<std::uint32_t>(x - k)])
                    ++x;
                at(k) = x;
                if (x >= n && x - k >= m) return back(in_a, in_b, trace, most, d);
            }
        }
    }

    void back(Range in_a, Range in_b, const std::vector<std::vector<std::int32_t>>& trace, std::int32_t most,
              std::int32_t steps) {
        auto x = static_cast<std::int32_t>(in_a.size());
        auto y = static_cast<std::int32_t>(in_b.size());
        for (std::int32_t d = steps; d > 0; --d) {
            const auto& far = trace[static_cast<std::size_t>(d)];
            const auto at = [&](std::int32_t diagonal) { return far[static_cast<std::size_t>(diagonal + most + 1)]; };
            const std::int32_t k = x - y;
            const std::int32_t from = k == -d || (k != d && at(k - 1) < at(k + 1)) ? k + 1 : k - 1;
            const std::int32_t start = at(from);
            const std::int32_t along = from == k + 1 ? start : start + 1;  // where the equal run begins
            while (x > along) match(in_a, in_b, --x, --y);
            x = start;
            y = start - from;
        }
        while (x > 0 && y > 0) match(in_a, in_b, --x, --y);
    }

    void match(Range in_a, Range in_b, std::int32_t x, std::int32_t y) {
        out_[in_a.begin + static_cast<std::uint32_t>(x)] = static_cast<std::int32_t>(in_b.begin) + y;
    }

    std::span<const std::uint32_t> a_;
    std::span<const std::uint32_t> b_;
    std::vector<std::int32_t> out_;
};

}  // namespace

std::vector<std::int32_t> partners(std::span<const std::uint32_t> a, std::span<const std::uint32_t> b) {
    return Matcher(a, b).run();
}

std::vector<Stretch> stretches(std::span<const std::uint32_t> base, std::span<const std::uint32_t> ours,
                               std::span<const std::uint32_t> theirs) {
    const auto in_ours = partners(base, ours);
    const auto in_theirs = partners(base, theirs);
    std::vector<Stretch> out;
    Stretch between;
    const auto close = [&](std::uint32_t b, std::uint32_t o, std::uint32_t t) {
        between.base.end = b;
        between.ours.end = o;
        between.theirs.end = t;
        if (between.base.size() + between.ours.size() + between.theirs.size() > 0) out.push_back(between);
    };
    for (std::uint32_t b = 0; b < base.size(); ++b) {
        if (in_ours[b] < 0 || in_theirs[b] < 0) continue;
        const auto o = static_cast<std::uint32_t>(in_ours[b]);
        const auto t = static_cast<std::uint32_t>(in_theirs[b]);
        close(b, o, t);
        out.push_back({true, {b, b + 1}, {o, o + 1}, {t, t + 1}});
        between = {false, {b + 1, 0}, {o + 1, 0}, {t + 1, 0}};
    }
    close(static_cast<std::uint32_t>(base.size()), static_cast<std::uint32_t>(ours.size()),
          static_cast<std::uint32_t>(theirs.size()));
    return out;
}

}  // namespace scruple::merging
