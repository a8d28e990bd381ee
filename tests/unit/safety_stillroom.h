// A small table of limits for safety tests: two scopes, two categories, three rule sets. The
// phototoxic figures are the ones that IFRA's list of maxima and Tisserand & Young (Essential Oil
// Safety, 2nd ed. 2014, p. 659) are quoted with: bergamot 0.4 %, lemon 2 %, lime 0.7 %. Other
// figures are invented unless a test says otherwise.
#pragma once

#include "unit/model_builder.h"

namespace scruple::test {

struct Stillroom : ModelBuilder {
    CategoryId skin, sunlit, fine, soap_like, no_skin;
    RuleSetId handbook, derived, law;
    SourceId read, recalled, worked_out;
    SubstanceId citral, linalool;
    MaterialId bergamot, lemon, lime, lavender, lemongrass, litsea, jojoba, wax;
    FormatId roll_on, bar, candle;

    Stillroom() {
        skin = category("skin");
        sunlit = category("sunlit_skin", {skin});
        fine = category("fine_fragrance", {sunlit});
        soap_like = category("body_rinse_off", {skin});
        no_skin = category("no_skin");
        handbook = rules("handbook_2014");
        derived = rules("qra2_derived");
        law = rules("law_rules");
        read = source(Standing::handbook, "a handbook");
        recalled = source(Standing::recalled, "a handbook");
        worked_out = source(Standing::derived, "from induction levels");
        citral = substance("citral");
        linalool = substance("linalool");
        bergamot = oil("bergamot_expressed", 0.88, {{linalool, 6, 10, 15}});
        lemon = oil("lemon_expressed", 0.85, {{citral, 1, 2, 3}});
        lime = oil("lime_expressed", 0.87, {{citral, 3, 4, 6}});
        lavender = oil("lavender", 0.885, {{linalool, 25, 35, 38}});
        lemongrass = oil("lemongrass", 0.89, {{citral, 70, 80, 90}});
        litsea = oil("litsea", 0.89, {{citral, 70, 75, 85}});
        // What else is in them is known, and nothing here limits it.
        for (const auto id : {bergamot, lemon, lime, lavender, lemongrass, litsea}) model.materials[id].known_typical = 0.9;
        jojoba = carrier("jojoba", 0.868, "wax");
        wax = carrier("beeswax", 0.96, "wax");
        roll_on = format("roll_on", Contact::leave_on, fine);
        bar = format("soap_bar", Contact::rinse_off, soap_like);
        candle = format("candle", Contact::none, no_skin, Basis::ww, Of::wax);
        phototoxic(bergamot, "0.4");
        phototoxic(lemon, "2.0");
        phototoxic(lime, "0.7");
    }
    void phototoxic(MaterialId id, const std::string& most) {
        row(limit_of_material(id, handbook), most, {sunlit}, Effect::phototoxic, read);
    }
    void substance_limit(SubstanceId id, const std::string& most, RuleSetId rules_of, SourceId from,
                         std::vector<CategoryId> in) {
        row(limit_of_substance(id, rules_of), most, std::move(in), Effect::sensitisation, from);
    }
    /// A roll-on in jojoba in which each oil comes to so many per cent by weight.
    ProductId finished(std::vector<std::pair<MaterialId, std::string>> oils, FormatId format_id) {
        Rational sum;
        for (const auto& [id, p] : oils) sum += number(p);
        const auto mix = blend(Measure::mass, std::move(oils));
        Load l;
        l.value = sum / Rational(100);
        return product(mix, format_id, "100", kMass, l, phase({rest(jojoba)}));
    }
    ProductId finished(std::vector<std::pair<MaterialId, std::string>> oils) {
        return finished(std::move(oils), roll_on);
    }
};

}  // namespace scruple::test
