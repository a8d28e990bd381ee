// `scruple git diff`: git hands over two texts of one recipe, and what differs in meaning is said, with all that follows for
// the collection around it as it is in the working tree. Always ends well: git gives up where its driver fails.
#include <fmt/core.h>

#include <algorithm>

#include "base/overlay_file_system.h"
#include "base/process.h"
#include "changes/render.h"
#include "changes/report.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/terminal.h"
#include "cli/versions.h"
#include "emit/words.h"
#include "sema/recipes.h"

namespace scruple {
namespace {

constexpr std::string_view kNothing = "/dev/null";

/// The lines that differ, as git itself shows them, without its heading.
std::string lines_that_differ(const std::string& old_file, const std::string& new_file) {
    ProcessRequest request;
    request.arguments = {"git", "--no-pager", "diff", "--no-index", "--no-ext-diff", "--no-textconv", "--no-color", "--", old_file, new_file};
    const ProcessResult done = run_process(request);
    const auto hunk = done.output.find("\n@@ ");
    return hunk == std::string::npos ? std::string() : done.output.substr(hunk + 1);
}

std::string hidden_letters(std::string_view text) {
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const auto end = std::min(text.find('\n', at), text.size());
        out += emit::plain(text.substr(at, end - at)) + "\n";
        at = end + 1;
    }
    return out;
}

}  // namespace

int run_git_diff(FileSystem& files, const GitDiffOptions& options) {
    const auto& a = options.arguments;  // PATH OLD-FILE OLD-ID OLD-MODE NEW-FILE NEW-ID NEW-MODE [NEW-PATH WHAT]
    if (a.size() == 1) {
        return write_out(fmt::format("* {} is in the middle of a merge\n", emit::plain(a[0]))) ? kClean : kIoFailed;
    }
    if (a.size() != 7 && a.size() != 9) {
        say("scruple: git calls `scruple git diff` with 1, 7 or 9 arguments; `scruple diff` is the command for people\n");
        return kWrongUse;
    }
    const std::string& path = a.size() == 9 ? a[7] : a[0];
    std::string heading = fmt::format("recipe {}", emit::plain(path));
    if (a[1] == kNothing) heading += ", new";
    if (a[4] == kNothing) heading += ", gone";
    if (a.size() == 9) heading += fmt::format(", was {}", emit::plain(a[0]));
    heading += "\n";

    const ResourceLimits limits;
    std::string texts[2];
    for (int i = 0; i < 2; ++i) {
        const std::string& file = a[i == 0 ? 1 : 4];
        if (file == kNothing) continue;
        ReadResult read = files.read(file, limits.file_bytes);
        if (read.error != IoError::none) {
            return write_out(heading + fmt::format("one side is not to be read: {}\n", describe(read.error))) ? kClean : kIoFailed;
        }
        texts[i] = std::move(read.text);
    }
    // The other recipes are those of the working tree, where there is one; the texts stand in the place of the recipe.
    std::string real = files.canonical(path);
    const std::string folder = files.canonical(path_parent(path));
    if (real.empty()) real = path_join(folder.empty() ? files.canonical(".") : folder, path_name(path));
    const OverlayFileSystem before(files, real, texts[0]);
    const OverlayFileSystem after(files, real, texts[1]);
    Sides sides;
    sides.old_side.name = "a/" + (a.size() == 9 ? a[0] : path);
    sides.new_side.name = "b/" + path;
    sides.old_side.files = &before;
    sides.new_side.files = &after;
    for (Side* side : {&sides.old_side, &sides.new_side}) {
        side->kind = "recipes";
        side->path = collection_root(after, path_parent(real));
        side->stands_alone = false;
    }
    const Versions versions = compare_versions(sides, {"", {}, options.common, {}, changes::kMostListed});
    std::string text = heading;
    if (versions.status == kClean) {
        changes::TextLook look;
        look.color = wants_color(options.common.color, Stream::out);
        look.width = std::min<std::size_t>(terminal_width(Stream::out), 100);
        look.titled = false;
        text += changes::render_text(versions.changes, look);
    }
    if (versions.status != kClean) text += "What it means is NOT KNOWN: the recipes could not be read.\n";
    if (versions.status != kClean || versions.changes.incomplete()) {
        text += "\nThe lines that differ:\n" + hidden_letters(lines_that_differ(a[1], a[4]));
    }
    return write_out(text + "\n") ? kClean : kIoFailed;
}

}  // namespace scruple
