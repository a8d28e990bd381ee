#include <nlohmann/json.hpp>

#include "diag/place.h"
#include "diag/render.h"

namespace scruple {
namespace {

using namespace diag;
using Json = nlohmann::ordered_json;

Json point(LineColumn at) { return Json{{"line", at.line}, {"character", at.column}}; }

/// Puts `file` and `range`; both null where there is no place.
void put_place(Json& into, const SourceMap& sources, Span span) {
    if (!has_place(sources, span)) {
        into["file"] = nullptr;
        into["range"] = nullptr;
        return;
    }
    const SourceFile& file = sources.file(span.file);
    const Range range = utf16_range(file, span);
    into["file"] = path_for_programs(file);
    into["range"] = Json{{"start", point(range.start)}, {"end", point(range.end)}};
}

Json one(const Diagnostic& d, const SourceMap& sources) {
    Json json;
    json["code"] = code_info(d.code).name;
    json["severity"] = severity_word(d.severity);
    json["message"] = d.message;
    put_place(json, sources, d.span);
    json["label"] = d.label;
    json["related"] = Json::array();
    for (const auto& label : d.more) {
        Json related;
        put_place(related, sources, label.span);
        related["message"] = label.text;
        json["related"].push_back(std::move(related));
    }
    json["notes"] = d.notes;
    json["fixes"] = Json::array();
    for (const auto& fix : d.fixes) {
        Json edits = Json::array();
        for (const auto& edit : fix.edits) {
            if (!has_place(sources, edit.span)) continue;
            Json made;
            put_place(made, sources, edit.span);
            made["text"] = edit.text;
            edits.push_back(std::move(made));
        }
        json["fixes"].push_back(Json{{"title", fix.title}, {"safe", fix.safe}, {"edits", std::move(edits)}});
    }
    return json;
}

}  // namespace

std::string render_json(const std::vector<Diagnostic>& diagnostics, const SourceMap& sources) {
    Json json;
    json["schema"] = "scruple.diagnostics/1";
    json["diagnostics"] = Json::array();
    for (const auto& d : diagnostics) json["diagnostics"].push_back(one(d, sources));
    // A message may quote bytes that are no UTF-8; JSON may not.
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + '\n';
}

}  // namespace scruple
