#include <fmt/core.h>

#include <algorithm>

#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"
#include "cli/today.h"

namespace scruple {
namespace {

/// Whether anything that was judged depends on the day.
bool ends(const Model& model) {
    if (!model.prices.empty()) return true;
    for (const auto& a : model.assessments) {
        if (!a.until.empty()) return true;
    }
    for (const auto& product : model.products) {
        for (const auto& w : product.waivers) {
            if (!w.until.empty()) return true;
        }
        for (const auto& use : product.lots) {
            const Lot& lot = model.lots[use.lot];
            if (!lot.opened.empty() || !lot.best_before.empty()) return true;
        }
    }
    return false;
}

}  // namespace

int run_check(FileSystem& files, const CheckOptions& options) {
    CompileOptions findings_only;
    findings_only.keep_figures = false;
    findings_only.on = options.on.empty() ? today() : options.on;
    const auto& compiled = compile_paths(files, options.paths, options.alone, findings_only);
    const bool text = options.common.diagnostics == "text";
    // Findings are what `check` is for: machine-readable ones are its output.
    if (!print_findings(compiled, options.common, text ? Stream::err : Stream::out)) return kIoFailed;
    const int status = exit_status(compiled);
    if (text) {
        std::string out;
        for (const auto& c : compiled.collections) {
            const auto [benches, blends, products] = c->counts();
            std::size_t read = 0;
            for (const auto& f : c->collection.files) read += f.selected && f.scope == 0;
            const auto trials = benches == 0 ? "" : fmt::format("{} {}, ", benches, benches == 1 ? "bench" : "benches");
            out += fmt::format("{}: {} {}, {}{} {}, {} {}: {}\n", c->collection.name, read, read == 1 ? "file" : "files", trials,
                               blends, blends == 1 ? "blend" : "blends",
                               products, products == 1 ? "product" : "products",
                               c->errors > 0 ? "has errors"
                               : c->diagnostics.empty() ? "nothing to report" : "no errors");
        }
        const bool dated = std::any_of(compiled.collections.begin(), compiled.collections.end(),
                                       [](const auto& c) { return ends(c->model); });
        if (dated) {
            out += fmt::format("Judged as of {}{}.\n", findings_only.on,
                               options.on.empty() ? ", today; --on takes another day" : "");
        }
        if (!write_out(plain_text(out))) return kIoFailed;
    }
    return status;
}

}  // namespace scruple
