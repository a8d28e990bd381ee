// `scruple git setup`: tells git to hand recipes to the drivers. Writes git's settings through git, and one line in the
// attributes file.
#include <fmt/core.h>

#include "base/process.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/terminal.h"
#include "git/drivers.h"
#include "git/repository.h"

namespace scruple {
namespace {

int fail_setup(const std::string& why) {
    say(fmt::format("scruple: {}\n", why));
    return kIoFailed;
}

/// How git's shell will find this very program: by name if PATH leads to it, else by where it lies.
std::string this_program(const FileSystem& files) {
    const std::string real = files.canonical("/proc/self/exe");
    const std::string path = environment_variable("PATH");
    for (std::size_t at = 0; at <= path.size();) {
        const auto end = std::min(path.find(':', at), path.size());
        const std::string candidate = path_join(path.substr(at, end - at), "scruple");
        if (end > at && files.kind(candidate) == EntryKind::file) {
            if (files.canonical(candidate) == real) return "scruple";
            break;
        }
        at = end + 1;
    }
    return real.empty() ? "scruple" : shell_word(real);
}

std::string config(const std::string& folder, std::vector<std::string> arguments) {
    ProcessRequest request;
    request.arguments = {"git", "config"};
    request.arguments.insert(request.arguments.end(), arguments.begin(), arguments.end());
    request.folder = folder;
    request.environment = {{"LC_ALL", "C"}};
    const ProcessResult done = run_process(request);
    if (done.good()) return {};
    if (done.end == ProcessEnd::not_found) return "git's program is not to be found in PATH";
    return done.error.empty() ? fmt::format("git config ended with status {}", done.status) : done.error.substr(0, done.error.find('\n'));
}

}  // namespace

int run_git_setup(FileSystem& files, const GitSetupOptions& options) {
    std::string folder, top;
    if (!options.global) {
        auto opened = GitRepository::open(".");
        if (!opened.fault.empty()) return fail_setup(opened.fault + "; --global sets up every repository of yours");
        folder = opened.repository->top();
        if (!opened.repository->bare()) top = folder;
    }
    const std::string scope = options.global ? "--global" : "--local";
    if (options.remove) {
        for (const char* section : {"diff.scruple", "merge.scruple"}) {
            const std::string wrong = config(folder, {scope, "--remove-section", section});
            if (!wrong.empty() && wrong.find("no such section") == std::string::npos && wrong.find("No such section") == std::string::npos) {
                return fail_setup(wrong);
            }
        }
        write_out("git compares and merges recipes line by line again; the attributes file was left as it is\n");
        return kClean;
    }
    std::string text;
    for (const auto& [name, value] : driver_settings(this_program(files))) {
        if (const std::string wrong = config(folder, {scope, name, value}); !wrong.empty()) return fail_setup(wrong);
        text += fmt::format("git config {} {} {}\n", scope, name, shell_word(value));
    }
    if (!top.empty()) {
        const std::string path = path_join(top, ".gitattributes");
        ReadResult read = files.read(path, 1u << 20);
        if (read.error != IoError::none && read.error != IoError::not_found) {
            return fail_setup(fmt::format("cannot read {}: {}", path, describe(read.error)));
        }
        const std::string wanted = with_recipe_attributes(read.text);
        if (wanted != read.text) {
            const auto written = files.write_atomically(path, wanted);
            if (written.error != IoError::none) return fail_setup(fmt::format("cannot write {}: {}", path, describe(written.error)));
            text += fmt::format("{}: {}\n", path, kRecipeAttributes);
        }
        text += "\nCommit .gitattributes, so that every clone has it; each clone runs `scruple git setup` once.\n";
    } else {
        text += fmt::format("\nEach repository needs this line in its .gitattributes: {}\n", kRecipeAttributes);
    }
    return write_out(text) ? kClean : kIoFailed;
}

}  // namespace scruple
