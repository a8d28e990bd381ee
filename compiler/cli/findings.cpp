#include "cli/findings.h"

#include <fmt/core.h>

#include <deque>
#include <nlohmann/json.hpp>

#include "base/date.h"
#include "cli/exit_codes.h"
#include "diag/render.h"
#include "emit/emit.h"

namespace scruple {
namespace {

/// Something was not read or not written, so the run knows less than it was asked for.
bool unreadable(Code code) {
    switch (code) {
        case Code::cannot_read:
        case Code::cannot_write:
        case Code::over_a_recipe:
        case Code::file_too_large:
        case Code::run_too_large:
        case Code::too_many_files: return true;
        default: return false;
    }
}

}  // namespace

std::string join_logs(const std::vector<std::string>& parts, bool sarif) {
    if (parts.size() == 1) return parts[0];
    auto first = nlohmann::ordered_json::parse(parts[0]);
    for (std::size_t i = 1; i < parts.size(); ++i) {
        auto next = nlohmann::ordered_json::parse(parts[i]);
        auto& from = sarif ? next["runs"] : next["diagnostics"];
        auto& to = sarif ? first["runs"] : first["diagnostics"];
        for (auto& item : from) to.push_back(std::move(item));
    }
    return first.dump(2) + "\n";
}

const Compiled& compile_paths(const FileSystem& files, std::vector<std::string> paths, bool alone,
                       const CompileOptions& options) {
    if (paths.empty()) paths.emplace_back(".");
    const ResourceLimits limits;
    Bag bag;
    static std::deque<std::unique_ptr<Compiled>>& kept = *new std::deque<std::unique_ptr<Compiled>>;
    Compiled& out = *kept.emplace_back(std::make_unique<Compiled>());
    for (const auto& plan : find_collections(files, paths, alone, limits, bag)) {
        out.collections.push_back(compile(files, plan, limits, options));
    }
    bag.sort_and_unique();
    out.lost = bag.items();
    return out;
}

bool print_findings(const Compiled& compiled, const CommonOptions& options, Stream stream) {
    const auto put = [&](const std::string& text) { return stream == Stream::out ? write_out(text) : write_err(text); };
    const SourceMap nothing;
    if (options.diagnostics != "text") {
        const bool sarif = options.diagnostics == "sarif";
        const auto render = [&](const std::vector<Diagnostic>& list, const SourceMap& sources) {
            return sarif ? render_sarif(list, sources, kVersion) : render_json(list, sources);
        };
        std::vector<std::string> parts;
        for (const auto& c : compiled.collections) parts.push_back(render(c->diagnostics, c->sources));
        if (!compiled.lost.empty() || parts.empty()) parts.push_back(render(compiled.lost, nothing));
        return put(join_logs(parts, sarif));
    }
    TextOptions text;
    text.color = wants_color(options.color, stream);
    text.width = terminal_width(stream);
    std::string out;
    for (const auto& c : compiled.collections) out += render_text(c->diagnostics, c->sources, text);
    out += render_text(compiled.lost, nothing, text);
    return out.empty() || put(out);
}

int exit_status(const Compiled& compiled) {
    bool errors = false;
    const auto look = [&](const std::vector<Diagnostic>& list) {
        for (const auto& d : list) {
            if (unreadable(d.code)) return true;
            errors |= d.severity == Severity::error;
        }
        return false;
    };
    if (look(compiled.lost)) return kIoFailed;
    for (const auto& c : compiled.collections) {
        if (look(c->diagnostics)) return kIoFailed;
    }
    return errors ? kRecipeErrors : kClean;
}

bool is_date(const std::string& text) {
    if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (i != 4 && i != 7 && (text[i] < '0' || text[i] > '9')) return false;
    }
    return valid_date(text);
}

}  // namespace scruple
