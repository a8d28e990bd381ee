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

/// Hands on what nlohmann's parser meets (its interface json_sax).
class Filler {
public:
    explicit Filler(emit::Values& out) : out_(out) {}

    bool null() { return out_.null(), true; }
    bool boolean(bool value) { return out_.boolean(value), true; }
    bool number_integer(std::int64_t value) { return out_.whole(value), true; }
    bool number_unsigned(std::uint64_t value) { return out_.number(static_cast<double>(value)), true; }
    bool number_float(double value, const std::string& /*as_written*/) { return out_.number(value), true; }
    bool string(const std::string& value) { return out_.text(value), true; }
    bool binary(const nlohmann::json::binary_t& /*value*/) { return false; }
    bool start_object(std::size_t /*size*/) { return out_.open_object(), true; }
    bool end_object() { return out_.close_object(), true; }
    bool start_array(std::size_t /*size*/) { return out_.open_array(), true; }
    bool end_array() { return out_.close_array(), true; }
    bool key(const std::string& name) { return out_.key(out_.keep(name)), true; }
    bool parse_error(std::size_t /*at*/, const std::string& /*token*/, const nlohmann::json::exception& /*error*/) { return false; }

private:
    emit::Values& out_;
};

}  // namespace

bool is_json(std::string_view text) { return nlohmann::json::accept(text); }

void read_values(std::string_view text, emit::Values& out) {
    out.clear();
    Filler filler(out);
    if (!nlohmann::json::sax_parse(text, &filler)) out.clear();
}

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
            emit::Values name;
            read_values(quoted, name);
            key = name.root().text();
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
