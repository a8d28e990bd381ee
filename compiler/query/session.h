// From files to finished figures: the one way that command line and editor take through the phases.
#pragma once

#include <cstdint>
#include <functional>
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
    /// Of which blends and products figures are kept, by the name of the declaration that makes them (a line, for its
    /// products); empty: of all. The document of the compilation holds these and no other.
    std::function<bool(std::string_view)> figures_of;
    /// The products' figures are made when the document's `on_demand` is asked for them. Until then, and where `figures_of`
    /// leaves a product out, it is not judged: only what keeps it from being whole is found.
    bool on_demand = false;
    unsigned threads = 0;              // 0: as many as the machine has; the result is the same
};

struct ReadCollection;

class ProductWork;

/// One collection worked out.
struct Compilation {
    Compilation();
    ~Compilation();

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
    /// How many of each that is.
    struct Counts {
        std::size_t benches = 0, blends = 0, products = 0;
    };
    Counts counts() const;

private:
    friend std::unique_ptr<Compilation> compile(ReadCollection, const ResourceLimits&, const CompileOptions&);
    std::function<bool(std::string_view)> figures_of_;
    std::unique_ptr<ProductWork> on_demand_;
    template <class OnBench, class OnBlend, class OnProduct>
    void each_shown(OnBench&& on_bench, OnBlend&& on_blend, OnProduct&& on_product) const;
};

/// The first half of the way: the files read and parsed.
struct ReadCollection {
    std::unique_ptr<Compilation> compilation;  // its `sources` and `collection` alone
    Bag said;
};
ReadCollection read_collection(const FileSystem& files, const CollectionPlan& plan, const ResourceLimits& limits = {});
/// The second half.
std::unique_ptr<Compilation> compile(ReadCollection read, const ResourceLimits& limits = {}, const CompileOptions& options = {});

/// Never throws for what the files hold; every finding is in `diagnostics`.
std::unique_ptr<Compilation> compile(const FileSystem& files, const CollectionPlan& plan,
                                     const ResourceLimits& limits = {}, const CompileOptions& options = {});

/// Compiles one text as a collection of its own, for tests and tools. `path` is how findings name it.
std::unique_ptr<Compilation> compile_text(const std::string& path, std::string text,
                                          const ResourceLimits& limits = {}, const CompileOptions& options = {});

}  // namespace scruple
