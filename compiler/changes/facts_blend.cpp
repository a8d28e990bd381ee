// A blend's object as facts.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "changes/fact_maker.h"
#include "changes/state.h"
#include "num/decimal.h"

namespace scruple::changes {
namespace {

using Json = nlohmann::json;
using Maker = FactMaker<Json>;

/// Who is smelt most: of several with as much, the first by name.
void add_leader(std::vector<Fact>& out, const Json& balance) {
    const Json* leader = nullptr;
    double most = 0;
    for (const Json& oil : Maker::items(balance, "oils")) {
        const Json& share = Maker::at(oil, "odour_percent");
        if (!share.is_number()) continue;
        const double percent = share.get<double>();
        const bool more = !leader || (!same_figure(percent, most) && percent > most) ||
                          (same_figure(percent, most) && Maker::text(oil, "material") < Maker::text(*leader, "material"));
        if (!more) continue;
        leader = &oil;
        most = percent;
    }
    if (!leader) return;
    Maker maker(out);
    Fact& fact = maker.add(What::leader, "", *leader,
                           {"material", "odour_percent", "over_half", "over_three_times_its_share"});
    const Json& known = Maker::at(balance, "impacts_known");
    fact.fields.push_back({"impacts_known", Maker::scalar(known), false});
}

void add_parts(std::vector<Fact>& out, const Json& blend) {
    Maker maker(out);
    Rational total;
    std::vector<std::pair<std::size_t, Rational>> exact;
    for (const Json& part : Maker::items(blend, "parts")) {
        Fact& fact = maker.add(What::part, Maker::text(part, "material"), part, {"share_vv_percent", "share_ww_percent"});
        Maker::carry(fact, part, {"parts", "name"});
        const ParsedNumber parts = parse_number(Maker::text(part, "parts"));
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

void put_in_order(std::vector<Fact>& facts) {
    const auto key = [](const Fact& f) { return std::pair(f.what, std::string_view(f.subject)); };
    std::stable_sort(facts.begin(), facts.end(), [&](const Fact& a, const Fact& b) {
        if (key(a) != key(b)) return key(a) < key(b);
        for (std::size_t i = 0; i < a.fields.size() && i < b.fields.size(); ++i) {
            if (a.fields[i].value != b.fields[i].value) return a.fields[i].value < b.fields[i].value;
        }
        return a.fields.size() < b.fields.size();
    });
    for (std::size_t first = 0; first < facts.size();) {
        std::size_t end = first + 1;
        while (end < facts.size() && key(facts[end]) == key(facts[first])) ++end;
        const std::string subject = facts[first].subject;
        for (std::size_t i = first + 1; i < end; ++i) facts[i].subject = subject + " (" + std::to_string(i - first + 1) + ")";
        first = end;
    }
}

std::vector<Fact> facts_of_blend(std::string_view text) {
    std::vector<Fact> out;
    const Json blend = Json::parse(text, nullptr, false);
    if (!blend.is_object()) return out;
    Maker maker(out);
    maker.add(What::title, "", blend, {"name"});
    maker.add(What::doc, "", blend, {"doc"});
    maker.add(What::variation_of, "", blend, {"variation_of"});
    Fact& measure = maker.add(What::measure, "", blend, {"measure"});
    Maker::carry(measure, blend, {"in_percent"});
    Fact& complete = maker.add(What::complete, "", blend, {"complete"});
    complete.fields.push_back({"readable", Maker::at(blend, "fingerprint").is_string(), false});
    Maker::carry(complete, blend, {"fingerprint"});
    add_parts(out, blend);
    maker.add(What::density, "", blend, {"density_g_per_ml"});
    const Json& balance = Maker::at(blend, "balance");
    for (const auto& [what, key] : {std::pair(What::notes, "by_parts"), std::pair(What::odour, "by_odour")}) {
        const Json& shares = what == What::notes && !balance.is_object() ? Maker::at(blend, "notes") : Maker::at(balance, key);
        if (!shares.is_object()) continue;
        maker.add(what, "", shares, {"top_percent", "middle_percent", "base_percent", "unknown_percent"});
    }
    add_leader(out, balance);
    for (const Json& oil : Maker::items(balance, "oils")) maker.add(What::impact, Maker::text(oil, "material"), oil, {"impact"});
    const Json& raise = Maker::at(balance, "raise");
    if (raise.is_object()) {
        // Which of several that do it with as many drops can hang on the order of the rows.
        Fact& fact = maker.add(What::raise, "", raise, {"leader", "drops", "beaker_drops"});
        Maker::carry(fact, raise, {"material"});
    }
    for (const Json& mask : Maker::items(balance, "masks")) {
        const auto subject = Maker::text(mask, "strong") + ":" + Maker::text(mask, "weak");
        maker.add(What::mask, subject, mask, {"strong", "weak", "times"});
    }
    Fact& intent = maker.add(What::intent, "", blend, {"intent"});
    Maker::sort_list(intent, "intent");
    for (const Json& mood : Maker::items(blend, "intent_read")) {
        Fact& fact = maker.add(What::mood, Maker::text(mood, "mood"), mood, {"carried_by", "against"});
        Maker::sort_list(fact, "carried_by");
        Maker::sort_list(fact, "against");
    }
    add_assumptions(out, assumptions_of(blend));
    put_in_order(out);
    return out;
}

}  // namespace scruple::changes
