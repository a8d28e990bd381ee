#include "changes/read_json.h"

#include <nlohmann/json.hpp>

namespace scruple::changes {
namespace {

bool is_space(char c) { return c == ' ' || c == '\n' || c == '\r' || c == '\t'; }

std::size_t past_spaces(std::string_view text, std::size_t at) {
    while (at < text.size() && is_space(text[at])) ++at;
    return at;
}

std::size_t past_string(std::string_view text, std::size_t at) {
    for (++at; at < text.size() && text[at] != '"'; ++at) {
        if (text[at] == '\\') ++at;
    }
    return std::min(at + 1, text.size());
}

std::size_t past_value(std::string_view text, std::size_t at) {
    if (at >= text.size()) return at;
    if (text[at] == '"') return past_string(text, at);
    if (text[at] != '{' && text[at] != '[') {
        while (at < text.size() && text[at] != ',' && text[at] != '}' && text[at] != ']' && !is_space(text[at])) ++at;
        return at;
    }
    std::size_t depth = 0;
    while (at < text.size()) {
        const char c = text[at];
        if (c == '"') {
            at = past_string(text, at);
            continue;
        }
        ++at;
        if (c == '{' || c == '[') ++depth;
        if ((c == '}' || c == ']') && --depth == 0) break;
    }
    return at;
}

}  // namespace

void each_element(std::string_view text, FunctionRef<void(std::string_view)> call) {
    std::size_t at = past_spaces(text, 0);
    if (at >= text.size() || text[at] != '[') return;
    at = past_spaces(text, at + 1);
    while (at < text.size() && text[at] != ']') {
        const std::size_t end = past_value(text, at);
        call(text.substr(at, end - at));
        at = past_spaces(text, end);
        if (at < text.size() && text[at] == ',') at = past_spaces(text, at + 1);
        else break;
    }
}

void each_member(std::string_view text, FunctionRef<void(std::string_view, std::string_view)> call) {
    std::size_t at = past_spaces(text, 0);
    if (at >= text.size() || text[at] != '{') return;
    at = past_spaces(text, at + 1);
    while (at < text.size() && text[at] == '"') {
        const std::size_t key_end = past_string(text, at);
        const std::string_view quoted = text.substr(at, key_end - at);
        std::string key(quoted.size() > 1 ? quoted.substr(1, quoted.size() - 2) : quoted);
        if (key.find('\\') != std::string::npos) {
            const auto parsed = nlohmann::json::parse(quoted, nullptr, false);
            if (parsed.is_string()) key = parsed.get<std::string>();
        }
        at = past_spaces(text, key_end);
        if (at >= text.size() || text[at] != ':') return;
        at = past_spaces(text, at + 1);
        const std::size_t end = past_value(text, at);
        call(key, text.substr(at, end - at));
        at = past_spaces(text, end);
        if (at < text.size() && text[at] == ',') at = past_spaces(text, at + 1);
        else break;
    }
}

}  // namespace scruple::changes
