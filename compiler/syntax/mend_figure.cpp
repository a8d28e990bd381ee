// Numbers, ranges and dates as people write them elsewhere. Reading is by hand, since the same run of characters
// has to be weighed as a whole: `1,000` and `2,5` differ only in what follows the comma.
#include <algorithm>
#include <array>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "base/text.h"
#include "syntax/characters.h"
#include "syntax/mend.h"

namespace scruple {
namespace {

namespace ch = characters;

/// No number has so many groups of digits; a longer chain is read in pieces.
constexpr std::size_t kMostGroups = 64;

/// What can be odd about a figure, the most telling first: one figure gets one diagnostic.
enum Oddity : unsigned {
    kApproximate, kDateForm, kDashRange, kRangePoints, kThousands, kDecimalComma, kMixed, kFraction,
    kExponent, kBarePoint, kTrailingPoint, kFullWidth, kDash, kPlus, kInvisible, kOddityCount
};

struct OddityText {
    Code code;
    const char* message;  // after the quoted figure
};

constexpr std::array<OddityText, kOddityCount> kTexts = {{
    {Code::approximate_sign, "is an approximate amount, and a recipe says what is weighed"},
    {Code::date_form, "looks like a date, and dates are written year-month-day with two digits for month and day"},
    {Code::dash_range, "is a range with a dash, and ranges are written with two points"},
    {Code::range_points, "is a range, and ranges are written with two points and no spaces"},
    {Code::thousands_comma, "has its thousands set apart, and numbers are written without any gap"},
    {Code::decimal_comma, "has a decimal comma, and numbers are written with a point"},
    {Code::mixed_number, "is a whole number beside a fraction, and a number is written as one fraction or decimal"},
    {Code::fraction_character, "holds a fraction character, and fractions are written with a slash"},
    {Code::exponent, "has an exponent, and numbers are written out"},
    {Code::bare_point, "starts with its point, and a digit comes first"},
    {Code::trailing_point, "ends with its point, and a digit comes last"},
    {Code::full_width, "holds full-width characters, and figures are written in plain ones"},
    {Code::dash_character, "holds a typographic dash, and figures are written with the plain `-`"},
    {Code::plus_sign, "has a plus sign, and amounts need none"},
    {Code::invisible_character, "has a character in it that cannot be seen"},
}};

/// One number of a figure.
struct Value {
    std::size_t end = 0;
    std::string text;         // as it should be written
    std::string digits;       // digits as they stand, for dates; empty unless a plain whole number
    bool proper_fraction = false;
    struct Piece {
        std::size_t end = 0;   // where its comma stands
        std::size_t next = 0;  // after the comma
        bool good = true;
    };
    std::vector<Piece> list;  // `1,25,5`: figures in a list without spaces, all but the last
    std::string date;         // `2.5.2026` and the like, year first
    bool date_certain = false;
    bool bad = false;
};

class FigureReader {
public:
    explicit FigureReader(std::string_view text) : text_(text) {}

    bool has(Oddity o) const { return (seen_ >> o & 1u) != 0; }
    void note(Oddity o) { seen_ |= 1u << o; }
    bool any() const { return seen_ != 0; }
    bool certain() const { return certain_; }
    void doubt() { certain_ = false; }
    const std::string& other() const { return other_; }
    void set_other(std::string text) { other_ = std::move(text); }
    Oddity worst() const {
        for (unsigned o = 0; o < kOddityCount; ++o) {
            if (has(static_cast<Oddity>(o))) return static_cast<Oddity>(o);
        }
        return kOddityCount;
    }

    CodePoint at(std::size_t p) const { return peek(text_, p); }
    bool digit_at(std::size_t p) const {
        if (p >= text_.size()) return false;
        if (is_digit(text_[p])) return true;
        return static_cast<unsigned char>(text_[p]) >= 0x80 && is_digit(ch::full_width(at(p).value));
    }
    std::size_t blanks(std::size_t p) const {
        while (p < text_.size()) {
            const char c = text_[p];
            if (c == ' ' || c == '\t') {
                ++p;
                continue;
            }
            if (static_cast<unsigned char>(c) < 0x80) break;
            const CodePoint cp = at(p);
            if (!ch::is_odd_space(cp.value)) break;
            p += cp.length;
        }
        return p;
    }
    /// Length of a dash at `p`, plain or not; 0 if there is none.
    std::uint32_t dash_at(std::size_t p) const {
        if (p >= text_.size()) return 0;
        if (text_[p] == '-') return 1;
        const CodePoint cp = at(p);
        return ch::is_odd_dash(cp.value) ? cp.length : 0;
    }
    /// Whether a number may start at `p`, without a sign.
    bool unsigned_at(std::size_t p) const {
        if (digit_at(p) || ch::fraction(at(p).value)) return true;
        return byte_at(text_, p) == '.' && digit_at(p + 1);
    }
    bool value_at(std::size_t p) const {
        const auto sign = dash_at(p);
        return unsigned_at(p + sign);
    }

    /// Reads digits at `p` into `out`; returns the offset after them.
    std::size_t digits(std::size_t p, std::string& out) {
        for (;;) {
            const char c = byte_at(text_, p);
            if (is_digit(c)) {
                out += c;
                ++p;
                continue;
            }
            if (static_cast<unsigned char>(c) < 0x80) return p;
            const CodePoint cp = at(p);
            if (const char plain = ch::full_width(cp.value); is_digit(plain)) {
                note(kFullWidth);
                out += plain;
            } else if (cp.value != 0xFFFD && ch::is_invisible(cp.value) && digit_at(p + cp.length)) {
                note(kInvisible);
            } else {
                return p;
            }
            p += cp.length;
        }
    }

    /// Reads one number; `value_at(p)` holds.
    Value value(std::size_t p) {
        Value out = one_value(p);
        // `½½` or `2/3½`: figures that run into each other mean nothing.
        while (out.list.empty() && (digit_at(out.end) || ch::fraction(at(out.end).value))) {
            out.bad = true;
            out.end += at(out.end).length;
        }
        return out;
    }

private:
    Value one_value(std::size_t p);
    struct Chain {
        std::vector<std::string> groups;
        std::string separators;
        std::vector<std::size_t> ends;    // of each group
        std::vector<std::size_t> begins;  // of each group but the first
        std::size_t end = 0;
    };
    Chain chain(std::size_t p);
    bool judge(const Chain& chain, Value& out, bool& whole);
    bool date_of(const Chain& chain, Value& out);
    void after_whole(Value& out, std::string whole);
    bool fraction_after(Value& out, const std::string& whole, std::size_t p, bool apart);
    std::size_t spaced_thousands(Value& out, std::string& whole);
    void exponent(Value& out);

    std::string_view text_;
    unsigned seen_ = 0;
    bool certain_ = true;
    std::string other_;  // another reading, where two are as likely
};

bool all_threes(const std::vector<std::string>& groups, std::size_t count) {
    if (groups[0].size() > 3 || groups[0][0] == '0') return false;
    for (std::size_t i = 1; i < count; ++i) {
        if (groups[i].size() != 3) return false;
    }
    return true;
}

std::string joined(const std::vector<std::string>& groups, std::size_t count) {
    std::string out;
    for (std::size_t i = 0; i < count; ++i) out += groups[i];
    return out;
}

std::optional<std::uint64_t> small(const std::string& digits) {
    if (digits.empty() || digits.size() > 18) return std::nullopt;
    std::uint64_t out = 0;
    for (const char c : digits) out = out * 10 + static_cast<std::uint64_t>(c - '0');
    return out;
}

/// `whole + over/under` as one fraction, as long as everything is small.
std::optional<std::string> mixed(const std::string& whole, std::uint64_t over, std::uint64_t under) {
    const auto w = small(whole);
    if (!w || under == 0 || *w > (std::numeric_limits<std::uint64_t>::max() - over) / under) return std::nullopt;
    return std::to_string(*w * under + over) + "/" + std::to_string(under);
}

/// Year first, from a year, month and day as written; empty if a part is out of range.
std::string iso_date(const std::string& year, const std::string& month, const std::string& day) {
    const auto m = small(month);
    const auto d = small(day);
    if (year.size() != 4 || !m || !d || *m < 1 || *m > 12 || *d < 1 || *d > 31) return {};
    const auto two = [](std::uint64_t n) { return (n < 10 ? "0" : "") + std::to_string(n); };
    return year + "-" + two(*m) + "-" + two(*d);
}

/// Reads three groups of digits as a date, year first or last.
bool read_date(const std::array<std::string, 3>& g, bool day_first_certain, std::string& date,
               std::string& other, bool& is_certain) {
    const auto short_part = [](const std::string& s) { return !s.empty() && s.size() <= 2; };
    if (g[0].size() == 4 && short_part(g[1]) && short_part(g[2])) {
        date = iso_date(g[0], g[1], g[2]);
        is_certain = true;
        return !date.empty();
    }
    if (g[2].size() != 4 || !short_part(g[0]) || !short_part(g[1])) return false;
    const std::string day_first = iso_date(g[2], g[1], g[0]);
    const std::string month_first = iso_date(g[2], g[0], g[1]);
    date = day_first.empty() ? month_first : day_first;
    is_certain = day_first.empty() != month_first.empty() || day_first == month_first;
    if (!is_certain && !day_first_certain) other = month_first;
    return !date.empty();
}

FigureReader::Chain FigureReader::chain(std::size_t p) {
    Chain out;
    out.groups.emplace_back();
    p = digits(p, out.groups.back());
    while (out.groups.size() < kMostGroups) {
        const CodePoint cp = at(p);
        if (cp.length == 0) break;
        char separator = 0;
        if (cp.value == ',' || cp.value == '.') separator = static_cast<char>(cp.value);
        if (cp.value == '\'' || cp.value == 0x2019 || cp.value == '_') separator = '\'';
        if (const char plain = ch::full_width(cp.value); plain == ',' || plain == '.') separator = plain;
        if (separator == 0 || !digit_at(p + cp.length)) break;
        std::string next;
        FigureReader ahead(text_);
        const std::size_t end = ahead.digits(p + cp.length, next);
        if (separator == '\'' && (next.size() != 3 || is_letter(byte_at(text_, end)))) break;
        seen_ |= ahead.seen_;
        if (cp.length > 1 && separator != '\'') note(kFullWidth);
        out.separators += separator;
        out.ends.push_back(p);
        out.begins.push_back(p + cp.length);
        out.groups.push_back(std::move(next));
        p = end;
    }
    out.end = p;
    return out;
}

bool FigureReader::date_of(const Chain& c, Value& out) {
    if (c.separators != "..") return false;
    std::string other;
    if (!read_date({c.groups[0], c.groups[1], c.groups[2]}, true, out.date, other, out.date_certain)) return false;
    note(kDateForm);
    return true;
}

/// Decides what the separators of a chain mean. `whole` is set if a fraction or exponent may follow a whole number.
/// False if the chain is a list of several figures.
bool FigureReader::judge(const Chain& c, Value& out, bool& whole) {
    const auto& g = c.groups;
    const auto& s = c.separators;
    const std::size_t n = s.size();
    whole = false;
    if (n == 0 || s == ".") {
        out.text += n == 0 ? g[0] : g[0] + "." + g[1];
        whole = n == 0;
        return true;
    }
    const auto only = [&](char sep, std::size_t count) {
        return std::all_of(s.begin(), s.begin() + static_cast<std::ptrdiff_t>(count), [&](char x) { return x == sep; });
    };
    if (only(',', n)) {
        if (all_threes(g, n + 1)) {
            note(kThousands);
            out.text += joined(g, n + 1);
            whole = true;
            if (n == 1) {
                other_ = g[0] + "." + g[1];
                certain_ = false;
            }
            return true;
        }
        if (n > 1) return false;
        note(kDecimalComma);
        out.text += g[0] + "." + g[1];
        return true;
    }
    if (only('\'', n)) {
        note(kThousands);
        out.text += joined(g, n + 1);
        whole = true;
        return true;
    }
    if (n >= 2 && s[n - 1] == '.' && (only(',', n - 1) || only('\'', n - 1)) && all_threes(g, n)) {
        note(kThousands);
        out.text += joined(g, n) + "." + g[n];
        return true;
    }
    if (n >= 2 && s[n - 1] == ',' && (only('.', n - 1) || only('\'', n - 1)) && all_threes(g, n)) {
        note(kDecimalComma);
        out.text += joined(g, n) + "." + g[n];
        return true;
    }
    if (only('.', n)) {
        if (date_of(c, out)) return true;
        if (all_threes(g, n + 1)) {
            note(kThousands);
            out.text += joined(g, n + 1);
            whole = true;
            return true;
        }
        out.bad = true;
        return true;
    }
    return s.find(',') == std::string::npos ? (out.bad = true) : false;
}

bool FigureReader::fraction_after(Value& out, const std::string& whole, std::size_t p, bool apart) {
    const CodePoint cp = at(p);
    if (const auto f = ch::fraction(cp.value)) {
        const auto text = mixed(whole, f->over, f->under);
        if (!text) return false;
        note(kFraction);
        out.text = out.text.substr(0, out.text.size() - whole.size()) + *text;
        out.end = p + cp.length;
        return true;
    }
    if (!apart || !digit_at(p)) return false;
    // `1 1/2`, with any kind of slash
    FigureReader ahead(text_);
    std::string over;
    std::string under;
    std::size_t q = ahead.digits(p, over);
    const CodePoint slash = at(q);
    if (slash.value != '/' && slash.value != 0x2044 && slash.value != 0x2215) return false;
    if (!digit_at(q + slash.length)) return false;
    q = ahead.digits(q + slash.length, under);
    const auto o = small(over);
    const auto u = small(under);
    if (!o || !u || *o >= *u || (byte_at(text_, q) == '/' && digit_at(q + 1))) return false;
    const auto text = mixed(whole, *o, *u);
    if (!text) return false;
    seen_ |= ahead.seen_;
    note(slash.value == '/' ? kMixed : kFraction);
    out.text = out.text.substr(0, out.text.size() - whole.size()) + *text;
    out.end = q;
    return true;
}

/// `1 000 000`: groups of three after a gap. Returns the offset after them.
std::size_t FigureReader::spaced_thousands(Value& out, std::string& whole) {
    std::size_t end = out.end;
    while (whole.size() <= kMostDigits) {
        const std::size_t p = blanks(end);
        if (p == end || !digit_at(p)) break;
        std::string group;
        FigureReader ahead(text_);
        const std::size_t q = ahead.digits(p, group);
        const char after = byte_at(text_, q);
        if (group.size() != 3 || after == '/' || (after == '-' && digit_at(q + 1))) break;
        const bool plain = std::all_of(text_.begin() + static_cast<std::ptrdiff_t>(end),
                                       text_.begin() + static_cast<std::ptrdiff_t>(p),
                                       [](char c) { return c == ' ' || c == '\t'; });
        if (plain) certain_ = false;
        seen_ |= ahead.seen_;
        note(kThousands);
        whole += group;
        out.text += group;
        end = q;
    }
    return end;
}

void FigureReader::after_whole(Value& out, std::string whole) {
    const bool could_group = whole.size() <= 3 && whole[0] != '0' && !has(kThousands);
    const CodePoint next = at(out.end);
    if (fraction_after(out, whole, out.end, false)) return;
    if (next.value == '/' || next.value == 0x2044 || next.value == 0x2215) {
        std::string under;
        std::size_t q = out.end + next.length;
        if (!digit_at(q)) return;
        q = digits(q, under);
        if (byte_at(text_, q) == '/' && digit_at(q + 1)) {
            std::string third;
            std::size_t end = digits(q + 1, third);
            const bool more = byte_at(text_, end) == '/' && digit_at(end + 1);
            while (byte_at(text_, end) == '/' && digit_at(end + 1)) end = digits(end + 1, third);
            out.end = end;
            if (!more && read_date({whole, under, third}, false, out.date, other_, out.date_certain)) {
                note(kDateForm);
            } else {
                out.bad = true;
            }
            return;
        }
        if (next.value != '/') note(kFraction);
        out.text += "/" + under;
        out.end = q;
        const auto o = small(whole);
        const auto u = small(under);
        out.proper_fraction = o && u && *o < *u;
        return;
    }
    const std::size_t apart = blanks(out.end);
    if (apart != out.end) {
        if (fraction_after(out, whole, apart, true)) return;
        if (could_group) {
            const std::size_t end = spaced_thousands(out, whole);
            if (end != out.end) {
                out.end = end;
                if (byte_at(text_, end) == ',' && digit_at(end + 1)) {
                    // `1 000,5`
                    std::string decimals;
                    out.end = digits(end + 1, decimals);
                    out.text += "." + decimals;
                    note(kDecimalComma);
                } else if (byte_at(text_, end) == '.' && digit_at(end + 1)) {
                    std::string decimals;
                    out.end = digits(end + 1, decimals);
                    out.text += "." + decimals;
                }
            }
        }
    }
}

void FigureReader::exponent(Value& out) {
    const char e = byte_at(text_, out.end);
    if (e != 'e' && e != 'E') return;
    std::size_t p = out.end + 1;
    bool negative = false;
    if (byte_at(text_, p) == '+') {
        ++p;
    } else if (const auto dash = dash_at(p)) {
        negative = true;
        p += dash;
    }
    if (!digit_at(p)) return;
    std::string power;
    const std::size_t end = digits(p, power);
    if (is_name_char(byte_at(text_, end))) return;
    out.end = end;
    note(kExponent);
    power.erase(0, std::min(power.find_first_not_of('0'), power.size() - 1));
    if (power.size() > 2 || std::stoul(power) > kMostDigits || out.text.find('/') != std::string::npos) {
        out.bad = true;
        return;
    }
    // Move the point over the digits.
    std::string sign;
    std::string figures = out.text;
    if (figures[0] == '-') {
        sign = "-";
        figures.erase(0, 1);
    }
    const std::size_t point = figures.find('.');
    auto shift = static_cast<std::ptrdiff_t>(std::stoul(power));
    if (negative) shift = -shift;
    auto place = static_cast<std::ptrdiff_t>(point == std::string::npos ? figures.size() : point) + shift;
    if (point != std::string::npos) figures.erase(point, 1);
    if (place <= 0) {
        figures.insert(0, static_cast<std::size_t>(1 - place), '0');
        place = 1;
    }
    if (static_cast<std::size_t>(place) > figures.size()) figures.resize(static_cast<std::size_t>(place), '0');
    std::string front = figures.substr(0, static_cast<std::size_t>(place));
    std::string back = figures.substr(static_cast<std::size_t>(place));
    front.erase(0, std::min(front.find_first_not_of('0'), front.size() - 1));
    while (!back.empty() && back.back() == '0') back.pop_back();
    out.text = sign + front + (back.empty() ? "" : "." + back);
}

Value FigureReader::one_value(std::size_t p) {
    Value out;
    if (const auto dash = dash_at(p)) {
        if (dash > 1) note(kDash);
        out.text = "-";
        p += dash;
    }
    const CodePoint first = at(p);
    if (const auto f = ch::fraction(first.value)) {
        note(kFraction);
        out.text += std::to_string(f->over) + "/" + std::to_string(f->under);
        out.end = p + first.length;
        out.proper_fraction = true;
        return out;
    }
    if (first.value == '.') {
        note(kBarePoint);
        std::string decimals;
        out.end = digits(p + 1, decimals);
        out.text += "0." + decimals;
        exponent(out);
        return out;
    }
    const Chain c = chain(p);
    out.end = c.end;
    bool whole = false;
    if (!judge(c, out, whole)) {
        std::size_t points = 0;
        bool good = true;
        for (std::size_t i = 0; i < c.separators.size(); ++i) {
            if (c.separators[i] == ',') {
                out.list.push_back({c.ends[i], c.begins[i], good && points <= 1});
                points = 0;
                good = true;
            } else {
                ++points;
                good = good && c.separators[i] == '.';
            }
        }
        return out;
    }
    if (out.bad || !out.date.empty()) return out;
    if (whole) {
        const std::string digits_now = out.text[0] == '-' ? out.text.substr(1) : out.text;
        const std::size_t before = out.end;
        after_whole(out, digits_now);
        if (out.bad || !out.date.empty()) return out;
        if (out.end == before && out.text[0] != '-' && !has(kThousands)) out.digits = digits_now;
        if (out.end != before && out.text.find('/') != std::string::npos) return out;
    }
    exponent(out);
    // `5.` but neither `5.2` nor `5..6`
    const CodePoint point = at(out.end);
    const std::size_t after = out.end + point.length;
    if ((point.value == '.' || ch::full_width(point.value) == '.') && byte_at(text_, after) != '.' &&
        at(after).value != 0x2026 && !digit_at(after) && out.text.find('.') == std::string::npos) {
        note(kTrailingPoint);
        out.end = after;
    }
    return out;
}

/// A whole figure: one value, or several joined to a range or a date.
class FigureMender {
public:
    FigureMender(RowBuilder& rows, std::size_t at) : rows_(rows), text_(rows.text()), begin_(at), read_(text_) {}

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
                said->note("a comma between digits may stand for a decimal point, for thousands or for a list");
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
        if (a.size() != 4 || (a[0] != '1' && a[0] != '2') || b.size() > 2 || (b.size() == 1 && b[0] == '0')) return false;
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
    auto added = rows_.report(what.code, begin_, end, quoted(text_.substr(begin_, end - begin_)) + " " + what.message);
    const bool glued = begin_ > 0 && is_name_char(text_[begin_ - 1]) && is_digit(meant[0]);
    added.fix("write `" + meant + "`", read_.certain() && !read_.has(kApproximate),
              {{here, (glued ? " " : "") + meant}});
    if (!read_.other().empty()) {
        // Two readings are as likely: nothing can be said of the row until it is clear which one is meant.
        if (kind != AtomKind::range) added.fix("write `" + read_.other() + "`", false, {{here, read_.other()}});
        rows_.break_row();
    }
    check_figure_length(rows_, begin_, end);
    return end;
}

std::size_t FigureMender::run() {
    std::size_t p = begin_;
    for (CodePoint c = read_.at(p);; c = read_.at(p)) {
        const bool about = c.value == '~' || c.value == 0x2248 || c.value == 0x223C || c.value == 0x2245;
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
    const bool dashed = std::any_of(joins_.begin(), joins_.end(), [](const Join& j) { return j.kind == Join::dash; });
    if (values_.size() == 2 && dashed && !values_[0].digits.empty() && values_[0].digits != "0" &&
        values_[1].proper_fraction) {
        // `1-1/2`: as a range it would run backwards
        const auto slash = values_[1].text.find('/');
        const auto over = small(values_[1].text.substr(0, slash));
        const auto under = small(values_[1].text.substr(slash + 1));
        if (const auto meant = over && under ? mixed(values_[0].digits, *over, *under) : std::nullopt) {
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
    const FigureReader read(text);
    std::size_t p = at;
    for (;;) {
        const CodePoint c = read.at(p);
        const bool prefix = c.value == '~' || c.value == '+' || ch::full_width(c.value) == '+' || c.value == 0x2248 ||
                            c.value == 0x223C || c.value == 0x2245;
        if (!prefix || p > at + 16) break;  // no one means so many
        const std::size_t next = read.blanks(p + c.length);
        if (next > p + 8) return false;
        p = next;
    }
    return read.value_at(p);
}

std::size_t mend_figure(RowBuilder& rows, std::size_t at) { return FigureMender(rows, at).run(); }

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
