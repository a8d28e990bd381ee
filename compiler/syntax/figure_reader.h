// Reads the numbers of a figure as people write them elsewhere, and notes what is odd about them.
// Knows nothing of rows or diagnostics.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "syntax/characters.h"
#include "syntax/mend.h"

namespace scruple {

/// What can be odd about a figure, the most telling first: one figure gets one diagnostic.
enum Oddity : unsigned {
    kApproximate,
    kDateForm,
    kDashRange,
    kRangePoints,
    kThousands,
    kDecimalComma,
    kMixed,
    kFraction,
    kExponent,
    kBarePoint,
    kTrailingPoint,
    kFullWidth,
    kDash,
    kPlus,
    kInvisible,
    kOddityCount
};

/// One number of a figure.
struct Value {
    std::size_t end = 0;
    std::string text;    // as it should be written
    std::string digits;  // digits as they stand, for dates; empty unless a plain whole number
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
        return static_cast<unsigned char>(text_[p]) >= 0x80 &&
               is_digit(characters::full_width(at(p).value));
    }
    /// Offset after the blanks of any kind at `p`.
    std::size_t blanks(std::size_t p) const;
    /// Length of a dash at `p`, plain or not; 0 if there is none.
    std::uint32_t dash_at(std::size_t p) const {
        if (p >= text_.size()) return 0;
        if (text_[p] == '-') return 1;
        const CodePoint cp = at(p);
        return characters::is_odd_dash(cp.value) ? cp.length : 0;
    }
    /// Whether a number may start at `p`, without a sign.
    bool unsigned_at(std::size_t p) const {
        if (digit_at(p) || characters::fraction(at(p).value)) return true;
        return byte_at(text_, p) == '.' && digit_at(p + 1);
    }
    bool value_at(std::size_t p) const {
        const auto sign = dash_at(p);
        return unsigned_at(p + sign);
    }

    /// Reads digits at `p` into `out`; returns the offset after them.
    std::size_t digits(std::size_t p, std::string& out);

    /// Reads one number; `value_at(p)` holds.
    Value value(std::size_t p);

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

/// A whole number of few digits; nothing for a longer one.
std::optional<std::uint64_t> small_number(const std::string& digits);

/// `whole + over/under` as one fraction, as long as everything is small.
std::optional<std::string> mixed_fraction(const std::string& whole, std::uint64_t over,
                                          std::uint64_t under);

/// Reads three groups of digits as a date, year first or last. `date` gets it year first; `other` a
/// second reading that is as likely (unless the day is known to come first); `is_certain` whether
/// there is only one.
bool read_date(const std::array<std::string, 3>& groups, bool day_first_certain, std::string& date,
               std::string& other, bool& is_certain);

}  // namespace scruple
