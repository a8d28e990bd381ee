#include "formula/base_lines.h"

#include <algorithm>
#include <unordered_map>

#include "formula/physical.h"

namespace scruple {
namespace {

constexpr int kMaxDepth =
    64;  // sema has refused circles; this only keeps broken models from running away

class Layout {
public:
    Layout(const Model& model, const Product& product, BaseLayout& out)
        : model_(model), product_(product), out_(out) {}

    void outermost(const std::vector<BasePhase>& phases) {
        list(phases, Affine{1, -1}, 0, false);
        std::stable_sort(
            out_.lines.begin(), out_.lines.end(),
            [](const FormulaLine& a, const FormulaLine& b) { return a.phase < b.phase; });
    }

private:
    static constexpr std::size_t kMostRows = ResourceLimits{}.formula_lines;

    Affine row_share(const BaseRow& row, Affine whole) {
        const double fraction = row.fraction.to_double();
        if (row.of == Of::total) return {fraction, 0};
        return {whole.at_zero * fraction, whole.slope * fraction};
    }

    void list(const std::vector<BasePhase>& phases, Affine whole, int depth, bool inside) {
        Affine rest = whole;
        for (const auto& phase : phases) {
            for (const auto& row : phase.rows) {
                if (row.rest) continue;
                const Affine share = row_share(row, whole);
                rest.at_zero -= share.at_zero;
                rest.slope -= share.slope;
                if (row.of == Of::total) out_.of_total += share.at_zero;
            }
        }
        for (std::size_t p = 0; p < phases.size(); ++p) {
            if (!inside) phase_ = static_cast<std::uint32_t>(p);
            for (const auto& row : phases[p].rows) {
                if (++rows_ > kMostRows || depth > kMaxDepth) {
                    out_.too_long = true;
                    return;
                }
                const Affine share = row.rest ? rest : row_share(row, whole);
                const Span span = row.name_span.known() ? row.name_span : row.span;
                if (row.rest) {
                    const MaterialId rest_of = row.material == kNone ? kNone : model_.in_product(product_, row.material);
                    out_.rests.push_back({share, rest_of, row.base, span});
                }
                if (row.base != kNone) {
                    list(model_.bases[row.base].phases, share, depth + 1, true);
                } else if (row.material != kNone) {
                    line(model_.in_product(product_, row.material), share, span);
                }
            }
        }
    }

    void line(MaterialId material, Affine share, Span span) {
        const std::uint64_t key = std::uint64_t{phase_} << 32 | material;
        const auto [at, fresh] = places_.try_emplace(key, out_.lines.size());
        if (!fresh) {
            auto& there = out_.lines[at->second];
            there.share.at_zero += share.at_zero;
            there.share.slope += share.slope;
            return;
        }
        FormulaLine line;
        line.material = material;
        line.phase = phase_;
        line.share = share;
        line.span = span;
        out_.lines.push_back(line);
    }

    const Model& model_;
    const Product& product_;
    BaseLayout& out_;
    std::unordered_map<std::uint64_t, std::size_t> places_;  // of a phase's material among the lines
    std::uint32_t phase_ = 0;
    std::size_t rows_ = 0;
};

}  // namespace

BaseLayout lay_out(const Model& model, const Product& product) {
    BaseLayout out;
    bool placed = false;
    for (const auto& phase : model.phases(product)) {
        FormulaPhase made;
        made.name = std::string(phase.name);
        made.title = phase.title;
        if (phase.at_c) made.at_c = phase.at_c->to_double();
        if (phase.blend_here && !placed) {
            placed = true;
            out.blend_phase = static_cast<std::uint32_t>(out.phases.size());
        }
        out.phases.push_back(std::move(made));
    }
    if (out.phases.empty()) out.phases.emplace_back();
    if (!placed) out.blend_phase = static_cast<std::uint32_t>(out.phases.size() - 1);
    out.phases[out.blend_phase].blend_here = true;
    Layout(model, product, out).outermost(model.phases(product));
    return out;
}

}  // namespace scruple
