// `scruple history`: a blend or product through the commits; as it was in one; between two; and which commit a fingerprint
// is from.
#include <fmt/core.h>

#include <algorithm>

#include "changes/render.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"
#include "cli/terminal.h"
#include "cli/versions.h"
#include "emit/emit.h"
#include "emit/words.h"
#include "history/history.h"
#include "sema/recipes.h"

namespace scruple {
namespace {

constexpr std::size_t kLeastOfPrint = 4, kMostOfPrint = 64;  // digits of a fingerprint to look for

int refuse(std::string_view why, int status = kWrongUse) {
    say(fmt::format("scruple: {}\n", why));
    return status;
}

/// The root of the collection around the folder, below the repository's top.
std::string collection_folder(const FileSystem& files, const GitRepository& repository, const std::string& folder) {
    const std::string top = files.canonical(repository.top());
    const std::string at = files.canonical(folder);
    if (repository.bare() || at.empty() || !path_is_below(at, top)) return ".";
    const std::string root = collection_root(files, files.kind(at) == EntryKind::folder ? at : path_parent(at));
    if (root == top || !path_is_below(root, top)) return ".";
    return root.substr(top == "/" ? 1 : top.size() + 1);
}

std::string commit_text(const GitCommit& commit) {
    return fmt::format("{} of {}, \"{}\"", commit.id.substr(0, 9), commit.date, emit::plain(commit.subject));
}

int show_at(GitRepository& repository, const history::Question& question, const HistoryOptions& options) {
    GitSnapshot snapshot = git_snapshot(repository, options.at);
    if (!snapshot.fault.empty()) return refuse(snapshot.fault, kIoFailed);
    std::string name = history::name_at(repository, question, snapshot.commit);
    if (name.empty()) name = question.name;  // of a commit that is on another branch
    CompileOptions compile_options;
    compile_options.on = options.on;
    const std::string folder = snapshot.files->kind(question.folder) == EntryKind::folder ? question.folder : ".";
    const Compiled& compiled = compile_paths(*snapshot.files, {folder}, false, compile_options);
    for (const auto& c : compiled.collections) {
        Document d = c->document();
        d.on = options.on;
        const Model& m = *d.model;
        std::erase_if(d.benches, [](BenchId) { return true; });
        std::erase_if(d.blends, [&](BlendId b) { return m.blends[b].header.name != name; });
        std::erase_if(d.products, [&](ProductId p) {
            const bool of_blend = !d.blends.empty() && m.products[p].blend == d.blends.front();
            return m.products[p].header.name != name && m.products[p].line != name && !of_blend;
        });
        if (d.blends.empty() && d.products.empty()) continue;
        if (!print_findings(compiled, options.common, Stream::err)) return kIoFailed;
        if (options.to == "json") return write_out(emit_json(d)) ? exit_status(compiled) : kIoFailed;
        SheetOptions sheet;
        sheet.color = wants_color(options.common.color, Stream::out);
        sheet.width = std::min<std::size_t>(terminal_width(Stream::out), 80);
        if (name != question.name) say(fmt::format("scruple: note: at {} it was called {}\n", options.at, name));
        return write_out(emit_sheet(d, sheet)) ? exit_status(compiled) : kIoFailed;
    }
    if (exit_status(compiled) != kClean) {
        print_findings(compiled, options.common, Stream::err);
        return exit_status(compiled);
    }
    return refuse(fmt::format("at {} there is no blend, product or line called `{}`", options.at, name));
}

int show_between(const FileSystem& files, GitRepository& repository, const history::Question& question, const HistoryOptions& options) {
    const Sides sides = find_sides(files, {options.between}, false);
    if (!sides.fault.empty()) return refuse(sides.fault, sides.unreadable ? kIoFailed : kWrongUse);
    VersionsOptions versions_options{options.on, {question.name}, options.common, {}, 0};
    const std::string was = history::name_at(repository, question, sides.old_side.commit);
    const std::string is = history::name_at(repository, question, sides.new_side.commit);
    if (!was.empty()) versions_options.only = {was};
    if (!is.empty()) versions_options.only = {is};
    if (!was.empty() && !is.empty() && was != is) versions_options.renamed = {{was, is}};
    const Versions versions = compare_versions(sides, versions_options);
    if (versions.status != kClean) return versions.status;
    if (options.to == "json") return write_out(changes::render_json(versions.changes)) ? kClean : kIoFailed;
    changes::TextLook look;
    look.color = wants_color(options.common.color, Stream::out);
    look.width = std::min<std::size_t>(terminal_width(Stream::out), 100);
    return write_out(changes::render_text(versions.changes, look)) ? kClean : kIoFailed;
}

int show_sightings(GitRepository& repository, const history::Question& question, const HistoryOptions& options) {
    std::string wanted = options.fingerprint;
    std::transform(wanted.begin(), wanted.end(), wanted.begin(), [](char c) { return c >= 'A' && c <= 'F' ? static_cast<char>(c + 32) : c; });
    if (wanted.size() < kLeastOfPrint || wanted.size() > kMostOfPrint || wanted.find_first_not_of("0123456789abcdef") != std::string::npos) {
        return refuse(fmt::format("--fingerprint takes at least {} of the digits that stand on a sheet (0 to 9, a to f), not `{}`",
                                  kLeastOfPrint, options.fingerprint));
    }
    const auto seen = history::find_fingerprint(repository, question, wanted);
    if (!seen.fault.empty()) return refuse(seen.fault, kIoFailed);
    if (options.to == "json") return write_out(history::render_sightings_json(seen, wanted)) ? (seen.found.empty() ? kWrongUse : kClean) : kIoFailed;
    if (seen.found.empty()) {
        return refuse(fmt::format("of {} no fingerprint begins with {}{}", emit::count_text(static_cast<std::int64_t>(seen.versions), "version", "versions"), wanted,
                                  seen.shallow ? "; this repository is shallow, and commits before its oldest are not here" : ""));
    }
    std::string text;
    for (const auto& s : seen.found) {
        text += fmt::format("{} {}\n  since {}\n", s.fingerprint, s.blend, commit_text(*s.since));
        text += s.until ? fmt::format("  until {}\n", commit_text(*s.until)) : "  and is so still\n";
    }
    return write_out(text) ? kClean : kIoFailed;
}

}  // namespace

int run_history(FileSystem& files, const HistoryOptions& options) {
    const int asked = !options.at.empty() + !options.between.empty() + !options.fingerprint.empty();
    if (asked > 1) return refuse("--at, --diff and --fingerprint are three questions: ask one at a time");
    if (options.name.empty() && options.fingerprint.empty()) {
        return refuse("history is of one blend, product or line: name it, or ask which commit a --fingerprint is from");
    }
    auto opened = GitRepository::open(options.folder);
    if (!opened.fault.empty()) return refuse(opened.fault, kIoFailed);
    GitRepository& repository = *opened.repository;
    history::Question question{options.name, options.revisions, collection_folder(files, repository, options.folder), options.on};
    if (!options.at.empty()) return show_at(repository, question, options);
    if (!options.between.empty()) return show_between(files, repository, question, options);
    if (!options.fingerprint.empty()) return show_sightings(repository, question, options);

    history::History found = history::trace(repository, question);
    if (found.unknown_name && !question.revisions.empty()) {
        // It may have been called otherwise when these commits ended.
        const auto dots = question.revisions.rfind("..");
        std::string tip = question.revisions.substr(dots == std::string::npos ? 0 : dots + 2);
        std::string id;
        if (tip.empty()) tip = "HEAD";
        history::Question whole = question;
        whole.revisions.clear();
        if (repository.commit(tip, id).empty()) {
            if (auto was = history::name_at(repository, whole, id); !was.empty() && was != question.name) {
                say(fmt::format("scruple: note: at {} it was called {}\n", tip, was));
                question.name = std::move(was);
                found = history::trace(repository, question);
            }
        }
    }
    if (!found.fault.empty()) {
        return refuse(found.fault + (found.near.empty() ? "" : fmt::format("; did you mean `{}`?", found.near.front())),
                      found.unknown_name ? kWrongUse : kIoFailed);
    }
    if (options.to == "json") return write_out(history::render_json(found, question, options.most)) ? kClean : kIoFailed;
    history::HistoryLook look;
    look.color = wants_color(options.common.color, Stream::out);
    look.width = std::min<std::size_t>(terminal_width(Stream::out), 100);
    look.most = options.most;
    return write_out(history::render_text(found, question, look)) ? kClean : kIoFailed;
}

}  // namespace scruple
