#include <fmt/core.h>

#include "base/resources.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/terminal.h"
#include "git/drivers.h"

namespace scruple {
int run_new(FileSystem& files, const NewOptions& options) {
    const auto kind = files.kind(options.folder);
    if (kind != EntryKind::missing && kind != EntryKind::folder) {
        say(fmt::format("scruple: {} is there already and is no folder\n", options.folder));
        return kIoFailed;
    }
    if (kind == EntryKind::folder) {
        const auto listed = files.list(options.folder);
        if (listed.error != IoError::none) {
            say(fmt::format("scruple: cannot read {}: {}\n", options.folder, describe(listed.error)));
            return kIoFailed;
        }
        for (const auto& e : listed.entries) {
            if (!e.name.ends_with(".scruple")) continue;
            say(fmt::format("scruple: {} holds recipes already, and nothing of yours is overwritten\n",
                                  options.folder));
            return kIoFailed;
        }
    }
    if (const auto made = files.make_folders(options.folder); made.error != IoError::none) {
        say(fmt::format("scruple: cannot make the folder {}: {}\n", options.folder, describe(made.error)));
        return kIoFailed;
    }
    constexpr std::string_view kFirst = "first/";
    for (const Resource& file : resources()) {
        if (!file.path.starts_with(kFirst)) continue;
        const auto name = file.path.substr(kFirst.size());
        std::string text(file.text);
        if (name.starts_with('.')) {
            // Settings of the folder may be there already, without recipes.
            const ReadResult there = files.read(path_join(options.folder, name), 1u << 20);
            if (there.error == IoError::none) text = with_recipe_attributes(there.text);
            else if (there.error != IoError::not_found) continue;
        }
        const auto written = files.write_atomically(path_join(options.folder, name), text);
        if (written.error != IoError::none) {
            say(fmt::format("scruple: cannot write {}: {}\n", path_join(options.folder, name),
                                  describe(written.error)));
            return kIoFailed;
        }
    }
    write_out(plain_text(fmt::format("made a collection in {}\n\nNext:\n  scruple check {}\n  scruple build {}\n"
                          "  scruple library citrus\n"
                          "  git init && scruple git setup    to keep versions that git compares by what they mean\n",
                          options.folder, options.folder, options.folder)));
    return kClean;
}

}  // namespace scruple
