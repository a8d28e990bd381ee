// A blend measured out: grams, millilitres and drops of each oil, so that any of the three can be used at the bench.
#include "emit/figures.h"
#include "emit/page.h"
#include "emit/words.h"
#include "formula/physical.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

constexpr double kMeasured = 10;  // ml, or g of a blend by weight

std::string drops_text(double drops) { return format_fixed(drops, drops < 10 ? 1 : 0); }

}  // namespace

void add_measures(Page& page, const Document& document, BlendId id) {
    const Model& model = *document.model;
    const Blend& blend = model.blends[id];
    const BlendFigures& figures = (*document.blend_figures)[id];
    if (!figures.complete || !volumes_known(figures) || figures.density <= 0) return;
    const bool by_weight = blend.measure == Measure::mass;
    const double grams = by_weight ? kMeasured : kMeasured * figures.density;
    page.heading(by_weight ? "10 g of it" : "10 ml of it");
    Table table;
    table.columns = {{"", Align::left, true}, {"g", Align::right, false}, {"ml", Align::right, false},
                     {"drops", Align::right, false}, {"drops/ml", Align::right, false}};
    for (const BlendFigures::Line& line : figures.lines) {
        const double mass = grams * line.share_ww;
        const double volume = grams / figures.density * line.share_vv;
        const Rational dropper = dropper_of(model, line.material);
        table.line({title_of(model, line.material), format_fixed(mass, 2), format_fixed(volume, 2),
                    drops_text(volume * dropper.to_double()), format_trimmed(dropper, 1)});
    }
    page.table(std::move(table));
    page.paragraph("Drops differ by a factor of two between droppers: what is sold is weighed.");
}

}  // namespace scruple::emit
