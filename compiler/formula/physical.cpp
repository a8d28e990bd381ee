#include "formula/physical.h"

#include "formula/wording.h"
#include "num/decimal.h"

namespace scruple {

double density_of(const Model& model, MaterialId id, std::vector<Assumption>* assumptions) {
    const Material& material = model.materials[id];
    if (!material.density || !(material.density->g_per_ml.typical > 0)) return 0;
    const Density& density = *material.density;
    // A maker's own oil may be `like` a library one and keep its density: then the figure stands in
    // another file.
    const bool makers_own =
        !material.header.from_library && density.span.file == material.header.span.file;
    if (assumptions && !makers_own) {
        assume(*assumptions,
               std::string(material.header.name) + " weighs " +
                   format_trimmed(density.g_per_ml.typical, 4) + " g/ml",
               source_words(model, density.source));
    }
    return density.g_per_ml.typical;
}

double drops_per_ml(const Model& model, MaterialId id, std::vector<Assumption>* assumptions) {
    const Material& material = model.materials[id];
    const double drops = dropper_of(model, id).to_double();
    if (assumptions) {
        const bool own = material.drops_per_ml && material.drops_per_ml->sign() > 0;
        const bool workshops =
            model.workshop.drops_per_ml && model.workshop.drops_per_ml->sign() > 0;
        if (own && material.header.from_library) {
            assume(*assumptions,
                   "a millilitre of " + std::string(material.header.name) + " is " +
                       format_trimmed(drops, 4) + " drops",
                   material.sources.empty() ? "common practice, no source"
                                            : source_words(model, material.sources[0]));
        } else if (!own && !workshops) {
            assume(*assumptions, "a dropper gives 20 drops/ml", "common practice, no source");
        }
    }
    return drops;
}

bool counts_as_fat(std::string_view role) {
    return role == "wax" || role == "butter" || role == "fixed_oil";
}

bool takes_up_oils(const Material& material) {
    const auto& role = material.role;
    return role == "fixed_oil" || (role == "wax" && material.state == "liquid");
}

void assume_additive_volumes(std::vector<Assumption>& assumptions) {
    assume(assumptions, "volumes add up when the lines are mixed", "common practice, no source");
}

}  // namespace scruple
