#include "formula/weigh.h"

#include <algorithm>
#include <cmath>

#include "formula/physical.h"
#include "formula/wording.h"
#include "num/apportion.h"
#include "num/decimal.h"

namespace scruple {
namespace {

constexpr double kUsualDivision = 0.01;  // g; common practice, no source
constexpr double kMostDivisions = 4e15;  // whole numbers stay exact in doubles and in 64 bits

/// The scales that weigh the lines, each line on the finest that takes it by itself. Kept as they
/// are only if every coarser division is a whole number of the finest used, so that all lines count
/// in one unit.
struct Weighing {
    std::vector<double> divisions;      // of the scales, finest first
    std::vector<std::int64_t> units;    // how many of the unit each division is
    std::vector<std::size_t> scale_of;  // by line
};

Weighing choose_scales(const Model& model, const Product& product, Formula& formula, Bag& bag) {
    Weighing out;
    out.scale_of.assign(formula.lines.size(), 0);
    const auto& scales = model.workshop.scales;
    if (scales.empty()) {
        formula.scale_assumed = true;
        out.divisions = {kUsualDivision};
        out.units = {1};
        return out;
    }
    const auto takes = [&](std::size_t i, double mass) {
        return !scales[i].capacity_g || mass <= scales[i].capacity_g->to_double() * (1 + 1e-9);
    };
    const auto finest_for = [&](double mass) {
        std::size_t i = 0;
        while (i + 1 < scales.size() && !takes(i, mass)) ++i;
        return i;
    };
    std::size_t finest = scales.size() - 1;
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
        out.scale_of[i] = finest_for(formula.lines[i].mass_g);
        finest = std::min(finest, out.scale_of[i]);
    }
    bool whole = true;
    for (const auto& scale : scales) {
        const Rational units = scale.division_g / scales[finest].division_g;
        out.divisions.push_back(scale.division_g.to_double());
        out.units.push_back(units.is_whole() && units < Rational(1000000000)
                                ? static_cast<std::int64_t>(units.num())
                                : 1);
        whole = whole && (&scale < &scales[finest] || units.is_whole());
    }
    if (!whole) {  // one scale for all: the finest that takes the batch
        const std::size_t one = finest_for(formula.batch_mass_g);
        out.scale_of.assign(formula.lines.size(), one);
        out.units[one] = 1;
    }
    if (!takes(scales.size() - 1, formula.batch_mass_g)) {
        bag.add(Code::over_scale, load_place(product),
                "a batch of " + amount_text(formula.batch_mass_g, "g") +
                    " is more than the scale takes: " +
                    amount_text(scales.back().capacity_g->to_double(), "g"))
            .note("make it in several batches, or name a larger scale under `weighs_to`");
    }
    return out;
}

/// Index of the line that can carry `light` in a premix: the largest fixed oil or liquid wax, else
/// what the blend's own phase holds that oils mix with, else the largest other line of the blend.
std::size_t carrier_for(const Model& model, const Formula& formula, std::size_t light,
                        const std::vector<double>& left) {
    const std::size_t none = formula.lines.size();
    std::size_t best = none;
    const auto better = [&](std::size_t i) { return best == none || left[i] > left[best]; };
    const auto usable = [&](std::size_t i) { return i != light && !formula.lines[i].too_light; };
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
        const auto& line = formula.lines[i];
        if (line.role == LineRole::base && usable(i) &&
            takes_up_oils(model.materials[line.material]) && better(i))
            best = i;
    }
    if (best != none) return best;
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
        const auto& line = formula.lines[i];
        const auto& role = model.materials[line.material].role;
        if (line.role == LineRole::base && line.phase == formula.lines[light].phase && usable(i) &&
            (role == "solvent" || role == "solubiliser") && better(i)) {
            best = i;
        }
    }
    if (best != none) return best;
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
        if (formula.lines[i].role == LineRole::blend && usable(i) && better(i)) best = i;
    }
    return best;
}

/// Whether a premix in oil makes sense: an oil of the blend, or a base line that oils dissolve.
bool may_be_premixed(const Model& model, const FormulaLine& line) {
    const auto& role = model.materials[line.material].role;
    return line.role == LineRole::blend || role == "antioxidant" || role == "fixed_oil";
}

void plan_premixes(const Model& model, Formula& formula) {
    std::vector<double> left;  // of each line, after what earlier premixes take
    left.reserve(formula.lines.size());
    for (const auto& line : formula.lines) left.push_back(line.mass_g);
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
        const auto& line = formula.lines[i];
        if (!line.too_light || !may_be_premixed(model, line)) continue;
        const double least = kLeastDivisions * line.division_g;
        const std::size_t carrier = carrier_for(model, formula, i, left);
        if (carrier == formula.lines.size()) continue;
        // 1 part in k: (1 + k) * mass >= 20 divisions, and the oil itself is weighed at 20
        // divisions.
        const double parts = std::ceil(least / line.mass_g - 1 - 1e-9);
        const double needed = parts * line.mass_g;
        if (!(needed <= left[carrier])) continue;
        left[carrier] -= needed;
        Premix premix;
        premix.material = line.material;
        premix.carrier = formula.lines[carrier].material;
        premix.oil_g = least;
        premix.carrier_g = parts * least;
        premix.use_g = line.mass_g + needed;
        formula.premixes.push_back(premix);
    }
}

void report_light_lines(const Model& model, const Product& product, const Formula& formula,
                        Bag& bag) {
    std::vector<std::string> names;
    double division = 0,
           times =
               1;  // of the coarsest scale that a light line needs; lines nearly always share one
    for (const auto& line : formula.lines) {
        if (!line.too_light) continue;
        names.push_back(material_name(model, line.material) + " (" +
                        amount_text(line.mass_g, "g", 3) + ")");
        division = std::max(division, line.division_g);
        times = std::max(times, std::ceil(kLeastDivisions * line.division_g / line.mass_g - 1e-9));
    }
    auto found = bag.add(Code::too_light_to_weigh, load_place(product),
                         list_text(names) + (names.size() == 1 ? " is" : " are") +
                             " too light for a scale that reads to " + amount_text(division, "g") +
                             ": under " + amount_text(kLeastDivisions * division, "g") +
                             " it is off by more than 5 %");
    constexpr std::size_t kMostNotes = 8;
    for (std::size_t i = 0; i < formula.premixes.size() && i < kMostNotes; ++i) {
        const auto& p = formula.premixes[i];
        found.note("premix " + amount_text(p.oil_g, "g") + " " + material_name(model, p.material) +
                   " with " + amount_text(p.carrier_g, "g") + " " +
                   material_name(model, p.carrier) + ", and use " + amount_text(p.use_g, "g") +
                   " of it in place of the oil and of that much carrier");
    }
    if (times < 1e6) {
        found.note("a batch " + format_fixed(times, 0) + " times as large brings every line over");
    }
    if (formula.scale_assumed)
        found.note(
            "the scale is assumed: say what yours reads to under `weighs_to` of the workshop");
}

}  // namespace

void weigh(const Model& model, const Product& product, Formula& formula, Bag& bag, bool divisions_wanted) {
    const Weighing weighing = choose_scales(model, product, formula, bag);
    double unit = 0;
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
        auto& line = formula.lines[i];
        line.division_g = weighing.divisions[weighing.scale_of[i]];
        if (unit == 0 || line.division_g < unit) unit = line.division_g;
    }
    formula.scale_division_g = unit;
    if (!(unit > 0)) return;

    // Lines of one scale are rounded together; the batch is what all of them come to.
    for (std::size_t s = 0; divisions_wanted && s < weighing.divisions.size() && formula.batch_mass_g / unit < kMostDivisions; ++s) {
        std::vector<double> masses;
        std::vector<std::size_t> which;
        for (std::size_t i = 0; i < formula.lines.size(); ++i) {
            if (weighing.scale_of[i] != s) continue;
            masses.push_back(formula.lines[i].mass_g);
            which.push_back(i);
        }
        const auto divisions = round_lines(masses, weighing.divisions[s]);
        for (std::size_t k = 0; k < divisions.size() && k < which.size(); ++k) {
            formula.lines[which[k]].divisions = divisions[k] * weighing.units[s];
            formula.batch_divisions += divisions[k] * weighing.units[s];
        }
    }

    bool any = false;
    for (auto& line : formula.lines) {
        // Counted drops are not weighed.
        if (line.mass_g <= 0 || line.whole_drops) continue;
        line.too_light = line.mass_g / line.division_g < kLeastDivisions * (1 - 1e-9);
        any = any || line.too_light;
    }
    if (!any) return;
    plan_premixes(model, formula);
    report_light_lines(model, product, formula, bag);
}

}  // namespace scruple
