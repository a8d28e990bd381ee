// `scruple diff`: each side becomes a formula document, saved or made now, and the two documents are compared.
#include <fmt/core.h>

#include <algorithm>
#include <vector>

#include "base/overlay_file_system.h"
#include "changes/render.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"
#include "cli/terminal.h"
#include "emit/emit.h"
#include "sema/names.h"

namespace scruple {
namespace {

/// A saved document may be as large as a collection of 10,000 blends makes it, and some more.
constexpr std::uint64_t kDocumentBytes = 512u << 20;

bool is_document(const std::string& path) { return path.size() > 5 && path.ends_with(".json"); }

int add_document(const FileSystem& files, const std::string& path, changes::State& out) {
    ReadResult read = files.read(path, kDocumentBytes);
    if (read.error != IoError::none) {
        say(fmt::format("scruple: cannot read {}: {}\n", path, read.detail.empty() ? describe(read.error) : read.detail));
        return kIoFailed;
    }
    const std::string wrong = out.add(std::move(read.text));
    if (wrong.empty()) return kClean;
    say(fmt::format("scruple: cannot compare {}: {}\n", path, wrong));
    return kWrongUse;
}

int add_recipes(const FileSystem& files, const std::string& path, const DiffOptions& options, changes::State& out) {
    CompileOptions compile_options;
    compile_options.on = options.on;
    const Compiled& compiled = compile_paths(files, {path}, false, compile_options);
    const int status = exit_status(compiled);
    if (status == kIoFailed || compiled.collections.empty()) {
        print_findings(compiled, options.common, Stream::err);
        return kIoFailed;
    }
    for (const auto& c : compiled.collections) {
        Document d = c->document();
        d.on = options.on;
        if (const std::string wrong = out.add(emit_json(d)); !wrong.empty()) {
            say(fmt::format("scruple: cannot compare {}: {}\n", path, wrong));
            return kOurFault;
        }
    }
    return kClean;
}

/// Two versions of a recipe side by side in one folder would take each other's names: each is read without the other.
int add_side(const FileSystem& files, const std::string& path, const std::string& other, const DiffOptions& options,
             changes::State& out) {
    if (is_document(path)) return add_document(files, path, out);
    const std::string hidden = files.canonical(other);
    if (is_document(other) || files.kind(other) != EntryKind::file || files.kind(path) != EntryKind::file ||
        hidden == files.canonical(path)) {
        return add_recipes(files, path, options, out);
    }
    const OverlayFileSystem without(files, hidden, "");
    return add_recipes(without, path, options, out);
}

bool has_name(const changes::State& state, const std::string& name) {
    const auto in = [&](const std::vector<changes::Unit>& units, bool products) {
        return std::any_of(units.begin(), units.end(), [&](const changes::Unit& u) {
            if (u.id == name) return true;
            if (!products || !u.id.starts_with(name)) return false;
            const auto facts = changes::facts_of_product(u.text);
            return std::any_of(facts.begin(), facts.end(), [&](const changes::Fact& f) {
                return f.what == changes::What::line_of && f.text("line") == name;
            });
        });
    };
    return in(state.blends, false) || in(state.products, true);
}

}  // namespace

int run_diff(FileSystem& files, const DiffOptions& options) {
    std::vector<changes::Threshold> thresholds;
    for (const std::string& text : options.fail_on) {
        const auto threshold = changes::read_threshold(text);
        if (!threshold) {
            say(fmt::format("scruple: --fail-on takes safety, label, cost:5% or any, not `{}`\n", text));
            return kWrongUse;
        }
        thresholds.push_back(*threshold);
    }
    changes::State before, after;
    if (const int status = add_side(files, options.old_side, options.new_side, options, before); status != kClean) return status;
    if (const int status = add_side(files, options.new_side, options.old_side, options, after); status != kClean) return status;
    for (const std::string& name : options.only) {
        if (has_name(before, name) || has_name(after, name)) continue;
        std::vector<std::string> names;
        for (const auto* side : {&before, &after}) {
            for (const auto& u : side->blends) names.push_back(u.id);
            for (const auto& u : side->products) names.push_back(u.id);
        }
        const auto near = nearest(name, names);
        say(fmt::format("scruple: on neither side a blend, product or line is called `{}`{}\n", name,
                        near.empty() ? "" : fmt::format("; did you mean `{}`?", near)));
        return kWrongUse;
    }
    changes::CompareOptions compare_options;
    compare_options.only = options.only;
    changes::Changes found = changes::compare(before, after, compare_options);
    found.old_side = {options.old_side, is_document(options.old_side) ? "document" : "recipes"};
    found.new_side = {options.new_side, is_document(options.new_side) ? "document" : "recipes"};

    std::string text;
    if (options.to == "json") text = render_json(found);
    if (options.to == "html") text = render_html(found);
    if (options.to == "markdown") text = render_markdown(found);
    if (options.to == "terminal") {
        changes::TextLook look;
        look.color = wants_color(options.common.color, Stream::out);
        look.width = std::min<std::size_t>(terminal_width(Stream::out), 100);
        text = render_text(found, look);
    }
    if (!write_out(text)) return kIoFailed;
    if (std::any_of(thresholds.begin(), thresholds.end(), [&](const auto& t) { return met(found, t); })) return kFailOn;
    return options.exit_code && found.any() ? kDiffers : kClean;
}

}  // namespace scruple
