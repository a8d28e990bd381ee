#include "num/quantity.h"

#include <algorithm>
#include <array>
#include <iterator>
#include <utility>

namespace scruple {

namespace {

struct DimWords {
    Dim dim;
    std::string_view word;
    std::string_view name;
    std::string_view per;  // one of it, after "per"
};

constexpr DimWords kDims[] = {
    {Dim::none, "number", "bare number", "number"},
    {Dim::mass, "mass", "weight", "weight"},
    {Dim::volume, "volume", "volume", "volume"},
    {Dim::drop, "drop", "number of drops", "drop"},
    {Dim::part, "part", "number of parts", "part"},
    {Dim::fraction, "fraction", "share", "share"},
    {Dim::count, "count", "number of pieces", "piece"},
    {Dim::calendar, "calendar", "calendar time", "calendar time"},
    {Dim::clock, "clock", "clock time", "clock time"},
    {Dim::temperature, "temperature", "temperature", "temperature"},
    {Dim::length, "length", "length", "length"},
    {Dim::amount, "mol", "amount of substance", "amount of substance"},
    {Dim::viscosity, "viscosity", "viscosity", "viscosity"},
    {Dim::pressure, "pressure", "pressure", "pressure"},
    {Dim::ph, "ph", "pH", "pH"},
    {Dim::money, "money", "money", "money"},
};

constexpr bool in_order() {
    for (std::size_t i = 0; i < std::size(kDims); ++i) {
        if (static_cast<std::size_t>(kDims[i].dim) != i) return false;
    }
    return static_cast<std::size_t>(Dim::money) + 1 == std::size(kDims);
}
static_assert(in_order(), "the table is indexed by Dim");

const DimWords& words(Dim dim) { return kDims[static_cast<std::size_t>(dim)]; }

// ISO 4217 list one without funds, metals and test codes; from memory, with the changes of 2021 to 2025 (SLE for SLL,
// VED beside VES, ZWG for ZWL, XCG for ANG; HRK and CUC gone). Sorted.
constexpr std::string_view kCurrencies[] = {
    "AED", "AFN", "ALL", "AMD", "AOA", "ARS", "AUD", "AWG", "AZN", "BAM", "BBD", "BDT", "BGN", "BHD", "BIF", "BMD",
    "BND", "BOB", "BRL", "BSD", "BTN", "BWP", "BYN", "BZD", "CAD", "CDF", "CHF", "CLP", "CNY", "COP", "CRC", "CUP",
    "CVE", "CZK", "DJF", "DKK", "DOP", "DZD", "EGP", "ERN", "ETB", "EUR", "FJD", "FKP", "GBP", "GEL", "GHS", "GIP",
    "GMD", "GNF", "GTQ", "GYD", "HKD", "HNL", "HTG", "HUF", "IDR", "ILS", "INR", "IQD", "IRR", "ISK", "JMD", "JOD",
    "JPY", "KES", "KGS", "KHR", "KMF", "KPW", "KRW", "KWD", "KYD", "KZT", "LAK", "LBP", "LKR", "LRD", "LSL", "LYD",
    "MAD", "MDL", "MGA", "MKD", "MMK", "MNT", "MOP", "MRU", "MUR", "MVR", "MWK", "MXN", "MYR", "MZN", "NAD", "NGN",
    "NIO", "NOK", "NPR", "NZD", "OMR", "PAB", "PEN", "PGK", "PHP", "PKR", "PLN", "PYG", "QAR", "RON", "RSD", "RUB",
    "RWF", "SAR", "SBD", "SCR", "SDG", "SEK", "SGD", "SHP", "SLE", "SOS", "SRD", "SSP", "STN", "SVC", "SYP", "SZL",
    "THB", "TJS", "TMT", "TND", "TOP", "TRY", "TTD", "TWD", "TZS", "UAH", "UGX", "USD", "UYU", "UZS", "VED", "VES",
    "VND", "VUV", "WST", "XAF", "XCD", "XCG", "XOF", "XPF", "YER", "ZAR", "ZMW", "ZWG",
};

constexpr bool sorted() {
    for (std::size_t i = 1; i < std::size(kCurrencies); ++i) {
        if (!(kCurrencies[i - 1] < kCurrencies[i])) return false;
    }
    return true;
}
static_assert(sorted(), "the currencies are searched by halving");

}  // namespace

std::string_view dim_name(Dim dim) { return words(dim).name; }

std::string_view dim_word(Dim dim) { return words(dim).word; }

std::optional<Dim> dim_from_word(std::string_view word) {
    for (const auto& entry : kDims) {
        if (entry.word == word && entry.dim != Dim::none && entry.dim != Dim::money) return entry.dim;
    }
    return std::nullopt;
}

std::string dimension_name(Dimension dimension) {
    std::string out(dim_name(dimension.top));
    if (dimension.bottom != Dim::none) {
        out += " per ";
        out += words(dimension.bottom).per;
    }
    return out;
}

bool UnitTable::add(std::string spelling, Unit unit) {
    return units_.emplace(std::move(spelling), std::move(unit)).second;
}

const Unit* UnitTable::find(std::string_view spelling) const {
    const auto it = units_.find(spelling);
    return it == units_.end() ? nullptr : &it->second;
}

std::vector<std::string> UnitTable::spellings() const {
    std::vector<std::string> out;
    out.reserve(units_.size());
    for (const auto& [spelling, unit] : units_) out.push_back(spelling);
    std::sort(out.begin(), out.end());
    return out;
}

std::optional<Unit> quotient(const Unit& top, const Unit& bottom) {
    if (top.dimension.bottom != Dim::none || bottom.dimension.bottom != Dim::none) return std::nullopt;
    if (bottom.dimension.top == Dim::none || bottom.dimension.top == Dim::money) return std::nullopt;
    return Unit{{top.dimension.top, bottom.dimension.top}, top.factor / bottom.factor, top.currency};
}

bool is_currency(std::string_view word) {
    return std::binary_search(std::begin(kCurrencies), std::end(kCurrencies), word);
}

}  // namespace scruple
