// Any bytes through every phase, in memory: each run ends, its findings stand where text is, its figures are figures that
// add up, and a second run says the same.
//
// A line `%%% NAME` starts another file of the collection, so that one input can hold several files and imports.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "diag/render.h"
#include "emit/emit.h"
#include "query/session.h"

namespace {

using namespace scruple;

void demand(bool holds, const std::string& what) {
    if (holds) return;
    std::fprintf(stderr, "fuzz_check: %s\n", what.c_str());
    std::abort();
}

/// Small enough that the fuzzer reaches them, and that no input takes long.
ResourceLimits small_limits() {
    ResourceLimits limits;
    limits.file_bytes = 1u << 16;
    limits.run_bytes = 3u << 15;
    limits.nesting = 8;
    limits.import_depth = 3;
    limits.files = 8;
    limits.variation_depth = 4;
    limits.formula_lines = 60;
    limits.run_lines = 600;
    limits.name_bytes = 60;
    limits.string_bytes = 2000;
    return limits;
}

MemoryFileSystem files_of(std::string_view text) {
    constexpr std::string_view kMark = "%%% ";
    MemoryFileSystem files;
    std::string name = "x.scruple";
    std::string content;
    const auto finish = [&] { files.put("/repo/c/" + name, std::move(content)); };
    for (std::size_t at = 0; at < text.size();) {
        auto end = text.find('\n', at);
        end = end == std::string_view::npos ? text.size() : end + 1;
        const auto line = text.substr(at, end - at);
        if (line.starts_with(kMark)) {
            finish();
            content.clear();
            name.clear();
            for (const char c : line.substr(kMark.size(), 40)) {
                if ((c >= 'a' && c <= 'z') || c == '_' || c == '/' || c == '.') name += c;
            }
            // Only names that a disk could hold, too.
            if (name.empty() || name.find("//") != std::string::npos || name.find("..") != std::string::npos ||
                name.starts_with('/') || name.ends_with('/')) {
                name = "y";
            }
            name += ".scruple";
        } else {
            content += line;
        }
        at = end;
    }
    finish();
    files.put("/repo/.git/config", "");
    files.put("/repo/shelf/collection.scruple", "blend shelf_blend \"Shelf\" {\n    2 parts    lavender\n    1 part     vetiver\n}\n");
    return files;
}

void check_span(const SourceMap& sources, Span span, const char* what) {
    if (!span.known()) return;
    demand(static_cast<std::size_t>(span.file) < sources.size(), std::string(what) + " names a file that is none");
    demand(span.begin <= span.end && span.end <= sources.file(span.file).text().size(),
           std::string(what) + " lies outside its file");
}

void check_findings(const Compilation& c) {
    std::size_t errors = 0;
    for (const auto& d : c.diagnostics) {
        errors += d.severity == Severity::error;
        demand(!d.message.empty(), "a finding without words");
        check_span(c.sources, d.span, "a finding");
        for (const auto& label : d.more) check_span(c.sources, label.span, "a further place");
        for (const auto& fix : d.fixes) {
            for (const auto& edit : fix.edits) {
                check_span(c.sources, edit.span, "an edit");
                demand(edit.span.known(), "an edit without a place");
                demand(!c.sources.file(edit.span.file).is_embedded(), "an edit of the library");
                for (const auto& other : fix.edits) {
                    demand(&other == &edit || other.span.file != edit.span.file || other.span.end <= edit.span.begin ||
                               edit.span.end <= other.span.begin,
                           "edits of one fix overlap");
                }
            }
        }
    }
    demand(errors == c.errors, "errors are miscounted");
}

bool share(double x) { return std::isfinite(x) && x >= -1e-12 && x <= 1 + 1e-9; }
bool amount(double x) { return std::isfinite(x) && x >= -1e-9; }

void check_figures(const Compilation& c) {
    for (const auto& blend : c.blends) {
        if (!blend.complete) continue;
        double by_weight = 0;
        for (const auto& line : blend.lines) {
            demand(share(line.share_ww) && share(line.share_vv), "a share of a blend is none");
            by_weight += line.share_ww;
        }
        demand(std::fabs(by_weight - 1) < 1e-9, "shares of a blend are not the whole");
    }
    for (const auto& f : c.formulas) {
        if (!f.complete) continue;
        double whole = 0, mass = 0;
        std::int64_t divisions = 0;
        for (const auto& line : f.lines) {
            demand(share(line.fraction) && amount(line.mass_g), "a line of a formula is none");
            demand(!line.volume_ml || amount(*line.volume_ml), "a volume is none");
            demand(!line.drops || amount(*line.drops), "drops are none");
            whole += line.fraction;
            mass += line.mass_g;
            divisions += line.divisions;
        }
        demand(share(f.load_ww), "a load is none");
        demand(std::fabs(whole - 1) < 1e-9, "lines are not the whole");
        demand(std::fabs(mass - f.batch_mass_g) <= 1e-9 * f.batch_mass_g, "lines are not the batch");
        demand(divisions == f.batch_divisions, "what is weighed does not add up");
    }
    for (const auto& j : c.judgements) {
        for (const auto& check : j.checks) {
            demand(std::isfinite(check.actual) && std::isfinite(check.limit) && std::isfinite(check.used) &&
                       std::isfinite(check.used_at_maximum),
                   "a check without figures");
            demand(check.actual_at_maximum >= check.actual * (1 - 1e-9), "a maximum below the typical");
        }
        for (const auto* ceiling : {&j.ceiling, &j.careful}) {
            if (ceiling->state != Ceiling::State::bound) continue;
            demand(!ceiling->text.empty() && share(ceiling->load_ww), "a ceiling that is none");
        }
        // A verdict that passes rests on checks that pass.
        if (j.verdict == Verdict::passes) {
            for (const auto& unknown : j.unknowns) {
                demand(unknown.unknown_fraction < 1, "passes with an oil of which nothing is known");
            }
            demand(j.unstated.empty(), "passes with a limit whose figure is not known");
            for (const auto& check : j.checks) demand(check.verdict == Verdict::passes, "passes over a check that does not");
        }
    }
}

/// Findings and formula documents of all collections found; `look` holds them to what must be true of them.
std::string outputs(const FileSystem& files, bool look) {
    const ResourceLimits limits = small_limits();
    CompileOptions options;
    options.threads = 1;
    Bag bag;
    std::string out;
    for (const auto& plan : find_collections(files, {"/repo/c"}, false, limits, bag)) {
        const auto c = compile(files, plan, limits, options);
        const Document document = c->document();
        const auto findings = render_json(c->diagnostics, c->sources);
        const auto formulas = emit_json(document);
        out += findings + formulas;
        if (!look) continue;
        check_findings(*c);
        check_figures(*c);
        demand(nlohmann::json::accept(findings), "findings are no JSON");
        demand(nlohmann::json::accept(formulas), "the document is no JSON");
        demand(nlohmann::json::accept(render_sarif(c->diagnostics, c->sources, "0")), "findings are no SARIF");
        TextOptions text;
        text.width = 60;
        const auto shown = render_text(c->diagnostics, c->sources, text);
        demand(shown.find('\x1b') == std::string::npos, "a control character reaches the terminal");
        const auto sheet = emit_sheet(document, {}) + emit_markdown(document) + emit_csv(document);
        demand(sheet.find('\x1b') == std::string::npos, "a control character reaches the sheet");
    }
    return out;
}

}  // namespace

// Short stacks of allocations: most of the time goes into keeping them.
extern "C" const char* __asan_default_options() { return "malloc_context_size=2"; }

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > (1u << 14)) return 0;
    const auto files = files_of({reinterpret_cast<const char*>(data), size});
    const auto first = outputs(files, true);
    std::uint32_t hash = 2166136261u;  // FNV-1a: one input in eight is run twice, always the same ones
    for (std::size_t i = 0; i < size; ++i) hash = (hash ^ data[i]) * 16777619u;
    if ((hash >> 16) % 8 == 0) demand(outputs(files, false) == first, "two runs say different things");
    return 0;
}
