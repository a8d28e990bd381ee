// From files to finished figures: the one way that command line and editor take through the phases.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/file_system.h"
#include "base/limits.h"
#include "emit/document.h"
#include "sema/collection.h"

namespace scruple {

struct CompileOptions {
    std::optional<std::int64_t> make;  // units of every product, instead of what the recipe says
    std::string on;                    // the date that decides which lists of allergens hold; empty: the longest
    bool keep_figures = true;          // false: only the findings are wanted, and memory stays small
    unsigned threads = 0;              // 0: as many as the machine has; the result is the same
};

/// One collection worked out.
struct Compilation {
    SourceMap sources;
    Collection collection;
    Model model;
    std::vector<BlendFigures> blends;      // by BlendId
    std::vector<Formula> formulas;         // by ProductId
    std::vector<Judgement> judgements;     // by ProductId
    std::vector<PeopleJudgement> people;   // by ProductId
    std::unique_ptr<PriceBook> prices;
    std::vector<BlendCost> blend_costs;    // by BlendId
    std::vector<Cost> costs;               // by ProductId
    std::unique_ptr<AllergenTable> allergens;  // only where figures are kept
    std::vector<Diagnostic> diagnostics;   // sorted, those of the selected files and of the whole run
    std::size_t errors = 0;

    /// Everything of the selected files, by name.
    Document document() const;
    /// How many blends and products that is.
    std::pair<std::size_t, std::size_t> counts() const;

private:
    template <class OnBlend, class OnProduct>
    void each_shown(OnBlend&& on_blend, OnProduct&& on_product) const;
};

/// Never throws for what the files hold; every finding is in `diagnostics`.
std::unique_ptr<Compilation> compile(const FileSystem& files, const CollectionPlan& plan,
                                     const ResourceLimits& limits = {}, const CompileOptions& options = {});

/// Compiles one text as a collection of its own, for tests and tools. `path` is how findings name it.
std::unique_ptr<Compilation> compile_text(const std::string& path, std::string text,
                                          const ResourceLimits& limits = {}, const CompileOptions& options = {});

}  // namespace scruple
