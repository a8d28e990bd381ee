#include "emit/figures.h"

#include <algorithm>
#include <cmath>

#include "emit/words.h"
#include "num/apportion.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

struct RoundedColumn {
    std::vector<std::string> lines;
    std::string total;
    std::string blend;
};

/// Rounds to `decimals` so that lines, blend and total agree as printed.
RoundedColumn round_column(const std::vector<double>& values, const Formula& formula,
                           int decimals) {
    RoundedColumn column;
    const double division = std::pow(10.0, -decimals);
    const double scale = std::pow(10.0, decimals);
    const std::vector<std::int64_t> counts = round_lines(values, division);
    if (counts.size() != values.size()) {
        column.lines.resize(values.size(), "?");
        column.total = column.blend = "?";
        return column;
    }
    std::int64_t total = 0;
    std::int64_t blend = 0;
    for (std::size_t i = 0; i < counts.size(); ++i) {
        total += counts[i];
        if (formula.lines[i].role == LineRole::blend) blend += counts[i];
        column.lines.push_back(format_fixed(static_cast<double>(counts[i]) / scale, decimals));
    }
    column.total = format_fixed(static_cast<double>(total) / scale, decimals);
    column.blend = format_fixed(static_cast<double>(blend) / scale, decimals);
    return column;
}

/// Two decimals, or as many (to four) as give the smallest line two digits.
int decimals_for_smallest(const std::vector<double>& values) {
    int decimals = 2;
    for (double value : values) {
        if (!(value > 0)) continue;
        while (decimals < 4 && value * std::pow(10.0, decimals) < 9.5) ++decimals;
    }
    return decimals;
}

bool overlaps(Span a, Span b) {
    return a.known() && b.known() && a.file == b.file && a.begin < std::max(b.end, b.begin + 1) &&
           b.begin < std::max(a.end, a.begin + 1);
}

/// Findings that begin inside `span`. The list is sorted by file and place.
void add_findings(const std::vector<Diagnostic>& all, Span span,
                  std::vector<const Diagnostic*>& found) {
    if (!span.known()) return;
    auto before = [](const Diagnostic& d, Span s) {
        if (d.span.file != s.file) return d.span.file < s.file;
        return d.span.begin < s.begin;
    };
    for (auto at = std::lower_bound(all.begin(), all.end(), span, before); at != all.end(); ++at) {
        if (!overlaps(at->span, span)) break;
        if (std::find(found.begin(), found.end(), &*at) == found.end()) found.push_back(&*at);
    }
}

/// "<in>", "<blend>" and "<batch>" in the words of this product.
std::string filled_in(std::string_view step, const std::string& in, const std::string& blend,
                      const std::string& batch) {
    std::string out;
    for (std::size_t at = 0; at < step.size();) {
        const std::string_view rest = step.substr(at);
        auto starts = [&](std::string_view mark) { return rest.substr(0, mark.size()) == mark; };
        if (starts("<in>")) {
            out += in;
            at += 4;
        } else if (starts("<blend>")) {
            out += blend;
            at += 7;
        } else if (starts("<batch>")) {
            out += batch;
            at += 7;
        } else {
            out += step[at++];
        }
    }
    return plain(out);
}

void add_new(std::vector<Assumption>& all, const std::vector<Assumption>& more) {
    for (const Assumption& a : more) {
        if (std::find(all.begin(), all.end(), a) == all.end()) all.push_back(a);
    }
}

std::vector<Assumption> given_of(const Document& document, BlendId id) {
    return document.on_demand ? document.on_demand->taken_as_given(id) : (*document.blend_figures)[id].assumptions;
}

}  // namespace

WeighingFigures weighing_figures(const Formula& formula) {
    WeighingFigures figures;
    std::vector<double> percents;
    std::vector<double> volumes;
    std::vector<double> known_volumes;
    for (const FormulaLine& line : formula.lines) {
        percents.push_back(line.fraction * 100);
        volumes.push_back(line.volume_ml.value_or(0));
        if (line.volume_ml) known_volumes.push_back(*line.volume_ml);
        if (!line.volume_ml) figures.volumes_known = false;
        if (line.role == LineRole::base) figures.has_base = true;
        figures.divisions_total += line.divisions;
        if (line.role == LineRole::blend) figures.divisions_blend += line.divisions;
    }
    RoundedColumn percent = round_column(percents, formula, decimals_for_smallest(percents));
    figures.percent = std::move(percent.lines);
    figures.percent_total = std::move(percent.total);
    figures.percent_blend = std::move(percent.blend);

    RoundedColumn volume = round_column(volumes, formula, decimals_for_smallest(known_volumes));
    figures.volume = std::move(volume.lines);
    figures.volume_total = figures.volumes_known ? std::move(volume.total) : "?";
    figures.volume_blend = std::move(volume.blend);
    for (std::size_t i = 0; i < formula.lines.size(); ++i) {
        if (formula.lines[i].volume_ml) continue;
        figures.volume[i] = "?";
        if (formula.lines[i].role == LineRole::blend) figures.volume_blend = "?";
    }
    return figures;
}

bool volumes_known(const BlendFigures& figures) {
    return figures.complete && (figures.density > 0 || figures.lines.size() == 1);
}

std::int64_t made_units(const Product& product, const Formula& formula) {
    const double one = formula.unit_mass_g * (1 + formula.extra);
    if (!formula.complete || !(one > 0) || !std::isfinite(formula.batch_mass_g))
        return product.units;
    const double units = formula.batch_mass_g / one;
    return units < 9e15 ? std::llround(units) : product.units;
}

std::vector<const Diagnostic*> findings_on(const Document& document, const Product& product) {
    std::vector<const Diagnostic*> found;
    if (!document.diagnostics) return found;
    const std::vector<Diagnostic>& all = *document.diagnostics;
    for (Span span : {product.header.name_span, product.content_span, product.load.span,
                      product.base_span, product.brim_span}) {
        add_findings(all, span, found);
    }
    for (const LotUse& use : product.lots) add_findings(all, use.span, found);
    return found;
}

std::vector<const Diagnostic*> causes_of(const Document& document, const Product& product) {
    std::vector<const Diagnostic*> found = findings_on(document, product);
    if (!document.diagnostics) return found;
    const std::vector<Diagnostic>& all = *document.diagnostics;
    const Model& model = *document.model;
    if (product.blend < model.blends.size()) {
        add_findings(all, model.blends[product.blend].header.name_span, found);
        for (const BlendLine& line : model.blends[product.blend].lines)
            add_findings(all, line.span, found);
    }
    for (const BasePhase& phase : model.phases(product)) {
        for (const BaseRow& row : phase.rows) add_findings(all, row.span, found);
    }
    return found;
}

std::string base_title(const Model& model, const Product& product) {
    if (product.base_id < model.bases.size())
        return plain(model.bases[product.base_id].header.title);
    std::vector<std::string> names;
    for (const BasePhase& phase : model.phases(product)) {
        for (const BaseRow& row : phase.rows) {
            if (row.material != kNone) {
                names.push_back(title_of(model, row.material));
            } else if (row.base < model.bases.size()) {
                names.push_back(plain(model.bases[row.base].header.title));
            }
        }
    }
    return list_text(names);
}

std::vector<std::string> filled_steps(const Document& document, const Product& product,
                                      const Formula& formula) {
    const Model& model = *document.model;
    const std::vector<std::string>* steps = &product.steps;
    if (steps->empty() && product.base_id < model.bases.size())
        steps = &model.bases[product.base_id].steps;
    if (steps->empty() && product.format < model.formats.size())
        steps = &model.formats[product.format].steps;
    std::string in = base_title(model, product);
    if (in.empty()) in = "the base";
    const std::string blend = product.blend < model.blends.size()
                                  ? plain(model.blends[product.blend].header.title)
                                  : "the blend";
    const std::string batch =
        formula.complete ? amount_text(formula.batch_mass_g) + " g" : "the batch";
    std::vector<std::string> filled;
    for (const std::string& step : *steps) filled.push_back(filled_in(step, in, blend, batch));
    return filled;
}

std::vector<Assumption> all_assumptions(const Document& document, ProductId id,
                                        const Formula& formula) {
    const Product& product = document.model->products[id];
    std::vector<Assumption> all = formula.assumptions;
    if (document.costs) add_new(all, (*document.costs)[id].assumptions);
    // A product of lots has figures of its own, and the blend's hold for none of it.
    if (!product.lots.empty() || product.blend >= document.blend_figures->size()) return all;
    add_new(all, given_of(document, product.blend));
    return all;
}

std::vector<Assumption> blend_assumptions(const Document& document, BlendId id) {
    std::vector<Assumption> all = given_of(document, id);
    if (document.blend_costs) add_new(all, (*document.blend_costs)[id].assumptions);
    return all;
}

}  // namespace scruple::emit
