// Looks at what stands where the grammar found nothing it knows, and hands it to who knows about
// it. The small signs are dealt with here.
#include "syntax/mend.h"

#include <string>

#include "base/text.h"
#include "syntax/characters.h"

namespace scruple {
namespace {

namespace ch = characters;

bool is_blank(char c) {
    return c == ' ' || c == '\t';
}

/// A byte that is no UTF-8. It was reported when the text was looked over first.
bool is_bad_byte(std::string_view text, std::size_t at) {
    const CodePoint c = decode_utf8(text, at);
    return c.value == 0xFFFD && c.length == 1;
}

/// Whether something may start here that the grammar or one of the menders knows.
bool starts_something(std::string_view text, std::size_t at) {
    const char c = text[at];
    if (static_cast<unsigned char>(c) < 0x80) {
        if (is_name_char(c) || is_blank(c)) return true;
        switch (c) {
            case '\r':
            case '\n':
            case '#':
            case ',':
            case '{':
            case '}':
            case '"':
            case '\'':
            case '%':
            case '=':
            case '/':
            case ':':
            case ';': return true;
            case '-':
            case '.':
            case '+':
            case '~': return starts_figure(text, at);
            default:
                return ch::is_invisible(static_cast<char32_t>(c)) ||
                       ch::is_odd_space(static_cast<char32_t>(c));
        }
    }
    const CodePoint cp = decode_utf8(text, at);
    return cp.value == 0xFFFD || cp.value == 0xB0 || cp.value == 0xD7 ||
           ch::is_foreign_letter(cp.value) || ch::is_odd_space(cp.value) ||
           ch::is_invisible(cp.value) || ch::full_width(cp.value) != 0 ||
           starts_odd_string(cp.value) || starts_figure(text, at);
}

std::size_t bad_bytes(RowBuilder& rows, std::size_t begin) {
    std::size_t at = begin;
    while (at < rows.text().size() && is_bad_byte(rows.text(), at)) ++at;
    rows.bad_atom(begin, at);
    return at;
}

std::size_t odd_spaces(RowBuilder& rows, std::size_t begin) {
    const auto text = rows.text();
    std::size_t end = begin;
    for (std::size_t at = begin; at < text.size();) {
        const CodePoint c = decode_utf8(text, at);
        if (ch::is_odd_space(c.value)) {
            end = at + c.length;
        } else if (!is_blank(text[at])) {
            break;
        }
        at += c.length;
    }
    rows.report(Code::no_break_space, begin, end,
                "a space of another kind, as word processors and web pages put it, and only plain "
                "spaces part words")
        .fix("write a plain space", true, {{rows.span(begin, end), " "}});
    if (rows.skipping()) rows.passed(end);
    return end;
}

std::size_t invisible(RowBuilder& rows, std::size_t begin) {
    const auto text = rows.text();
    std::size_t at = begin;
    while (at < text.size()) {
        const CodePoint c = decode_utf8(text, at);
        if (!ch::is_invisible(c.value)) break;
        at += c.length;
    }
    rows.report(Code::invisible_character, begin, at, "a character that cannot be seen")
        .fix("take it out", true, {{rows.span(begin, at), ""}});
    if (rows.skipping()) rows.passed(at);
    return at;
}

/// `%3`, `%w/w`, and the full-width sign: a percent sign that is not quite one.
std::size_t percent(RowBuilder& rows, std::size_t begin, std::size_t end) {
    const auto text = rows.text();
    const bool wide = end - begin > 1;
    const Atom* before = rows.last_atom();
    const bool after_number =
        before && (before->kind == AtomKind::number || before->kind == AtomKind::range);
    if (!after_number && is_digit(byte_at(text, end))) {
        std::size_t stop = end;
        while (is_digit(byte_at(text, stop))) ++stop;
        if (byte_at(text, stop) == '.' && is_digit(byte_at(text, stop + 1))) {
            ++stop;
            while (is_digit(byte_at(text, stop))) ++stop;
        }
        const std::string number(text.substr(end, stop - end));
        const bool more = is_name_char(byte_at(text, stop));
        // The atoms come in the meant order: the number stands where the sign is, and the other way
        // round.
        rows.mended_atom(AtomKind::number, begin, end, number);
        rows.mended_atom(AtomKind::percent, end, stop, "%");
        rows.report(Code::percent_first, begin, stop,
                    quoted(text.substr(begin, stop - begin)) +
                        " has its sign first, and the sign follows the number")
            .fix("write `" + number + " %`", true,
                 {{rows.span(begin, stop), number + (more ? " % " : " %")}});
        check_figure_length(rows, end, stop);
        return stop;
    }
    const bool joined = is_name_char(byte_at(text, end));
    if (wide) {
        rows.mended_atom(AtomKind::percent, begin, end, "%");
        rows.report(Code::full_width, begin, end,
                    "a full-width percent sign, and the plain `%` is meant")
            .fix("write `%`", true, {{rows.span(begin, end), joined ? "% " : "%"}});
        return end;
    }
    rows.atom(AtomKind::percent, begin, end);
    if (joined) {
        rows.report(Code::joined_basis, begin, end + 1,
                    "a word sticks to the percent sign, and a space parts them")
            .fix("put a space", true, {{rows.span(end, end), " "}});
    }
    return end;
}

/// `5g-6g`, `5%-6%`: a range whose unit stands twice. `dash` is the offset of the dash.
bool repeated_unit(RowBuilder& rows, std::size_t dash, std::size_t length) {
    const Atom* unit = rows.last_atom();
    const Atom* number = rows.atom_before_last();
    if (!unit || !number || unit->end != dash || number->kind != AtomKind::number) return false;
    if (unit->kind != AtomKind::word && unit->kind != AtomKind::percent) return false;
    const auto text = rows.text();
    const std::size_t from = number->end;
    const std::size_t begin = number->begin;
    std::size_t end = dash + length;
    while (is_digit(byte_at(text, end)) || byte_at(text, end) == '.') ++end;
    rows.report(
            Code::dash_range, begin, end,
            quoted(text.substr(begin, end - begin)) +
                " is a range with a dash, and ranges are written with two points and the unit once")
        .fix("write `..` and the unit once", false, {{rows.span(from, dash + length), ".."}});
    rows.bad_atom(dash, dash + length);
    return true;
}

/// Past a unit: takes the dash of a range in, if one follows.
std::size_t after_unit(RowBuilder& rows, std::size_t at) {
    const CodePoint c = peek(rows.text(), at);
    if (c.value != '-' && !ch::is_odd_dash(c.value)) return at;
    const std::size_t end = at + c.length;
    return is_digit(byte_at(rows.text(), end)) && repeated_unit(rows, at, c.length) ? end : at;
}

std::size_t dash(RowBuilder& rows, std::size_t begin) {
    const auto text = rows.text();
    if (starts_figure(text, begin)) return mend_figure(rows, begin);
    std::size_t end = begin;
    for (CodePoint c = peek(text, end); c.value == '-' || ch::is_odd_dash(c.value);
         c = peek(text, end)) {
        if (end != begin && starts_figure(text, end)) break;
        end += c.length;
    }
    if (!rows.in_row() && !rows.skipping()) {
        std::size_t after = end;
        while (is_blank(byte_at(text, after))) ++after;
        rows.dropped(begin, end);
        rows.report(Code::unexpected_text, begin, end,
                    "a dash before a row, and rows of a list need no mark")
            .fix("take it away", true, {{rows.span(begin, after), ""}});
        return end;
    }
    if (auto said =
            rows.unexpected(begin, end, "a dash that is neither a minus sign nor part of a name")) {
        said->note("words of a name are joined by `_`, and a range is written `5..6`");
    }
    rows.bad_atom(begin, end);
    return end;
}

/// `60 ° C`, `60 º C`, the one-character degree Celsius.
std::size_t degree(RowBuilder& rows, std::size_t begin, const CodePoint& sign) {
    const auto text = rows.text();
    std::size_t end = begin + sign.length;
    char letter = sign.value == 0x2103 ? 'C' : sign.value == 0x2109 ? 'F' : '\0';
    if (!letter) {
        while (is_blank(byte_at(text, end))) ++end;
        letter = byte_at(text, end);
        if ((letter != 'C' && letter != 'F') || is_name_char(byte_at(text, end + 1))) return begin;
        ++end;
    } else if (is_name_char(byte_at(text, end))) {
        return begin;
    }
    const char before = begin > 0 ? text[begin - 1] : ' ';
    const bool glued = before == '%' || is_letter(before) || before == '_';
    rows.mended_atom(AtomKind::word, begin, end, std::string(1, letter));
    rows.report(Code::degree_sign, begin, end,
                quoted(text.substr(begin, end - begin)) +
                    " is not one word, and degrees are written `" + letter + "` or `\xC2\xB0" +
                    letter + "`")
        .fix(std::string("write `") + letter + "`", true,
             {{rows.span(begin, end), (glued ? " " : "") + std::string(1, letter)}});
    return end;
}

std::size_t times(RowBuilder& rows, std::size_t begin, std::size_t end) {
    const Span here = rows.span(begin, end);
    const bool glued = begin > 0 && !is_blank(rows.text()[begin - 1]);
    rows.mended_atom(AtomKind::word, begin, end, "parts");
    rows.report(Code::times_sign, begin, end, "a times sign, and an amount has a unit")
        .fix("write `parts`", false, {{here, glued ? " parts" : "parts"}})
        .note("`2 parts OIL`, `24 each`, or the amount that it comes to");
    rows.break_row();
    return end;
}

/// `2x` or `2x5`: the letter stands for "times".
bool times_after_number(const RowBuilder& rows, std::size_t at) {
    const Atom* before = rows.last_atom();
    return before && before->kind == AtomKind::number && before->end == at &&
           !is_letter(byte_at(rows.text(), at + 1)) && byte_at(rows.text(), at + 1) != '_';
}

/// A colon after a word, or anywhere.
std::size_t colon(RowBuilder& rows, std::size_t begin, std::size_t end) {
    const auto text = rows.text();
    if (rows.in_row()) {
        rows.dropped(begin, end);
    } else {
        rows.passed(end);
    }
    const char next = byte_at(text, end);
    const bool parted = is_blank(next) || next == '\n' || next == '\r' || next == '\0' ||
                        (begin > 0 && is_blank(text[begin - 1]));
    rows.report(Code::colon, begin, end,
                "a colon, and a name and its value are parted by a space only")
        .fix("take the colon away", true, {{rows.span(begin, end), parted ? "" : " "}});
    return end;
}

std::size_t semicolon(RowBuilder& rows, std::size_t begin, std::size_t end) {
    const auto text = rows.text();
    std::size_t next = end;
    while (is_blank(byte_at(text, next))) ++next;
    const char c = byte_at(text, next);
    const bool last =
        c == '\0' || c == '\n' || c == '\r' || c == '#' || c == '}' || c == ';' || c == ',';
    rows.cut(begin, end);
    if (last) {
        rows.report(Code::semicolon, begin, end, "a semicolon, and a row ends with its line")
            .fix("take it away", true, {{rows.span(begin, end), ""}});
    } else {
        const std::size_t depth = rows.depth();
        rows.report(Code::semicolon, begin, end,
                    "a semicolon between rows, and every row has a line of its own")
            .fix("start a new line", true,
                 {{rows.span(begin, next), "\n" + std::string(4 * depth, ' ')}});
    }
    return end;
}

/// A full-width form of a character that the grammar knows.
std::size_t full_width(RowBuilder& rows, std::size_t begin, std::size_t end, char plain) {
    if (plain == ',') {
        rows.comma(begin, end);
        return end;
    }
    rows.report(Code::full_width, begin, end,
                quoted(rows.text().substr(begin, end - begin)) +
                    " is a full-width character, and `" + plain + "` is meant")
        .fix(std::string("write `") + plain + "`", true,
             {{rows.span(begin, end), std::string(1, plain)}});
    switch (plain) {
        case '{': rows.open(begin, end); break;
        case '}': rows.close(begin, end); break;
        case '=': rows.mended_atom(AtomKind::equals, begin, end, "="); break;
        case '/': rows.mended_atom(AtomKind::slash, begin, end, "/"); break;
        default: rows.bad_atom(begin, end);
    }
    return end;
}

std::size_t currency(RowBuilder& rows, std::size_t begin, std::size_t end, const char* code) {
    const Span here = rows.span(begin, end);
    const Atom* before = rows.last_atom();
    const bool after_number = before && before->kind == AtomKind::number;
    if (auto said = rows.unexpected(
            begin, end,
            quoted(rows.text().substr(begin, end - begin)) +
                " is a sign for money, and money is written with its three letters")) {
        if (after_number && code)
            said->fix(std::string("write `") + code + "`", false,
                      {{here, std::string(" ") + code}});
        said->note("the amount comes first: `11.40 EUR`");
    }
    if (after_number && code) {
        rows.mended_atom(AtomKind::word, begin, end, code);
    } else {
        rows.bad_atom(begin, end);
    }
    return end;
}

/// Bullets and the like before a row.
bool is_bullet(char32_t c) {
    return c == '*' || c == 0x2022 || c == 0xB7 || c == 0x25CF || c == 0x25CB || c == 0x25AA ||
           c == 0x2023;
}

std::size_t unknown(RowBuilder& rows, std::size_t begin) {
    const auto text = rows.text();
    const CodePoint first = decode_utf8(text, begin);
    std::size_t at = begin + first.length;
    if (is_bullet(first.value) && !rows.in_row() && !rows.skipping()) {
        std::size_t after = at;
        while (is_blank(byte_at(text, after))) ++after;
        rows.dropped(begin, at);
        rows.report(Code::unexpected_text, begin, at,
                    "a mark before a row, and rows of a list need none")
            .fix("take it away", true, {{rows.span(begin, after), ""}});
        return at;
    }
    while (at < text.size() && !starts_something(text, at)) at += decode_utf8(text, at).length;
    const auto piece = text.substr(begin, at - begin);
    // A full stop at the end of a row can only be one.
    std::size_t after = at;
    while (is_blank(byte_at(text, after))) ++after;
    const char next = byte_at(text, after);
    const bool full_stop =
        piece == "." && rows.last_atom() &&
        (next == '\0' || next == '\n' || next == '\r' || next == '#' || next == '}');
    auto said = rows.unexpected(begin, at, quoted(piece) + " means nothing here");
    if (said && full_stop) {
        said->fix("take it away", true, {{rows.span(begin, at), ""}});
        rows.dropped(begin, at);
        return at;
    }
    if (said && (next == '\0' || next == '\n' || next == '\r') && (piece == "(" || piece == "[")) {
        said->note("a block opens with `{` and closes with `}`");
    } else if (said && (first.value == '(' || first.value == ')' || first.value == '[' ||
                        first.value == ']')) {
        said->note("a remark stands in quotes at the end of the row, a comment after `#`");
    }
    rows.bad_atom(begin, at);
    return at;
}

}  // namespace

std::size_t mend(RowBuilder& rows, std::size_t at) {
    const auto text = rows.text();
    const char byte = text[at];
    const CodePoint c = decode_utf8(text, at);
    const std::size_t end = at + c.length;
    if (is_bad_byte(text, at)) return bad_bytes(rows, at);
    switch (byte) {
        case '%': return after_unit(rows, percent(rows, at, end));
        case ':': return colon(rows, at, end);
        case ';': return semicolon(rows, at, end);
        default: break;
    }
    if (c.value == 0xD7) return times(rows, at, end);
    if (byte == '-' || ch::is_odd_dash(c.value)) return dash(rows, at);
    if (starts_figure(text, at)) {
        const std::size_t after = mend_figure(rows, at);
        return byte_at(text, after) == 'x' && times_after_number(rows, after)
                   ? times(rows, after, after + 1)
                   : after;
    }
    if (c.value == 0xB0 || c.value == 0xBA || c.value == 0x2DA || c.value == 0x2103 ||
        c.value == 0x2109) {
        if (const auto after = degree(rows, at, c); after != at) return after;
    }
    if (is_letter(byte) || byte == '_' || ch::is_foreign_letter(c.value) ||
        is_name_char(ch::full_width(c.value)) ||
        (c.value == 0xB0 && is_letter(byte_at(text, end)))) {
        if (const auto after = mend_word(rows, at); after != at) return after_unit(rows, after);
    }
    if (starts_odd_string(c.value)) return mend_string(rows, at);
    if (ch::is_odd_space(c.value)) return odd_spaces(rows, at);
    if (ch::is_invisible(c.value)) return invisible(rows, at);
    if (const char plain = ch::full_width(c.value)) {
        if (plain == ':') return colon(rows, at, end);
        if (plain == ';') return semicolon(rows, at, end);
        if (plain == '%') return percent(rows, at, end);
        return full_width(rows, at, end, plain);
    }
    if (c.value == 0x20AC) return currency(rows, at, end, "EUR");
    if (c.value == 0xA3) return currency(rows, at, end, "GBP");
    if (c.value == '$' || c.value == 0xA5) return currency(rows, at, end, nullptr);
    return unknown(rows, at);
}

}  // namespace scruple
