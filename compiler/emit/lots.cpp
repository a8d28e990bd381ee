#include "emit/lots.h"

#include <algorithm>

#include "emit/words.h"
#include "formula/wording.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

std::string_view peroxide_word(LotState::Peroxide state) {
    switch (state) {
        case LotState::Peroxide::no_rule: return "no_rule";
        case LotState::Peroxide::not_stated: return "not_stated";
        case LotState::Peroxide::within: return "within";
        case LotState::Peroxide::over: return "over";
    }
    return "no_rule";
}

std::string peroxide_rule(const Model& model, const LotState& state) {
    return "at most " + plain(state.row->max_peroxide_text) + " mmol/l by " + plain(model.rule_sets[state.from->rules].header.name);
}

/// "PG-2411, petitgrain bigarade: opened 2026-01-10, best before 2027-01; certificate: …".
std::string lot_text(const Model& model, const LotState& state) {
    const Lot& lot = model.lots[state.use.lot];
    std::vector<std::string> parts;
    if (!lot.opened.empty()) {
        parts.push_back("opened " + plain(lot.opened) + (state.keeps_until.empty() ? "" : ", keeps until " + state.keeps_until));
    }
    if (!lot.best_before.empty()) parts.push_back("best before " + plain(lot.best_before));
    if (parts.empty()) parts.emplace_back("no dates stated");
    if (lot.peroxide_mmol_per_l) {
        parts.push_back("peroxide value " + plain(lot.peroxide_text) + " mmol/l" + (state.row ? ", " + peroxide_rule(model, state) : ""));
    }
    if (lot.only) parts.emplace_back("only what its analysis states is taken as known");
    if (!lot.certificate.empty()) parts.push_back("certificate: " + plain(lot.certificate));
    std::string text = plain(lot.header.name) + ", " + title_of(model, lot.of) + ": ";
    for (std::size_t i = 0; i < parts.size(); ++i) text += (i ? "; " : "") + parts[i];
    return text;
}

}  // namespace

std::string_view lot_number(const Model& model, MaterialId material) {
    if (material >= model.materials.size() || model.materials[material].lot == kNone) return {};
    return model.lots[model.materials[material].lot].header.name;
}

std::string title_and_lot(const Model& model, MaterialId material) {
    std::string title = title_of(model, material);
    if (const auto number = lot_number(model, material); !number.empty()) title += ", lot " + plain(number);
    return title;
}

void add_lots(Page& page, const Document& document, ProductId id) {
    const Model& model = *document.model;
    const std::vector<LotState>& lots = (*document.judgements)[id].lots;
    if (lots.empty()) return;
    page.heading("Lots");
    std::vector<std::string> items, late, over, not_stated;
    for (const LotState& state : lots) {
        items.push_back(lot_text(model, state));
        const std::string number = plain(model.lots[state.use.lot].header.name);
        if (state.past_best_before) late.push_back(number + " is past its best-before date");
        else if (state.past_opened) late.push_back(number + " has been open for longer than it keeps");
        if (state.peroxide == LotState::Peroxide::over) over.push_back(number);
        if (state.peroxide == LotState::Peroxide::not_stated) not_stated.push_back(number + " (" + peroxide_rule(model, state) + ")");
    }
    page.items(std::move(items));
    if (!over.empty()) page.paragraph("DO NOT USE " + list_text(over) + ": more peroxides than a rule on the raw material allows.", Tone::bad);
    if (!late.empty()) page.paragraph("On " + plain(document.on) + ", " + list_text(late) + ".", Tone::warning);
    if (!not_stated.empty()) {
        page.paragraph("Peroxide value not stated, and there is a rule on it: " + list_text(not_stated) +
                           ". Not stated is not the same as low; ask the supplier.",
                       Tone::warning);
    }
    if (document.on.empty()) page.paragraph("No date was given, so no lot is judged by its dates.");
}

void write_lots(JsonWriter& json, const Document& document, ProductId id) {
    const Model& model = *document.model;
    json.array("lots");
    for (const LotState& state : (*document.judgements)[id].lots) {
        const Lot& lot = model.lots[state.use.lot];
        json.open_row();
        json.text("lot", lot.header.name);
        json.text("material", model.materials[lot.of].header.name);
        json.text_or_null("certificate", lot.certificate);
        json.text_or_null("opened", lot.opened);
        json.text_or_null("best_before", lot.best_before);
        json.text_or_null("keeps_until", state.keeps_until);
        json.boolean("past_best_before", state.past_best_before);
        json.boolean("past_opened", state.past_opened);
        json.number("peroxide_mmol_per_l", lot.peroxide_mmol_per_l);
        json.number("peroxide_limit_mmol_per_l", state.row ? state.row->max_peroxide : std::nullopt);
        json.text_or_null("peroxide_rules", state.row ? model.rule_sets[state.from->rules].header.name : std::string_view());
        json.text("peroxide", peroxide_word(state.peroxide));
        json.boolean("only", lot.only);
        json.text("verdict", verdict_word(state.verdict));
        json.close_object();
    }
    json.close_array();
}

}  // namespace scruple::emit
