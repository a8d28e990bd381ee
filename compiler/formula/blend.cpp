#include <cmath>

#include "formula/formula.h"
#include "formula/physical.h"
#include "formula/wording.h"
#include "num/apportion.h"

namespace scruple {
namespace {

std::vector<BlendFigures::Line> lines_of(const Blend& blend) {
    std::vector<BlendFigures::Line> lines;
    lines.reserve(blend.lines.size());
    for (const auto& row : blend.lines) {
        if (row.material == kNone || row.amount.sign() <= 0 || row.amount.overflowed()) continue;
        BlendFigures::Line line;
        line.material = row.material;
        line.amount = row.amount;
        line.span = row.name_span.known() ? row.name_span : row.span;
        lines.push_back(line);
    }
    return lines;
}

void share_out_notes(const Model& model, BlendFigures& figures) {
    for (const auto& line : figures.lines) {
        switch (model.materials[line.material].note) {
            case Note::top: figures.note_share[0] += line.share_vv; break;
            case Note::top_middle:
                figures.note_share[0] += line.share_vv / 2;
                figures.note_share[1] += line.share_vv / 2;
                break;
            case Note::middle: figures.note_share[1] += line.share_vv; break;
            case Note::base: figures.note_share[2] += line.share_vv; break;
            case Note::unknown: figures.note_unknown += line.share_vv; break;
        }
    }
}

}  // namespace

std::optional<NearRatio> near_ratio(const BlendFigures& figures) {
    constexpr std::int64_t kFewParts = 40;   // such a ratio is simple already
    constexpr std::int64_t kMostParts = 200;
    std::int64_t own = 0;
    const auto& whole = figures.whole_ratio;
    for (const std::int64_t part : whole) own = part > kMostParts * 2 || own > kMostParts * 2 ? kMostParts * 2 + 1 : own + part;
    if (figures.lines.size() < 2 || (!whole.empty() && own <= kFewParts)) return std::nullopt;
    std::vector<Rational> amounts;
    for (const auto& line : figures.lines) {
        if (line.amount.overflowed()) return std::nullopt;
        amounts.push_back(line.amount);
    }
    const std::int64_t most = whole.empty() ? kMostParts : std::min(kMostParts, own / 2);
    NearRatio near = simplest_ratio(amounts, Rational(kNearRatioPercent, 100), most);
    if (near.parts.empty()) return std::nullopt;
    return near;
}

BlendFigures work_out(const Model& model, const Blend& blend, Bag& bag, bool assumptions) {
    BlendFigures figures;
    std::vector<Assumption>* said = assumptions ? &figures.assumptions : nullptr;
    figures.lines = lines_of(blend);
    const std::size_t count = figures.lines.size();
    if (count == 0) return figures;

    std::vector<Rational> amounts;
    amounts.reserve(count);
    for (const auto& line : figures.lines) {
        if (line.amount.overflowed()) return figures;
        amounts.push_back(line.amount);
    }
    figures.whole_ratio = smallest_whole_ratio(amounts);

    std::vector<double> mass(count), volume(count);
    double total_mass = 0, total_volume = 0;
    bool densities_known = true;
    const bool by_weight = blend.measure == Measure::mass;
    for (std::size_t i = 0; i < count; ++i) {
        const auto& line = figures.lines[i];
        const double density = density_of(model, line.material, said);
        const double amount = line.amount.to_double();
        if (density <= 0) {
            densities_known = false;
            // By weight, or alone, the shares by weight need no density.
            if (!by_weight && count > 1) {
                const std::string name = material_name(model, line.material);
                bag.add(Code::no_density, line.span,
                        name +
                            " has no density, and this blend is counted by volume: its weight "
                            "cannot be known")
                    .label("counted by volume")
                    .note("give " + name + " a `density`, or count the blend `by weight`");
            }
        }
        if (by_weight) {
            mass[i] = amount;
            volume[i] = density > 0 ? amount / density : 0;
        } else {
            volume[i] = blend.measure == Measure::drops
                            ? amount / drops_per_ml(model, line.material, said)
                            : amount;
            mass[i] = volume[i] * density;
        }
        total_mass += mass[i];
        total_volume += volume[i];
    }
    if (!densities_known && !by_weight && count > 1) return figures;

    figures.complete = true;
    for (std::size_t i = 0; i < count; ++i) {
        auto& line = figures.lines[i];
        line.share_ww = count == 1 ? 1 : mass[i] / total_mass;
        if (densities_known || count == 1)
            line.share_vv = count == 1 ? 1 : volume[i] / total_volume;
    }
    if (densities_known) {
        figures.density = total_mass / total_volume;
        if (count > 1 && said) assume_additive_volumes(*said);
    }
    if (densities_known || count == 1) {
        share_out_notes(model, figures);
    } else {
        figures.note_unknown = 1;  // the volumes are not known, so no note's share is
    }
    return figures;
}

Blend with_lots(const Model& model, const Product& product) {
    Blend blend = model.blends[product.blend];
    for (auto& line : blend.lines) line.material = model.in_product(product, line.material);
    return blend;
}

}  // namespace scruple
