// Dimensions, units and quantities. A quantity is an exact number of base units of one dimension, or of a quotient
// of two (g/ml, EUR/h, mg/g); the spelling that the maker used is kept for messages.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "base/text_hash.h"
#include "num/rational.h"

namespace scruple {

enum class Dim : std::uint8_t {
    none,         // a bare number
    mass,         // g
    volume,       // ml
    drop,         // a count of drops; a volume only through a dropper
    part,         // a bare ratio
    fraction,     // 1 (so 1 % = 1/100)
    count,        // each
    calendar,     // month
    clock,        // h
    temperature,  // C, a point on the scale
    length,       // mm
    amount,       // mol
    viscosity,    // mPas
    pressure,     // kPa
    ph,
    money,        // one unit of a currency
};

/// The dimension's everyday name, e.g. "weight", "volume", "number of drops".
std::string_view dim_name(Dim dim);
/// The dimension named in `unit g of mass`; nullopt for other words. A bare number and money have no unit to declare.
std::optional<Dim> dim_from_word(std::string_view word);
/// The word for a dimension in `unit g of mass`; "number" and "money" for the two that have none.
std::string_view dim_word(Dim dim);

/// A dimension or a quotient of two.
struct Dimension {
    Dim top = Dim::none;
    Dim bottom = Dim::none;
    friend bool operator==(const Dimension&, const Dimension&) = default;
};

inline constexpr Dimension kNumber{Dim::none, Dim::none};
inline constexpr Dimension kMass{Dim::mass, Dim::none};
inline constexpr Dimension kVolume{Dim::volume, Dim::none};
inline constexpr Dimension kDrop{Dim::drop, Dim::none};
inline constexpr Dimension kPart{Dim::part, Dim::none};
inline constexpr Dimension kFraction{Dim::fraction, Dim::none};
inline constexpr Dimension kEach{Dim::count, Dim::none};
inline constexpr Dimension kMoney{Dim::money, Dim::none};
inline constexpr Dimension kClockTime{Dim::clock, Dim::none};
inline constexpr Dimension kCalendarTime{Dim::calendar, Dim::none};
inline constexpr Dimension kDensity{Dim::mass, Dim::volume};

/// "weight", "weight per volume", "money per piece".
std::string dimension_name(Dimension dimension);

struct Unit {
    Dimension dimension;
    Rational factor = 1;   // base units in one of this unit
    std::string currency;  // ISO 4217 letters where the top is money
};

/// All units by every accepted spelling.
class UnitTable {
public:
    /// False if the spelling is taken.
    bool add(std::string spelling, Unit unit);
    const Unit* find(std::string_view spelling) const;
    std::vector<std::string> spellings() const;  // sorted

private:
    std::unordered_map<std::string, Unit, TextHash, std::equal_to<>> units_;
};

/// top / bottom, e.g. g and ml give g/ml. Nullopt if either is already a quotient, or the bottom is a bare number or
/// money.
std::optional<Unit> quotient(const Unit& top, const Unit& bottom);

/// ISO 4217 codes that are accepted as money (the active list, from memory of the standard's list one).
bool is_currency(std::string_view word);

struct Quantity {
    Rational value;  // in base units
    Dimension dimension;
    std::string currency;
};

}  // namespace scruple
