#include "query/comparable.h"

#include "changes/state.h"

namespace scruple {
namespace {

struct WithErrors {
    Document document;
    std::vector<Diagnostic> errors;
};

}  // namespace

std::shared_ptr<const Document> comparable_document(const Compilation& compiled, std::string_view on) {
    auto made = std::make_shared<WithErrors>();
    for (const Diagnostic& d : compiled.diagnostics) {
        if (d.severity == Severity::error && !changes::tells_how_judged(code_info(d.code).name)) made->errors.push_back(d);
    }
    made->document = compiled.document();
    made->document.on = on;
    made->document.diagnostics = &made->errors;
    return {made, &made->document};
}

}  // namespace scruple
