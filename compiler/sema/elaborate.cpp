#include "sema/elaborate.h"

#include <fmt/core.h>

#include <algorithm>

#include "library/embedded.h"
#include "sema/elaborator.h"

namespace scruple {

Model Elaborator::run(bool labels) {
    declare_all();
    load_groups();
    // All of them, so that what a sheet says it was compared with does not depend on which oil came first.
    for (const DeclId id : names_.library_of(Kind::rules)) rule_set(id);
    if (workshop_ != kNoDecl) workshop(workshop_);
    // In the order of the files, so that findings and records do not depend on who asks first.
    const auto declared = static_cast<DeclId>(names_.size());
    // A collection's own groups before any oil, as the library's: wherever they stand, what oils hold counts towards them.
    for (DeclId id = 0; id < declared; ++id) {
        if (names_.at(id).kind == Kind::group && names_.at(id).scope != kLibraryScope) substance(id);
    }
    for (DeclId id = 0; id < declared; ++id) {
        const Decl& decl = names_.at(id);
        if (decl.scope == kLibraryScope) continue;
        const Kind kind = decl.kind;
        const bool own = decl.scope == 0;
        switch (kind) {
            case Kind::oil:
            case Kind::ingredient: material(id); break;
            case Kind::substance:
            case Kind::group: substance(id); break;
            case Kind::category: category(id); break;
            case Kind::rules: rule_set(id); break;
            case Kind::limit: limit(id); break;
            case Kind::allergen: allergen(id, true); break;
            case Kind::assessed: assessed(id); break;
            case Kind::harm: harm(id, true); break;
            case Kind::format: format(id); break;
            case Kind::base: base(id); break;
            case Kind::blend:
            case Kind::variation: {
                const BlendId b = blend(id);
                if (own && b != kNone) model_.own_blends.push_back(b);
                break;
            }
            case Kind::bench: {
                const BenchId b = bench(id);
                if (own && b != kNone) model_.own_benches.push_back(b);
                break;
            }
            case Kind::audience: audience(id); break;
            case Kind::caution: caution(id, true); break;
            case Kind::guide: guide(id, true); break;
            case Kind::cite: cite(id); break;
            case Kind::unit: unit(id); break;
            case Kind::let: let(id); break;
            case Kind::lot: lot(id); break;
            case Kind::container: container(id); break;
            default: break;
        }
        if (line_count_ > limits_.run_lines) break;
    }
    check_pourings();
    for (DeclId id = 0; id < declared && line_count_ <= limits_.run_lines; ++id) {
        const Decl& decl = names_.at(id);
        if (decl.scope != 0) continue;  // products of an import stay behind
        if (decl.kind == Kind::product) product(id);
        if (decl.kind == Kind::line) line(id);
    }
    if (line_count_ > limits_.run_lines) {
        report(Code::run_too_long, Span{},
               fmt::format("the collection's formulas come to more than {} lines, and that is the limit of one run",
                           limits_.run_lines));
    }
    for (DeclId id = 0; id < declared; ++id) {
        const Decl& decl = names_.at(id);
        if (decl.scope != 0) continue;  // an import's prices stay behind
        if (decl.kind == Kind::prices) prices(id);
        if (decl.kind == Kind::rate) rate(id);
    }
    if (any_broken_text_) model_.money_broken = true;
    load_people(labels);
    if (labels) load_allergens(false);
    if (model_.workshop.harms_summed) load_harms(false);
    report_unknown_names();
    report_unknown_lots();
    return std::move(model_);
}

Model Elaborator::run_library() {
    load_groups();
    for (const KindSpec& kind : all_kinds()) {
        for (const DeclId id : names_.library_of(kind.kind)) {
            switch (kind.kind) {
                case Kind::oil:
                case Kind::ingredient: material(id); break;
                case Kind::substance:
                case Kind::group: substance(id); break;
                case Kind::category: category(id); break;
                case Kind::rules: rule_set(id); break;
                case Kind::limit: limit(id); break;
                case Kind::format: format(id); break;
                case Kind::base: base(id); break;
                case Kind::cite: cite(id); break;
                case Kind::unit: unit(id); break;
                case Kind::audience:
                case Kind::caution:
                case Kind::guide:
                case Kind::harm:
                case Kind::allergen: break;  // below, in their own order
                default: break;
            }
        }
    }
    load_all_people();
    load_allergens(true);
    load_harms(true);
    report_unknown_names();
    return std::move(model_);
}

Model elaborate(const Collection& collection, SourceMap& sources, const ResourceLimits& limits, Bag& bag, bool labels) {
    return Elaborator(collection, sources, limits, bag).run(labels);
}

Model elaborate_library(SourceMap& sources, const ResourceLimits& limits, Bag& bag) {
    const Collection empty{"library", "", {CollectionScope{}}, {}};
    return Elaborator(empty, sources, limits, bag).run_library();
}

}  // namespace scruple
