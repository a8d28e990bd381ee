// Numbers, ranges and dates as people write them elsewhere. Reading is by hand, since the same run
// of characters has to be weighed as a whole: `1,000` and `2,5` differ only in what follows the
// comma.
#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "syntax/figure_reader.h"
#include "syntax/mend.h"

namespace scruple {
namespace {

namespace ch = characters;

struct OddityText {
    Code code;
    const char* message;  // after the quoted figure
};

constexpr std::array<OddityText, kOddityCount> kTexts = {{
    {Code::approximate_sign, "is an approximate amount, and a recipe says what is weighed"},
    {Code::date_form,
     "looks like a date, and dates are written year-month-day with two digits for month and day"},
    {Code::dash_range, "is a range with a dash, and ranges are written with two points"},
    {Code::range_points, "is a range, and ranges are written with two points and no spaces"},
    {Code::thousands_comma, "has its thousands set apart, and numbers are written without any gap"},
    {Code::decimal_comma, "has a decimal comma, and numbers are written with a point"},
    {Code::mixed_number,
     "is a whole number beside a fraction, and a number is written as one fraction or decimal"},
    {Code::fraction_character,
     "holds a fraction character, and fractions are written with a slash"},
    {Code::exponent, "has an exponent, and numbers are written out"},
    {Code::bare_point, "starts with its point, and a digit comes first"},
    {Code::trailing_point, "ends with its point, and a digit comes last"},
    {Code::full_width, "holds full-width characters, and figures are written in plain ones"},
    {Code::dash_character, "holds a typographic dash, and figures are written with the plain `-`"},
    {Code::plus_sign, "has a plus sign, and amounts need none"},
    {Code::invisible_character, "has a character in it that cannot be seen"},
}};

/// A whole figure: one value, or several joined to a range or a date.
class FigureMender {
public:
    FigureMender(RowBuilder& rows, std::size_t at)
        : rows_(rows), text_(rows.text()), begin_(at), read_(text_) {}

    std::size_t run();

private:
    struct Join {
        std::size_t to = 0;  // where the next value starts; 0 for none
        enum { points, dash } kind = points;
        bool odd_dash = false;
    };
    Join join_at(std::size_t p);
    std::size_t list(const Value& value);
    std::size_t finish(std::size_t end, AtomKind kind, const std::string& meant);
    std::size_t bad(std::size_t end, const char* message);
    bool dates();

    RowBuilder& rows_;
    std::string_view text_;
    std::size_t begin_;
    FigureReader read_;
    std::vector<Value> values_;
    std::vector<Join> joins_;
};

FigureMender::Join FigureMender::join_at(std::size_t p) {
    Join out;
    const std::size_t gap = read_.blanks(p);
    std::size_t q = gap;
    std::size_t points = 0;
    bool ellipsis = false;
    while (byte_at(text_, q) == '.' || read_.at(q).value == 0x2026) {
        const CodePoint c = read_.at(q);
        ellipsis = ellipsis || c.value != '.';
        q += c.length;
        ++points;
        if (points == 3) break;
    }
    if (points >= 2 || ellipsis) {
        const std::size_t to = read_.blanks(q);
        if (!read_.value_at(to)) return out;
        if (points != 2 || ellipsis || gap != p || to != q) read_.note(kRangePoints);
        out.to = to;
        return out;
    }
    const auto dash = read_.dash_at(gap);
    if (dash == 0) return out;
    const std::size_t after = gap + dash;
    const std::size_t to = read_.blanks(after);
    if (!read_.value_at(to)) return out;
    if (gap != p && to == after) {
        // `5 -6`: perhaps two numbers
        read_.doubt();
    }
    out.kind = Join::dash;
    out.odd_dash = dash > 1;
    out.to = to;
    return out;
}

std::size_t FigureMender::list(const Value& value) {
    // Only what stands before the last comma; the rest is read as usual.
    std::size_t at = begin_;
    for (const Value::Piece& piece : value.list) {
        const auto text = text_.substr(at, piece.end - at);
        const bool plain = std::all_of(text.begin(), text.end(),
                                       [](char c) { return is_digit(c) || c == '.' || c == '-'; });
        if (piece.good && plain) {
            rows_.atom(AtomKind::number, at, piece.end);
            check_figure_length(rows_, at, piece.end);
        } else {
            if (auto said = rows_.unexpected(at, piece.end, quoted(text) + " is not a number")) {
                said->note(
                    "a comma between digits may stand for a decimal point, for thousands or for a "
                    "list");
            }
            rows_.bad_atom(at, piece.end);
        }
        rows_.comma(piece.end, piece.next);
        at = piece.next;
    }
    return at;
}

std::size_t FigureMender::bad(std::size_t end, const char* message) {
    const auto piece = quoted(text_.substr(begin_, end - begin_));
    if (read_.has(kExponent)) {
        rows_.report(Code::exponent, begin_, end, piece + " " + kTexts[kExponent].message);
    } else {
        rows_.unexpected(begin_, end, piece + message);
    }
    rows_.bad_atom(begin_, end);
    return end;
}

/// `2026-5-2`, `2.5.2026` and their like, and dates with typographic dashes.
bool FigureMender::dates() {
    if (joins_.empty() || joins_.size() > 2) return false;
    bool odd_dash = false;
    for (const Join& j : joins_) {
        if (j.kind != Join::dash) return false;
        odd_dash = odd_dash || j.odd_dash;
    }
    for (const Value& v : values_) {
        if (v.digits.empty()) return false;
    }
    const auto& a = values_[0].digits;
    const auto& b = values_[1].digits;
    if (joins_.size() == 1) {
        if (a.size() != 4 || (a[0] != '1' && a[0] != '2') || b.size() > 2 ||
            (b.size() == 1 && b[0] == '0'))
            return false;
        const std::string meant = a + "-" + (b.size() == 1 ? "0" + b : b);
        if (b.size() == 1) read_.note(kDateForm);
        if (odd_dash) read_.note(kDash);
        finish(values_[1].end, AtomKind::month, meant);
        return true;
    }
    const auto& c = values_[2].digits;
    std::string date;
    std::string other;
    bool is_certain = false;
    if (!read_date({a, b, c}, false, date, other, is_certain)) return false;
    const bool form = !(a.size() == 4 && b.size() == 2 && c.size() == 2);
    if (form) read_.note(kDateForm);
    if (odd_dash) read_.note(kDash);
    if (!is_certain) read_.doubt();
    read_.set_other(other);
    finish(values_[2].end, AtomKind::date, date);
    return true;
}

std::size_t FigureMender::finish(std::size_t end, AtomKind kind, const std::string& meant) {
    if (!read_.any()) {
        rows_.atom(kind, begin_, end);
        check_figure_length(rows_, begin_, end);
        return end;
    }
    const OddityText& what = kTexts[read_.worst()];
    const Span here = rows_.span(begin_, end);
    rows_.mended_atom(kind, begin_, end, meant);
    auto added = rows_.report(what.code, begin_, end,
                              quoted(text_.substr(begin_, end - begin_)) + " " + what.message);
    const bool glued = begin_ > 0 && is_name_char(text_[begin_ - 1]) && is_digit(meant[0]);
    added.fix("write `" + meant + "`", read_.certain() && !read_.has(kApproximate),
              {{here, (glued ? " " : "") + meant}});
    // Where another reading is possible, nothing can be said of the row until it is clear which one
    // is meant.
    if (!read_.certain()) rows_.break_row();
    if (!read_.other().empty()) {
        if (kind != AtomKind::range)
            added.fix("write `" + read_.other() + "`", false, {{here, read_.other()}});
        rows_.break_row();
    }
    check_figure_length(rows_, begin_, end);
    return end;
}

/// End of a run of figures and points in which the points have gone astray: four together
/// (`0.91....0.92`), a pair in front (`..0.92`) or pairs apart (`30.. ..37`). `at` itself if they
/// have not; three together are one slip of their own.
std::size_t points_astray(std::string_view text, std::size_t at) {
    constexpr std::size_t kLongest = 256;  // no range is longer, and every figure is looked along
    const std::size_t limit = std::min(text.size(), at + kLongest);
    std::size_t points = 0;
    std::size_t end = at;
    bool astray = false;
    for (std::size_t p = at; p < limit; ++p) {
        if (text[p] == '.') {
            ++points;
            astray = astray || points > 3 || (points == 2 && p == at + 1);
        } else if (is_digit(text[p])) {
            points = 0;
        } else if (points >= 2 && (text[p] == ' ' || text[p] == '\t')) {
            std::size_t next = p;
            while (next < limit && (text[next] == ' ' || text[next] == '\t')) ++next;
            if (byte_at(text, next) != '.') break;
            astray = true;
            p = next - 1;
            continue;
        } else {
            break;
        }
        end = p + 1;
    }
    return astray ? end : at;
}

/// Looks like a date that lost or won a sign: `2026--05`, `04-01`, `2026-0307`, `-04-01`.
bool like_a_date(std::string_view figure) {
    for (std::size_t i = 0; i < figure.size();) {
        std::size_t end = i;
        while (is_digit(byte_at(figure, end))) ++end;
        if (end - i >= 2 && figure[i] == '0') return true;
        if (end - i >= 4 && (figure.substr(i).starts_with("19") || figure.substr(i).starts_with("20"))) return true;
        i = end + 1;
    }
    return false;
}

std::size_t FigureMender::run() {
    std::size_t p = begin_;
    if (const std::size_t end = points_astray(text_, begin_); end != begin_) {
        return bad(end,
                   " has its points astray: a range is `lowest..highest` or "
                   "`lowest..typical..highest`");
    }
    for (CodePoint c = read_.at(p);; c = read_.at(p)) {
        const bool about =
            c.value == '~' || c.value == 0x2248 || c.value == 0x223C || c.value == 0x2245;
        if (about) read_.note(kApproximate);
        if (c.value == '+' || ch::full_width(c.value) == '+') {
            read_.note(kPlus);
        } else if (!about) {
            break;
        }
        p = read_.blanks(p + c.length);
    }
    values_.push_back(read_.value(p));
    if (!values_[0].list.empty() && p == begin_) return list(values_[0]);
    for (;;) {
        const Value& last = values_.back();
        if (last.bad) return bad(last.end, " is not a number");
        if (!last.list.empty()) {
            // `1..2,3..4`: the range ends at the comma
            Value& piece = values_.back();
            const std::size_t from = joins_.empty() ? p : joins_.back().to;
            if (!piece.list[0].good || from < begin_) return bad(piece.end, " is not a number");
            piece.end = piece.list[0].end;
            piece.text = std::string(text_.substr(from, piece.end - from));
            piece.list.clear();
            break;
        }
        if (!last.date.empty()) {
            if (values_.size() > 1) return bad(last.end, " is not a range");
            if (!last.date_certain) read_.doubt();
            return finish(last.end, AtomKind::date, last.date);
        }
        const Join join = join_at(last.end);
        if (join.to == 0) break;
        if (values_.size() > 3) {
            values_.pop_back();  // too many for a range already: only its end matters
        } else {
            joins_.push_back(join);
        }
        values_.push_back(read_.value(join.to));
    }
    std::size_t end = values_.back().end;
    if (byte_at(text_, end) == '.' && byte_at(text_, end + 1) == '.') {
        while (byte_at(text_, end) == '.') ++end;
        return bad(end, " has no upper end, and a range needs a figure at both ends");
    }
    if (joins_.empty()) return finish(end, AtomKind::number, values_[0].text);
    if (dates()) return end;
    const bool dashed = std::any_of(joins_.begin(), joins_.end(),
                                    [](const Join& j) { return j.kind == Join::dash; });
    if (dashed && like_a_date(text_.substr(begin_, end - begin_))) read_.doubt();
    if (values_.size() == 2 && dashed && !values_[0].digits.empty() && values_[0].digits != "0" &&
        values_[1].proper_fraction) {
        // `1-1/2`: as a range it would run backwards
        const auto slash = values_[1].text.find('/');
        const auto over = small_number(values_[1].text.substr(0, slash));
        const auto under = small_number(values_[1].text.substr(slash + 1));
        if (const auto meant =
                over && under ? mixed_fraction(values_[0].digits, *over, *under) : std::nullopt) {
            read_.note(kMixed);
            return finish(end, AtomKind::number, *meant);
        }
    }
    if (dashed) read_.note(kDashRange);
    if (values_.size() > 3) return bad(end, " is no range: a range has two or three figures");
    std::string meant = values_[0].text;
    for (std::size_t i = 1; i < values_.size(); ++i) meant += ".." + values_[i].text;
    return finish(end, AtomKind::range, meant);
}

}  // namespace

bool starts_figure(std::string_view text, std::size_t at) {
    if (byte_at(text, at) == '.' && byte_at(text, at + 1) == '.') {
        std::size_t p = at;
        while (byte_at(text, p) == '.' && p < at + 8) ++p;
        return is_digit(byte_at(text, p));
    }
    const FigureReader read(text);
    std::size_t p = at;
    for (;;) {
        const CodePoint c = read.at(p);
        const bool prefix = c.value == '~' || c.value == '+' || ch::full_width(c.value) == '+' ||
                            c.value == 0x2248 || c.value == 0x223C || c.value == 0x2245;
        if (!prefix || p > at + 16) break;  // no one means so many
        const std::size_t next = read.blanks(p + c.length);
        if (next > p + 8) return false;
        p = next;
    }
    return read.value_at(p);
}

std::size_t mend_figure(RowBuilder& rows, std::size_t at) {
    return FigureMender(rows, at).run();
}

void check_figure_length(RowBuilder& rows, std::size_t begin, std::size_t end) {
    if (end - begin <= kMostDigits) return;
    std::size_t digits = 0;
    const auto text = rows.text();
    for (std::size_t i = begin; i < end; ++i) {
        if (is_digit(text[i])) {
            if (++digits > kMostDigits) break;
        } else if (text[i] == '.' && byte_at(text, i + 1) == '.') {
            digits = 0;
        } else if (text[i] == '/') {
            digits = 0;
        }
    }
    if (digits <= kMostDigits) return;
    rows.report(Code::number_too_long, begin, end,
                "a number of more than 40 digits, and numbers have at most 40")
        .note("what can be weighed or counted never needs so many");
    rows.break_row();
}

}  // namespace scruple