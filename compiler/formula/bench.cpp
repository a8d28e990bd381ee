#include "formula/bench.h"

#include <algorithm>

#include "formula/physical.h"
#include "num/apportion.h"

namespace scruple {
namespace {

/// What the beaker was before, by material.
Rational share_in(const Beaker& beaker, const Rational& total, MaterialId material) {
    return beaker.empty() ? Rational() : beaker.of(material) / total;
}

void find_lead(const Model& model, BenchStep& step) {
    BlendFigures figures;
    for (const BeakerLine& line : step.lines) {
        BlendFigures::Line one;
        one.material = line.material;
        one.amount = line.amount;
        figures.lines.push_back(one);
    }
    figures.whole_ratio = step.whole_ratio;
    const Balance balance = smell_of(model, figures);
    step.odour_known = balance.all_known && !balance.oils.empty();
    for (std::size_t i = 0; i < balance.oils.size(); ++i) step.lines[i].odour = balance.oils[i].odour;
    if (!step.odour_known) return;
    const auto& oils = balance.oils;
    const auto most = std::max_element(oils.begin(), oils.end(), [](const auto& a, const auto& b) { return *a.odour < *b.odour; });
    const auto equals = std::count_if(oils.begin(), oils.end(), [&](const auto& oil) { return *oil.odour == *most->odour; });
    if (equals > 1) return;
    step.lead = Lead{most->material, *most->odour, most->sticks_out()};
}

bool work_out_step(const Model& model, const Beaker& before, const Beaker& now, const std::vector<BenchAmount>& added,
                   BenchStep& step) {
    step.total = now.total();
    if (step.total.overflowed() || step.total.sign() <= 0) return false;
    const Rational total_before = before.total();
    Beaker own;
    own.pour(added);
    std::vector<Rational> parts;
    parts.reserve(now.amounts().size());
    for (const BenchAmount& one : now.amounts()) {
        BeakerLine line;
        line.material = one.material;
        line.amount = one.amount;
        line.added = own.of(one.material);
        line.share = one.amount / step.total;
        line.share_before = share_in(before, total_before, one.material);
        if (line.share.overflowed() || line.share_before.overflowed()) return false;
        step.lines.push_back(line);
        parts.push_back(one.amount);
    }
    step.whole_ratio = smallest_whole_ratio(parts);
    find_lead(model, step);
    return true;
}

AddedDrops drops_added(const Model& model, const BenchAmount& one, Dim unit, std::vector<Assumption>& assumptions) {
    AddedDrops out;
    out.material = one.material;
    out.amount = one.amount;
    out.drops_per_ml = dropper_of(model, one.material);
    if (unit == Dim::drop) {
        out.drops = one.amount;
    } else if (unit == Dim::volume || unit == Dim::mass) {
        const Rational drops = millilitres_of(model, one.material, one.amount, unit) * out.drops_per_ml;
        if (!drops.overflowed()) out.drops = drops;
        (void)drops_per_ml(model, one.material, &assumptions);
        if (unit == Dim::mass) (void)density_of(model, one.material, &assumptions);
    }
    return out;
}

void assume_taking(const Model& model, const Bench& bench, std::vector<Assumption>& assumptions) {
    if (bench.start.unit == Dim::none || bench.start.unit == bench.unit) return;
    for (const BenchAmount& one : bench.start.amounts) {
        if (bench.unit == Dim::drop || bench.start.unit == Dim::drop) (void)drops_per_ml(model, one.material, &assumptions);
        if (bench.unit == Dim::mass || bench.start.unit == Dim::mass) (void)density_of(model, one.material, &assumptions);
    }
    if (bench.start.amounts.size() > 1) assume_additive_volumes(assumptions);
}

}  // namespace

const BenchStep* BenchTable::at(std::size_t row) const {
    const BenchStep* found = nullptr;
    for (const BenchStep& step : steps) {
        if (step.row == kStart || step.row <= row) found = &step;
    }
    return found;
}

BenchTable run_bench(const Model& model, const Bench& bench) {
    BenchTable table;
    if (bench.header.broken) return table;
    Beaker before;
    Beaker now;
    assume_taking(model, bench, table.assumptions);
    const auto step = [&](std::size_t row, const std::vector<BenchAmount>& added) {
        now.pour(added);
        BenchStep out;
        out.row = row;
        if (!work_out_step(model, before, now, added, out)) return false;
        if (row != kStart) {
            for (const BenchAmount& one : added) out.added.push_back(drops_added(model, one, bench.unit, table.assumptions));
        }
        before = now;
        table.steps.push_back(std::move(out));
        return true;
    };
    if (!bench.start.amounts.empty() && !step(kStart, bench.start.amounts)) return {};
    for (std::size_t i = 0; i < bench.rows.size(); ++i) {
        if (bench.rows[i].act != BenchAct::add) continue;
        std::vector<BenchAmount> added;
        for (const BenchEntry& entry : bench.rows[i].entries) {
            added.insert(added.end(), entry.amounts.begin(), entry.amounts.end());
        }
        if (!step(i, added)) return {};
    }
    return table;
}

Blend blend_at(const Bench& bench, std::size_t row) {
    Blend blend;
    blend.measure = bench.unit == Dim::mass ? Measure::mass : bench.unit == Dim::drop ? Measure::drops : Measure::volume;
    const Beaker beaker = in_beaker(bench, row + 1);
    for (const BenchAmount& one : beaker.amounts()) blend.lines.push_back({one.amount, one.material, {}, {}});
    blend.total = beaker.total();
    return blend;
}

}  // namespace scruple
