#include "history/version.h"

#include <algorithm>

#include "changes/sentence.h"
#include "emit/emit.h"
#include "formula/fingerprint.h"
#include "git/tree_file_system.h"
#include "query/comparable.h"
#include "query/session.h"

namespace scruple::history {
namespace {

using changes::Fact;
using changes::What;

std::map<std::string, std::string> fingerprints_of(const Compilation& compiled) {
    std::map<std::string, std::string> out;
    for (const BlendId b : compiled.model.own_blends) {
        const Blend& blend = compiled.model.blends[b];
        if (!blend.header.broken && !compiled.blends[b].lines.empty()) out.emplace(blend.header.name, fingerprint(compiled.model, blend));
    }
    return out;
}

CompileOptions options_for(const std::vector<std::string>& names, const std::string& on) {
    CompileOptions options;
    options.on = on;
    options.threads = 1;
    options.figures_of = [&names](std::string_view name) { return std::find(names.begin(), names.end(), name) != names.end(); };
    return options;
}

const changes::Unit* unit_of(const std::vector<changes::Unit>& units, std::string_view id) {
    const auto found = std::find_if(units.begin(), units.end(), [&](const changes::Unit& u) { return u.id == id; });
    return found == units.end() ? nullptr : &*found;
}

const Fact* fact_of(const std::vector<Fact>& facts, What what) {
    const auto found = std::find_if(facts.begin(), facts.end(), [&](const Fact& f) { return f.what == what; });
    return found == facts.end() ? nullptr : &*found;
}

void take(Version& out, const Compilation& compiled, std::string_view unit, const std::string& on) {
    if (std::string wrong = out.state.add(emit_json(*comparable_document(compiled, on)), true); !wrong.empty()) out.errors.push_back(std::move(wrong));
    for (const auto& e : out.state.errors) out.errors.push_back(e.message);
    const auto* made = unit_of(out.state.blends, unit);
    if (!made) made = unit_of(out.state.products, unit);
    const Fact* complete = made ? fact_of(made->facts(), What::complete) : nullptr;
    out.there = complete && complete->flag("complete");
}

/// A fact as sheets and comparisons say it.
std::string said(const Fact* fact) {
    if (!fact) return {};
    changes::Change change;
    change.what = fact->what;
    change.subject = fact->subject;
    change.fresh = *fact;
    return changes::words(changes::UnitChange{}, change).now;
}

ProductFigures product_figures(const changes::Unit& unit) {
    const auto& facts = unit.facts();
    ProductFigures out;
    out.id = unit.id;
    if (const Fact* verdict = fact_of(facts, What::verdict)) out.verdict = verdict->text("verdict");
    if (const Fact* ceiling = fact_of(facts, What::ceiling)) {
        out.ceiling = said(ceiling);
        out.ceiling_percent = ceiling->number("value_percent");
    }
    if (const Fact* cost = fact_of(facts, What::cost)) {
        out.cost_per_unit = cost->number("per_unit");
        out.currency = cost->text("currency");
        if (out.cost_per_unit) out.cost = said(cost);
    }
    return out;
}

void add_ratio(Figures& out, const changes::Unit& blend) {
    const auto& facts = blend.facts();
    out.blend = blend.id;
    if (const Fact* complete = fact_of(facts, What::complete)) out.fingerprint = complete->text("fingerprint");
    if (const Fact* leader = fact_of(facts, What::leader)) out.leads = leader->text("material");
    for (const Fact& f : facts) {
        if (f.what == What::part) out.parts.emplace_back(f.text("parts"), f.subject);
    }
    // Most first, as a maker names them.
    const auto share = [&](const std::string& material) -> double {
        for (const Fact& f : facts) {
            if (f.what == What::part && f.subject == material && f.exact) return f.exact->to_double();
        }
        return 0;
    };
    std::stable_sort(out.parts.begin(), out.parts.end(), [&](const auto& a, const auto& b) { return share(a.second) > share(b.second); });
}

}  // namespace

Slice slice_of(const Shelf& shelf, const std::vector<std::string_view>& names, bool and_all) {
    Slice out;
    out.names.assign(names.begin(), names.end());
    for (const auto* i : shelf.behind.find(names, and_all)) {
        if (i->kind.empty()) continue;  // what could not be read makes nothing else unreadable
        out.text += i->text;
        out.text += '\n';
    }
    return out;
}

Version compile_slice(const Slice& slice, std::string_view unit, const std::string& on) {
    Version out;
    take(out, *compile_text("collection.scruple", slice.text, ResourceLimits{}, options_for(slice.names, on)), unit, on);
    return out;
}

Version compile_tree(GitRepository& repository, const Tree& tree, const std::string& folder, const std::vector<std::string>& names,
                     std::string_view unit, const std::string& on) {
    std::vector<GitEntry> entries;
    for (const auto& [path, id] : tree) entries.push_back({path, id, GitEntryKind::file});
    const auto files = git_file_system(repository, std::move(entries));
    Bag bag;
    Version out;
    const ResourceLimits limits;
    const bool whole = files->kind(folder) != EntryKind::folder;
    for (const auto& plan : find_collections(*files, {whole ? "." : folder}, false, limits, bag)) {
        take(out, *compile(*files, plan, limits, options_for(names, on)), unit, on);
        if (out.there) break;
        out = Version{};
    }
    return out;
}

std::map<std::string, std::string> fingerprints_in(const Slice& slice) {
    CompileOptions options;
    options.keep_figures = false;
    options.threads = 1;
    return fingerprints_of(*compile_text("collection.scruple", slice.text, ResourceLimits{}, options));
}

Figures figures_of(const Version& version, std::string_view unit) {
    Figures out;
    if (const auto* blend = unit_of(version.state.blends, unit)) {
        const auto& facts = blend->facts();
        if (const Fact* title = fact_of(facts, What::title)) out.title = title->text("name");
        add_ratio(out, *blend);
        for (const auto& p : version.state.products) {
            const auto& product = p.facts();
            const Fact* of = fact_of(product, What::blend);
            if (of && of->text("blend") == unit) out.products.push_back(product_figures(p));
        }
        return out;
    }
    const auto* product = unit_of(version.state.products, unit);
    if (!product) return out;
    const auto& facts = product->facts();
    if (const Fact* title = fact_of(facts, What::title)) out.title = title->text("name");
    const Fact* of = fact_of(facts, What::blend);
    if (const auto* blend = of ? unit_of(version.state.blends, of->text("blend")) : nullptr) add_ratio(out, *blend);
    out.products.push_back(product_figures(*product));
    return out;
}

}  // namespace scruple::history
