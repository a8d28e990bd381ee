// Texts in the wrong quotation marks, without their end, or with a backslash that means nothing.
#include <algorithm>
#include <string>
#include <string_view>

#include "base/text.h"
#include "syntax/characters.h"
#include "syntax/mend.h"

namespace scruple {
namespace {

constexpr std::size_t kMostEscapeEdits = 100;
constexpr std::size_t kNowhere = std::string_view::npos;

bool is_single(char32_t c) {
    return c == '\'' || (c >= 0x2018 && c <= 0x201B) || c == 0x2032;
}
bool is_double(char32_t c) {
    return (c >= 0x201C && c <= 0x201F) || c == 0x2033 || c == 0xFF02;
}
bool is_angle(char32_t c) {
    return c == 0xAB || c == 0xBB;
}

/// What stands between two marks, as it goes between plain quotes.
std::string escaped(std::string_view inner) {
    std::string out;
    for (std::size_t i = 0; i < inner.size(); ++i) {
        const char c = inner[i];
        if (c == '\\' && i + 1 < inner.size() && (inner[i + 1] == '"' || inner[i + 1] == '\\')) {
            out += c;
            out += inner[++i];
        } else if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else {
            out += c;
        }
    }
    return out;
}

struct Mark {
    std::size_t at = kNowhere;
    std::uint32_t length = 0;
};

/// The mark that ends a text opened by `opener`, on the same line.
Mark closing_mark(std::string_view text, std::size_t from, std::size_t end, char32_t opener) {
    for (std::size_t at = from; at < end;) {
        const CodePoint c = decode_utf8(text, at);
        bool ends = false;
        if (is_single(opener)) {
            // An apostrophe stands inside a word; the closing mark does not.
            const char next = byte_at(text, at + c.length);
            ends = is_single(c.value) && !is_name_char(next) &&
                   static_cast<unsigned char>(next) < 0x80;
        } else if (is_angle(opener)) {
            ends = is_angle(c.value);
        } else {
            ends = is_double(c.value) || c.value == '"';
        }
        if (ends) return {at, c.length};
        at += c.length;
    }
    return {};
}

/// The typographic mark that closes a text opened by a plain one, when no plain one does. The
/// first, unless (escaped) plain quotes follow: they would open further texts, each of which would
/// be looked along again.
Mark curly_close(std::string_view text, std::size_t from, std::size_t end) {
    Mark first;
    Mark last;
    bool quote_after = false;
    for (std::size_t at = from; at < end;) {
        const CodePoint c = decode_utf8(text, at);
        if (c.value == '"') {
            quote_after = true;
        } else if (is_double(c.value)) {
            last = {at, c.length};
            if (first.at == kNowhere) {
                first = last;
                quote_after = false;
            }
        }
        at += c.length;
    }
    return quote_after ? last : first;
}

/// An unclosed text goes on to the line's end, but leaves the brace that opens or closes a block
/// there.
std::size_t unclosed_end(const RowBuilder& rows, std::size_t begin, std::size_t line_end) {
    const auto text = rows.text();
    const auto trimmed = [&](std::size_t end) {
        while (end > begin + 1 && (text[end - 1] == ' ' || text[end - 1] == '\t')) --end;
        return end;
    };
    std::size_t end = trimmed(line_end);
    if (end > begin + 1 &&
        (text[end - 1] == '{' || (text[end - 1] == '}' && rows.block_opened_on_line()))) {
        end = trimmed(end - 1);
    }
    return end;
}

std::size_t unclosed(RowBuilder& rows, std::size_t begin, std::size_t opener_length,
                     std::size_t line_end) {
    const auto text = rows.text();
    const std::size_t end = std::max(unclosed_end(rows, begin, line_end), begin + opener_length);
    const std::string inner =
        escaped(text.substr(begin + opener_length, end - begin - opener_length));
    std::vector<Edit> edits = {{rows.span(end, end), "\""}};
    if (opener_length != 1 || text[begin] != '"') {
        edits.insert(edits.begin(), {rows.span(begin, begin + opener_length), "\""});
    }
    rows.mended_atom(AtomKind::string, begin, end, "\"" + inner + "\"");
    rows.report(Code::unclosed_string, begin, end,
                "this text has no closing quote, and a text ends on the line that it starts on")
        .fix("close it at the end of the line", false, std::move(edits));
    rows.break_row();
    check_string_length(rows, begin, end);
    return end;
}

std::size_t odd_marks(RowBuilder& rows, std::size_t begin, std::uint32_t opener_length, Mark close,
                      bool single) {
    const auto text = rows.text();
    const std::size_t end = close.at + close.length;
    const std::size_t from = begin + opener_length;
    const std::string inner = escaped(text.substr(from, close.at - from));
    std::vector<Edit> edits;
    if (inner == text.substr(from, close.at - from)) {
        edits = {{rows.span(begin, from), "\""}, {rows.span(close.at, end), "\""}};
    } else {
        edits = {{rows.span(begin, end), "\"" + inner + "\""}};
    }
    rows.mended_atom(AtomKind::string, begin, end, "\"" + inner + "\"");
    rows.report(single ? Code::single_quote : Code::curly_quote, begin, end,
                single ? "a text in single quotes, and texts stand in plain double ones"
                       : "a text in typographic quotes, and texts stand in plain ones")
        .fix("write plain double quotes", true, std::move(edits));
    check_string_length(rows, begin, end);
    check_direction(rows, begin, end);
    return end;
}

/// A text that opens with a plain quote and that the grammar could not read.
std::size_t plain_opener(RowBuilder& rows, std::size_t begin) {
    const auto text = rows.text();
    const std::size_t line_end = rows.line_limit(begin);
    std::vector<Edit> doubled;
    std::size_t first_odd = kNowhere;
    std::size_t close = kNowhere;
    for (std::size_t at = begin + 1; at < line_end; ++at) {
        if (text[at] == '"') {
            close = at;
            break;
        }
        if (text[at] != '\\') continue;
        const char next = at + 1 < line_end ? text[at + 1] : '\0';
        if (next == '"' || next == '\\') {
            ++at;
            continue;
        }
        if (first_odd == kNowhere) first_odd = at;
        if (doubled.size() < kMostEscapeEdits) doubled.push_back({rows.span(at, at), "\\"});
    }
    if (close == kNowhere) {
        const Mark curly = curly_close(text, begin + 1, line_end);
        if (curly.at != kNowhere) return odd_marks(rows, begin, 1, curly, false);
        return unclosed(rows, begin, 1, line_end);
    }
    const std::size_t end = close + 1;
    rows.atom(AtomKind::string, begin, end);
    if (first_odd != kNowhere) {
        const bool all = doubled.size() < kMostEscapeEdits;
        const std::size_t after =
            std::min(end, first_odd + 1 + decode_utf8(text, first_odd + 1).length);
        rows.report(Code::unknown_escape, first_odd, after,
                    quoted(text.substr(first_odd, after - first_odd)) +
                        " stands for nothing: a backslash comes only before `\"` and before "
                        "another backslash")
            .fix("write the backslash twice", all, std::move(doubled));
    }
    check_string_length(rows, begin, end);
    check_direction(rows, begin, end);
    return end;
}

}  // namespace

bool starts_odd_string(char32_t c) {
    return c == '"' || is_single(c) || is_double(c) || is_angle(c);
}

std::size_t mend_string(RowBuilder& rows, std::size_t begin) {
    const auto text = rows.text();
    const CodePoint opener = decode_utf8(text, begin);
    if (opener.value == '"') return plain_opener(rows, begin);
    const std::size_t line_end = rows.line_limit(begin);
    const std::size_t from = begin + opener.length;
    const bool single = is_single(opener.value);
    const bool searched = single && begin < rows.no_quote_before;
    const Mark close = searched ? Mark{} : closing_mark(text, from, line_end, opener.value);
    if (close.at != kNowhere) return odd_marks(rows, begin, opener.length, close, single);
    if (!single) return unclosed(rows, begin, opener.length, line_end);
    rows.no_quote_before = line_end;
    rows.unexpected(begin, from,
                    "a single quote that has no other, and texts stand in plain double ones");
    rows.bad_atom(begin, from);
    return from;
}

void check_string_length(RowBuilder& rows, std::size_t begin, std::size_t end) {
    if (end - begin <= rows.limits().string_bytes + 2u) return;
    rows.report(Code::string_too_long, begin, begin + 1,
                "a text of " + std::to_string(end - begin) + " bytes, and a text has at most " +
                    std::to_string(rows.limits().string_bytes))
        .note("long texts are several texts joined by commas");
    rows.break_row();
}

void check_direction(RowBuilder& rows, std::size_t begin, std::size_t end) {
    const auto text = rows.text();
    for (std::size_t at = begin; at < end; ++at) {
        // All of them start with one of two bytes.
        if (text[at] != '\xE2' && text[at] != '\xD8') continue;
        const CodePoint c = decode_utf8(text, at);
        if (!characters::is_direction(c.value)) continue;
        rows.report(Code::hidden_direction, at, at + c.length,
                    "a character that cannot be seen turns the reading direction here, and the "
                    "text may read otherwise "
                    "than it stands")
            .fix("take it out", false, {{rows.span(at, at + c.length), ""}});
        return;
    }
}

}  // namespace scruple
