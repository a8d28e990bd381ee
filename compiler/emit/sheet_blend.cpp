// The page of a blend by itself: what goes in, in which shares, and where it sits between top and
// base.
#include <algorithm>
#include <cmath>

#include "emit/balance.h"
#include "emit/figures.h"
#include "formula/fingerprint.h"
#include "emit/page.h"
#include "emit/words.h"
#include "num/apportion.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

std::string_view counted_text(Measure measure) {
    switch (measure) {
        case Measure::volume: return "by volume";
        case Measure::mass: return "by weight";
        case Measure::drops: return "in drops, each oil through its own dropper";
    }
    return "by volume";
}

std::vector<std::string> rounded_percents(const std::vector<double>& shares) {
    std::vector<std::string> texts;
    std::vector<double> percents;
    for (double share : shares) percents.push_back(share * 100);
    const std::vector<std::int64_t> hundredths = round_lines(percents, 0.01);
    for (std::int64_t count : hundredths)
        texts.push_back(format_fixed(static_cast<double>(count) / 100, 2));
    texts.resize(shares.size(), "?");
    return texts;
}

std::string bar(double share) {
    const double cells = std::isfinite(share) ? std::max(0.0, std::min(1.0, share)) * 40 : 0;
    return std::string(static_cast<std::size_t>(std::lround(cells)), '#');
}

std::string amount_as_written(const Rational& amount, const Blend& blend) {
    return parts_text(blend, amount) + (blend.percent ? " %" : "");
}

void add_notes(Page& page, const BlendFigures& figures) {
    const double known = figures.note_share[0] + figures.note_share[1] + figures.note_share[2];
    if (!(known > 0)) return;
    page.heading("Notes, by volume");
    Table table;
    table.columns = {{"", Align::left, false}, {"", Align::right, false}, {"", Align::left, false}};
    static constexpr const char* kNames[] = {"top", "middle", "base"};
    std::vector<double> shares(figures.note_share, figures.note_share + 3);
    std::vector<std::string> names(kNames, kNames + 3);
    if (figures.note_unknown > 1e-12) {
        shares.push_back(figures.note_unknown);
        names.emplace_back("not known");
    }
    std::vector<double> percents;
    for (double share : shares) percents.push_back(share * 100);
    const std::vector<std::int64_t> whole = round_lines(percents, 0.1);
    for (std::size_t i = 0; i < shares.size(); ++i) {
        const std::string text =
            i < whole.size() ? format_fixed(static_cast<double>(whole[i]) / 10, 1) : "?";
        table.line({names[i], text + " %", bar(shares[i])});
    }
    page.table(std::move(table));
}

}  // namespace

Page blend_page(const Document& document, BlendId id) {
    const Model& model = *document.model;
    const Blend& blend = model.blends[id];
    const BlendFigures& figures = (*document.blend_figures)[id];

    Page page;
    page.title = plain(blend.header.title);
    page.id = plain(blend.header.name);
    page.doc = blend.header.doc;

    if (blend.header.broken || figures.lines.empty()) {
        // A list that is short of a row must not look like a recipe.
        if (!document.on.empty()) page.facts({{"Date", plain(document.on)}});
        page.heading("What goes in");
        page.paragraph(
            "Not known: the recipe of this blend has errors; see the findings of the check.",
            Tone::bad);
        add_cautions(page, document, nullptr);
        return page;
    }

    std::vector<std::pair<std::string, std::string>> facts;
    if (!document.on.empty()) facts.emplace_back("Date", plain(document.on));
    if (blend.variation_of < model.blends.size()) {
        const Header& of = model.blends[blend.variation_of].header;
        facts.emplace_back("Variation", "of " + plain(of.title) + " (" + plain(of.name) + ")");
    }
    if (blend.from_bench < model.benches.size()) {
        const Header& of = model.benches[blend.from_bench].header;
        facts.emplace_back("From the bench", plain(of.title) + " (" + plain(of.name) + ") at " + plain(blend.from_mark));
    }
    std::vector<std::string> intent;
    for (std::string_view word : blend.intent) intent.push_back(plain(word));
    if (!intent.empty()) facts.emplace_back("Intent", list_text(intent));
    facts.emplace_back("Counted", std::string(counted_text(blend.measure)));
    if (!figures.whole_ratio.empty()) {
        std::int64_t sum = 0;
        for (std::int64_t part : figures.whole_ratio) sum += part;
        facts.emplace_back("Ratio", ratio_text(figures.whole_ratio) + ", " +
                                        count_text(sum, "part", "parts") + " in all");
    }
    if (const auto near = near_ratio(figures)) {
        facts.emplace_back("Simpler", ratio_text(near->parts) + ", each share within " +
                                          format_significant(near->worst_error.to_double() * 100, 2, Rounding::up) + " % of its own");
    }
    if (figures.complete && figures.density > 0)
        facts.emplace_back("Density", format_fixed(figures.density, 4) + " g/ml");
    facts.emplace_back("Fingerprint", fingerprint(model, blend));
    page.facts(std::move(facts));

    page.heading("What goes in");
    std::vector<double> by_volume, by_weight;
    Rational sum;
    for (const BlendFigures::Line& line : figures.lines) {
        by_volume.push_back(line.share_vv);
        by_weight.push_back(line.share_ww);
        sum += line.amount;
    }
    std::vector<std::string> vv(figures.lines.size(), "?"), ww(figures.lines.size(), "?");
    if (volumes_known(figures)) vv = rounded_percents(by_volume);
    if (figures.complete) ww = rounded_percents(by_weight);
    Table table;
    const char* head = blend.percent                     ? "as written"
                       : blend.measure == Measure::drops ? "drops"
                                                         : "parts";
    table.columns = {{"", Align::left, true},
                     {head, Align::right, false},
                     {"% v/v", Align::right, false},
                     {"% w/w", Align::right, false},
                     {"note", Align::left, false}};
    for (std::size_t i = 0; i < figures.lines.size(); ++i) {
        const BlendFigures::Line& line = figures.lines[i];
        const Note note = line.material < model.materials.size()
                              ? model.materials[line.material].note
                              : Note::unknown;
        table.line({title_of(model, line.material), amount_as_written(line.amount, blend), vv[i],
                    ww[i], std::string(note_word(note))});
    }
    const std::string whole_vv = volumes_known(figures) ? "100.00" : "?";
    const std::string whole_ww = figures.complete ? "100.00" : "?";
    table.total({"Total", amount_as_written(sum, blend), whole_vv, whole_ww, ""});
    page.table(std::move(table));
    if (figures.complete && !volumes_known(figures)) {
        page.paragraph(
            "The shares by volume are not known, because the density of an oil is missing.",
            Tone::warning);
    }
    if (!figures.complete) {
        page.paragraph(
            "The shares are not known, because the density of an oil is missing; see the findings.",
            Tone::warning);
    }

    add_measures(page, document, id);
    add_notes(page, figures);
    add_balance(page, document, id);
    add_intent(page, document, id);
    add_blend_cost(page, document, id);

    add_assumptions(page, blend_assumptions(document, id));
    add_cautions(page, document, nullptr);
    return page;
}

}  // namespace scruple::emit
