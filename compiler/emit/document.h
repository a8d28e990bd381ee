// What every emitter gets: the model and the finished figures, nothing of the text but spans for
// findings.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/source.h"
#include "diag/diagnostic.h"
#include "formula/formula.h"
#include "library/model.h"
#include "safety/allergens.h"
#include "safety/judge.h"
#include "safety/people.h"
#include "trade/cost.h"

namespace scruple {

/// Which figures of a product are looked at.
struct Wanted {
    bool amounts = true;  // what goes into it, and what is taken as given
    bool judged = true;   // the verdict, limits and ceilings, what was accepted and assessed
    bool people = true;   // whom it is for, and the cautions; the verdict counts them too
    bool label = true;
    bool cost = true;     // and what is taken as given for that
    bool briefly = false; // the figures alone, without words and without cautions for people who are not named

    bool any() const { return amounts || judged || people || label || cost; }
    bool all() const { return amounts && judged && people && label && cost; }
    static Wanted nothing() { return {false, false, false, false, false}; }
    Wanted& operator|=(const Wanted& more) {
        amounts |= more.amounts;
        judged |= more.judged;
        people |= more.people;
        label |= more.label;
        cost |= more.cost;
        return *this;
    }
};

/// Makes a product's figures, and words for a blend's, when they are looked at, and forgets them: side by side those of a
/// large collection take more room than anybody wants to give. For several threads at once, each with another product.
class FiguresOnDemand {
public:
    virtual ~FiguresOnDemand() = default;
    virtual void make(ProductId product, Wanted wanted) = 0;
    virtual void forget(ProductId product) = 0;
    /// The words of what a blend's figures take as given.
    virtual std::vector<Assumption> taken_as_given(BlendId blend) const = 0;
};

struct Document {
    const Model* model = nullptr;
    const SourceMap* sources = nullptr;
    std::string_view collection;  // name of the collection's folder or file
    std::string_view on;          // the date given with --on, or empty
    bool all_cautions = false;    // sheets print every caution, not only the first few
    std::vector<BenchId> benches;
    std::vector<BlendId> blends;  // what to print, in order
    std::vector<ProductId> products;
    const std::vector<BlendFigures>* blend_figures = nullptr;  // by BlendId
    const std::vector<Formula>* formulas = nullptr;            // by ProductId
    const std::vector<Judgement>* judgements = nullptr;        // by ProductId
    const std::vector<PeopleJudgement>* people = nullptr;      // by ProductId; null: not asked for
    const PriceBook* prices = nullptr;                         // null: costs were not asked for
    const std::vector<BlendCost>* blend_costs = nullptr;       // by BlendId
    const std::vector<Cost>* costs = nullptr;                  // by ProductId
    const AllergenTable* allergens = nullptr;                  // null: labels were not asked for
    const std::vector<Diagnostic>* diagnostics = nullptr;      // sorted
    FiguresOnDemand* on_demand = nullptr;  // null: the products' figures are there
};

}  // namespace scruple
