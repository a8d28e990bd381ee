#include "safety/lots.h"

#include <algorithm>
#include <string>

#include "base/date.h"
#include "formula/wording.h"
#include "num/decimal.h"
#include "safety/ceiling.h"

namespace scruple {
namespace {

/// The tightest peroxide rule on a lot's material.
void find_rule(const Model& model, const Lot& lot, LotState& state) {
    const auto take = [&](const std::vector<std::vector<std::uint32_t>>& by, std::uint32_t subject) {
        if (subject >= by.size()) return;
        for (const auto index : by[subject]) {
            const Limit& limit = model.limits[index];
            if (!rules_hold(model, limit.rules)) continue;
            for (const LimitRow& row : limit.rows) {
                if (!row.max_peroxide) continue;
                const bool tighter = !state.row || *row.max_peroxide < *state.row->max_peroxide ||
                                     (*row.max_peroxide == *state.row->max_peroxide &&
                                      model.standing(row.source) < model.standing(state.row->source));
                if (!tighter) continue;
                state.from = &limit;
                state.row = &row;
            }
        }
    };
    const Material& material = model.materials[lot.material];
    for (const CountsAs& other : material.counts_as) take(model.material_limits, other.material);
    const double share = material.dilution ? material.dilution->share.to_double() : 1;
    // By the oil's own range: an analysis that finds less of it makes no oil less prone to turn.
    for (const auto* composition : {&material.contains, &model.materials[lot.of].contains}) {
        for (const Constituent& c : *composition) {
            if (c.fraction.high >= kRich * share) take(model.substance_limits, c.substance);
        }
    }
}

}  // namespace

std::vector<LotState> lot_states(const Model& model, const Product& product, Contact contact, std::string_view on) {
    std::vector<LotState> states;
    for (const LotUse& use : product.lots) {
        const Lot& lot = model.lots[use.lot];
        const Material& material = model.materials[lot.material];
        LotState state;
        state.use = use;
        if (contact != Contact::none) find_rule(model, lot, state);
        if (state.row) {
            state.peroxide = !lot.peroxide_mmol_per_l                                                  ? LotState::Peroxide::not_stated
                             : within_limit(*lot.peroxide_mmol_per_l / *state.row->max_peroxide) ? LotState::Peroxide::within
                                                                                                       : LotState::Peroxide::over;
        }
        const auto& months = material.keeps_opened_months ? material.keeps_opened_months : material.keeps_months;
        if (!lot.opened.empty() && months && *months <= Rational(12 * 1000)) {
            state.keeps_until = months_after(lot.opened, static_cast<std::int64_t>(months->floor()));
        }
        if (!on.empty()) {
            state.past_best_before = !lot.best_before.empty() && is_after(on, lot.best_before);
            state.past_opened = !state.keeps_until.empty() && is_after(on, state.keeps_until);
        }
        if (state.peroxide == LotState::Peroxide::over && !is_soft(model.standing(state.row->source))) {
            state.verdict = Verdict::fails;
        } else if (state.peroxide == LotState::Peroxide::over || state.past_best_before || state.past_opened) {
            state.verdict = Verdict::warns;
        }
        states.push_back(std::move(state));
    }
    return states;
}

void report_lots(const Model& model, const Product& product, const std::vector<LotState>& lots, Bag& bag) {
    for (const LotState& state : lots) {
        const Lot& lot = model.lots[state.use.lot];
        const std::string name = "lot `" + std::string(lot.header.name) + "` of " + material_name(model, lot.of);
        if (state.peroxide == LotState::Peroxide::over) {
            const bool soft = state.verdict != Verdict::fails;
            const std::string subject = state.from->substance != kNone
                                            ? "what is rich in " + std::string(model.substances[state.from->substance].header.name)
                                            : material_name(model, state.from->material);
            auto found = bag.add(soft ? Code::over_derived : Code::over_peroxide, state.use.span,
                                 name + " has a peroxide value of " + lot.peroxide_text + " mmol/l, and " +
                                     std::string(model.rule_sets[state.from->rules].header.name) + " allows " +
                                     state.row->max_peroxide_text + " mmol/l in " + subject);
            found.label("the bottle in this product");
            found.note("the limit: " + source_words(model, state.row->source));
            if (!state.row->remark.empty()) found.note(state.row->remark);
            if (lot.peroxide_span.known()) found.also(lot.peroxide_span, "its peroxide value");
            if (state.row->span.known()) found.also(state.row->span, "the limit");
            found.note("oils that took up oxygen make skin allergic, and no load makes up for it: use another bottle");
        }
        if (!state.past_best_before && !state.past_opened) continue;
        const bool best = state.past_best_before;
        auto found = bag.add(Code::lot_past_date, state.use.span,
                             name + (best ? " is past its best-before date, " + lot.best_before
                                          : ", opened " + lot.opened + ", kept until " + state.keeps_until));
        found.label("the bottle in " + std::string(product.header.name));
        if (best && state.past_opened) found.note("opened " + lot.opened + ", it kept until " + state.keeps_until);
        found.also(lot.header.name_span, "the lot");
        found.note("oils that took up oxygen make skin allergic: use a fresh bottle, or have its peroxide value measured");
    }
}

}  // namespace scruple
