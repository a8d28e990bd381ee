#include "trade/prices.h"

#include "base/date.h"
#include "formula/physical.h"

namespace scruple {
namespace {

const PriceRow* at(const std::vector<const PriceRow*>& rows, std::uint32_t id) { return id < rows.size() ? rows[id] : nullptr; }

/// Grams in the pack, or pieces; 0 where that is not known.
double pack_size(const PriceRow& row, double density) {
    const double pack = row.pack.to_double();
    return row.measure == Dim::volume ? pack * density : pack;
}

}  // namespace

PriceBook::PriceBook(const Model& model, std::string_view on) : model_(&model), on_(on), any_(!model.price_lists.empty()) {
    if (model.workshop.prices_keep) keep_months_ = static_cast<std::int64_t>(model.workshop.prices_keep->floor());
    currency_ = model.workshop.currency;
    if (currency_.empty() && !model.prices.empty()) currency_ = model.prices.front().money.currency;
    for (ProductId p = 0; currency_.empty() && p < model.products.size(); ++p) {
        if (model.products[p].budget) currency_ = model.products[p].budget->currency;
    }
    const auto keep = [&](std::vector<const PriceRow*>& rows, std::uint32_t id, const PriceRow& row, double density) {
        if (id >= rows.size()) rows.resize(id + 1, nullptr);
        rows[id] = better(rows[id], row, density);
    };
    for (const PriceRow& row : model.prices) {
        const std::string& dated = model.price_lists[row.list].dated;
        if (dated.empty() || (!on.empty() && is_after(dated, on))) continue;
        if (row.material != kNone) keep(materials_, row.material, row, density_of(model, row.material, nullptr));
        if (row.base != kNone) keep(bases_, row.base, row, 0);
        if (row.container != kNone) keep(containers_, row.container, row, 0);
    }
}

const PriceRow* PriceBook::better(const PriceRow* held, const PriceRow& row, double density) const {
    if (!held) return &row;
    const std::string& old_day = model_->price_lists[held->list].dated;
    const std::string& day = model_->price_lists[row.list].dated;
    if (is_after(day, old_day)) return &row;
    if (is_after(old_day, day)) return held;
    const Price a = priced(held, density);
    const Price b = priced(&row, density);
    if (!b.money) return held;
    return !a.money || *b.money > *a.money ? &row : held;
}

void PriceBook::assume_of(const Price& price, std::vector<Assumption>& assumptions) const {
    if (!price.money) return;
    for (const PriceRow* row : {price.row, price.second}) {
        if (row && row->measure == Dim::volume && row->material != kNone) density_of(*model_, row->material, &assumptions);
    }
}

std::optional<Rational> PriceBook::exchange(const Money& money, const ExchangeRate** used) const {
    if (money.currency == currency_) return money.value;
    const ExchangeRate* best = nullptr;
    for (const ExchangeRate& rate : model_->rates) {
        const bool leads = (rate.from == money.currency && rate.to == currency_) ||
                           (rate.to == money.currency && rate.from == currency_);
        if (!leads || (!on_.empty() && is_after(rate.dated, on_))) continue;
        if (!best || is_after(rate.dated, best->dated)) best = &rate;
    }
    if (!best) return std::nullopt;
    if (used) *used = best;
    const Rational value = best->to == currency_ ? money.value * best->value : money.value / best->value;
    if (value.overflowed()) return std::nullopt;
    return value;
}

Price PriceBook::priced(const PriceRow* row, double density) const {
    Price price;
    price.row = row;
    if (!row) return price;
    if (row->measure == Dim::volume && density <= 0) {
        price.gap = PriceGap::no_density;
        return price;
    }
    const auto money = exchange(row->money, &price.rate);
    if (!money) {
        price.gap = PriceGap::no_rate;
        return price;
    }
    if (row->measure == Dim::volume) price.density = density;
    price.gap = PriceGap::none;
    price.money = money->to_double() / pack_size(*row, density);
    if (!on_.empty()) {
        const std::string last = months_after(model_->price_lists[row->list].dated, keep_months_);
        price.stale = !last.empty() && is_after(on_, last);
    }
    return price;
}

Price PriceBook::of_material(MaterialId id) const {
    // A lot is bought as its oil is.
    id = model_->unlotted(id);
    const Material& material = model_->materials[id];
    if (const PriceRow* row = at(materials_, id)) {
        Price price = priced(row, density_of(*model_, id, nullptr));
        price.lacking = id;
        return price;
    }
    Price price;
    price.lacking = id;
    if (!material.dilution) return price;
    const double share = material.dilution->share.to_double();
    for (const CountsAs& counts : material.counts_as) {
        const PriceRow* oil = at(materials_, counts.material);
        if (!oil || model_->materials[counts.material].dilution) continue;
        const Price neat = priced(oil, density_of(*model_, counts.material, nullptr));
        Price carrier = priced(at(materials_, material.dilution->in), density_of(*model_, material.dilution->in, nullptr));
        if (!neat.money) {
            price = neat;
            price.lacking = counts.material;
            return price;
        }
        if (!carrier.money) {
            carrier.lacking = material.dilution->in;
            return carrier;
        }
        price.money = *neat.money * share + *carrier.money * (1 - share);
        price.gap = PriceGap::none;
        price.stale = neat.stale || carrier.stale;
        price.row = neat.row;
        price.second = carrier.row;
        return price;
    }
    return price;
}

Price PriceBook::of_base(BaseId id) const { return priced(at(bases_, id), 0); }

Price PriceBook::of_container(ContainerId id) const { return priced(at(containers_, id), 0); }

}  // namespace scruple
