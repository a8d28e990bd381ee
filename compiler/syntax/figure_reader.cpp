#include "syntax/figure_reader.h"

#include <algorithm>
#include <limits>

#include "base/text.h"

namespace scruple {
namespace {

namespace ch = characters;

/// No number has so many groups of digits; a longer chain is read in pieces.
constexpr std::size_t kMostGroups = 64;

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

/// Year first, from a year, month and day as written; empty if a part is out of range.
std::string iso_date(const std::string& year, const std::string& month, const std::string& day) {
    const auto m = small_number(month);
    const auto d = small_number(day);
    if (year.size() != 4 || !m || !d || *m < 1 || *m > 12 || *d < 1 || *d > 31) return {};
    const auto two = [](std::uint64_t n) { return (n < 10 ? "0" : "") + std::to_string(n); };
    return year + "-" + two(*m) + "-" + two(*d);
}

}  // namespace

std::optional<std::uint64_t> small_number(const std::string& digits) {
    if (digits.empty() || digits.size() > 18) return std::nullopt;
    std::uint64_t out = 0;
    for (const char c : digits) out = out * 10 + static_cast<std::uint64_t>(c - '0');
    return out;
}

std::optional<std::string> mixed_fraction(const std::string& whole, std::uint64_t over,
                                          std::uint64_t under) {
    const auto w = small_number(whole);
    if (!w || under == 0 || *w > (std::numeric_limits<std::uint64_t>::max() - over) / under)
        return std::nullopt;
    return std::to_string(*w * under + over) + "/" + std::to_string(under);
}

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

std::size_t FigureReader::blanks(std::size_t p) const {
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

std::size_t FigureReader::digits(std::size_t p, std::string& out) {
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

Value FigureReader::value(std::size_t p) {
    Value out = one_value(p);
    // `½½` or `2/3½`: figures that run into each other mean nothing.
    while (out.list.empty() && (digit_at(out.end) || ch::fraction(at(out.end).value))) {
        out.bad = true;
        out.end += at(out.end).length;
    }
    return out;
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
        if (const char plain = ch::full_width(cp.value); plain == ',' || plain == '.')
            separator = plain;
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
    if (!read_date({c.groups[0], c.groups[1], c.groups[2]}, true, out.date, other,
                   out.date_certain))
        return false;
    note(kDateForm);
    return true;
}

/// Decides what the separators of a chain mean. `whole` is set if a fraction or exponent may follow
/// a whole number. False if the chain is a list of several figures.
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
        return std::all_of(s.begin(), s.begin() + static_cast<std::ptrdiff_t>(count),
                           [&](char x) { return x == sep; });
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
        const auto text = mixed_fraction(whole, f->over, f->under);
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
    const auto o = small_number(over);
    const auto u = small_number(under);
    if (!o || !u || *o >= *u || (byte_at(text_, q) == '/' && digit_at(q + 1))) return false;
    const auto text = mixed_fraction(whole, *o, *u);
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
            if (!more &&
                read_date({whole, under, third}, false, out.date, other_, out.date_certain)) {
                note(kDateForm);
            } else {
                out.bad = true;
            }
            return;
        }
        if (next.value != '/') note(kFraction);
        out.text += "/" + under;
        out.end = q;
        const auto o = small_number(whole);
        const auto u = small_number(under);
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
    if (power.size() > 2 || std::stoul(power) > kMostDigits ||
        out.text.find('/') != std::string::npos) {
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
    auto place =
        static_cast<std::ptrdiff_t>(point == std::string::npos ? figures.size() : point) + shift;
    if (point != std::string::npos) figures.erase(point, 1);
    if (place <= 0) {
        figures.insert(0, static_cast<std::size_t>(1 - place), '0');
        place = 1;
    }
    if (static_cast<std::size_t>(place) > figures.size())
        figures.resize(static_cast<std::size_t>(place), '0');
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
    if ((point.value == '.' || ch::full_width(point.value) == '.') &&
        byte_at(text_, after) != '.' && at(after).value != 0x2026 && !digit_at(after) &&
        out.text.find('.') == std::string::npos) {
        note(kTrailingPoint);
        out.end = after;
    }
    return out;
}

}  // namespace scruple
