// A product worked out: every line in grams, millilitres, drops and per cent, for one batch. Pure functions of the
// model; nothing here knows the text.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/limits.h"
#include "diag/diagnostic.h"
#include "library/model.h"
#include "num/apportion.h"

namespace scruple {

/// A figure that the maker did not state. Printed on every sheet.
struct Assumption {
    std::string what;       // "an oil weighs 0.88 g/ml"
    std::string source;     // where it comes from, with its standing
    friend bool operator==(const Assumption&, const Assumption&) = default;
};

/// A blend by itself: shares by volume and by weight.
struct BlendFigures {
    struct Line {
        Rational amount;            // exact, in the blend's measure
        double share_vv = 0;        // 0..1
        double share_ww = 0;
        MaterialId material = kNone;
        Span span;
    };
    bool complete = false;          // false: a density is missing; shares by weight are not known
    std::vector<Line> lines;        // oils merged, in order of first appearance
    double density = 0;             // g/ml, additive volumes; 0: not known, and neither are shares by volume
    std::vector<std::int64_t> whole_ratio;  // smallest whole numbers, or empty
    double note_share[3] = {0, 0, 0};       // top, middle, base by volume; top_middle counts half each
    double note_unknown = 0;
    std::vector<Assumption> assumptions;
};

/// A much simpler ratio than the blend's own, each share within kNearRatioPercent of its own; none where there is none, or
/// where its own is simple already. Takes long beside all else that is known of a blend.
std::optional<NearRatio> near_ratio(const BlendFigures& figures);

/// How far a simpler ratio may be off in any share, as a fraction: 2 %, which no nose tells. A convention of this project.
inline constexpr int kNearRatioPercent = 2;

enum class LineRole : std::uint8_t { blend, base };

/// Share of the finished product that is affine in the blend's own share w: at_zero + slope * w (w/w).
struct Affine {
    double at_zero = 0;
    double slope = 0;
    double at(double w) const { return at_zero + slope * w; }
};

struct FormulaLine {
    MaterialId material = kNone;
    LineRole role = LineRole::base;
    std::uint32_t phase = 0;            // index into Formula::phases
    Affine share;                       // for blend lines: {0, share_ww in the blend}
    double fraction = 0;                // w/w of the finished product
    double mass_g = 0;                  // exact batch amount
    std::int64_t divisions = 0;         // what to weigh, in Formula::scale_division_g; lines add up
    double division_g = 0;              // of the scale that weighs this line: the finest that takes it
    std::optional<double> volume_ml;    // unknown without a density
    std::optional<double> drops;        // blend lines, through the dropper
    std::optional<std::int64_t> whole_drops;  // per unit, for loads in drops
    double density = 0;                 // g/ml, 0 if unknown
    bool too_light = false;             // under 20 divisions of the scale
    Span span;
};

struct FormulaPhase {
    std::string name;                   // "" where the base has none
    std::string title;
    std::optional<double> at_c;
    bool blend_here = false;
};

/// A premix that brings a line over 20 scale divisions: so much of the oil in so much of the carrier.
struct Premix {
    MaterialId material = kNone;
    MaterialId carrier = kNone;
    double oil_g = 0;
    double carrier_g = 0;
    double use_g = 0;                   // of the premix, in the batch
};

struct DropPlan {                       // for `up to` and `between`
    std::vector<std::int64_t> drops;    // by blend line
    std::int64_t total = 0;
    std::int64_t multiple = 0;          // 0: nearest ratio
    double worst_error = 0;             // relative
    std::int64_t smallest_fit = 0;
};

struct Formula {
    ProductId product = kNone;          // for the caller to set: a product does not know its own number
    bool complete = false;              // false: something is missing, amounts are not known
    double load_ww = 0;                 // blend's share of the finished product, w/w
    std::optional<double> load_vv;
    std::optional<double> load_in_basis;  // in the format's basis (fraction)
    std::optional<double> drops_per_unit; // of blend
    std::optional<DropPlan> drop_plan;
    double unit_mass_g = 0;
    std::optional<double> unit_volume_ml;
    double batch_mass_g = 0;
    std::optional<double> batch_volume_ml;
    double extra = 0;                   // fraction
    double scale_division_g = 0;        // of the finest scale in use
    bool scale_assumed = false;
    std::int64_t batch_divisions = 0;   // rounded total in divisions
    std::vector<FormulaPhase> phases;
    std::vector<FormulaLine> lines;     // base lines by phase, blend lines in their phase
    std::vector<Premix> premixes;
    std::vector<Assumption> assumptions;
};

/// How a share of the finished product by weight reads in the product's own basis, and back: what a maker types after
/// `at`. Closed forms; see the language reference, 'How much blend'. Either way gives infinity where no load does.
class LoadScale {
public:
    /// Nullopt where a density that the basis needs is missing.
    static std::optional<LoadScale> make(const Model& model, const Product& product, const BlendFigures& blend,
                                         const std::vector<FormulaLine>& lines, Basis basis, Of of);
    double to_ww(double in_basis) const;
    double from_ww(double ww) const;

private:
    // in_basis = w * top / (bottom_zero + bottom_slope * w)
    double top_ = 1;
    double bottom_zero_ = 1;
    double bottom_slope_ = 0;
};

/// Shares of one blend. Missing densities are reported once a material, on the blend row.
/// Without `assumptions` the words of what was taken as given are not made: only findings are wanted.
BlendFigures work_out(const Model& model, const Blend& blend, Bag& bag, bool assumptions = true);

/// The product's blend with the lots that it names in the place of their oils.
Blend with_lots(const Model& model, const Product& product);

/// The whole product. `make` and a load replace what the product says, for `--make` and for probing ceilings.
struct FormulaOptions {
    std::optional<std::int64_t> units;
    std::optional<Load> load;
    bool for_sheet = true;  // false: no words of what is taken as given and nothing rounded to the scale: only findings
                            // and verdicts are wanted
};
Formula work_out(const Model& model, const Product& product, const BlendFigures& blend, Bag& bag,
                 const FormulaOptions& options = {});

/// Parts that must keep dropper and density for `material`: drops per ml with the assumption it rests on.
double drops_per_ml(const Model& model, MaterialId material, std::vector<Assumption>* assumptions);

}  // namespace scruple
