// A product's object as facts.
#include <algorithm>

#include "changes/fact_maker.h"
#include "changes/state.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple::changes {
namespace {

std::string joined(Value object, std::initializer_list<std::string_view> keys) {
    std::string out;
    for (const std::string_view key : keys) {
        if (!out.empty()) out += ':';
        out += object[key].text();
    }
    return out;
}

/// The batch's weight is filled in where a step says `<batch>`: of another batch the step is still the same.
void add_steps(FactMaker& maker, Value product, Value batch) {
    if (!product["steps"].is_array()) return;
    std::vector<std::string> steps = texts_of(product["steps"]);
    const Value mass = batch["mass_g"];
    const std::string weight = mass.is_number() ? emit::amount_text(mass.number()) + " g" : "the batch";
    for (std::string& step : steps) {
        for (std::size_t at = step.find(weight); at != std::string::npos; at = step.find(weight, at + 1)) {
            const bool within = at > 0 && (step[at - 1] == '.' || (step[at - 1] >= '0' && step[at - 1] <= '9'));
            if (!within) step.replace(at, weight.size(), "<batch>");
        }
    }
    Fact& fact = maker.add(What::steps, "", Value(), {});
    fact.fields.push_back({"steps", std::move(steps), false});
}

void add_phases(FactMaker& maker, Value list) {
    if (!list.is_array()) return;
    std::vector<std::string> phases;
    for (const Value phase : list) {
        std::string text = text_of(phase, "name");
        if (const auto title = text_of(phase, "title"); !title.empty()) text += " \"" + title + "\"";
        const Value at = phase["at_c"];
        if (at.is_number()) text += " at " + format_significant(at.number(), 10) + " C";
        if (phase["blend_here"].is_true()) text += " with the blend";
        phases.push_back(std::move(text));
    }
    // One without a name is a product without phases.
    Fact& fact = maker.add(What::phases, "", Value(), {});
    fact.fields.push_back({"phases", std::move(phases), false});
}

void add_making(FactMaker& maker, Value product) {
    if (const Value load = product["load"]; load.is_object()) {
        Fact& fact = maker.add(What::load, "", load, {"kind", "value_percent", "basis", "of", "ww_percent"});
        // What follows from the oils' densities and droppers is seen at the lines.
        FactMaker::carry(fact, load, {"vv_percent", "drops_per_unit", "text"});
    }
    if (const Value content = product["content"]; content.is_object()) {
        maker.add(What::content, "", content, {"mass_g", "volume_ml"});
    }
    const Value batch = product["batch"];
    if (batch.is_object()) {
        Fact& made = maker.add(What::batch, "", batch, {"mass_g", "extra_percent", "scale_division_g"});
        FactMaker::carry(made, batch, {"volume_ml", "weigh_g"});
    }
    add_phases(maker, product["phases"]);
    for (const Value line : items_of(product, "lines")) {
        Fact& one = maker.add(What::line, joined(line, {"role", "phase", "material"}), line,
                              {"material", "role", "phase", "lot", "percent_ww", "mass_g", "scale_division_g", "volume_ml",
                               "drops", "too_light"});
        const Value diluted = line["diluted"];
        one.fields.push_back({"diluted_percent", scalar_of(diluted["percent_ww"]), false});
        one.fields.push_back({"diluted_in", scalar_of(diluted["in"]), false});
        // How the last steps of the scale and the last drops fall can hang on the order of the rows.
        FactMaker::carry(one, line, {"weigh_g", "drops_per_unit", "name"});
    }
    for (const Value premix : items_of(product, "premixes")) {
        maker.add(What::premix, text_of(premix, "material"), premix, {"carrier", "oil_g", "carrier_g", "use_g"});
    }
    const Value plan = product["drop_plan"];
    if (plan.is_object()) maker.add(What::drop_plan, "", plan, {"total", "multiple", "worst_error_percent", "smallest_fit"});
    add_steps(maker, product, batch);
}

void add_safety(FactMaker& maker, Value safety) {
    if (!safety.is_object()) return;
    maker.add(What::verdict, "", safety, {"verdict", "decided_by"});
    for (const auto& [what, key] : {std::pair(What::ceiling, "ceiling"), std::pair(What::careful, "careful")}) {
        const Value ceiling = safety[key];
        if (ceiling.is_object()) maker.add(what, "", ceiling, {"state", "value_percent", "basis", "of", "ww_percent", "bound_by"});
    }
    for (const Value check : items_of(safety, "checks")) {
        Fact& fact = maker.add(What::check, text_of(check, "rule"), check,
                               {"kind", "subject", "rules", "category", "actual_percent", "actual_at_maximum_percent",
                                "limit_percent", "used_percent", "used_at_maximum_percent", "soft", "verdict", "decided_by",
                                "source", "standing", "brought_by"});
        FactMaker::sort_list(fact, "brought_by");
    }
    for (const Value unknown : items_of(safety, "unknown")) {
        maker.add(What::unknown, text_of(unknown, "material"), unknown, {"share_of_blend_percent", "unknown_percent"});
    }
    for (const Value limit : items_of(safety, "unstated")) {
        maker.add(What::unstated, joined(limit, {"rules", "subject"}), limit,
                  {"subject", "rules", "actual_percent", "actual_at_maximum_percent", "source"});
    }
    const Value audience = safety["audience"];
    if (audience.is_object()) {
        Fact& fact = maker.add(What::audience, "", audience, {"named", "ids", "usual_dilution_not_known"});
        FactMaker::sort_list(fact, "ids");
        FactMaker::sort_list(fact, "usual_dilution_not_known");
    }
    const Value usual = safety["usual_dilution"];
    if (usual.is_object()) {
        maker.add(What::usual_dilution, "", usual,
                  {"state", "value_percent", "basis", "of", "actual_percent", "over", "guide", "for", "most_percent", "source"});
    }
    for (const Value caution : items_of(safety, "cautions")) {
        Fact& fact = maker.add(What::caution, text_of(caution, "id"), caution,
                               {"text", "meant", "advice", "rank", "audience", "materials", "source"});
        FactMaker::sort_list(fact, "audience");
        FactMaker::sort_list(fact, "materials");
    }
    for (const Value lot : items_of(safety, "lots")) {
        maker.add(What::lot, text_of(lot, "lot"), lot,
                  {"material", "certificate", "opened", "best_before", "keeps_until", "past_best_before", "past_opened",
                   "peroxide_mmol_per_l", "peroxide_limit_mmol_per_l", "peroxide_rules", "peroxide", "only", "verdict"});
    }
}

void add_label(FactMaker& maker, Value label) {
    if (!label.is_object()) return;
    Fact& state = maker.add(What::label_state, "", label, {"state"});
    // Nothing named and nobody looked are two things.
    state.fields.push_back({"allergens_known", label["allergens"].is_array(), false});
    for (const Value list : items_of(label, "lists")) {
        maker.add(What::allergen_list, text_of(list, "id"), list,
                  {"name", "state", "dated", "in_force", "placed_until", "sold_until", "continues"});
    }
    for (const auto& [what, key] : {std::pair(What::allergen, "allergens"), std::pair(What::allergen_under, "under_threshold")}) {
        for (const Value a : items_of(label, key)) {
            Fact& fact = maker.add(what, text_of(a, "name"), a,
                                   {"kind", "share_percent", "typical_share_percent", "threshold_percent", "rules", "later",
                                    "source", "brought_by"});
            FactMaker::sort_list(fact, "brought_by");
        }
    }
    if (label["unknown_percent"].is_number()) {
        Fact& fact = maker.add(What::label_unknown, "", label, {"unknown_percent", "unknown"});
        FactMaker::sort_list(fact, "unknown");
    }
}

/// Of what is not wholly priced the sum is a part, and no cost.
void add_cost(FactMaker& maker, Value cost) {
    if (!cost.is_object()) return;
    const Value each = cost["each"];
    Fact& fact = maker.add(What::cost, "", cost, {"currency"});
    const bool complete = cost["complete"].is_true();
    fact.fields.push_back({"per_unit", complete ? scalar_of(each["cost"]) : Scalar(), false});
    for (const std::string_view key : {"wholesale", "retail", "budget", "over_budget"}) {
        fact.fields.push_back({key, scalar_of(each[key]), false});
    }
}

void add_taken_on(FactMaker& maker, Value product) {
    for (const Value waiver : items_of(product, "accepted")) {
        maker.add(What::waiver, joined(waiver, {"code", "subject", "rules"}), waiver,
                  {"code", "subject", "rules", "actual_percent", "limit_percent", "ceiling_percent", "because", "until"});
    }
    for (const Value assessed : items_of(product, "assessed")) {
        maker.add(What::assessed, text_of(assessed, "id"), assessed,
                  {"name", "covers", "outside", "assessor", "dated", "until", "fingerprint", "up_to_percent"});
    }
}

}  // namespace

std::vector<Fact> facts_of_product(Value product) {
    std::vector<Fact> out;
    out.reserve(64);
    if (!product.is_object()) return out;
    FactMaker maker(out);
    maker.add(What::title, "", product, {"name"});
    maker.add(What::doc, "", product, {"doc"});
    maker.add(What::blend, "", product, {"blend"});
    maker.add(What::format, "", product, {"format", "category"});
    maker.add(What::line_of, "", product, {"line"});
    maker.add(What::units, "", product, {"units"});
    maker.add(What::complete, "", product, {"complete"});
    add_making(maker, product);
    for (const std::string& warning : texts_of(product["warnings"])) {
        Fact& fact = maker.add(What::warning, warning, Value(), {});
        fact.fields.push_back({"text", warning, false});
    }
    add_safety(maker, product["safety"]);
    add_label(maker, product["label"]);
    for (const Value plant : items_of(product, "conservation")) {
        maker.add(What::conservation, text_of(plant, "material"), plant, {"text", "cites_appendix", "source"});
    }
    add_cost(maker, product["cost"]);
    add_taken_on(maker, product);
    maker.add_assumptions(product);
    put_in_order(out);
    return out;
}

}  // namespace scruple::changes
