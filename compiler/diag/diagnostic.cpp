#include "diag/diagnostic.h"

#include <algorithm>
#include <array>
#include <tuple>
#include <unordered_map>

namespace scruple {
namespace {

constexpr std::array kCodes = {
#define SCRUPLE_CODE(name, severity, title) CodeInfo{#name, Severity::severity, title},
#include "diag/codes.def"
#undef SCRUPLE_CODE
};

/// Everything that people can see of a finding takes part, so that the order never depends on who came first.
bool comes_before(const Diagnostic& a, const Diagnostic& b) {
    const auto key = [](const Diagnostic& d) {
        return std::tie(d.span.file, d.span.begin, d.span.end, d.code, d.message, d.severity, d.label, d.notes);
    };
    const auto ka = key(a);
    const auto kb = key(b);
    if (ka != kb) return ka < kb;
    return std::lexicographical_compare(
        a.more.begin(), a.more.end(), b.more.begin(), b.more.end(), [](const Label& x, const Label& y) {
            return std::tie(x.span.file, x.span.begin, x.span.end, x.text) <
                   std::tie(y.span.file, y.span.begin, y.span.end, y.text);
        });
}

/// The same thing said twice about the same place, whatever stands below it.
bool says_the_same(const Diagnostic& a, const Diagnostic& b) {
    return a.code == b.code && a.span == b.span && a.message == b.message;
}

}  // namespace

const CodeInfo& code_info(Code code) {
    const auto index = static_cast<std::size_t>(code);
    return kCodes[index < kCodes.size() ? index : 0];
}

std::optional<Code> code_from_name(std::string_view name) {
    static const auto index = [] {
        std::unordered_map<std::string_view, Code> made;
        for (std::size_t i = 0; i < kCodes.size(); ++i) made.emplace(kCodes[i].name, static_cast<Code>(i));
        return made;
    }();
    const auto found = index.find(name);
    if (found == index.end()) return std::nullopt;
    return found->second;
}

const std::vector<Code>& all_codes() {
    static const auto codes = [] {
        std::vector<Code> made;
        for (std::size_t i = 0; i < kCodes.size(); ++i) made.push_back(static_cast<Code>(i));
        return made;
    }();
    return codes;
}

DiagnosticBuilder Bag::add(Code code, Span span, std::string message) {
    Diagnostic made;
    made.code = code;
    made.severity = code_info(code).severity;
    made.message = std::move(message);
    made.span = span;
    items_.push_back(std::move(made));
    return DiagnosticBuilder(&items_.back());
}

void Bag::append(Bag&& other) {
    if (items_.empty()) {
        items_ = std::move(other.items_);
    } else {
        items_.insert(items_.end(), std::make_move_iterator(other.items_.begin()),
                      std::make_move_iterator(other.items_.end()));
    }
    other.items_.clear();
}

std::string_view severity_word(Severity severity) {
    switch (severity) {
        case Severity::error: return "error";
        case Severity::warning: return "warning";
        case Severity::note: break;
    }
    return "note";
}

std::size_t Bag::errors() const {
    return static_cast<std::size_t>(std::count_if(
        items_.begin(), items_.end(), [](const Diagnostic& d) { return d.severity == Severity::error; }));
}

std::size_t Bag::warnings() const {
    return static_cast<std::size_t>(std::count_if(
        items_.begin(), items_.end(), [](const Diagnostic& d) { return d.severity == Severity::warning; }));
}

Diagnostic* Bag::find(Code code, FileId file) {
    const auto at = std::find_if(items_.begin(), items_.end(),
                                 [&](const Diagnostic& d) { return d.code == code && d.span.file == file; });
    return at == items_.end() ? nullptr : &*at;
}

Diagnostic* Bag::find(Code code, Span span) {
    const auto at = std::find_if(items_.begin(), items_.end(),
                                 [&](const Diagnostic& d) { return d.code == code && d.span == span; });
    return at == items_.end() ? nullptr : &*at;
}

bool Bag::keep_first_within(std::size_t from, Span span) {
    bool seen = false;
    const auto inside = [&](const Diagnostic& d) {
        if (d.span.file != span.file || d.span.begin < span.begin || d.span.end > span.end) return false;
        const bool again = seen;
        seen = true;
        return again;
    };
    items_.erase(std::remove_if(items_.begin() + static_cast<std::ptrdiff_t>(from), items_.end(), inside), items_.end());
    return seen;
}

void Bag::sort_and_unique() {
    std::sort(items_.begin(), items_.end(), comes_before);
    items_.erase(std::unique(items_.begin(), items_.end(), says_the_same), items_.end());
}

}  // namespace scruple
