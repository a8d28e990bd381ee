// All records of a run: what the collection declares and what of the library it names. Built once by sema; every
// later phase takes it const.
#pragma once

#include <cstdint>
#include <deque>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "library/bench.h"
#include "library/records.h"

namespace scruple {

struct Model {
    // Deques: records never move, so views and references stay good while more are read.
    std::deque<Source> sources;
    std::deque<Material> materials;
    std::deque<Substance> substances;
    std::deque<Category> categories;
    std::deque<RuleSet> rule_sets;
    std::deque<Limit> limits;
    std::deque<Allergen> allergens;  // the library's only where labels are wanted
    std::deque<Harm> harms;          // the library's only where the workshop sums them
    std::deque<Format> formats;
    std::deque<Base> bases;
    std::deque<Blend> blends;
    std::deque<Bench> benches;
    std::deque<Product> products;
    std::deque<Assessment> assessments;
    std::deque<Caution> cautions;    // the library's only where something asks for them
    std::deque<Audience> audiences;
    std::deque<Guide> guides;        // the same
    std::deque<Lot> lots;
    std::deque<Container> containers;
    std::vector<PriceList> price_lists;
    std::vector<PriceRow> prices;    // in order of file and place
    std::vector<ExchangeRate> rates;
    bool money_broken = false;       // an error stands in a price list, a rate or a container: what is missing may be there
    Workshop workshop;
    std::deque<std::string> texts;  // names that stand in no file, such as those of a line's products

    // Limits by subject: index into `limits`.
    std::vector<std::vector<std::uint32_t>> substance_limits;  // by SubstanceId (may be shorter)
    std::vector<std::vector<std::uint32_t>> material_limits;   // by MaterialId (may be shorter)

    // The collection's own, in order of file and place.
    std::vector<BenchId> own_benches;
    std::vector<BlendId> own_blends;
    std::vector<ProductId> own_products;

    /// What a product's blend goes into.
    const std::vector<BasePhase>& phases(const Product& p) const {
        return p.base_id == kNone ? p.own_base : bases[p.base_id].phases;
    }
    /// What stands for a material in a product: the lot of it that the product names, else the material itself.
    MaterialId in_product(const Product& p, MaterialId id) const {
        for (const LotUse& use : p.lots) {
            if (lots[use.lot].of == id) return lots[use.lot].material;
        }
        return id;
    }
    /// The material that a lot is of; any other material itself.
    MaterialId unlotted(MaterialId id) const {
        return materials[id].lot == kNone ? id : lots[materials[id].lot].of;
    }
    const Source* source(SourceId id) const { return id == kNone ? nullptr : &sources[id]; }
    Standing standing(SourceId id) const { return id == kNone ? Standing::maker : sources[id].standing; }
};

}  // namespace scruple
