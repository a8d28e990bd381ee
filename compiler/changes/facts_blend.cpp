// A blend's object as facts.
#include <algorithm>

#include "changes/fact_maker.h"
#include "changes/state.h"
#include "num/decimal.h"

namespace scruple::changes {
namespace {

/// Who is smelt most: of several with as much, the first by name.
void add_leader(std::vector<Fact>& out, Value balance) {
    Value leader;
    double most = 0;
    for (const Value oil : items_of(balance, "oils")) {
        const Value share = oil["odour_percent"];
        if (!share.is_number()) continue;
        const double percent = share.number();
        const bool more = !leader.is_object() || (!same_figure(percent, most) && percent > most) ||
                          (same_figure(percent, most) && oil["material"].text() < leader["material"].text());
        if (!more) continue;
        leader = oil;
        most = percent;
    }
    if (!leader.is_object()) return;
    FactMaker maker(out);
    Fact& fact = maker.add(What::leader, "", leader,
                           {"material", "odour_percent", "over_half", "over_three_times_its_share"});
    const Value known = balance["impacts_known"];
    fact.fields.push_back({"impacts_known", scalar_of(known), false});
}

void add_parts(std::vector<Fact>& out, Value blend) {
    FactMaker maker(out);
    Rational total;
    std::vector<std::pair<std::size_t, Rational>> exact;
    for (const Value part : items_of(blend, "parts")) {
        Fact& fact = maker.add(What::part, text_of(part, "material"), part, {"share_vv_percent", "share_ww_percent"});
        FactMaker::carry(fact, part, {"parts", "name"});
        const ParsedNumber parts = parse_number(text_of(part, "parts"));
        if (parts.error != NumberError::none || parts.value.sign() <= 0) continue;
        exact.emplace_back(out.size() - 1, parts.value);
        total += parts.value;
    }
    for (const auto& [index, amount] : exact) {
        const Rational share = amount / total;
        if (!share.overflowed()) out[index].exact = share;
    }
}

}  // namespace

std::vector<Fact> facts_of_blend(Value blend) {
    std::vector<Fact> out;
    out.reserve(64);
    if (!blend.is_object()) return out;
    FactMaker maker(out);
    maker.add(What::title, "", blend, {"name"});
    maker.add(What::doc, "", blend, {"doc"});
    maker.add(What::variation_of, "", blend, {"variation_of"});
    Fact& measure = maker.add(What::measure, "", blend, {"measure"});
    FactMaker::carry(measure, blend, {"in_percent"});
    Fact& complete = maker.add(What::complete, "", blend, {"complete"});
    complete.fields.push_back({"readable", blend["fingerprint"].is_text(), false});
    FactMaker::carry(complete, blend, {"fingerprint"});
    add_parts(out, blend);
    maker.add(What::density, "", blend, {"density_g_per_ml"});
    const Value balance = blend["balance"];
    for (const auto& [what, key] : {std::pair(What::notes, "by_parts"), std::pair(What::odour, "by_odour")}) {
        const Value shares = what == What::notes && !balance.is_object() ? blend["notes"] : balance[key];
        if (!shares.is_object()) continue;
        maker.add(what, "", shares, {"top_percent", "middle_percent", "base_percent", "unknown_percent"});
    }
    add_leader(out, balance);
    for (const Value oil : items_of(balance, "oils")) maker.add(What::impact, text_of(oil, "material"), oil, {"impact"});
    const Value raise = balance["raise"];
    if (raise.is_object()) {
        // Which of several that do it with as many drops can hang on the order of the rows.
        Fact& fact = maker.add(What::raise, "", raise, {"leader", "drops", "beaker_drops"});
        FactMaker::carry(fact, raise, {"material"});
    }
    for (const Value mask : items_of(balance, "masks")) {
        const auto subject = text_of(mask, "strong") + ":" + text_of(mask, "weak");
        maker.add(What::mask, subject, mask, {"strong", "weak", "times"});
    }
    Fact& intent = maker.add(What::intent, "", blend, {"intent"});
    FactMaker::sort_list(intent, "intent");
    for (const Value mood : items_of(blend, "intent_read")) {
        Fact& fact = maker.add(What::mood, text_of(mood, "mood"), mood, {"carried_by", "against"});
        FactMaker::sort_list(fact, "carried_by");
        FactMaker::sort_list(fact, "against");
    }
    maker.add_assumptions(blend);
    put_in_order(out);
    return out;
}

}  // namespace scruple::changes
