// What things cost by the gram or the piece, out of the maker's price lists: the newest list that holds something counts,
// and of one day's prices the dearest, so that a cost is not flattered. Where a price is missing it says what is missing.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "formula/formula.h"
#include "library/model.h"

namespace scruple {

/// How long a price is taken for current where the workshop does not say, in months. A convention of this project.
inline constexpr std::int64_t kPricesKeepMonths = 12;

/// Why a price is not known.
enum class PriceGap : std::uint8_t {
    none,
    no_price,    // no list holds it, or only lists of a later day
    no_density,  // sold by volume, and its weight is not known
    no_rate,     // asked in another currency, and no rate leads to the workshop's
};

/// A price in the workshop's currency: for a gram of a material or base, for a piece of a container.
struct Price {
    std::optional<double> money;
    PriceGap gap = PriceGap::no_price;
    MaterialId lacking = kNone;          // the material whose price is missing: it may be what another is dissolved in
    const PriceRow* row = nullptr;       // null where a dilution is priced by what it is made of
    const PriceRow* second = nullptr;    // and then these are the rows of the oil and of what it is in
    double density = 0;                  // g/ml that a price by volume went through, else 0
    const ExchangeRate* rate = nullptr;  // of a foreign price
    bool stale = false;                  // on the day of the run, older than prices keep
};

class PriceBook {
public:
    /// `on`: the day of the run, or empty: then every list counts and none is old.
    PriceBook(const Model& model, std::string_view on);
    /// Any price list at all.
    bool any() const { return any_; }
    /// The workshop's currency, else that of the first price or of the first budget; empty without any.
    std::string_view currency() const { return currency_; }
    /// For a gram. A dilution without a price of its own costs what the oil and its carrier cost, by weight.
    Price of_material(MaterialId id) const;
    /// For a gram of a base that is bought ready-made.
    Price of_base(BaseId id) const;
    /// For a piece.
    Price of_container(ContainerId id) const;
    /// The densities that a price went through, where they are not the maker's own.
    void assume_of(const Price& price, std::vector<Assumption>& assumptions) const;
    /// In the workshop's currency; nullopt where no rate leads there. Exact.
    std::optional<Rational> exchange(const Money& money, const ExchangeRate** used = nullptr) const;

private:
    Price priced(const PriceRow* row, double density) const;
    const PriceRow* better(const PriceRow* held, const PriceRow& row, double density) const;

    const Model* model_;
    std::string_view on_;
    std::string_view currency_;
    bool any_ = false;
    std::int64_t keep_months_ = kPricesKeepMonths;
    std::vector<const PriceRow*> materials_, bases_, containers_;  // by id; may be shorter
};

}  // namespace scruple
