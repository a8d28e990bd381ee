// Advice on one blend or product: how much of it each format takes and what binds, the nearest ratio that keeps within what
// is known at a wanted load, smaller packs of parts, and swaps. Nothing is applied, and nothing here is an approval.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "advice/nearest.h"
#include "advice/packs.h"
#include "advice/swaps.h"
#include "advice/whole_parts.h"
#include "query/session.h"

namespace scruple {

struct AdviceQuestion {
    std::string name;    // a blend, variation, product or line
    std::string format;  // empty: the product's own; of a blend each of its products'
    std::string load;    // as after `at`, or a load as `using 2 ml`; empty: the product's own, else the format's usual
    bool typical = false;
    std::string on;      // a date, or empty
};

/// One product at the wanted load.
struct ProductAdvice {
    const Product* product = nullptr;  // null: none of the collection's, but the blend in a format that was asked for
    AdviceTask task;
    Trial now;
    bool asked_load = false;
    ShareRows rows;
    Nearest nearest;
    WholeParts parts;                  // of fewest steps; not found where there is nothing to mend or no ratio does
    WholeParts all_kept;               // only where `parts` takes an oil out that needs not go
    MostLoad most;                     // where no ratio of these oils does
    Trial most_trial;
    std::string variation;             // to paste; empty where there is none
    std::string variation_all_kept;
    bool waived = false;               // the product accepts something, which counted for nothing here
};

struct FormatAdvice {
    FormatId format = kNone;
    ProductId product = kNone;         // of the compilation's: one unit in the format's usual base
};

struct Advice {
    std::unique_ptr<Compilation> compilation;  // the collection with the question laid over it
    std::unique_ptr<LimitTable> limits;
    BlendId blend = kNone;
    std::vector<FormatAdvice> formats;         // by what it touches, then by name; empty where one product was asked for
    std::vector<ProductAdvice> products;
    std::size_t products_left = 0;             // further products of the blend that are not looked at
    std::vector<Pack> packs;
    std::vector<Swap> swaps;
    std::string currency;                      // of the savings
    bool typical = false;
};

/// The products of a blend that are looked at in one run.
inline constexpr std::size_t kMostProducts = 6;

struct AdviceAnswer {
    std::unique_ptr<Advice> advice;  // null: `trouble` says why
    std::string trouble;             // for the maker, lines end in \n
    bool recipe = false;             // the trouble is in the recipe, not in the question
};

/// `plan`: the collection that declares the name.
AdviceAnswer advise(const FileSystem& files, const CollectionPlan& plan, const AdviceQuestion& question);

}  // namespace scruple
