// `scruple diff`: what differs in meaning between two versions, in the form that is asked for.
#include <fmt/core.h>

#include <algorithm>
#include <vector>

#include "changes/listed.h"
#include "changes/places.h"
#include "changes/render.h"
#include "changes/report.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"
#include "cli/terminal.h"
#include "cli/versions.h"

namespace scruple {

namespace {

std::vector<const SyntaxTree*> trees_of(const std::vector<const Compilation*>& recipes) {
    std::vector<const SyntaxTree*> out;
    for (const Compilation* c : recipes) {
        for (const auto& file : c->collection.files) {
            if (file.scope == 0) out.push_back(&file.tree);
        }
    }
    return out;
}

/// A log has one run for each collection, since lines are counted in its files.
std::string sarif_of(const Versions& versions) {
    const auto before = trees_of(versions.old_recipes);
    std::vector<std::string> logs;
    for (const Compilation* c : versions.new_recipes) {
        const changes::Places places(before, trees_of({c}));
        logs.push_back(changes::render_sarif(versions.changes, places, c->sources));
    }
    return join_logs(logs, true);
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
    const Sides sides = find_sides(files, options.sides, options.staged);
    if (!sides.fault.empty()) {
        say(fmt::format("scruple: {}\n", sides.fault));
        return sides.unreadable ? kIoFailed : kWrongUse;
    }
    // What a threshold asks of labels and costs is only seen where all is told in full, which is then cut.
    const std::size_t most = options.to == "terminal" ? changes::kMostListed : options.to == "markdown" ? changes::kMostInComment : 0;
    const bool asked = std::any_of(thresholds.begin(), thresholds.end(), [](const auto& t) {
        return t.kind == changes::Threshold::Kind::label || t.kind == changes::Threshold::Kind::cost;
    });
    // Lives until the process ends: taking it apart takes long.
    Versions& versions = *new Versions(compare_versions(sides, {options.on, options.only, options.common, {}, asked ? 0 : most}));
    if (versions.status != kClean) return versions.status;
    changes::Changes& found = versions.changes;
    const bool over = std::any_of(thresholds.begin(), thresholds.end(), [&](const auto& t) { return met(found, t); });
    if (asked && most > 0) shorten(found, most);

    std::string text;
    if (options.to == "sarif") {
        if (versions.new_recipes.empty()) {
            say("scruple: --to sarif points at lines, and NEW has no recipes\n");
            return kWrongUse;
        }
        text = sarif_of(versions);
    }
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
    if (over) return kFailOn;
    return options.exit_code && found.any() ? kDiffers : kClean;
}

}  // namespace scruple
