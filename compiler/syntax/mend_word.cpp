// Names that hold something no name has: accents, look-alikes, hyphens, what cannot be seen.
#include <algorithm>
#include <string>

#include "base/text.h"
#include "syntax/characters.h"
#include "syntax/mend.h"

namespace scruple {
namespace {

namespace ch = characters;

struct Seen {
    bool hyphen = false;
    bool apostrophe = false;
    bool micro = false;
    bool lookalike = false;
    bool full_width = false;
    bool invisible = false;
    bool accent = false;
    bool foreign = false;  // a letter with no plain form
    bool latin = false;    // a plain letter
};

bool name_goes_on(std::string_view text, std::size_t at) {
    if (is_name_char(byte_at(text, at))) return true;
    if (static_cast<unsigned char>(byte_at(text, at)) < 0x80) return false;
    const char32_t c = decode_utf8(text, at).value;
    return c != 0xFFFD && (ch::is_foreign_letter(c) || is_name_char(ch::full_width(c)));
}

/// `5g-6g`: the dash belongs to a range whose unit was written twice.
bool joins_amounts(const RowBuilder& rows, std::size_t at, std::size_t after) {
    const Atom* before = rows.last_atom();
    return before && before->kind == AtomKind::number && is_digit(byte_at(rows.text(), after)) &&
           at > before->end;
}

void say(RowBuilder& rows, std::size_t begin, std::size_t end, const Seen& seen,
         const std::string& plain) {
    const auto piece = quoted(rows.text().substr(begin, end - begin));
    const Span here = rows.span(begin, end);
    const std::string title = "write `" + plain + "`";
    if (seen.foreign) {
        rows.report(Code::bad_name, begin, end,
                    piece + " has letters that no name has, and names are made of a-z, 0-9 and _")
            .note("a title in quotes may hold any letter");
    } else if (seen.lookalike && seen.latin && !seen.hyphen && !seen.accent && !seen.apostrophe) {
        rows.report(Code::lookalike_letter, begin, end,
                    piece + " has a letter from another alphabet that only looks Latin")
            .fix(title, true, {{here, plain}});
    } else if (seen.hyphen || seen.apostrophe) {
        rows.report(Code::bad_name, begin, end,
                    piece + (seen.hyphen ? " has a hyphen" : " has an apostrophe") +
                        ", and the words of a name are joined by `_`")
            .fix(title, true, {{here, plain}});
    } else if (seen.accent || seen.lookalike) {
        rows.report(Code::bad_name, begin, end,
                    piece + " has letters with marks, and names are made of a-z, 0-9 and _")
            .fix(title, false, {{here, plain}});
        rows.break_row();
    } else if (seen.micro) {
        rows.report(Code::micro_sign, begin, end,
                    piece + " has a micro sign, and units write it `u`")
            .fix(title, true, {{here, plain}});
    } else if (seen.full_width) {
        rows.report(Code::full_width, begin, end,
                    piece + " has full-width letters, and names are written in plain ones")
            .fix(title, true, {{here, plain}});
    } else {
        rows.report(Code::invisible_character, begin, end,
                    piece + " has a character in it that cannot be seen")
            .fix("take it out", true, {{here, plain}});
    }
}

}  // namespace

std::size_t mend_word(RowBuilder& rows, std::size_t begin) {
    const auto text = rows.text();
    std::string plain;
    Seen seen;
    bool odd = false;
    std::size_t at = begin;
    while (at < text.size()) {
        const char byte = text[at];
        if (is_name_char(byte)) {
            seen.latin = seen.latin || is_letter(byte);
            plain += byte;
            ++at;
            continue;
        }
        const CodePoint c = decode_utf8(text, at);
        const std::size_t after = at + c.length;
        if (c.value == 0xFFFD) break;
        if (c.value == 0xB0) {
            plain += text.substr(at, c.length);
        } else if (byte == '.') {
            if (at == begin || !is_letter(byte_at(text, after))) break;
            plain += '.';
        } else if (byte == '-' || ch::is_odd_dash(c.value)) {
            if (at == begin || !name_goes_on(text, after) || joins_amounts(rows, at, after)) break;
            seen.hyphen = odd = true;
            plain += '_';
        } else if (byte == '\'' || c.value == 0x2019) {
            if (at == begin || !name_goes_on(text, after)) break;
            seen.apostrophe = odd = true;
        } else if (c.value == 0xB5 || (c.value == 0x3BC && at == begin)) {
            seen.micro = odd = true;
            plain += 'u';
        } else if (ch::is_invisible(c.value)) {
            if (!name_goes_on(text, after) && !ch::is_invisible(peek(text, after).value)) break;
            seen.invisible = odd = true;
        } else if (const char wide = ch::full_width(c.value); is_name_char(wide)) {
            seen.full_width = odd = true;
            plain += wide;
        } else if (const char like = ch::lookalike(c.value)) {
            seen.lookalike = odd = true;
            plain += like;
        } else if (ch::is_combining(c.value)) {
            seen.accent = odd = true;
        } else if (const auto letters = ch::plain_letters(c.value); !letters.empty()) {
            seen.accent = odd = true;
            plain += letters;
        } else if (ch::is_foreign_letter(c.value)) {
            seen.foreign = odd = true;
        } else {
            break;
        }
        at = after;
    }
    if (at == begin) return begin;
    if (plain.empty() || is_digit(plain[0])) seen.foreign = odd = true;
    if (!odd) {
        rows.atom(AtomKind::word, begin, at);
    } else if (seen.foreign) {
        say(rows, begin, at, seen, plain);
        rows.bad_atom(begin, at);
    } else {
        rows.mended_atom(AtomKind::word, begin, at, plain);
        say(rows, begin, at, seen, plain);
    }
    check_name_length(rows, begin, at);
    return at;
}

void check_name_length(RowBuilder& rows, std::size_t begin, std::size_t end) {
    if (end - begin <= rows.limits().name_bytes) return;
    rows.report(Code::name_too_long, begin, end,
                "a name of " + std::to_string(end - begin) +
                    " characters, and a name has at most " +
                    std::to_string(rows.limits().name_bytes));
    rows.break_row();
}

}  // namespace scruple
