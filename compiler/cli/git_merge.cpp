// `scruple git merge`: git's merge driver for recipes (gitattributes(5)). The result stands in the place of OURS. Status 0: merged;
// 1: somebody must look; above 128: git is to leave the file alone.
#include <fmt/core.h>

#include <algorithm>
#include <map>
#include <tuple>

#include "base/overlay_file_system.h"
#include "base/process.h"
#include "changes/sentence.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/terminal.h"
#include "cli/versions.h"
#include "emit/words.h"
#include "merge/merge.h"
#include "sema/recipes.h"

namespace scruple {
namespace {

constexpr int kLookAtIt = 1;
constexpr int kLeaveAlone = 129;
constexpr std::size_t kMostSaid = 12;  // lines on what the merge comes to

std::string_view why_text(MergeConflict::Why why) {
    switch (why) {
        case MergeConflict::Why::changed_twice: return "both sides changed it, each in another way";
        case MergeConflict::Why::changed_and_removed: return "one side changed it, the other took it out";
        case MergeConflict::Why::added_twice: return "both sides added it, each in another way";
        case MergeConflict::Why::same_place: return "both sides added something here, and its order is meaning";
        case MergeConflict::Why::order: return "both sides changed the order, and it is meaning";
        case MergeConflict::Why::basis:
            return "one side counts the whole ratio anew, the other changes a part of it: row by row, it would be a ratio that nobody meant";
        case MergeConflict::Why::not_closed: return "each side comes to 100 %, and both together do not";
    }
    return "both sides changed it";
}

std::string conflict_text(const std::string& path, const MergeConflict& c) {
    std::string about = c.declaration;
    if (!c.subject.empty()) about += (about.empty() ? "" : ", ") + c.subject;
    if (about.empty()) about = "the file";
    return fmt::format("scruple: {}:{}: {}: {}\n", path, c.line, about, why_text(c.why));
}

ConflictStyle conflict_style() {
    ProcessRequest request;
    request.arguments = {"git", "config", "--get", "merge.conflictStyle"};
    const std::string style = run_process(request).output;
    return style.starts_with("zdiff3") ? ConflictStyle::zdiff3 : style.starts_with("diff3") ? ConflictStyle::diff3 : ConflictStyle::merge;
}

/// As git itself merges texts: line by line.
int merge_lines(FileSystem& files, const GitMergeOptions& options, const std::string& shown) {
    ProcessRequest request;
    request.arguments = {"git", "merge-file", "-p", "--marker-size=" + std::to_string(options.marker_size),
                         "-L", options.ours_label, "-L", options.base_label, "-L", options.theirs_label};
    const ConflictStyle style = conflict_style();
    if (style == ConflictStyle::diff3) request.arguments.push_back("--diff3");
    if (style == ConflictStyle::zdiff3) request.arguments.push_back("--zdiff3");
    request.arguments.insert(request.arguments.end(), {"--", options.ours, options.base, options.theirs});
    const ProcessResult done = run_process(request);
    if (done.end != ProcessEnd::exited || done.status > 127) {
        // What is no text for git either is left as it was on our side, and is for a person to settle.
        say(fmt::format("scruple: {} cannot be merged line by line either: {}\n", shown, emit::plain(done.error.substr(0, done.error.find('\n')))));
        return done.end == ProcessEnd::exited ? kLookAtIt : kLeaveAlone;
    }
    const auto written = files.write_atomically(options.ours, done.output);
    if (written.error != IoError::none) {
        say(fmt::format("scruple: cannot write {}: {}\n", options.ours, describe(written.error)));
        return kLeaveAlone;
    }
    return done.status == 0 ? kClean : kLookAtIt;
}

/// By unit, kind and subject; with how it reads.
using Worse = std::map<std::tuple<std::string, changes::What, std::string>, std::string>;

/// What got worse from one side to the merged recipe, and how it reads.
Worse worse_than(const FileSystem& before, const FileSystem& after, const std::string& folder, const CommonOptions& common,
                 std::vector<std::string>& errors, bool& known) {
    Sides sides;
    sides.old_side.name = "a side";
    sides.new_side.name = "the merge";
    sides.old_side.files = &before;
    sides.new_side.files = &after;
    for (Side* side : {&sides.old_side, &sides.new_side}) {
        side->kind = "recipes";
        side->path = folder;
        side->stands_alone = false;
    }
    const Versions versions = compare_versions(sides, {"", {}, common, {}, 0});
    Worse out;
    known = known && versions.status == kClean;
    if (versions.status != kClean) return out;
    for (const auto& e : versions.changes.new_errors) {
        const bool known = std::any_of(versions.changes.old_errors.begin(), versions.changes.old_errors.end(),
                                       [&](const auto& old) { return old.code == e.code && old.message == e.message; });
        if (!known) errors.push_back(e.message);
    }
    for (const auto& u : versions.changes.units) {
        for (const auto& c : u.changes) {
            if (!c.worse) continue;
            out.emplace(std::tuple(u.id, c.what, c.subject), fmt::format("{}: {}", u.id, changes::sentence(u, c)));
        }
    }
    return out;
}

/// Whether what was merged cleanly is for a person to look at all the same: it does not compile although each side does, or
/// something could hurt more than on either side.
bool needs_a_look(const FileSystem& files, const GitMergeOptions& options, const std::string& shown, const std::string (&texts)[3],
                  const std::string& merged) {
    if (options.path.empty()) return false;
    std::string real = files.canonical(options.path);
    const std::string folder = files.canonical(path_parent(options.path));
    if (real.empty() && folder.empty()) return false;
    if (real.empty()) real = path_join(folder, path_name(options.path));
    const OverlayFileSystem ours(files, real, texts[1]);
    const OverlayFileSystem theirs(files, real, texts[2]);
    const OverlayFileSystem after(files, real, merged);
    const std::string root = collection_root(after, path_parent(real));
    std::vector<std::string> errors, other_errors, lines;
    bool known = true;
    const Worse from_ours = worse_than(ours, after, root, options.common, errors, known);
    const Worse from_theirs = worse_than(theirs, after, root, options.common, other_errors, known);
    if (!known) lines.push_back("what follows from it is NOT KNOWN: the recipes around it could not be read");
    for (const auto& e : errors) {
        const bool new_to_both = std::find(other_errors.begin(), other_errors.end(), e) != other_errors.end();
        if (new_to_both) lines.push_back("it does not compile, though each side does: " + e);
    }
    for (const auto& [what, text] : from_ours) {
        if (from_theirs.contains(what)) lines.push_back("worse than on either side: " + text);
    }
    if (lines.empty()) return false;
    say(fmt::format("scruple: {} was merged, and must be looked at before it is taken:\n", shown));
    for (std::size_t i = 0; i < lines.size() && i < kMostSaid; ++i) say(fmt::format("  {}\n", emit::plain(lines[i])));
    if (lines.size() > kMostSaid) say(fmt::format("  and {} more\n", lines.size() - kMostSaid));
    say(fmt::format("  `git add {}` takes it as it is\n", shown));
    return true;
}

}  // namespace

int run_git_merge(FileSystem& files, const GitMergeOptions& options) {
    const std::string shown = emit::plain(options.path.empty() ? options.ours : options.path);
    const std::string* names[3] = {&options.base, &options.ours, &options.theirs};
    std::string texts[3];
    MergeOptions merge_options;
    for (int i = 0; i < 3; ++i) {
        ReadResult read = files.read(*names[i], merge_options.limits.file_bytes);
        if (read.error == IoError::too_large) return merge_lines(files, options, shown);
        if (read.error != IoError::none) {
            say(fmt::format("scruple: cannot read {}: {}\n", *names[i], describe(read.error)));
            return kLeaveAlone;
        }
        texts[i] = std::move(read.text);
    }
    merge_options.ours = options.ours_label;
    merge_options.base = options.base_label;
    merge_options.theirs = options.theirs_label;
    merge_options.marker_size = options.marker_size;
    merge_options.style = conflict_style();
    const MergeResult merged = merge_recipes(texts[0], texts[1], texts[2], merge_options);
    switch (merged.trouble) {
        case MergeResult::Trouble::none: break;
        case MergeResult::Trouble::unreadable: {
            constexpr const char* kSides[3] = {"the common version", "our side", "their side"};
            say(fmt::format("scruple: {}: {} has mistakes (line {}), so it is merged line by line\n", shown, kSides[merged.version], merged.line));
            return merge_lines(files, options, shown);
        }
        case MergeResult::Trouble::crowded:
            say(fmt::format("scruple: {}: declarations share a line, so it is merged line by line\n", shown));
            return merge_lines(files, options, shown);
        case MergeResult::Trouble::fault:
            say(fmt::format("scruple: {}: the merge could not be read again, so it is merged line by line\n", shown));
            return merge_lines(files, options, shown);
    }
    const auto written = files.write_atomically(options.ours, merged.text);
    if (written.error != IoError::none) {
        say(fmt::format("scruple: cannot write {}: {}\n", options.ours, describe(written.error)));
        return kLeaveAlone;
    }
    for (const MergeConflict& c : merged.conflicts) say(conflict_text(shown, c));
    if (!merged.conflicts.empty()) {
        say(fmt::format("  choose between the marks in {}, then `git add` it\n", shown));
        return kLookAtIt;
    }
    for (const MergeFollow& f : merged.follows) {
        say(fmt::format("scruple: {}: {} was edited on {} side, and {}, which it is derived from, on the other{}: neither side has seen what follows\n", shown,
                        emit::plain(f.name), f.ours_changed_from ? "their" : "our", emit::plain(f.from),
                        f.rescaled ? ", where all is counted anew" : ""));
    }
    const bool rescaled = std::any_of(merged.follows.begin(), merged.follows.end(), [](const MergeFollow& f) { return f.rescaled; });
    return needs_a_look(files, options, shown, texts, merged.text) || rescaled ? kLookAtIt : kClean;
}

}  // namespace scruple
