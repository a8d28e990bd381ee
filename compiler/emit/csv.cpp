// Lines of blends and products as comma-separated values.
#include "emit/csv_writer.h"
#include "emit/emit.h"
#include "emit/figures.h"
#include "emit/lots.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple {

using namespace emit;

namespace {

constexpr std::string_view kColumns[] = {
    "kind",       "id",     "name",     "blend",     "format", "units",
    "phase",      "role",   "material", "title",     "parts",  "percent_vv",
    "percent_ww", "mass_g", "weigh_g",  "volume_ml", "drops",  "lot",
    "cost",       "currency"};

std::string_view name_of(const Model& model, MaterialId material) {
    return material < model.materials.size() ? model.materials[material].header.name
                                             : std::string_view();
}

/// What a line costs, and in what: nothing where that is not known, or where its base is bought ready-made.
void add_line_cost(CsvWriter& csv, const Document& document, const Product& product, const FormulaLine& line) {
    const bool ready = line.role == LineRole::base && product.base_id != kNone && document.prices &&
                       document.prices->of_base(product.base_id).row;
    const auto price = document.prices && !ready ? document.prices->of_material(line.material).money : std::nullopt;
    if (!price) {
        csv.nothing(2);
        return;
    }
    csv.number(line.mass_g * *price);
    csv.text(document.prices->currency());
}

void add_blend(CsvWriter& csv, const Document& document, BlendId id) {
    const Model& model = *document.model;
    const Blend& blend = model.blends[id];
    const BlendFigures& figures = (*document.blend_figures)[id];
    for (const BlendFigures::Line& line : figures.lines) {
        csv.text("blend");
        csv.text(blend.header.name);
        csv.text(blend.header.title);
        csv.text(blend.header.name);
        csv.nothing(3);
        csv.text("blend");
        csv.text(name_of(model, line.material));
        csv.text(title_of(model, line.material));
        csv.text(parts_text(blend, line.amount));
        if (figures.complete) {
            volumes_known(figures) ? csv.number(line.share_vv * 100) : csv.nothing();
            csv.number(line.share_ww * 100);
        } else {
            csv.nothing(2);
        }
        csv.nothing(7);
    }
}

void add_product(CsvWriter& csv, const Document& document, ProductId id) {
    const Model& model = *document.model;
    const Product& product = model.products[id];
    const Formula& formula = (*document.formulas)[id];
    const std::string units = std::to_string(made_units(product, formula));
    for (const FormulaLine& line : formula.lines) {
        csv.text("product");
        csv.text(product.header.name);
        csv.text(product.header.title);
        csv.text(product.blend < model.blends.size() ? model.blends[product.blend].header.name
                                                     : std::string_view());
        csv.text(product.format < model.formats.size() ? model.formats[product.format].header.name
                                                       : std::string_view());
        csv.text(units);
        csv.text(line.phase < formula.phases.size() ? formula.phases[line.phase].name
                                                    : std::string());
        csv.text(line.role == LineRole::blend ? "blend" : "base");
        csv.text(name_of(model, line.material));
        csv.text(title_of(model, line.material));
        csv.nothing(2);
        if (!formula.complete) {
            // Amounts that are not known stay empty: a zero would be read as a figure.
            csv.nothing(5);
            csv.text(lot_number(model, line.material));
            csv.nothing(2);
            continue;
        }
        csv.number(line.fraction * 100);
        csv.number(line.mass_g);
        csv.text(formula.batch_divisions > 0
                     ? weighed_text(line.divisions, formula.scale_division_g)
                     : "");
        csv.number(line.volume_ml);
        csv.number(line.drops);
        csv.text(lot_number(model, line.material));
        add_line_cost(csv, document, product, line);
    }
}

}  // namespace

std::string emit_csv(const Document& document) {
    CsvWriter csv(kColumns);
    for (BlendId blend : document.blends) add_blend(csv, document, blend);
    for (ProductId product : document.products) add_product(csv, document, product);
    return csv.take();
}

}  // namespace scruple
