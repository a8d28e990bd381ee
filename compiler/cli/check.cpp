#include <fmt/core.h>

#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"

namespace scruple {

int run_check(FileSystem& files, const CheckOptions& options) {
    CompileOptions findings_only;
    findings_only.keep_figures = false;
    const auto& compiled = compile_paths(files, options.paths, options.alone, findings_only);
    const bool text = options.common.diagnostics == "text";
    // Findings are what `check` is for: machine-readable ones are its output.
    if (!print_findings(compiled, options.common, text ? Stream::err : Stream::out)) return kIoFailed;
    const int status = exit_status(compiled);
    if (text) {
        std::string out;
        for (const auto& c : compiled.collections) {
            const auto [blends, products] = c->counts();
            std::size_t read = 0;
            for (const auto& f : c->collection.files) read += f.selected && f.scope == 0;
            out += fmt::format("{}: {} {}, {} {}, {} {}: {}\n", c->collection.name, read, read == 1 ? "file" : "files",
                               blends, blends == 1 ? "blend" : "blends",
                               products, products == 1 ? "product" : "products",
                               c->errors > 0 ? "has errors"
                               : c->diagnostics.empty() ? "nothing to report" : "no errors");
        }
        if (!write_out(plain_text(out))) return kIoFailed;
    }
    return status;
}

}  // namespace scruple
