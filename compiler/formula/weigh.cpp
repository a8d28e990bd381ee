#include "formula/weigh.h"

#include <cmath>

#include "formula/physical.h"
#include "formula/wording.h"
#include "num/apportion.h"
#include "num/decimal.h"

namespace scruple {
namespace {

constexpr double kUsualDivision = 0.01;  // g; common practice, no source
constexpr double kMostDivisions = 4e15;  // whole numbers stay exact in doubles and in 64 bits

/// The finest scale that takes the batch; the last one, with a warning, if none does.
void choose_scale(const Model& model, const Product& product, Formula& formula, Bag& bag) {
    const auto& scales = model.workshop.scales;
    if (scales.empty()) {
        formula.scale_division_g = kUsualDivision;
        formula.scale_assumed = true;
        assume(formula.assumptions, "the scale reads to 0.01 g", "common practice, no source");
        return;
    }
    for (const auto& scale : scales) {
        formula.scale_division_g = scale.division_g.to_double();
        if (!scale.capacity_g || formula.batch_mass_g <= scale.capacity_g->to_double() * (1 + 1e-9))
            return;
    }
    bag.add(Code::over_scale, load_place(product),
            "a batch of " + amount_text(formula.batch_mass_g, "g") +
                " is more than the scale takes: " +
                amount_text(scales.back().capacity_g->to_double(), "g"))
        .note("make it in several batches, or name a larger scale under `weighs_to`");
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
    const double least = kLeastDivisions * formula.scale_division_g;
    std::vector<double> left;  // of each line, after what earlier premixes take
    left.reserve(formula.lines.size());
    for (const auto& line : formula.lines) left.push_back(line.mass_g);
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
        const auto& line = formula.lines[i];
        if (!line.too_light || !may_be_premixed(model, line)) continue;
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
                        double least_mass, Bag& bag) {
    const double least = kLeastDivisions * formula.scale_division_g;
    std::vector<std::string> names;
    for (const auto& line : formula.lines) {
        if (line.too_light)
            names.push_back(material_name(model, line.material) + " (" +
                            amount_text(line.mass_g, "g", 3) + ")");
    }
    auto found = bag.add(Code::too_light_to_weigh, load_place(product),
                         list_text(names) + (names.size() == 1 ? " is" : " are") +
                             " too light for a scale that reads to " +
                             amount_text(formula.scale_division_g, "g") + ": under " +
                             amount_text(least, "g") + " it is off by more than 5 %");
    constexpr std::size_t kMostNotes = 8;
    for (std::size_t i = 0; i < formula.premixes.size() && i < kMostNotes; ++i) {
        const auto& p = formula.premixes[i];
        found.note("premix " + amount_text(p.oil_g, "g") + " " + material_name(model, p.material) +
                   " with " + amount_text(p.carrier_g, "g") + " " +
                   material_name(model, p.carrier) + ", and use " + amount_text(p.use_g, "g") +
                   " of it in place of the oil and of that much carrier");
    }
    const double times = std::ceil(least / least_mass - 1e-9);
    if (times < 1e6) {
        found.note("a batch " + format_fixed(times, 0) + " times as large brings every line over");
    }
    if (formula.scale_assumed)
        found.note(
            "the scale is assumed: say what yours reads to under `weighs_to` of the workshop");
}

}  // namespace

void weigh(const Model& model, const Product& product, Formula& formula, Bag& bag) {
    choose_scale(model, product, formula, bag);
    const double division = formula.scale_division_g;
    if (!(division > 0)) return;

    std::vector<double> masses;
    masses.reserve(formula.lines.size());
    for (const auto& line : formula.lines) masses.push_back(line.mass_g);
    if (formula.batch_mass_g / division < kMostDivisions) {
        const auto divisions = round_lines(masses, division);
        for (std::size_t i = 0; i < divisions.size() && i < formula.lines.size(); ++i) {
            formula.lines[i].divisions = divisions[i];
            formula.batch_divisions += divisions[i];
        }
    }

    double least_mass = 0;
    bool any = false;
    for (auto& line : formula.lines) {
        // Counted drops are not weighed.
        if (line.mass_g <= 0 || line.whole_drops) continue;
        line.too_light = line.mass_g / division < kLeastDivisions * (1 - 1e-9);
        if (line.too_light && (!any || line.mass_g < least_mass)) least_mass = line.mass_g;
        any = any || line.too_light;
    }
    if (!any) return;
    plan_premixes(model, formula);
    report_light_lines(model, product, formula, least_mass, bag);
}

}  // namespace scruple
