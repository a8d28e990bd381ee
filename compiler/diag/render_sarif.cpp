#include <nlohmann/json.hpp>

#include <algorithm>
#include <cstdint>
#include <map>

#include "diag/explain.h"
#include "diag/place.h"
#include "diag/render.h"

// SARIF 2.1.0 (OASIS Standard, 27 March 2020). Paths are relative to the collection's root; nothing of the machine or
// the clock gets in, so that the same recipes give the same log everywhere.

namespace scruple {
namespace {

using namespace diag;
using Json = nlohmann::ordered_json;

/// Services that take SARIF show at most this many results of a run; the gravest come first.
constexpr std::size_t kMostResults = 5000;
constexpr std::size_t kMostSnippet = 400;  // bytes of text that go into the log with a place
constexpr std::size_t kMostHashed = 1024;
constexpr std::string_view kRoot = "COLLECTION";

std::string_view level(Severity severity) {
    switch (severity) {
        case Severity::error: return "error";
        case Severity::warning: return "warning";
        case Severity::note: break;
    }
    return "note";
}

/// A path as a URI reference (RFC 3986): everything but the unreserved characters and `/` is percent-encoded.
std::string uri(std::string_view path) {
    constexpr char kDigits[] = "0123456789ABCDEF";
    std::string made;
    for (const char c : path) {
        const auto byte = static_cast<unsigned char>(c);
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
                           c == '.' || c == '_' || c == '~' || c == '/';
        if (plain) {
            made += c;
        } else {
            made += '%';
            made += kDigits[byte >> 4];
            made += kDigits[byte & 0xF];
        }
    }
    return made;
}

Json artifact_location(const SourceFile& file) {
    Json json;
    if (file.is_embedded()) {
        json["uri"] = "library:" + uri(file.path());
        return json;
    }
    json["uri"] = uri(file.path());
    // A reference below a base must not climb out of it (section 3.14.14), so imports from beside stand alone.
    const bool climbs = file.path().rfind("../", 0) == 0;
    if (!climbs) json["uriBaseId"] = kRoot;
    return json;
}

Json region(const SourceFile& file, Span span, bool snippet) {
    const Range range = utf16_range(file, span);
    Json json;
    json["startLine"] = range.start.line + 1;
    json["startColumn"] = range.start.column + 1;
    json["endLine"] = range.end.line + 1;
    json["endColumn"] = range.end.column + 1;
    const auto text = file.text();
    if (snippet && span.end > span.begin && span.end - span.begin <= kMostSnippet && span.end <= text.size()) {
        json["snippet"] = Json{{"text", text.substr(span.begin, span.end - span.begin)}};
    }
    return json;
}

/// The place, with the whole lines around it where these are short and say more (section 3.29.5: a proper superset).
Json physical_location(const SourceFile& file, Span span) {
    Json json{{"artifactLocation", artifact_location(file)}, {"region", region(file, span, true)}};
    const LineIndex& lines = file.lines();
    const std::uint32_t first = lines.bytes(span.begin).line;
    const std::uint32_t last = lines.bytes(std::max(span.begin, span.end)).line;
    const std::uint32_t begin = lines.line_start(first);
    const auto end = lines.line_start(last) + static_cast<std::uint32_t>(lines.line(last).size());
    if (end <= begin || end - begin > kMostSnippet || (span.begin <= begin && span.end >= end)) return json;
    json["contextRegion"] = region(file, {span.file, begin, end}, true);
    return json;
}

std::uint64_t hash(std::string_view text, std::uint64_t seed) {  // FNV-1a, 64 bits
    for (const char c : text) seed = (seed ^ static_cast<unsigned char>(c)) * 0x100000001b3ull;
    return (seed ^ 0xFF) * 0x100000001b3ull;
}

std::string hex(std::uint64_t value) {
    constexpr char kDigits[] = "0123456789abcdef";
    std::string made(16, '0');
    for (std::size_t i = 16; i-- > 0; value >>= 4) made[i] = kDigits[value & 0xF];
    return made;
}

/// What a finding is recognised by after lines have moved: its code, its file and the words of its line, blanks apart.
/// Line numbers and figures that depend on other lines stay out.
std::uint64_t identity(std::string_view rule, Span span, const SourceMap& sources) {
    std::uint64_t seed = hash(rule, 0xcbf29ce484222325ull);
    const SourceFile& file = sources.file(span.file);
    seed = hash(path_for_programs(file), seed);
    const LineColumn at = file.lines().bytes(span.begin);
    std::string_view line = file.lines().line(at.line);
    if (line.size() > kMostHashed) line = line.substr(at.column, kMostHashed);
    std::string words;
    for (const char c : line) {
        if (c != ' ' && c != '\t' && c != '\r') words += c;
    }
    return hash(words, seed);
}

/// Paragraphs without the line ends inside them: whoever shows a log wraps it.
std::string unwrapped(std::string_view text) {
    std::string made;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool paragraph = text.substr(i, 2) == "\n\n";
        if (paragraph) {
            made += "\n\n";
            ++i;
        } else {
            made += text[i] == '\n' ? ' ' : text[i];
        }
    }
    return made;
}

/// `over_limit` as `OverLimit`, the form in which readers of logs expect a rule's name.
std::string pascal_case(std::string_view name) {
    std::string made;
    bool start = true;
    for (const char c : name) {
        if (c != '_') made += start && c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
        start = c == '_';
    }
    return made;
}

/// Plain text of the long answer, and the same as Markdown.
Json help(Code code) {
    const Explanation& e = explanation(code);
    std::string text = unwrapped(e.why);
    std::string markdown = text;
    const auto example = [&](std::string_view title, std::string_view recipe) {
        if (recipe.empty()) return;
        while (!recipe.empty() && recipe.back() == '\n') recipe.remove_suffix(1);
        text.append("\n\n").append(title).append(":\n\n").append(recipe);
        markdown.append("\n\n").append(title).append(":\n\n```\n").append(recipe).append("\n```");
    };
    example("Wrong", e.wrong);
    example("Right", e.right);
    return Json{{"text", text}, {"markdown", markdown}};
}

Json rule(Code code) {
    const CodeInfo& info = code_info(code);
    Json json;
    json["id"] = info.name;
    if (info.name.find('_') != std::string_view::npos) json["name"] = pascal_case(info.name);  // must differ from `id`
    std::string title(info.title);
    json["shortDescription"] = Json{{"text", title + "."}};
    const std::string_view why = explanation(code).why;
    json["fullDescription"] = Json{{"text", unwrapped(why.substr(0, why.find("\n\n")))}};
    json["help"] = help(code);
    json["defaultConfiguration"] = Json{{"level", level(info.severity)}};
    return json;
}

Json fixes(const Diagnostic& d, const SourceMap& sources) {
    Json all = Json::array();
    for (const auto& fix : d.fixes) {
        std::map<FileId, std::vector<const Edit*>> files;
        for (const auto& edit : fix.edits) {
            if (has_place(sources, edit.span)) files[edit.span.file].push_back(&edit);
        }
        if (files.empty()) continue;
        Json changes = Json::array();
        for (const auto& [id, edits] : files) {
            const SourceFile& file = sources.file(id);
            Json replacements = Json::array();
            for (const Edit* edit : edits) {
                Json replacement{{"deletedRegion", region(file, edit->span, false)}};
                if (!edit->text.empty()) replacement["insertedContent"] = Json{{"text", edit->text}};
                replacements.push_back(std::move(replacement));
            }
            changes.push_back(Json{{"artifactLocation", artifact_location(file)},
                                   {"replacements", std::move(replacements)}});
        }
        const std::string sure = fix.safe ? "" : " (perhaps)";
        all.push_back(Json{{"description", Json{{"text", fix.title + sure}}}, {"artifactChanges", std::move(changes)}});
    }
    return all;
}

std::string message_text(const Diagnostic& d) {
    std::string text = d.message;
    if (!d.label.empty()) text += "\n" + d.label;
    for (const auto& note : d.notes) text += "\nnote: " + note;
    return text;
}

Json result(const Diagnostic& d, std::size_t rule_index, const std::string& fingerprint, const SourceMap& sources) {
    Json json;
    json["ruleId"] = code_info(d.code).name;
    json["ruleIndex"] = rule_index;
    json["level"] = level(d.severity);
    json["message"] = Json{{"text", message_text(d)}};
    json["locations"] =
        Json::array({Json{{"physicalLocation", physical_location(sources.file(d.span.file), d.span)}}});
    Json related = Json::array();
    for (const auto& label : d.more) {
        if (!has_place(sources, label.span)) continue;
        related.push_back(Json{{"id", related.size() + 1},
                               {"physicalLocation", physical_location(sources.file(label.span.file), label.span)},
                               {"message", Json{{"text", label.text.empty() ? "see here" : label.text}}}});
    }
    if (!related.empty()) json["relatedLocations"] = std::move(related);
    json["partialFingerprints"] = Json{{"primaryLocationLineHash", fingerprint}};
    Json mends = fixes(d, sources);
    if (!mends.empty()) json["fixes"] = std::move(mends);
    return json;
}

/// How the run went: findings without a place are about the run and not about a line, and a log must not look complete
/// when it is not.
Json invocation(const std::vector<const Diagnostic*>& about_run, const std::map<Code, std::size_t>& index,
                std::size_t left_out) {
    bool good = true;
    Json notes = Json::array();
    for (const Diagnostic* d : about_run) {
        good = good && d->severity != Severity::error;
        notes.push_back(Json{{"descriptor", Json{{"id", code_info(d->code).name}, {"index", index.at(d->code)}}},
                             {"level", level(d->severity)},
                             {"message", Json{{"text", message_text(*d)}}}});
    }
    if (left_out > 0) {
        const std::string text = std::to_string(left_out) + " more findings are left out of this log, the least grave.";
        notes.push_back(Json{{"level", "warning"}, {"message", Json{{"text", text}}}});
    }
    Json json{{"executionSuccessful", good}};
    if (!notes.empty()) json["toolExecutionNotifications"] = std::move(notes);
    return json;
}

/// The descriptors of all codes in `found`, in the order of the table, and where each stands.
Json descriptors(const std::vector<const Diagnostic*>& found, std::map<Code, std::size_t>& index) {
    for (const Diagnostic* d : found) index[d->code] = 0;
    Json all = Json::array();
    for (auto& [code, at] : index) {
        at = all.size();
        all.push_back(rule(code));
    }
    return all;
}

/// The log of one run.
std::string log_of(Json driver, Json invocation, Json results) {
    Json run;
    run["tool"] = Json{{"driver", std::move(driver)}};
    run["invocations"] = Json::array({std::move(invocation)});
    run["originalUriBaseIds"] = Json{
        {kRoot, Json{{"description", Json{{"text", "The root folder of the collection."}}}}}};
    run["columnKind"] = "utf16CodeUnits";
    run["results"] = std::move(results);
    Json log;
    log["$schema"] = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json";
    log["version"] = "2.1.0";
    log["runs"] = Json::array({std::move(run)});
    return log.dump(2, ' ', false, Json::error_handler_t::replace) + '\n';
}


}  // namespace

std::string render_sarif(const std::vector<Diagnostic>& diagnostics, const SourceMap& sources,
                         const std::string& version) {
    std::vector<const Diagnostic*> order;
    std::vector<const Diagnostic*> about_run;
    for (const auto& d : diagnostics) (has_place(sources, d.span) ? order : about_run).push_back(&d);
    std::stable_sort(order.begin(), order.end(),
                     [](const Diagnostic* a, const Diagnostic* b) { return a->severity < b->severity; });
    const std::size_t left_out = order.size() > kMostResults ? order.size() - kMostResults : 0;
    order.resize(order.size() - left_out);

    std::map<Code, std::size_t> rule_index;
    std::map<Code, std::size_t> notification_index;
    Json driver{{"name", "scruple"}, {"version", version}, {"semanticVersion", version}};
    driver["rules"] = descriptors(order, rule_index);
    if (!about_run.empty()) driver["notifications"] = descriptors(about_run, notification_index);

    Json results = Json::array();
    std::map<std::uint64_t, std::size_t> seen;  // equal lines are told apart by their count
    for (const Diagnostic* d : order) {
        const std::uint64_t id = identity(code_info(d->code).name, d->span, sources);
        const std::string fingerprint = hex(id) + ":" + std::to_string(++seen[id]);
        results.push_back(result(*d, rule_index.at(d->code), fingerprint, sources));
    }

    return log_of(std::move(driver), invocation(about_run, notification_index, left_out), std::move(results));
}

std::string render_sarif(const std::vector<LogRule>& rules, const std::vector<LogResult>& results, const SourceMap& sources,
                         const std::string& version) {
    Json driver{{"name", "scruple"}, {"version", version}, {"semanticVersion", version}};
    driver["rules"] = Json::array();
    for (const LogRule& r : rules) {
        driver["rules"].push_back(Json{{"id", r.id},
                                       {"name", pascal_case(r.id)},
                                       {"shortDescription", Json{{"text", r.title + "."}}},
                                       {"fullDescription", Json{{"text", r.text}}},
                                       {"help", Json{{"text", r.text}}},
                                       {"defaultConfiguration", Json{{"level", level(r.severity)}}}});
    }
    std::vector<const LogResult*> order;
    Json notes = Json::array();
    for (const LogResult& r : results) {
        if (has_place(sources, r.span)) order.push_back(&r);
        else notes.push_back(Json{{"level", level(r.severity)}, {"message", Json{{"text", r.message}}}});
    }
    std::stable_sort(order.begin(), order.end(), [](const LogResult* a, const LogResult* b) { return a->severity < b->severity; });
    if (order.size() > kMostResults) {
        const std::string text = std::to_string(order.size() - kMostResults) + " more changes are left out of this log, the least grave.";
        notes.push_back(Json{{"level", "warning"}, {"message", Json{{"text", text}}}});
        order.resize(kMostResults);
    }
    Json found = Json::array();
    std::map<std::uint64_t, std::size_t> seen;
    for (const LogResult* r : order) {
        const std::uint64_t id = identity(rules[r->rule].id, r->span, sources);
        found.push_back(Json{{"ruleId", rules[r->rule].id},
                             {"ruleIndex", r->rule},
                             {"level", level(r->severity)},
                             {"message", Json{{"text", r->message}}},
                             {"locations", Json::array({Json{{"physicalLocation", physical_location(sources.file(r->span.file), r->span)}}})},
                             {"partialFingerprints", Json{{"primaryLocationLineHash", hex(id) + ":" + std::to_string(++seen[id])}}}});
    }
    Json how{{"executionSuccessful", true}};
    if (!notes.empty()) how["toolExecutionNotifications"] = std::move(notes);
    return log_of(std::move(driver), std::move(how), std::move(found));
}

}  // namespace scruple
