// `scruple diff`: what differs in meaning between two versions, in the form that is asked for.
#include <fmt/core.h>

#include <algorithm>
#include <vector>

#include "changes/render.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/terminal.h"
#include "cli/versions.h"

namespace scruple {

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
    const Versions versions = compare_versions(sides, {options.on, options.only, options.common});
    if (versions.status != kClean) return versions.status;
    const changes::Changes& found = versions.changes;

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
