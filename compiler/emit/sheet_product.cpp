// The page of a product: what it is, what to weigh, how to make it, how much to fill, and what is
// safe.
#include <algorithm>
#include <cmath>

#include "emit/figures.h"
#include "emit/lots.h"
#include "emit/page.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

std::string mass_and_volume(double mass_g, std::optional<double> volume_ml) {
    std::string text = amount_text(mass_g) + " g";
    if (volume_ml) text += ", " + amount_text(*volume_ml) + " ml";
    return text;
}

std::string severity_text(Severity severity) {
    switch (severity) {
        case Severity::error: return "error: ";
        case Severity::warning: return "warning: ";
        case Severity::note: return "note: ";
    }
    return "";
}

std::string basis_figure(const Model& model, const Product& product, const Formula& formula) {
    std::vector<std::string> parts;
    parts.push_back(percent_text(formula.load_ww) + " % w/w");
    if (formula.load_vv) parts.push_back(percent_text(*formula.load_vv) + " % v/v");
    const OwnBasis own = own_basis(model, product);
    const bool new_basis =
        own.basis == Basis::wv || (own.basis == Basis::ww && own.of != Of::total);
    if (formula.load_in_basis && new_basis && product.load.kind != LoadKind::percent) {
        parts.push_back(percent_text(*formula.load_in_basis) + " % " +
                        basis_code(own.basis, own.of));
    }
    if (formula.drops_per_unit) {
        const double drops = *formula.drops_per_unit;
        parts.push_back((drops < 20 ? format_fixed(drops, 1) : format_fixed(drops, 0)) +
                        " drops a unit");
    }
    return list_text(parts);
}

void add_facts(Page& page, const Document& document, ProductId id) {
    const Model& model = *document.model;
    const Product& product = model.products[id];
    const Formula& formula = (*document.formulas)[id];
    std::vector<std::pair<std::string, std::string>> facts;
    if (!document.on.empty()) facts.emplace_back("Date", plain(document.on));
    if (product.format < model.formats.size()) {
        const Format& format = model.formats[product.format];
        facts.emplace_back(
            "What", plain(format.header.title) + "; " + std::string(contact_text(format.contact)));
    }
    const bool sized = product.content.value.sign() > 0;
    std::string each = sized ? quantity_text(product.content) : "not known";
    if (formula.complete) {
        if (product.content.dimension == kVolume)
            each += ", " + amount_text(formula.unit_mass_g) + " g";
        if (product.content.dimension == kMass && formula.unit_volume_ml) {
            each += ", " + amount_text(*formula.unit_volume_ml) + " ml";
        }
    }
    if (product.brim_ml)
        each += "; the container takes " + format_trimmed(*product.brim_ml, 2) + " ml to the brim";
    facts.emplace_back("Each", each);

    const std::int64_t units = made_units(product, formula);
    std::string make = count_text(units, "unit", "units");
    if (formula.extra > 0) {
        make += " and " + format_trimmed(formula.extra * 100, 2) + " % over";
        if (product.extra_source == "workshop") make += " (the workshop's custom)";
        if (product.extra_source == "format") make += " (usual for the format)";
    }
    if (formula.complete)
        make += ": " + mass_and_volume(formula.batch_mass_g, formula.batch_volume_ml);
    facts.emplace_back("Make", make);

    if (product.blend < model.blends.size()) {
        const Header& blend = model.blends[product.blend].header;
        std::string text = plain(blend.title);
        if (plain(blend.title) != plain(blend.name)) text += " (" + plain(blend.name) + ")";
        // A product with a mistake in it may have got no load: that is not none of the blend.
        const bool loaded = product.load.kind != LoadKind::percent || product.load.value.sign() > 0;
        facts.emplace_back("Blend", text + ", " + (loaded ? load_text(product.load) : "how much of it is not known"));
        if (product.load.from_format)
            facts.emplace_back("", "which is the format's usual load; the recipe states none");
        if (formula.complete)
            facts.emplace_back("", "that is " + basis_figure(model, product, formula));
    }
    if (formula.complete && formula.drop_plan) {
        facts.emplace_back("Drops", drop_plan_text(*formula.drop_plan));
    }
    const std::string in = base_title(model, product);
    if (!in.empty()) facts.emplace_back("In", in);
    if (!product.line.empty()) facts.emplace_back("Line", plain(product.line));
    add_audience(facts, document, id);
    if (product.format < model.formats.size()) {
        const Format& format = model.formats[product.format];
        if (format.keeps_months) {
            facts.emplace_back("Keeps", "about " + format_trimmed(*format.keeps_months, 1) +
                                            " months, usual for the format");
        }
    }
    page.facts(std::move(facts));
}

/// Lines of one phase in their order: what belongs to the base, then the blend.
std::vector<std::size_t> lines_of(const Formula& formula, std::size_t phase, std::size_t phases,
                                  LineRole role) {
    std::vector<std::size_t> found;
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
        const FormulaLine& line = formula.lines[i];
        const std::size_t in = std::min<std::size_t>(line.phase, phases - 1);
        if (in == phase && line.role == role) found.push_back(i);
    }
    return found;
}

/// "Phase oil, at 40 C"; empty where the base has no phases.
std::string phase_text(const FormulaPhase& phase) {
    std::string text = phase.title.empty() ? plain(phase.name) : plain(phase.title);
    if (!text.empty()) text = "Phase " + text;
    if (phase.at_c)
        text += (text.empty() ? "At " : ", at ") + format_trimmed(*phase.at_c, 1) + " C";
    return text;
}

/// Says where the blend goes in.
std::string blend_heading(const std::string& phase, bool base_above, const std::string& blend) {
    if (phase.empty()) return "Blend: " + blend;
    return base_above ? "Into the same phase, the blend: " + blend
                      : phase + ", the blend: " + blend;
}

/// Grams with the decimals of the line's own scale; where others show more, the points still stand
/// in line.
std::string line_weight(const Formula& formula, const FormulaLine& line) {
    std::string finest = weighed_text(formula, line.divisions, line.mass_g);
    const double steps =
        line.division_g > 0 ? std::round(line.division_g / formula.scale_division_g) : 1;
    if (formula.batch_divisions == 0 || steps <= 1) return finest;
    const auto own =
        static_cast<std::int64_t>(std::llround(static_cast<double>(line.divisions) / steps));
    std::string text = weighed_text(own, line.division_g);
    if (text.size() < finest.size()) text.append(finest.size() - text.size(), ' ');
    return text;
}

std::string rounding_note(const Formula& formula) {
    if (formula.batch_divisions == 0)
        return "The scale cannot show this batch; grams are not rounded to it.";
    std::vector<double> divisions;
    for (const FormulaLine& line : formula.lines) {
        if (line.division_g > 0) divisions.push_back(line.division_g);
    }
    std::sort(divisions.begin(), divisions.end());
    divisions.erase(std::unique(divisions.begin(), divisions.end()), divisions.end());
    if (divisions.size() < 2) {
        return "Rounded to what the scale shows (" + weighed_text(1, formula.scale_division_g) +
               " g); the lines add up to the total.";
    }
    std::vector<std::string> texts;
    for (double division : divisions) texts.push_back(weighed_text(1, division) + " g");
    return "Each line is rounded to what the finest scale that takes it shows (" +
           list_text(texts) + "); the lines add up to the total.";
}

void add_weighing(Page& page, const Document& document, const Product& product,
                  const Formula& formula) {
    const Model& model = *document.model;
    const WeighingFigures figures = weighing_figures(formula);
    const bool whole_drops = formula.drop_plan.has_value();

    page.heading("Weigh");
    Table table;
    table.columns = {{"", Align::left, true},
                     {"% w/w", Align::right, false},
                     {"grams", Align::right, false},
                     {"ml", Align::right, false},
                     {whole_drops ? "drops each" : "drops", Align::right, false}};
    auto add = [&](std::size_t i) {
        const FormulaLine& line = formula.lines[i];
        std::string name = title_and_lot(model, line.material);
        if (line.too_light) name += " *";
        std::string drops;
        if (line.role == LineRole::blend) {
            if (whole_drops) {
                drops = line.whole_drops ? std::to_string(*line.whole_drops) : "";
            } else if (line.drops) {
                drops = format_fixed(*line.drops, *line.drops < 10 ? 1 : 0);
            }
        }
        table.line(
            {name, figures.percent[i], line_weight(formula, line), figures.volume[i], drops});
    };
    const std::string blend_title = product.blend < model.blends.size()
                                        ? plain(model.blends[product.blend].header.title)
                                        : "the blend";
    const std::size_t phases = std::max<std::size_t>(formula.phases.size(), 1);
    for (std::size_t p = 0; p < phases; ++p) {
        const std::vector<std::size_t> base = lines_of(formula, p, phases, LineRole::base);
        const std::vector<std::size_t> blend = lines_of(formula, p, phases, LineRole::blend);
        const std::string phase =
            p < formula.phases.size() ? phase_text(formula.phases[p]) : std::string();
        if (!base.empty()) table.heading(phase.empty() ? "Base" : phase);
        for (std::size_t i : base) add(i);
        if (blend.empty()) continue;
        table.heading(blend_heading(phase, !base.empty(), blend_title));
        for (std::size_t i : blend) add(i);
    }
    table.total({"Total", figures.percent_total,
                 weighed_text(formula, figures.divisions_total, formula.batch_mass_g),
                 figures.volume_total, ""});
    if (figures.has_base) {
        table.total(
            {"of which blend", figures.percent_blend,
             weighed_text(formula, figures.divisions_blend, formula.batch_mass_g * formula.load_ww),
             figures.volume_blend, ""});
    }
    page.table(std::move(table));
    std::string note = rounding_note(formula);
    if (!figures.volumes_known) note += " Where a density is not known, so is the volume.";
    page.paragraph(note);
    std::vector<std::string> dissolved;
    for (const FormulaLine& line : formula.lines) {
        const auto& dilution = model.materials[line.material].dilution;
        if (!dilution) continue;
        std::string text = title_of(model, line.material) + ": " + exact_percent(dilution->share) + " % of its weight is the oil, the rest " +
                           title_of(model, dilution->in);
        if (std::find(dissolved.begin(), dissolved.end(), text) == dissolved.end()) dissolved.push_back(std::move(text));
    }
    if (!dissolved.empty()) {
        page.paragraph("Kept dissolved, and weighed as it is kept:");
        page.items(std::move(dissolved));
    }

    const bool light = std::any_of(formula.lines.begin(), formula.lines.end(),
                                   [](const FormulaLine& line) { return line.too_light; });
    if (!light) return;
    page.paragraph(
        "* Too little to weigh well: under 20 steps of the scale, so that one step is more than 5 "
        "% of it. "
        "Weigh a premix instead:",
        Tone::warning);
    std::vector<std::string> premixes;
    for (const Premix& premix : formula.premixes) {
        premixes.push_back("mix " + amount_text(premix.oil_g) + " g " +
                           title_of(model, premix.material) + " into " +
                           amount_text(premix.carrier_g) + " g " + title_of(model, premix.carrier) +
                           " and use " + amount_text(premix.use_g) +
                           " g of it in place of the oil and of that much of the carrier");
    }
    if (premixes.empty()) premixes.emplace_back("no premix helps here: make a larger batch");
    page.items(std::move(premixes));
}

void add_making(Page& page, const Document& document, const Product& product,
                const Formula& formula) {
    const Model& model = *document.model;
    const Format* format =
        product.format < model.formats.size() ? &model.formats[product.format] : nullptr;
    page.heading("Make");
    page.numbered(filled_steps(document, product, formula));

    std::vector<std::pair<std::string, std::string>> facts;
    if (format && !format->mixing.empty()) facts.emplace_back("Mixing", plain(format->mixing));
    if (formula.complete) {
        facts.emplace_back(
            "Fill", "each with " + mass_and_volume(formula.unit_mass_g, formula.unit_volume_ml));
    }
    page.facts(std::move(facts));
}

}  // namespace

Page product_page(const Document& document, ProductId id) {
    const Model& model = *document.model;
    const Product& product = model.products[id];
    const Formula& formula = (*document.formulas)[id];

    Page page;
    page.title = plain(product.header.title);
    page.id = plain(product.header.name);
    page.doc = product.header.doc;
    add_facts(page, document, id);
    add_alarm(page, document, id);

    const std::vector<const Diagnostic*> findings = findings_on(document, product);
    if (formula.complete) {
        add_weighing(page, document, product, formula);
    } else {
        page.heading("Weigh");
        page.paragraph(
            "The amounts are not known, because something that they need is missing or wrong:",
            Tone::bad);
        std::vector<std::string> why;
        for (const Diagnostic* finding : causes_of(document, product)) {
            if (finding->severity == Severity::error) why.push_back(plain(finding->message));
        }
        if (why.empty()) why.emplace_back("see the findings of the check");
        page.items(std::move(why));
    }
    add_lots(page, document, id);
    add_making(page, document, product, formula);
    add_safety(page, document, id);
    add_label(page, document, id);
    add_cost(page, document, id);

    std::vector<std::string> said;
    for (const Diagnostic* finding : findings) {
        // The weighing table and the drop plan say these already.
        if (finding->code == Code::too_light_to_weigh || finding->code == Code::no_multiple)
            continue;
        if (!formula.complete && finding->severity == Severity::error) continue;
        said.push_back(severity_text(finding->severity) + plain(finding->message));
    }
    if (!said.empty()) page.heading("Findings");
    page.items(std::move(said));

    add_assumptions(page, all_assumptions(document, id, formula));
    const std::string conservation = conservation_text(model, formula);
    if (product.base_usual || !product.remarks.empty() || !conservation.empty()) {
        page.heading("Remarks");
        std::vector<std::string> items;
        for (const std::string& remark : product.remarks) items.push_back(plain(remark));
        if (product.base_usual) {
            items.push_back("The recipe names nothing to put the blend in: " +
                            plain(model.bases[product.base_id].header.name) + " is the format's usual base.");
        }
        if (!conservation.empty()) items.push_back(conservation);
        page.items(std::move(items));
    }
    add_cautions(page, document, &product, id);
    return page;
}

}  // namespace scruple::emit
