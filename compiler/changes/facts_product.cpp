// A product's object as facts.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "changes/fact_maker.h"
#include "changes/state.h"
#include "emit/words.h"

namespace scruple::changes {
namespace {

using ProductJson = nlohmann::json;
using ProductMaker = FactMaker<ProductJson>;

std::string joined(const ProductJson& j, std::initializer_list<const char*> keys) {
    std::string out;
    for (const char* key : keys) {
        if (!out.empty()) out += ':';
        out += ProductMaker::text(j, key);
    }
    return out;
}

/// The batch's weight is filled in where a step says `<batch>`: of another batch the step is still the same.
void add_steps(ProductMaker& maker, const ProductJson& product, const ProductJson& batch) {
    std::vector<std::string> steps = ProductMaker::texts(ProductMaker::at(product, "steps"));
    const ProductJson& mass = ProductMaker::at(batch, "mass_g");
    const std::string weight = mass.is_number() ? emit::amount_text(mass.get<double>()) + " g" : "the batch";
    for (std::string& step : steps) {
        for (std::size_t at = step.find(weight); at != std::string::npos; at = step.find(weight, at + 1)) {
            const bool within = at > 0 && (step[at - 1] == '.' || (step[at - 1] >= '0' && step[at - 1] <= '9'));
            if (!within) step.replace(at, weight.size(), "<batch>");
        }
    }
    Fact& fact = maker.add(What::steps, "", ProductJson(), {});
    fact.fields.push_back({"steps", std::move(steps), false});
}

void add_making(ProductMaker& maker, const ProductJson& product) {
    Fact& load = maker.add(What::load, "", ProductMaker::at(product, "load"),
                           {"kind", "value_percent", "basis", "of", "ww_percent"});
    // What follows from the oils' densities and droppers is seen at the lines.
    ProductMaker::carry(load, ProductMaker::at(product, "load"), {"vv_percent", "drops_per_unit", "text"});
    maker.add(What::content, "", ProductMaker::at(product, "content"), {"mass_g", "volume_ml"});
    const ProductJson& batch = ProductMaker::at(product, "batch");
    Fact& made = maker.add(What::batch, "", batch, {"mass_g", "extra_percent", "scale_division_g"});
    ProductMaker::carry(made, batch, {"volume_ml", "weigh_g"});
    std::vector<std::string> phases;
    for (const ProductJson& phase : ProductMaker::items(product, "phases")) {
        std::string text = ProductMaker::text(phase, "name");
        if (const auto title = ProductMaker::text(phase, "title"); !title.empty()) text += " \"" + title + "\"";
        const ProductJson& at = ProductMaker::at(phase, "at_c");
        if (at.is_number()) text += " at " + at.dump() + " C";
        if (ProductMaker::at(phase, "blend_here") == true) text += " with the blend";
        phases.push_back(text);
    }
    // One without a name is a product without phases.
    Fact fact{What::phases, "", {{"phases", std::move(phases), false}}};
    Fact& added = maker.add(What::phases, "", ProductJson(), {});
    added = std::move(fact);
    for (const ProductJson& line : ProductMaker::items(product, "lines")) {
        Fact& one = maker.add(What::line, joined(line, {"role", "phase", "material"}), line,
                              {"material", "role", "phase", "lot", "percent_ww", "mass_g", "scale_division_g", "volume_ml",
                               "drops", "too_light"});
        const ProductJson& diluted = ProductMaker::at(line, "diluted");
        one.fields.push_back({"diluted_percent", ProductMaker::scalar(ProductMaker::at(diluted, "percent_ww")), false});
        one.fields.push_back({"diluted_in", ProductMaker::scalar(ProductMaker::at(diluted, "in")), false});
        // How the last steps of the scale and the last drops fall can hang on the order of the rows.
        ProductMaker::carry(one, line, {"weigh_g", "drops_per_unit", "name"});
    }
    for (const ProductJson& premix : ProductMaker::items(product, "premixes")) {
        maker.add(What::premix, ProductMaker::text(premix, "material"), premix, {"carrier", "oil_g", "carrier_g", "use_g"});
    }
    const ProductJson& plan = ProductMaker::at(product, "drop_plan");
    if (plan.is_object()) maker.add(What::drop_plan, "", plan, {"total", "multiple", "worst_error_percent", "smallest_fit"});
    add_steps(maker, product, batch);
}

void add_safety(ProductMaker& maker, const ProductJson& safety) {
    maker.add(What::verdict, "", safety, {"verdict", "decided_by"});
    for (const auto& [what, key] : {std::pair(What::ceiling, "ceiling"), std::pair(What::careful, "careful")}) {
        const ProductJson& ceiling = ProductMaker::at(safety, key);
        if (ceiling.is_object()) maker.add(what, "", ceiling, {"state", "value_percent", "basis", "of", "ww_percent", "bound_by"});
    }
    for (const ProductJson& check : ProductMaker::items(safety, "checks")) {
        Fact& fact = maker.add(What::check, ProductMaker::text(check, "rule"), check,
                               {"kind", "subject", "rules", "category", "actual_percent", "actual_at_maximum_percent",
                                "limit_percent", "used_percent", "used_at_maximum_percent", "soft", "verdict", "decided_by",
                                "source", "standing", "brought_by"});
        ProductMaker::sort_list(fact, "brought_by");
    }
    for (const ProductJson& unknown : ProductMaker::items(safety, "unknown")) {
        maker.add(What::unknown, ProductMaker::text(unknown, "material"), unknown, {"share_of_blend_percent", "unknown_percent"});
    }
    for (const ProductJson& limit : ProductMaker::items(safety, "unstated")) {
        maker.add(What::unstated, joined(limit, {"rules", "subject"}), limit,
                  {"subject", "rules", "actual_percent", "actual_at_maximum_percent", "source"});
    }
    const ProductJson& audience = ProductMaker::at(safety, "audience");
    if (audience.is_object()) {
        Fact& fact = maker.add(What::audience, "", audience, {"named", "ids", "usual_dilution_not_known"});
        ProductMaker::sort_list(fact, "ids");
        ProductMaker::sort_list(fact, "usual_dilution_not_known");
    }
    const ProductJson& usual = ProductMaker::at(safety, "usual_dilution");
    if (usual.is_object()) {
        maker.add(What::usual_dilution, "", usual,
                  {"state", "value_percent", "basis", "of", "actual_percent", "over", "guide", "for", "most_percent", "source"});
    }
    for (const ProductJson& caution : ProductMaker::items(safety, "cautions")) {
        Fact& fact = maker.add(What::caution, ProductMaker::text(caution, "id"), caution,
                               {"text", "meant", "advice", "rank", "audience", "materials", "source"});
        ProductMaker::sort_list(fact, "audience");
        ProductMaker::sort_list(fact, "materials");
    }
    for (const ProductJson& lot : ProductMaker::items(safety, "lots")) {
        maker.add(What::lot, ProductMaker::text(lot, "lot"), lot,
                  {"material", "certificate", "opened", "best_before", "keeps_until", "past_best_before", "past_opened",
                   "peroxide_mmol_per_l", "peroxide_limit_mmol_per_l", "peroxide_rules", "peroxide", "only", "verdict"});
    }
}

void add_label(ProductMaker& maker, const ProductJson& label) {
    if (!label.is_object()) return;
    Fact& state = maker.add(What::label_state, "", label, {"state"});
    // Nothing named and nobody looked are two things.
    state.fields.push_back({"allergens_known", ProductMaker::at(label, "allergens").is_array(), false});
    for (const ProductJson& list : ProductMaker::items(label, "lists")) {
        maker.add(What::allergen_list, ProductMaker::text(list, "id"), list,
                  {"name", "state", "dated", "in_force", "placed_until", "sold_until", "continues"});
    }
    for (const auto& [what, key] : {std::pair(What::allergen, "allergens"), std::pair(What::allergen_under, "under_threshold")}) {
        for (const ProductJson& a : ProductMaker::items(label, key)) {
            Fact& fact = maker.add(what, ProductMaker::text(a, "name"), a,
                                   {"kind", "share_percent", "typical_share_percent", "threshold_percent", "rules", "later",
                                    "source", "brought_by"});
            ProductMaker::sort_list(fact, "brought_by");
        }
    }
    if (ProductMaker::at(label, "unknown_percent").is_number()) {
        Fact& fact = maker.add(What::label_unknown, "", label, {"unknown_percent", "unknown"});
        ProductMaker::sort_list(fact, "unknown");
    }
}

/// Of what is not wholly priced the sum is a part, and no cost.
void add_cost(ProductMaker& maker, const ProductJson& cost) {
    if (!cost.is_object()) return;
    const ProductJson& each = ProductMaker::at(cost, "each");
    Fact& fact = maker.add(What::cost, "", cost, {"currency"});
    const bool complete = ProductMaker::at(cost, "complete") == true;
    fact.fields.push_back({"per_unit", complete ? ProductMaker::scalar(ProductMaker::at(each, "cost")) : Scalar(), false});
    for (const char* key : {"wholesale", "retail", "budget", "over_budget"}) {
        fact.fields.push_back({key, ProductMaker::scalar(ProductMaker::at(each, key)), false});
    }
}

void add_taken_on(ProductMaker& maker, const ProductJson& product) {
    for (const ProductJson& waiver : ProductMaker::items(product, "accepted")) {
        maker.add(What::waiver, joined(waiver, {"code", "subject", "rules"}), waiver,
                  {"code", "subject", "rules", "actual_percent", "limit_percent", "ceiling_percent", "because", "until"});
    }
    for (const ProductJson& assessed : ProductMaker::items(product, "assessed")) {
        maker.add(What::assessed, ProductMaker::text(assessed, "id"), assessed,
                  {"name", "covers", "outside", "assessor", "dated", "until", "fingerprint", "up_to_percent"});
    }
}

}  // namespace

std::vector<Fact> facts_of_product(std::string_view text) {
    std::vector<Fact> out;
    const ProductJson product = ProductJson::parse(text, nullptr, false);
    if (!product.is_object()) return out;
    ProductMaker maker(out);
    maker.add(What::title, "", product, {"name"});
    maker.add(What::doc, "", product, {"doc"});
    maker.add(What::blend, "", product, {"blend"});
    maker.add(What::format, "", product, {"format", "category"});
    maker.add(What::line_of, "", product, {"line"});
    maker.add(What::units, "", product, {"units"});
    maker.add(What::complete, "", product, {"complete"});
    add_making(maker, product);
    for (const std::string& warning : ProductMaker::texts(ProductMaker::at(product, "warnings"))) {
        Fact& fact = maker.add(What::warning, warning, ProductJson(), {});
        fact.fields.push_back({"text", warning, false});
    }
    add_safety(maker, ProductMaker::at(product, "safety"));
    add_label(maker, ProductMaker::at(product, "label"));
    for (const ProductJson& plant : ProductMaker::items(product, "conservation")) {
        maker.add(What::conservation, ProductMaker::text(plant, "material"), plant, {"text", "cites_appendix", "source"});
    }
    add_cost(maker, ProductMaker::at(product, "cost"));
    add_taken_on(maker, product);
    add_assumptions(out, assumptions_of(product));
    put_in_order(out);
    return out;
}

}  // namespace scruple::changes
