#include "library/dropper.h"

#include "num/decimal.h"

namespace scruple {

Rational exact_density_of(const Model& model, MaterialId id) {
    const Material& material = model.materials[id];
    if (!material.density || !(material.density->g_per_ml.typical > 0)) return 0;
    // Six decimals are more than any densitometer gives.
    return parse_number(format_trimmed(material.density->g_per_ml.typical, 6)).value;
}

Rational dropper_of(const Model& model, MaterialId id) {
    const Material& material = model.materials[id];
    if (material.drops_per_ml && material.drops_per_ml->sign() > 0) return *material.drops_per_ml;
    if (model.workshop.drops_per_ml && model.workshop.drops_per_ml->sign() > 0) return *model.workshop.drops_per_ml;
    return Rational(kUsualDropsPerMl);
}

Rational millilitres_of(const Model& model, MaterialId material, const Rational& amount, Dim unit) {
    switch (unit) {
        case Dim::volume: return amount;
        case Dim::drop: return amount / dropper_of(model, material);
        case Dim::mass: return amount / exact_density_of(model, material);  // overflows where that is not known
        default: return Rational(Rational::Int{1}, Rational::Int{0});
    }
}

}  // namespace scruple
