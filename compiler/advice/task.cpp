#include "advice/task.h"

#include <algorithm>
#include <cmath>

#include "formula/physical.h"

namespace scruple {

AdviceTask advice_task(const Model& model, const LimitTable& limits, const Product& product, bool typical) {
    AdviceTask task;
    task.model = &model;
    task.limits = &limits;
    task.cautions_of = std::make_shared<CautionsOf>(model);
    task.product = product;
    task.product.waivers.clear();
    task.blend = with_lots(model, product);
    task.typical = typical;
    return task;
}

bool Trial::within(const AdviceTask& task) const {
    if (!formula.complete || people.failing > 0) return false;
    if (!task.typical && people.warning > 0) return false;
    return std::none_of(judgement.checks.begin(), judgement.checks.end(), [&](const Check& check) {
        return check.verdict == Verdict::fails || (!task.typical && check.verdict == Verdict::warns);
    });
}

Trial try_blend(const AdviceTask& task, const Blend& blend) {
    Trial out;
    Bag said;  // what is found is read from the judgement
    out.blend = work_out(*task.model, blend, said, false);
    FormulaOptions options;
    options.for_sheet = false;
    out.formula = work_out(*task.model, task.product, out.blend, said, options);
    out.judgement = judge(*task.model, *task.limits, task.product, out.blend, out.formula, task.on);
    out.people = judge_people(*task.model, *task.cautions_of, task.product, out.blend, out.formula, Care::findings, said);
    return out;
}

Trial try_amounts(const AdviceTask& task, const std::vector<Rational>& amounts) {
    Blend blend = task.blend;
    blend.total = Rational();
    for (std::size_t i = 0; i < blend.lines.size(); ++i) {
        blend.lines[i].amount = amounts[i];
        blend.total += amounts[i];
    }
    std::erase_if(blend.lines, [](const BlendLine& line) { return line.amount.sign() <= 0; });
    return try_blend(task, blend);
}

std::vector<double> part_weights(const AdviceTask& task) {
    std::vector<double> out;
    const bool by_weight = task.blend.measure == Measure::mass;
    for (const auto& line : task.blend.lines) {
        double weight = 1;
        if (!by_weight) {
            weight = density_of(*task.model, line.material, nullptr);
            if (weight <= 0 && task.blend.lines.size() > 1) return {};
            if (weight <= 0) weight = 1;
            if (task.blend.measure == Measure::drops) weight /= drops_per_ml(*task.model, line.material, nullptr);
        }
        out.push_back(weight);
    }
    return out;
}

std::vector<double> shares_of(const std::vector<double>& weights, const std::vector<double>& amounts) {
    std::vector<double> out(weights.size());
    double total = 0;
    for (std::size_t i = 0; i < weights.size(); ++i) total += out[i] = weights[i] * amounts[i];
    for (double& x : out) x /= total;
    return out;
}

double distance(const std::vector<double>& a, const std::vector<double>& b) {
    double sum = 0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += std::fabs(a[i] - b[i]);
    return sum;
}

int changed_shares(const std::vector<double>& a, const std::vector<double>& b) {
    int out = 0;
    for (std::size_t i = 0; i < a.size(); ++i) out += std::fabs(a[i] - b[i]) > kSameShare;
    return out;
}

}  // namespace scruple
