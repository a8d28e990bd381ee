// `scruple git textconv`: a recipe as plain lines, so that git can compare what is meant. Whatever the file holds, its text
// comes out: git gives up a whole comparison where this fails.
#include <fmt/core.h>

#include "base/limits.h"
#include "changes/plain_recipe.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/terminal.h"
#include "syntax/parser.h"

namespace scruple {

int run_git_textconv(FileSystem& files, const GitTextconvOptions& options) {
    constexpr std::uint64_t kMost = 256u << 20;
    const ReadResult read = files.read(options.file, kMost);
    if (read.error != IoError::none) {
        say(fmt::format("scruple: cannot read {}: {}\n", options.file, describe(read.error)));
        return kIoFailed;
    }
    const ResourceLimits limits;
    if (read.text.size() > limits.file_bytes) return write_out(read.text) ? kClean : kIoFailed;
    Bag said;
    const SyntaxTree tree = parse(FileId::none, read.text, limits, said);
    return write_out(changes::plain_recipe(tree)) ? kClean : kIoFailed;
}

}  // namespace scruple
