#include "formula/drops.h"

#include "formula/physical.h"
#include "formula/wording.h"
#include "num/apportion.h"

namespace scruple {
namespace {

std::string drops_text(std::int64_t drops) {
    return std::to_string(drops) + (drops == 1 ? " drop" : " drops");
}

}  // namespace

std::optional<DroppedBlend> drop_plan(const Model& model, const Product& product,
                                      const BlendFigures& blend, const Load& load, Bag& bag) {
    const Measure measure = model.blends[product.blend].measure;
    const std::size_t count = blend.lines.size();
    std::vector<Rational> parts;
    parts.reserve(count);
    for (const auto& line : blend.lines) {
        Rational drops = line.amount;
        if (measure == Measure::mass) drops /= exact_density_of(model, line.material);
        if (measure != Measure::drops) drops *= dropper_of(model, line.material);
        if (drops.overflowed()) {
            bag.add(Code::no_drops, load_place(product),
                    "the ratio of this blend is too fine to count in drops")
                .note("state the load as a percentage, or give the blend rounder amounts");
            return std::nullopt;
        }
        parts.push_back(drops);
    }

    const bool up_to = load.kind == LoadKind::up_to_drops;
    const DropFit fit = up_to ? fit_up_to(parts, load.most_drops)
                              : fit_between(parts, load.least_drops, load.most_drops);
    if (fit.drops.size() != count || fit.total <= 0) {
        auto found = bag.add(Code::no_drops, load_place(product),
                             "the ratio of " + std::to_string(count) + " oils cannot be made in " +
                                 (up_to ? "up to " : std::to_string(load.least_drops) + " to ") +
                                 drops_text(load.most_drops));
        found.label("every oil needs a drop at least");
        if (fit.smallest_fit > 0)
            found.note("the ratio needs " + drops_text(fit.smallest_fit) +
                       ", or a multiple of that");
        return std::nullopt;
    }

    DroppedBlend out;
    out.plan.drops = fit.drops;
    out.plan.total = fit.total;
    out.plan.multiple = fit.multiple;
    out.plan.worst_error = fit.worst_error.to_double();
    out.plan.smallest_fit = fit.smallest_fit;
    if (up_to && fit.multiple == 0) {
        auto found =
            bag.add(Code::no_multiple, load_place(product),
                    "no whole multiple of the ratio fits into " + drops_text(load.most_drops) +
                        ": the nearest, " + drops_text(fit.total) + ", is off by up to " +
                        percent_text(out.plan.worst_error, 2) + " for one oil");
        if (fit.smallest_fit > 0)
            found.note("the ratio fits exactly from " + drops_text(fit.smallest_fit) + " on");
    }

    out.blend = blend;
    double total_mass = 0;
    std::vector<double> mass(count), volume(count);
    for (std::size_t i = 0; i < count; ++i) {
        const auto id = blend.lines[i].material;
        volume[i] =
            static_cast<double>(fit.drops[i]) / drops_per_ml(model, id, &out.blend.assumptions);
        mass[i] = volume[i] * density_of(model, id, nullptr);
        out.volume_ml += volume[i];
        total_mass += mass[i];
    }
    // A whole multiple is the blend's own ratio: keep its figures to the last bit.
    if (fit.multiple == 0) {
        for (std::size_t i = 0; i < count; ++i) {
            out.blend.lines[i].share_ww = mass[i] / total_mass;
            out.blend.lines[i].share_vv = volume[i] / out.volume_ml;
        }
        out.blend.density = total_mass / out.volume_ml;
    }
    return out;
}

}  // namespace scruple
