// What a maker pays: containers, price lists, rates of exchange, and the rows of products and workshop that speak of
// money and work.
#include <fmt/core.h>

#include "sema/elaborator.h"

namespace scruple {

/// A figure and its currency; nullopt with the reason reported. Ends its row.
std::optional<Money> Elaborator::read_money(Cursor& cursor, std::uint32_t scope, std::string_view what, bool nothing_allowed) {
    const auto amount = read_quantity(cursor, scope, kMoney, what);
    if (!amount) return std::nullopt;
    if (!(nothing_allowed && amount->typical.is_zero()) && !check_positive(*amount, what)) return std::nullopt;
    model_.texts.push_back(amount->currency);
    return Money{amount->typical, model_.texts.back(), amount->span};
}

ContainerId Elaborator::container(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    const auto record = static_cast<ContainerId>(model_.containers.size());
    model_.containers.emplace_back();
    names_.at(id).record = record;
    Container c;
    c.header = header_of(decl);
    Cursor head = after_name(decl);
    leftover(head);
    read_block(id, decl.row, kind_spec(Kind::container),
               [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
                   if (spec.field != Field::brim) {
                       read_texts(*decl.tree, row, cursor);
                   } else if (const auto q = read_quantity(cursor, decl.scope, kVolume, "`brim`")) {
                       leftover(cursor);
                       if (check_positive(*q, "`brim`")) c.brim_ml = q->typical;
                   }
               },
               nullptr);
    c.header.broken = broken_ || decl.broken;
    if (c.header.broken) model_.money_broken = true;
    model_.containers[record] = std::move(c);
    end(id, record);
    return record;
}

/// `prices "Coast supplier" on 2026-04-01 { … }`
void Elaborator::prices(DeclId id) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    PriceList list;
    list.span = tree.head(tree.rows[decl.row]);
    Cursor head(tree, tree.items_of(tree.rows[decl.row])[0]);
    head.take();
    if (head.is(AtomKind::string)) {
        list.supplier = string_value(head.text());
        head.take();
    }
    if (decl.broken) {
        broken_ = true;
    } else if (!head.take_word("on")) {
        report(Code::missing_value, decl.name_span, "of which day? a price list says it: `prices \"Coast supplier\" on 2026-04-01 {`")
            .note("prices change: the day says which of two lists is the newer, and when one is too old to trust");
    } else {
        list.dated = read_date(head);
    }
    const auto index = static_cast<std::uint32_t>(model_.price_lists.size());
    model_.price_lists.push_back(std::move(list));
    read_block(id, decl.row, kind_spec(Kind::prices),
               [&](const FieldSpec&, std::uint32_t row, Cursor& cursor) { read_texts(tree, row, cursor); },
               [&](std::uint32_t row) { price_row(decl, row, index); });
    if (broken_ || decl.broken) model_.money_broken = true;
    end(id, 0);
}

/// `30 ml OIL for 11.40 EUR`, `50 each roller_10 for 31 EUR`
void Elaborator::price_row(const Decl& decl, std::uint32_t r, std::uint32_t list) {
    const SyntaxTree& tree = *decl.tree;
    const Row& row = tree.rows[r];
    PriceRow price;
    price.list = list;
    price.span = tree.head(row);
    Cursor cursor(tree, tree.items_of(row)[0]);
    const auto pack = read_amount(cursor, decl.scope);
    if (!pack) return;
    if (pack->is_range) {
        report(Code::unexpected_range, pack->span, "a pack is one figure, not a range");
        return;
    }
    if (!check_positive(*pack, "a pack")) return;
    const Dim measure = pack->dimension.top;
    if (pack->dimension.bottom != Dim::none || (measure != Dim::mass && measure != Dim::volume && measure != Dim::count)) {
        report(pack->bare() ? Code::missing_unit : Code::wrong_dimension, pack->span,
               "a pack is a weight, a volume, or a number of pieces")
            .note("for example `30 ml`, `250 g` or `50 each`");
        return;
    }
    price.pack = pack->typical;
    price.measure = measure;
    price.pack_text = std::string(figure_text(*pack));
    const bool pieces = measure == Dim::count;
    const auto other = cursor.is(AtomKind::word) ? cursor.text() : std::string_view{};
    if (pieces && names_.find(decl.scope, NameSpace::containers, other) == kNoDecl &&
        names_.find(decl.scope, NameSpace::materials, other) != kNoDecl) {
        report(Code::wrong_dimension, pack->span, fmt::format("`{}` goes in by weight, so its pack is a weight or a volume", other))
            .note("what is counted, a bottle or a label, is declared as a `container`");
        return;
    }
    if (!pieces && names_.find(decl.scope, NameSpace::containers, other) != kNoDecl) {
        report(Code::wrong_dimension, pack->span, fmt::format("`{}` is a container, and containers are bought by the piece", other))
            .note("for example `50 each roller_10 for 31 EUR`");
        return;
    }
    const auto name = pieces ? read_name(cursor, decl.scope, NameSpace::containers, {Kind::container})
                             : read_name(cursor, decl.scope, NameSpace::materials, {Kind::oil, Kind::ingredient, Kind::base});
    if (name.decl == kNoDecl) return;
    if (!cursor.take_word("for")) {
        report(Code::missing_value, cursor.done() ? cursor.before() : cursor.rest(), "for how much? a price ends in `for 11.40 EUR`");
        return;
    }
    const auto money = read_money(cursor, decl.scope, "a price", true);
    if (!money) return;
    price.money = *money;
    if (cursor.is(AtomKind::string)) cursor.take();
    leftover(cursor);
    if (row.has_block) report(Code::unused_block, tree.span(row.open, row.open + 1), "a price takes no block");
    const Kind kind = names_.at(name.decl).kind;
    if (kind == Kind::container) {
        price.container = container(name.decl);
    } else if (kind == Kind::base) {
        price.base = base(name.decl);
    } else {
        price.material = material(name.decl);
    }
    if (names_.at(name.decl).broken) {
        broken_ = true;
        return;
    }
    model_.prices.push_back(std::move(price));
}

/// `rate 1 USD = 0.92 EUR on 2026-04-01`
void Elaborator::rate(DeclId id) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const Row& row = tree.rows[decl.row];
    ExchangeRate rate;
    rate.span = tree.head(row);
    Cursor cursor(tree, tree.items_of(row)[0]);
    cursor.take();
    const auto shape = [&](Span at) {
        report(Code::wrong_shape, at, "a rate is written `rate 1 USD = 0.92 EUR on 2026-04-01`");
    };
    if (decl.broken) {
        model_.money_broken = true;
        end(id, 0);
        return;
    }
    const auto one = read_quantity(cursor, decl.scope, kMoney, "what a rate starts from");
    if (one && check_positive(*one, "what a rate starts from")) {
        if (!cursor.is(AtomKind::equals)) {
            shape(rate.span);
        } else {
            cursor.take();
            const auto other = read_quantity(cursor, decl.scope, kMoney, "what it is worth");
            if (other && check_positive(*other, "what it is worth")) {
                if (!cursor.take_word("on")) {
                    report(Code::missing_value, cursor.done() ? cursor.before() : cursor.rest(),
                           "of which day? a rate ends in `on 2026-04-01`");
                } else {
                    rate.dated = read_date(cursor);
                }
                if (one->currency == other->currency && !broken_) {
                    report(Code::wrong_shape, rate.span, fmt::format("both sides of this rate are {}, and a rate is between two currencies", one->currency));
                }
                rate.value = other->typical / one->typical;
                if (rate.value.overflowed()) report(Code::number_overflow, rate.span, "this rate is too large or too fine to count with exactly");
                model_.texts.push_back(one->currency);
                rate.from = model_.texts.back();
                model_.texts.push_back(other->currency);
                rate.to = model_.texts.back();
            }
        }
    }
    if (row.item_count > 1 && !broken_) shape(rate.span);
    if (row.has_block) report(Code::unused_block, tree.span(row.open, row.open + 1), "a rate has no block");
    if (broken_) {
        model_.money_broken = true;
    } else {
        model_.rates.push_back(std::move(rate));
    }
    end(id, 0);
}

/// `container roller_10`, or `container 12 ml`
void Elaborator::read_container(const Decl& decl, Cursor& cursor, Product& product) {
    if (starts_amount(cursor, decl.scope) || cursor.done()) {
        if (const auto q = read_quantity(cursor, decl.scope, kVolume, "what a container holds to the brim")) {
            leftover(cursor);
            if (!check_positive(*q, "a container")) return;
            product.brim_ml = q->typical;
            product.brim_span = q->span;
        }
        return;
    }
    const auto name = read_name(cursor, decl.scope, NameSpace::containers, {Kind::container});
    if (name.decl == kNoDecl) return;
    leftover(cursor);
    product.container = container(name.decl);
    product.brim_span = name.span;
    if (names_.at(name.decl).broken) {
        broken_ = true;
    } else {
        product.brim_ml = model_.containers[product.container].brim_ml;
    }
}

void Elaborator::read_packaging(const Decl& decl, std::uint32_t row, Cursor first, Product& product) {
    for (const auto& [id, span] : read_names(*decl.tree, row, first, decl.scope, NameSpace::containers, {Kind::container})) {
        product.packaging.push_back(container(id));
        if (names_.at(id).broken) broken_ = true;
    }
}

/// `work 45 min`, `work 2 min/each`, or both
void Elaborator::read_work(const Decl& decl, std::uint32_t row, Cursor first, Product& product) {
    const auto items = decl.tree->items_of(decl.tree->rows[row]);
    for (std::size_t i = 0; i < items.size(); ++i) {
        Cursor cursor = i == 0 ? first : Cursor(*decl.tree, items[i]);
        const auto amount = read_amount(cursor, decl.scope);
        if (!amount) return;
        const bool each = amount->dimension == Dimension{Dim::clock, Dim::count};
        if (!each && amount->dimension != kClockTime) {
            report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
                   "work is a time: `45 min` for the batch, `2 min/each` for each one");
            return;
        }
        if (amount->is_range) {
            report(Code::unexpected_range, amount->span, "work is one figure, not a range");
            return;
        }
        if (!check_positive(*amount, "`work`")) return;
        leftover(cursor);
        auto& hours = each ? product.unit_hours : product.batch_hours;
        if (hours) {
            report(Code::duplicate_clause, amount->span, each ? "the work on each one is said twice" : "the work on the batch is said twice");
            return;
        }
        hours = amount->typical;
    }
}

/// A bare number within the field's bounds.
std::optional<Rational> Elaborator::read_factor(Cursor& cursor, std::uint32_t scope, const FieldSpec& spec) {
    const std::string what = fmt::format("`{}`", spec.word);
    const auto amount = read_quantity(cursor, scope, kNumber, what);
    if (!amount) return std::nullopt;
    leftover(cursor);
    if (!check_positive(*amount, what)) return std::nullopt;
    const double value = amount->typical.to_double();
    if (value < spec.least || value > spec.most) {
        report(Code::out_of_range, amount->span, fmt::format("{} goes from {} to {}", what, spec.least, spec.most));
        return std::nullopt;
    }
    return amount->typical;
}

}  // namespace scruple
