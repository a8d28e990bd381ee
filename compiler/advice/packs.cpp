#include "advice/packs.h"

#include <algorithm>
#include <numeric>

#include "num/apportion.h"

namespace scruple {
namespace {

constexpr double kWorst[] = {0.02, 0.05, 0.1};
constexpr std::int64_t kMostPackParts = 400;

}  // namespace

std::vector<Pack> smaller_packs(const AdviceTask& task, const BlendFigures& blend) {
    std::vector<Pack> out;
    const std::size_t count = blend.lines.size();
    if (task.blend.percent || count < 2 || task.blend.lines.size() != count) return out;
    const auto own = std::accumulate(blend.whole_ratio.begin(), blend.whole_ratio.end(), std::int64_t{0});
    std::vector<Rational> amounts;
    for (const auto& line : task.blend.lines) amounts.push_back(line.amount);
    const std::vector<double> weights = part_weights(task);
    const std::int64_t most = std::min(blend.whole_ratio.empty() ? kMostPackParts : own - 1, kMostPackParts);
    std::size_t wanted = std::size(kWorst);
    for (auto total = static_cast<std::int64_t>(count); total <= most && wanted > 0; ++total) {
        const DropFit fit = fit_between(amounts, total, total);
        if (fit.drops.size() != count) continue;
        const double worst = fit.worst_error.to_double();
        if (worst > kWorst[wanted - 1]) continue;
        while (wanted > 0 && worst <= kWorst[wanted - 1]) --wanted;
        Pack pack;
        pack.parts = fit.drops;
        pack.total = fit.total;
        pack.worst = worst;
        if (!weights.empty() && blend.complete) {
            std::vector<double> now;
            for (const auto& line : blend.lines) now.push_back(line.share_ww);
            pack.distance = distance(now, shares_of(weights, std::vector<double>(pack.parts.begin(), pack.parts.end())));
        }
        out.push_back(std::move(pack));
    }
    std::reverse(out.begin(), out.end());
    return out;
}

}  // namespace scruple
