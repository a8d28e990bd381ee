#include <limits>

#include "formula/formula.h"
#include "formula/physical.h"

namespace scruple {

// With w the blend's share by weight, rho its density, and every base line's share a_i + b_i w:
//   w/w of total   L = w
//   w/w of base    L = w / (A + B w),                     A = sum a_i,       B = sum b_i over the
//   lines that count v/v            L = (w/rho) / (w/rho + A' + B' w),     A' = sum a_i/rho_i, B' =
//   sum b_i/rho_i w/v            L = w / (w/rho + A' + B' w)            in g/ml, so that 1 g in 100
//   ml is 1 %
std::optional<LoadScale> LoadScale::make(const Model& model, const Product&,
                                         const BlendFigures& blend,
                                         const std::vector<FormulaLine>& lines, Basis basis,
                                         Of of) {
    const bool by_volume = basis != Basis::ww;
    LoadScale scale;
    if (by_volume && blend.density <= 0) return std::nullopt;
    scale.top_ = basis == Basis::vv ? 1 / blend.density : 1;
    if (!by_volume && of == Of::total) return scale;

    scale.bottom_zero_ = 0;
    scale.bottom_slope_ = of == Of::total ? 1 / blend.density : 0;
    for (const auto& line : lines) {
        if (line.role != LineRole::base) continue;
        if ((of == Of::fats || of == Of::wax) &&
            !counts_as_fat(model.materials[line.material].role))
            continue;
        double per_gram = 1;
        if (by_volume) {
            if (line.density <= 0) return std::nullopt;
            per_gram = 1 / line.density;
        }
        scale.bottom_zero_ += line.share.at_zero * per_gram;
        scale.bottom_slope_ += line.share.slope * per_gram;
    }
    return scale;
}

double LoadScale::to_ww(double in_basis) const {
    const double rest = top_ - in_basis * bottom_slope_;
    if (!(rest > 0)) return std::numeric_limits<double>::infinity();
    return in_basis * bottom_zero_ / rest;
}

double LoadScale::from_ww(double ww) const {
    const double bottom = bottom_zero_ + bottom_slope_ * ww;
    if (!(bottom > 0)) return std::numeric_limits<double>::infinity();
    return ww * top_ / bottom;
}

}  // namespace scruple
