#include <fmt/core.h>

#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/terminal.h"

namespace scruple {
namespace {

constexpr std::string_view kCollection =
    "# This file marks the folder as a collection: every recipe below it sees the others.\n";

constexpr std::string_view kWorkshop =
    "# The workshop's own facts. Change them to yours: they stand behind every sheet.\n"
    "workshop \"My stillroom\" {\n"
    "    market     eu\n"
    "    currency   EUR\n"
    "    weighs_to  0.01 g up to 200 g, 1 g up to 5 kg\n"
    "    dropper    20 drops/ml\n"
    "    extra      2 %\n"
    "}\n";

constexpr std::string_view kFirst =
    "## A first blend, to change or throw away.\n"
    "blend first_light \"First light\" {\n"
    "    intent     calming\n"
    "\n"
    "    5 parts    lavender\n"
    "    3 parts    cedarwood_atlas\n"
    "    1 part     geranium\n"
    "}\n"
    "\n"
    "product first_light_body_oil \"First light body oil\" {\n"
    "    blend      first_light at 1 %\n"
    "    format     body_oil of 100 ml\n"
    "    in         60 % sunflower_high_oleic, 40 % jojoba\n"
    "    make       6\n"
    "}\n";

}  // namespace

int run_new(FileSystem& files, const NewOptions& options) {
    const auto kind = files.kind(options.folder);
    if (kind != EntryKind::missing && kind != EntryKind::folder) {
        write_err(fmt::format("scruple: {} is there already and is no folder\n", options.folder));
        return kIoFailed;
    }
    if (kind == EntryKind::folder) {
        const auto listed = files.list(options.folder);
        if (listed.error != IoError::none) {
            write_err(fmt::format("scruple: cannot read {}: {}\n", options.folder, describe(listed.error)));
            return kIoFailed;
        }
        for (const auto& e : listed.entries) {
            if (!e.name.ends_with(".scruple")) continue;
            write_err(fmt::format("scruple: {} holds recipes already, and nothing of yours is overwritten\n",
                                  options.folder));
            return kIoFailed;
        }
    }
    if (const auto made = files.make_folders(options.folder); made.error != IoError::none) {
        write_err(fmt::format("scruple: cannot make the folder {}: {}\n", options.folder, describe(made.error)));
        return kIoFailed;
    }
    const std::pair<std::string_view, std::string_view> texts[] = {
        {"collection.scruple", kCollection}, {"workshop.scruple", kWorkshop}, {"first_light.scruple", kFirst}};
    for (const auto& [name, text] : texts) {
        const auto written = files.write_atomically(path_join(options.folder, name), text);
        if (written.error != IoError::none) {
            write_err(fmt::format("scruple: cannot write {}: {}\n", path_join(options.folder, name),
                                  describe(written.error)));
            return kIoFailed;
        }
    }
    write_out(fmt::format("made a collection in {}\n\nNext:\n  scruple check {}\n  scruple build {}\n"
                          "  scruple library lavender\n",
                          options.folder, options.folder, options.folder));
    return kClean;
}

}  // namespace scruple
