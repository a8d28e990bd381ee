#include "query/comparable.h"

#include "changes/state.h"
#include "emit/emit.h"

namespace scruple {

std::string comparable_document(const Compilation& compiled, std::string_view on) {
    Document d = compiled.document();
    d.on = on;
    auto errors = compiled.diagnostics;
    std::erase_if(errors, [](const Diagnostic& diagnostic) {
        return diagnostic.severity != Severity::error || changes::tells_how_judged(code_info(diagnostic.code).name);
    });
    d.diagnostics = &errors;
    return emit_json(d);
}

}  // namespace scruple
