// Pure renderers of diagnostics. The same data gives the terminal text, the JSON and the SARIF.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "base/source.h"
#include "diag/diagnostic.h"

namespace scruple {

struct TextOptions {
    bool color = false;
    std::size_t width = 80;           // columns of the terminal; words are wrapped and excerpts cut to it; 0: no wrapping
    std::size_t most = 100;           // printed diagnostics, then a count
};

/// One finding: what is wrong, the place with its code, the line with its marks (`^` the main place, `~` further ones),
/// notes, and ways to mend as the edited line (`mend` is certain, `perhaps` is not). Takes bounded time on any line.
std::string render_text(const Diagnostic& diagnostic, const SourceMap& sources, const TextOptions& options);

/// All findings and a closing line of counts ("2 errors, 1 warning; …"); empty for none.
std::string render_text(const std::vector<Diagnostic>& diagnostics, const SourceMap& sources,
                        const TextOptions& options);

/// `{"schema": "scruple.diagnostics/1", "diagnostics": [...]}`, pretty, ends with a newline.
std::string render_json(const std::vector<Diagnostic>& diagnostics, const SourceMap& sources);

/// SARIF 2.1.0 log with rules, physical locations (UTF-16 columns), related locations, fixes and fingerprints that
/// survive moved lines. `version` is the compiler's.
std::string render_sarif(const std::vector<Diagnostic>& diagnostics, const SourceMap& sources,
                         const std::string& version);

/// What goes into a log without being a finding of the compiler: rules of its own, and results on them by their index.
struct LogRule {
    std::string id, title, text;
    Severity severity = Severity::warning;
};
struct LogResult {
    std::size_t rule = 0;
    Severity severity = Severity::warning;
    std::string message;
    Span span;  // unknown: it is said of the whole run
};
std::string render_sarif(const std::vector<LogRule>& rules, const std::vector<LogResult>& results, const SourceMap& sources,
                         const std::string& version);

}  // namespace scruple
