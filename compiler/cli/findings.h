// Printing findings the way the options ask for, and the exit status that they mean.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "cli/commands.h"
#include "cli/terminal.h"
#include "query/session.h"

namespace scruple {

/// The collections that paths name, each compiled. Findings of finding them stand in `lost`.
struct Compiled {
    std::vector<std::unique_ptr<Compilation>> collections;
    std::vector<Diagnostic> lost;
};
/// Lives until the process ends: taking every record apart only to exit would cost a fifth of a run.
const Compiled& compile_paths(const FileSystem& files, std::vector<std::string> paths, bool alone,
                       const CompileOptions& options);

/// Several collections make one document of findings, JSON or SARIF: the lists are joined in order.
std::string join_logs(const std::vector<std::string>& parts, bool sarif);

/// Prints every finding to `stream` in the chosen form. False if it could not be written.
bool print_findings(const Compiled& compiled, const CommonOptions& options, Stream stream);

/// kClean, kRecipeErrors or kIoFailed (a file that can't be read outweighs an error in a recipe).
int exit_status(const Compiled& compiled);

/// True for a date in the calendar, written 2026-05-02.
bool is_date(const std::string& text);

}  // namespace scruple
