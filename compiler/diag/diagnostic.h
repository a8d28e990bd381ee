// Diagnostics as data. Phases add them to a Bag; pure renderers turn a Bag into text, JSON or SARIF.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/span.h"

namespace scruple {

enum class Severity : std::uint8_t { error, warning, note };
std::string_view severity_word(Severity severity);

/// One value per row of codes.def; the code's name is a word of the language (`over_limit`).
enum class Code : std::uint16_t {
#define SCRUPLE_CODE(name, severity, title) name,
#include "diag/codes.def"
#undef SCRUPLE_CODE
};

struct CodeInfo {
    std::string_view name;
    Severity severity;
    std::string_view title;  // one line: what the finding is about
};
const CodeInfo& code_info(Code code);
std::optional<Code> code_from_name(std::string_view name);
/// All codes in table order.
const std::vector<Code>& all_codes();

/// A further place that matters, with its own words.
struct Label {
    Span span;
    std::string text;
};

/// Replace the bytes of `span` by `text`. Edits of one fix never overlap.
struct Edit {
    Span span;
    std::string text;
};

/// A way to mend it. `safe`: the meaning is certain, it may be applied unasked.
struct Fix {
    std::string title;
    bool safe = false;
    std::vector<Edit> edits;
};

struct Diagnostic {
    Code code{};
    Severity severity = Severity::error;
    std::string message;  // lower case, no full stop: what was seen, then the rule
    Span span;            // the narrowest place that is wrong; unknown only for whole-run findings
    std::string label;    // words under the main place; may be empty
    std::vector<Label> more;
    std::vector<std::string> notes;
    std::vector<Fix> fixes;
};

/// Chained construction: `bag.add(Code::over_limit, span, "…").label("…").note("…")`.
class DiagnosticBuilder {
public:
    explicit DiagnosticBuilder(Diagnostic* target) : target_(target) {}
    DiagnosticBuilder& label(std::string text) { target_->label = std::move(text); return *this; }
    DiagnosticBuilder& also(Span span, std::string text) {
        target_->more.push_back({span, std::move(text)});
        return *this;
    }
    DiagnosticBuilder& note(std::string text) { target_->notes.push_back(std::move(text)); return *this; }
    DiagnosticBuilder& fix(std::string title, bool safe, std::vector<Edit> edits) {
        target_->fixes.push_back({std::move(title), safe, std::move(edits)});
        return *this;
    }
    DiagnosticBuilder& severity(Severity s) { target_->severity = s; return *this; }

private:
    Diagnostic* target_;  // valid until the next add
};

/// Collects diagnostics in any order; `sorted` gives file, position, code order without exact repeats.
class Bag {
public:
    /// Severity comes from the code's row. The builder is for immediate use only.
    DiagnosticBuilder add(Code code, Span span, std::string message);
    void append(Bag&& other);
    void push(Diagnostic diagnostic) { items_.push_back(std::move(diagnostic)); }
    const std::vector<Diagnostic>& items() const { return items_; }
    bool empty() const { return items_.empty(); }
    std::size_t size() const { return items_.size(); }
    std::size_t errors() const;
    std::size_t warnings() const;
    /// Of the findings added since `from` whose place lies in `span`, keeps the first. True if there was one.
    bool keep_first_within(std::size_t from, Span span);
    /// The first finding with this code in a file, to add a place to it; null if there is none.
    Diagnostic* find(Code code, FileId file);
    /// The same, with just this place.
    Diagnostic* find(Code code, Span span);
    /// Drops what was added after `size`.
    void truncate(std::size_t size) { items_.resize(size); }

    /// Sorts by (file, begin, end, code, message) and removes exact repeats. Whole-run findings come last.
    void sort_and_unique();

private:
    std::vector<Diagnostic> items_;
};

}  // namespace scruple
