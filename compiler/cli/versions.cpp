#include "cli/versions.h"

#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "base/overlay_file_system.h"
#include "base/parallel.h"
#include "changes/imprint.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"
#include "query/comparable.h"
#include "sema/names.h"

namespace scruple {
namespace {

/// A saved document may be as large as a collection of 10,000 blends makes it, and some more.
constexpr std::uint64_t kDocumentBytes = 512u << 20;

/// The collections of one side, as far as they can be told apart without working anything out.
struct ReadSide {
    std::vector<ReadCollection> collections;
    std::unique_ptr<FileSystem> hiding;
    Bag lost;
};

/// Two versions of a recipe side by side in one folder would take each other's names: each is read without the other.
void read_side(const Side& side, const Side& other, ReadSide& out) {
    const FileSystem* files = side.files;
    if (!other.document() && !other.nothing && other.files == side.files) {
        const std::string hidden = files->canonical(other.path);
        if (files->kind(other.path) == EntryKind::file && files->kind(side.path) == EntryKind::file &&
            hidden != files->canonical(side.path)) {
            out.hiding = std::make_unique<OverlayFileSystem>(*files, hidden, "");
            files = out.hiding.get();
        }
    }
    const ResourceLimits limits;
    for (const auto& plan : find_collections(*files, {side.path}, false, limits, out.lost)) {
        out.collections.push_back(read_collection(*files, plan, limits));
    }
}

std::vector<changes::FileTree> file_trees(const ReadSide& side) {
    std::vector<changes::FileTree> out;
    for (const auto& c : side.collections) {
        for (const auto& file : c.compilation->collection.files) out.push_back({&file.tree, file.scope != 0});
    }
    return out;
}

int add_document(const Side& side, changes::State& out) {
    ReadResult read = side.files->read(side.path, kDocumentBytes);
    if (read.error != IoError::none) {
        say(fmt::format("scruple: cannot read {}: {}\n", side.name, read.detail.empty() ? describe(read.error) : read.detail));
        return kIoFailed;
    }
    const std::string wrong = out.add(std::move(read.text));
    if (wrong.empty()) return kClean;
    say(fmt::format("scruple: cannot compare {}: {}\n", side.name, wrong));
    return kWrongUse;
}

using NameSet = std::set<std::string, std::less<>>;

void add_names(const Model& model, NameSet& names) {
    for (const BlendId b : model.own_blends) names.emplace(model.blends[b].header.name);
    for (const ProductId p : model.own_products) {
        names.emplace(model.products[p].header.name);
        names.emplace(model.products[p].line);
    }
}

/// How a side was worked out. Nothing is printed meanwhile: both sides are worked out at once.
struct WorkedOut {
    int status = kClean;
    const Compiled* findings = nullptr;  // to be printed
};

/// Works a side out and adds it to `out`. `reach`: what can differ at all; null: everything.
WorkedOut add_recipes(const Side& side, ReadSide read, const changes::Reach* reach, const VersionsOptions& options,
                changes::State& out, NameSet& names, std::vector<const Compilation*>& recipes) {
    // Lives until the process ends, as every compilation of the command line does: taking it apart takes long.
    Compiled& compiled = *new Compiled;
    CompileOptions compile_options;
    compile_options.on = options.on;
    compile_options.on_demand = true;
    const auto wanted_of = [reach](std::string_view name) { return reach ? reach->of(name) : Wanted{}; };
    if (reach && !reach->for_all.all()) compile_options.figures_of = [wanted_of](std::string_view name) { return wanted_of(name).any(); };
    for (auto& c : read.collections) compiled.collections.push_back(compile(std::move(c), ResourceLimits{}, compile_options));
    read.lost.sort_and_unique();
    compiled.lost = read.lost.items();
    const int status = exit_status(compiled);
    if (status == kIoFailed || (compiled.collections.empty() && side.stands_alone)) {
        return {kIoFailed, &compiled};
    }
    for (const auto& c : compiled.collections) {
        if (!options.only.empty()) add_names(c->model, names);
        recipes.push_back(c.get());
        out.add(comparable_document(*c, options.on), wanted_of);
    }
    return {};
}

void add_names(const changes::State& state, NameSet& names) {
    for (const changes::Unit& u : state.blends) names.insert(u.id);
    for (const changes::Unit& u : state.products) {
        names.insert(u.id);
        for (const changes::Fact& f : u.facts()) {
            if (f.what == changes::What::line_of) names.insert(f.text("line"));
        }
    }
}

changes::SideName named(const Side& side) {
    changes::SideName out{side.name, side.kind, side.commit};
    return out;
}

}  // namespace

Versions compare_versions(const Sides& sides, const VersionsOptions& options) {
    Versions out;
    const Side* both[2] = {&sides.old_side, &sides.new_side};
    changes::State states[2];
    NameSet names;
    ReadSide read[2];
    const auto recipes = [&](int i) { return !both[i]->document() && !both[i]->nothing; };
    for (int i = 0; i < 2; ++i) {
        for (const std::string& path : both[i]->submodules) {
            if (path_is_below(path, both[i]->path) || both[i]->path == ".") {
                say(fmt::format("scruple: note: {} is a repository of its own, and what {} has of it is not read\n", path, both[i]->name));
            }
        }
    }
    const auto read_one = [&](std::size_t i) {
        if (recipes(static_cast<int>(i))) read_side(*both[i], *both[1 - i], read[i]);
    };
    // What looks into a repository asks one program, a question at a time.
    if (!sides.repository) {
        in_parallel(2, read_one);
    } else {
        read_one(0);
        read_one(1);
    }
    changes::Reach reach;
    const bool compared = recipes(0) && recipes(1) && read[0].collections.size() == read[1].collections.size();
    if (compared) {
        const auto [before, after] = changes::imprints(file_trees(read[0]), file_trees(read[1]));
        reach = changes::reach_of(before, after);
    }
    if (!recipes(0) && !recipes(1) && both[0]->nothing && both[1]->nothing) {
        say(fmt::format("scruple: there is nothing on either side, {} and {}\n", both[0]->name, both[1]->name));
        out.status = kIoFailed;
        return out;
    }
    WorkedOut worked[2];
    NameSet own_names[2];
    in_parallel(2, [&](std::size_t i) {
        if (!recipes(static_cast<int>(i))) return;
        worked[i] = add_recipes(*both[i], std::move(read[i]), compared ? &reach : nullptr, options, states[i], own_names[i],
                                i == 0 ? out.old_recipes : out.new_recipes);
    });
    for (int i = 0; i < 2; ++i) {
        if (both[i]->nothing) continue;
        if (both[i]->document()) worked[i].status = add_document(*both[i], states[i]);
        if (worked[i].findings) print_findings(*worked[i].findings, options.common, Stream::err);
        if (worked[i].status != kClean) {
            out.status = worked[i].status;
            return out;
        }
        names.merge(own_names[i]);
        if (both[i]->document() && !options.only.empty()) add_names(states[i], names);
    }
    for (const std::string& name : options.only) {
        if (names.contains(name)) continue;
        const auto near = nearest(name, std::vector<std::string>(names.begin(), names.end()));
        say(fmt::format("scruple: on neither side a blend, product or line is called `{}`{}\n", name,
                        near.empty() ? "" : fmt::format("; did you mean `{}`?", near)));
        out.status = kWrongUse;
        return out;
    }
    changes::CompareOptions compare_options;
    compare_options.only = options.only;
    compare_options.renamed = options.renamed;
    compare_options.most = options.most;
    out.changes = changes::compare(states[0], states[1], compare_options);
    out.changes.old_side = named(sides.old_side);
    out.changes.new_side = named(sides.new_side);
    return out;
}

}  // namespace scruple
