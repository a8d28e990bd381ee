#include <algorithm>
#include <cmath>

#include "formula/base_lines.h"
#include "formula/drops.h"
#include "formula/formula.h"
#include "formula/physical.h"
#include "formula/weigh.h"
#include "formula/wording.h"
#include "num/decimal.h"

namespace scruple {
namespace {

constexpr double kShareTolerance = 1e-12;  // of a share; rows such as 0.7 + 0.3 are not exact in binary

/// One product on its way from text to grams. `run` gives up where a figure is missing: the formula stays incomplete.
class Working {
public:
    Working(const Model& model, const Product& product, const BlendFigures& blend, Bag& bag,
            const FormulaOptions& options)
        : model_(model), product_(product), format_(model.formats[product.format]), own_blend_(blend), blend_(&blend),
          bag_(bag), load_(options.load ? *options.load : product.load),
          units_(std::max<std::int64_t>(1, options.units ? *options.units : product.units)), say_(options.for_sheet) {}

    Formula run() {
        if (!own_blend_.complete) return std::move(out_);
        if (!lay_base() || !plan_drops()) return std::move(out_);
        place_blend();
        double w = 0;
        if (!solve(w) || !check_shares(w)) return std::move(out_);
        out_.load_ww = w;
        if (!fill_batch(w)) return std::move(out_);
        out_.complete = true;
        readings(w);
        check_usual_load();
        check_room();
        weigh(model_, product_, out_, bag_, say_);
        if (say_ && out_.scale_assumed) assume(out_.assumptions, "the scale reads to 0.01 g", "common practice, no source");
        return std::move(out_);
    }

private:
    std::string name() const { return std::string(product_.header.name); }
    bool by_volume() const { return product_.content.dimension == kVolume; }
    double content() const { return product_.content.value.to_double(); }

    bool lay_base() {
        BaseLayout base = lay_out(model_, product_);
        out_.phases = std::move(base.phases);
        if (base.too_long) {
            bag_.add(Code::formula_too_long, load_place(product_),
                     "the base of " + name() + " comes to more than " +
                         std::to_string(ResourceLimits{}.formula_lines) + " lines");
            return false;
        }
        if (base.lines.empty() && load_.kind != LoadKind::neat) {
            bag_.add(Code::no_base, load_place(product_), name() + " has nothing to put the blend in")
                .note("say what it goes into, with `in` and a carrier or base, or write `at neat` if it is the blend alone");
            return false;
        }
        if (load_.kind == LoadKind::neat && base.of_total <= kShareTolerance) base.lines.clear();
        out_.lines = std::move(base.lines);
        rests_ = std::move(base.rests);
        of_total_ = base.of_total;
        blend_phase_ = base.blend_phase;
        for (auto& line : out_.lines) line.density = density_of(model_, line.material, say_ ? &base_assumptions_ : nullptr);
        return true;
    }

    bool plan_drops() {
        if (load_.kind != LoadKind::up_to_drops && load_.kind != LoadKind::between_drops) return true;
        if (!need_blend_density("drops have a weight only through the oils' densities")) return false;
        auto planned = drop_plan(model_, product_, own_blend_, load_, bag_);
        if (!planned) return false;
        dropped_ = std::move(*planned);
        blend_ = &dropped_->blend;
        out_.drop_plan = dropped_->plan;
        return true;
    }

    void place_blend() {
        out_.assumptions = blend_->assumptions;
        for (const auto& a : base_assumptions_) assume(out_.assumptions, a.what, a.source);
        std::vector<FormulaLine> oils;
        oils.reserve(blend_->lines.size());
        for (std::size_t i = 0; i < blend_->lines.size(); ++i) {
            const auto& from = blend_->lines[i];
            FormulaLine line;
            line.material = from.material;
            line.role = LineRole::blend;
            line.phase = blend_phase_;
            line.share = {0, from.share_ww};
            line.density = density_of(model_, from.material, nullptr);
            line.span = from.span;
            if (dropped_) line.whole_drops = dropped_->plan.drops[i];
            oils.push_back(std::move(line));
        }
        auto at = std::find_if(out_.lines.begin(), out_.lines.end(),
                               [&](const FormulaLine& l) { return l.phase > blend_phase_; });
        out_.lines.insert(at, std::make_move_iterator(oils.begin()), std::make_move_iterator(oils.end()));
    }

    /// Names, once a product, every material whose density is missing. `blend_too`: the oils' as well.
    bool report_missing_density(const std::string& why, bool blend_too) {
        std::vector<std::string> names;
        Span first;
        for (const auto& line : out_.lines) {
            if (line.density > 0 || (line.role == LineRole::blend && !blend_too)) continue;
            const std::string missing = material_name(model_, line.material);
            if (std::find(names.begin(), names.end(), missing) != names.end()) continue;
            if (names.empty()) first = line.span;
            names.push_back(missing);
        }
        auto found = bag_.add(Code::no_density, load_place(product_),
                              list_text(names) + (names.size() == 1 ? " has" : " have") + " no density: " + why);
        if (first.known()) found.also(first, "its density is not known");
        found.note("give it a `density`, or state the content in grams and the load by weight");
        return false;
    }

    bool need_blend_density(const std::string& why) {
        if (own_blend_.density > 0) return true;
        std::vector<std::string> names;
        for (const auto& line : own_blend_.lines) {
            if (density_of(model_, line.material, nullptr) <= 0) names.push_back(material_name(model_, line.material));
        }
        bag_.add(Code::no_density, load_place(product_),
                 list_text(names) + (names.size() == 1 ? " has" : " have") + " no density: " + why)
            .note("give it a `density`, or state the load as a percentage by weight");
        return false;
    }

    /// The load in one basis to the blend's share by weight.
    bool through_scale(double in_basis, Basis basis, Of of, double& w) {
        const auto scale = LoadScale::make(model_, product_, *blend_, out_.lines, basis, of);
        if (!scale) return report_missing_density("a load by volume cannot be weighed without it", true);
        w = scale->to_ww(in_basis);
        if ((of == Of::fats || of == Of::wax) && w == 0 && in_basis > 0) {
            bag_.add(Code::wrong_basis, load_place(product_),
                     std::string("a load ") + (of == Of::wax ? "of wax" : "of fats") + ", and nothing in the base is a wax, butter or fixed oil")
                .note("state the load of the total instead");
            return false;
        }
        uses_volumes_ = uses_volumes_ || basis != Basis::ww;
        return true;
    }

    bool solve(double& w) {
        switch (load_.kind) {
            case LoadKind::neat: w = 1; return true;
            case LoadKind::percent: return through_scale(load_.value.to_double(), load_.basis, load_.of, w);
            case LoadKind::mass:
                if (!by_volume()) return (w = load_.value.to_double() / content()), true;
                return through_scale(load_.value.to_double() / content(), Basis::wv, Of::total, w);
            case LoadKind::volume: return solve_volume(load_.value.to_double(), w);
            case LoadKind::up_to_drops:
            case LoadKind::between_drops: return solve_volume(dropped_->volume_ml, w);
        }
        return false;
    }

    bool solve_volume(double volume_ml, double& w) {
        if (by_volume()) return through_scale(volume_ml / content(), Basis::vv, Of::total, w);
        if (!need_blend_density("a volume of blend cannot be weighed without it")) return false;
        w = volume_ml * blend_->density / content();
        return true;
    }

    bool check_shares(double w) {
        if (!(w <= 1 + kShareTolerance) || w + of_total_ > 1 + kShareTolerance) {
            std::string message = "the load of " + name() + " is more than the whole product";
            if (w <= 1 + kShareTolerance) {
                message = "the blend takes " + percent_text(w) + " and the rows of the total " + percent_text(of_total_) +
                          ": together more than the whole";
            } else if (std::isfinite(w)) {
                message = "the blend comes to " + percent_text(w) + " of " + name() + ", and 100 % is the whole";
            }
            bag_.add(Code::load_over_whole, load_place(product_), std::move(message))
                .note("lower the load, or leave the base less of the total");
            return false;
        }
        for (const auto& rest : rests_) {
            if (rest.share.at(w) >= -kShareTolerance) continue;
            const std::string what = rest.base != kNone ? std::string(model_.bases[rest.base].header.name)
                                                        : material_name(model_, rest.material);
            auto found = bag_.add(Code::rest_of_nothing, load_place(product_),
                                  "nothing is left for " + what + ", which takes the rest: the other rows and the blend, " +
                                      percent_text(w) + ", come to more than the whole");
            if (rest.span.known()) found.also(rest.span, "takes the rest");
            found.note("lower the load, or the other rows of the base");
            return false;
        }
        return true;
    }

    bool fill_batch(double w) {
        bool all_densities = true;
        double ml_per_gram = 0;
        for (auto& line : out_.lines) {
            line.fraction = line.share.at(w);
            if (line.role == LineRole::base && line.fraction <= kShareTolerance) {
                line.fraction = 0;  // nothing is left for it
                continue;
            }
            if (line.density > 0) {
                ml_per_gram += line.fraction / line.density;
            } else {
                all_densities = false;
            }
        }
        if (by_volume() && !all_densities) {
            return report_missing_density(amount_text(content(), "ml") + " of " + name() + " cannot be weighed without it", true);
        }
        out_.extra = product_.extra ? product_.extra->to_double() : 0;
        const double made = static_cast<double>(units_) * (1 + out_.extra);
        if (by_volume()) {
            out_.unit_volume_ml = content();
            out_.unit_mass_g = content() / ml_per_gram;
        } else {
            out_.unit_mass_g = content();
            if (all_densities) out_.unit_volume_ml = content() * ml_per_gram;
        }
        out_.batch_mass_g = out_.unit_mass_g * made;
        if (out_.unit_volume_ml) out_.batch_volume_ml = *out_.unit_volume_ml * made;
        for (auto& line : out_.lines) {
            line.mass_g = out_.batch_mass_g * line.fraction;
            if (line.density <= 0) continue;
            line.volume_ml = line.mass_g / line.density;
            if (line.role == LineRole::blend) {
                line.drops = *line.volume_ml * drops_per_ml(model_, line.material, say_ ? &out_.assumptions : nullptr);
            }
        }
        const bool mixed = out_.lines.size() > 1 && out_.unit_volume_ml.has_value();
        if (say_ && (mixed || uses_volumes_)) assume_additive_volumes(out_.assumptions);
        return true;
    }

    /// The load as other bases read it, and what else was not stated.
    void readings(double w) {
        const auto read = [&](Basis basis, Of of) -> std::optional<double> {
            const auto scale = LoadScale::make(model_, product_, *blend_, out_.lines, basis, of);
            if (!scale) return std::nullopt;
            const double value = scale->from_ww(w);
            if (!std::isfinite(value)) return std::nullopt;
            return value;
        };
        out_.load_vv = read(Basis::vv, Of::total);
        out_.load_in_basis = read(format_.load_basis, format_.load_of);
        double drops = 0;
        bool known = true;
        for (const auto& line : out_.lines) {
            if (line.role != LineRole::blend) continue;
            known = known && line.drops.has_value();
            drops += line.drops.value_or(0);
        }
        if (known) out_.drops_per_unit = drops * out_.unit_mass_g / out_.batch_mass_g;

        if (!say_) return;
        const std::string source = format_.sources.empty() ? "common practice, no source" : source_words(model_, format_.sources[0]);
        const std::string format(format_.header.name);
        if (load_.from_format) {
            const std::string load = load_.kind == LoadKind::neat
                                         ? "neat"
                                         : load_text(percent_text(load_.value.to_double()), load_.basis, load_.of);
            assume(out_.assumptions, "the load is the usual one of " + format + ": " + load, source);
        }
        if (product_.extra_source == "format" && out_.extra > 0) {
            assume(out_.assumptions, "the loss in making is the usual one of " + format + ": " + percent_text(out_.extra), source);
        }
    }

    void check_usual_load() {
        // Neat is no slip of the hand: on skin it is refused for what it is.
        if (load_.from_format || load_.kind == LoadKind::neat || !out_.load_in_basis || format_.load_neat) return;
        const double value = *out_.load_in_basis;
        const bool under = format_.load_low && value < format_.load_low->to_double() * (1 - 1e-9);
        const bool over = format_.load_high && value > format_.load_high->to_double() * (1 + 1e-9);
        if (!under && !over) return;
        std::string usual;
        if (format_.load_low && format_.load_high) {
            usual = load_text(format_significant(format_.load_low->to_double() * 100, 3) + " to " +
                                  percent_text(format_.load_high->to_double()),
                              format_.load_basis, format_.load_of);
        } else {
            const auto& bound = format_.load_low ? *format_.load_low : *format_.load_high;
            usual = (format_.load_low ? "at least " : "at most ") +
                    load_text(percent_text(bound.to_double()), format_.load_basis, format_.load_of);
        }
        auto found = bag_.add(Code::unusual_load, load_place(product_),
                              load_text(percent_text(value), format_.load_basis, format_.load_of) + " is " +
                                  (under ? "less" : "more") + " than is usual in " + std::string(format_.header.name) +
                                  ": " + usual);
        if (!format_.sources.empty()) found.note(source_words(model_, format_.sources[0]));
    }

    void check_room() {
        if (!product_.brim_ml || !out_.unit_volume_ml) return;
        const double brim = product_.brim_ml->to_double();
        if (*out_.unit_volume_ml <= brim * (1 + 1e-9)) return;
        auto found = bag_.add(Code::no_room, product_.content_span.known() ? product_.content_span : load_place(product_),
                              amount_text(*out_.unit_volume_ml, "ml") + " do not fit: the container holds " +
                                  amount_text(brim, "ml") + " to the brim");
        if (product_.brim_span.known()) found.also(product_.brim_span, "the container");
    }

    const Model& model_;
    const Product& product_;
    const Format& format_;
    const BlendFigures& own_blend_;
    const BlendFigures* blend_;  // as dropped, where the load counts drops
    Bag& bag_;
    Load load_;
    std::int64_t units_;
    bool say_;  // for a sheet: with what only a sheet prints
    Formula out_;
    std::vector<RestRow> rests_;
    std::vector<Assumption> base_assumptions_;
    std::optional<DroppedBlend> dropped_;
    double of_total_ = 0;
    std::uint32_t blend_phase_ = 0;
    bool uses_volumes_ = false;
};

}  // namespace

Formula work_out(const Model& model, const Product& product, const BlendFigures& blend, Bag& bag,
                 const FormulaOptions& options) {
    Formula nothing;
    if (product.format >= model.formats.size() || product.blend >= model.blends.size()) return nothing;
    if (product.content.value.sign() <= 0 || product.content.value.overflowed()) return nothing;
    return Working(model, product, blend, bag, options).run();
}

}  // namespace scruple
