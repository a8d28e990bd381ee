#include <fmt/core.h>

#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"
#include "cli/line_reader.h"
#include "cli/terminal.h"
#include "cli/today.h"
#include "base/file_lock.h"
#include "library/spellings.h"
#include "record/log_text.h"
#include "record/recorder.h"
#include "schema/schema.h"

namespace scruple {
namespace {

/// The recipe of the collection that holds the bench already; empty where none does.
std::string file_with_bench(const FileSystem& files, const CollectionPlan& plan, const std::string& name) {
    SourceMap sources;
    Bag unheard;
    const Collection collection = load_collection(files, plan, {}, sources, unheard);
    for (const CollectionFile& file : collection.files) {
        if (file.scope == 0 && find_bench(file.tree.text, name)) return file.path;
    }
    return {};
}

bool name_good(const std::string& name) {
    const std::string right = as_name(name);
    if (right == name && !name.empty() && name[0] >= 'a' && name[0] <= 'z' && !is_reserved(name)) return true;
    const bool near = !right.empty() && right[0] >= 'a' && right[0] <= 'z' && !is_reserved(right);
    say(fmt::format("scruple: `{}` is no name for a bench: small letters, digits and underscores{}\n", name,
                    near ? fmt::format(", as `scruple bench {}`", right) : ""));
    return false;
}

}  // namespace

int run_bench(FileSystem& files, const BenchOptions& options) {
    if (!name_good(options.name)) return kWrongUse;
    const std::string asked = options.file.empty() ? "." : path_parent(options.file);
    const std::string folder = files.canonical(asked);
    if (folder.empty() || files.kind(folder) != EntryKind::folder) {
        say(fmt::format("scruple: there is no folder {}\n", asked));
        return kIoFailed;
    }
    Bag bag;
    const auto plans = find_collections(files, {folder}, false, {}, bag);
    RecorderPlan plan;
    plan.bench = options.name;
    plan.day = options.on.empty() ? today() : options.on;
    plan.title = options.title;
    plan.root = plans.empty() ? folder : plans.front().root;
    if (!options.file.empty()) {
        if (!options.file.ends_with(".scruple")) {
            say(fmt::format("scruple: {} would be no recipe: its name must end in .scruple\n", options.file));
            return kWrongUse;
        }
        plan.file = files.canonical(options.file);
        if (plan.file.empty()) plan.file = path_join(folder, path_name(options.file));
    } else {
        CollectionPlan whole;
        whole.root = plan.root;
        plan.file = file_with_bench(files, whole, options.name);
        if (plan.file.empty()) plan.file = path_join(folder, options.name + ".scruple");
    }
    IoError error = IoError::none;
    const auto lock = take_lock(path_join(path_parent(plan.file), "." + path_name(plan.file) + ".recording"), error);
    if (!lock) {
        say(error == IoError::none
                ? fmt::format("scruple: another `scruple bench` records into {} right now; one at a time, so that no row is lost.\n"
                              "End that one with `quit`, or take another file with --file.\n", plan.file)
                : fmt::format("scruple: nothing can be recorded beside {}: {}\n", plan.file, describe(error)));
        return kIoFailed;
    }
    const auto lines = make_line_reader();
    Recorder recorder(files, plan);
    bool failed = false, refused = false;
    const auto show = [&](const Answer& answer) {
        failed |= answer.failed;
        refused |= answer.refused;
        if (!write_out(plain_text(answer.text))) return false;
        if (answer.check) {
            CheckOptions check;
            check.paths = {plan.root};
            check.on = options.on;
            run_check(files, check);
        }
        return !answer.done;
    };
    bool going = show(recorder.begin());
    while (going) {
        lines->complete_with(recorder.words());
        const auto line = lines->line(recorder.prompt());
        if (!line) break;
        going = show(recorder.enter(*line));
    }
    // A person saw what was refused; a script sees how it ended.
    return failed ? kIoFailed : refused && !lines->edits() ? kRecipeErrors : kClean;
}

}  // namespace scruple
