// Figures that several emitters share: columns rounded so that what is printed adds up, and which
// findings belong to a product.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "emit/document.h"

namespace scruple::emit {

/// The weighing table's texts, by formula line. Every column's printed lines add up to its printed
/// total.
struct WeighingFigures {
    std::vector<std::string> percent;
    std::vector<std::string> volume;  // "?" without a density
    std::string percent_total, percent_blend;
    std::string volume_total, volume_blend;  // "?" where a volume is not known
    std::int64_t divisions_total = 0, divisions_blend = 0;
    bool volumes_known = true;
    bool has_base = false;
};
WeighingFigures weighing_figures(const Formula& formula);

/// Shares by volume are known: every density is, or there is but one oil.
bool volumes_known(const BlendFigures& figures);

/// Units that the formula was worked out for (`--make` may replace the recipe's).
std::int64_t made_units(const Product& product, const Formula& formula);

/// Findings whose place is in this product's own rows.
std::vector<const Diagnostic*> findings_on(const Document& document, const Product& product);
/// The same and those on the rows of its blend and its base: what can keep a formula from being
/// worked out.
std::vector<const Diagnostic*> causes_of(const Document& document, const Product& product);

/// The base by its title, or what an unnamed one is made of; empty where there is none.
std::string base_title(const Model& model, const Product& product);

/// The product's steps, else its base's, else its format's, with `<in>`, `<blend>` and `<batch>`
/// filled in.
std::vector<std::string> filled_steps(const Document& document, const Product& product,
                                      const Formula& formula);

/// What the formula, the blend and the cost take as given, each once.
std::vector<Assumption> all_assumptions(const Document& document, ProductId id,
                                        const Formula& formula);
/// The same of a blend by itself.
std::vector<Assumption> blend_assumptions(const Document& document, BlendId id);

}  // namespace scruple::emit
