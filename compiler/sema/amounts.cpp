#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "library/embedded.h"
#include "num/decimal.h"
#include "sema/elaborator.h"

namespace scruple {
namespace {

std::optional<OfWord> of_word(std::string_view word) {
    if (word == "total") return OfWord::total;
    if (word == "base") return OfWord::base;
    if (word == "fats") return OfWord::fats;
    if (word == "wax") return OfWord::wax;
    if (word == "blend") return OfWord::blend;
    if (word == "container") return OfWord::container;
    if (word == "lye") return OfWord::lye;
    return std::nullopt;
}

/// Splits `a..b..c`.
std::vector<std::string_view> split_range(std::string_view text) {
    std::vector<std::string_view> out;
    for (;;) {
        const auto at = text.find("..");
        out.push_back(text.substr(0, at));
        if (at == std::string_view::npos) return out;
        text.remove_prefix(at + 2);
    }
}

}  // namespace

const Unit* Elaborator::find_unit(std::uint32_t scope, std::string_view word) {
    auto& cache = units_[scope == kLibraryScope ? units_.size() - 1 : scope];
    const auto it = cache.find(word);
    if (it != cache.end()) return it->second.known ? &it->second.unit : nullptr;
    UnitEntry entry;
    if (word == "%") {
        entry = {true, Unit{kFraction, Rational(1, 100), {}}};
    } else if (is_currency(word)) {
        entry = {true, Unit{Dimension{Dim::money, Dim::none}, 1, std::string(word)}};
    } else if (const DeclId id = names_.find(scope, NameSpace::units, word);
               id != kNoDecl && names_.at(id).kind == Kind::unit) {
        ++names_.at(id).uses;
        if (names_.at(id).state == Decl::State::busy) return nullptr;  // a unit made of itself
        unit(id);
        const auto& own = units_[names_.at(id).scope == kLibraryScope ? units_.size() - 1 : names_.at(id).scope];
        if (const auto made = own.find(names_.at(id).name); made != own.end()) entry = made->second;
    }
    auto& slot = cache[word];
    slot = std::move(entry);
    return slot.known ? &slot.unit : nullptr;
}

/// `unit g of mass also gram`, `unit kg = 1000 g by si`.
void Elaborator::unit(DeclId id) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const Row& row = tree.rows[decl.row];
    Cursor cursor(tree, tree.items_of(row)[0]);
    cursor.skip(2);
    UnitEntry entry;
    if (decl.broken) {
    } else if (cursor.take_word("of")) {
        const auto dim = cursor.is(AtomKind::word) ? dim_from_word(cursor.text()) : std::nullopt;
        if (dim) {
            entry = {true, Unit{Dimension{*dim, Dim::none}, 1, {}}};
            cursor.take();
        } else {
            report(Code::unknown_word, cursor.rest(), "this is no dimension that a unit can measure")
                .note("dimensions are mass, volume, drop, part, fraction, count, calendar, clock, temperature, length …");
        }
    } else if (cursor.is(AtomKind::equals)) {
        cursor.take();
        const auto amount = read_amount(cursor, decl.scope);
        if (amount && amount->is_range) {
            report(Code::unexpected_range, amount->span, "a unit is one figure, not a range");
        } else if (amount && amount->bare()) {
            report(Code::missing_unit, amount->span, "a unit is declared by a quantity: a number with a unit");
        } else if (amount && amount->typical.sign() <= 0) {
            report(amount->typical.is_zero() ? Code::zero_amount : Code::negative_amount, amount->span,
                   "a unit must be more than nothing");
        } else if (amount) {
            entry = {true, Unit{amount->dimension, amount->typical, amount->currency}};
        }
    } else {
        report(Code::wrong_shape, tree.head(row), "a unit is declared as `unit dash = 1/8 us_tsp`");
    }
    if (entry.known && row.has_block) {
        report(Code::unused_block, tree.span(row.open, row.close), "a unit has no block");
    }
    auto& cache = units_[decl.scope == kLibraryScope ? units_.size() - 1 : decl.scope];
    const auto put = [&](std::string_view spelling) { cache[spelling] = entry; };
    put(decl.name);
    for (std::size_t i = 0; i < row.item_count; ++i) {
        Cursor more(tree, tree.items_of(row)[i]);
        if (i == 0) more.skip(std::min<std::size_t>(cursor.position(), more.left()));
        if (i == 0 && !more.take_word("also")) {
            if (more.is_word("by")) read_by(more, decl.scope);
            if (entry.known) leftover(more);
            break;
        }
        if (more.done()) report(Code::missing_value, more.before(), "also spelled how? a word is wanted after `also`");
        while (more.is(AtomKind::word) && !more.is_word("by")) {
            if (more.is_word("also") || is_reserved(more.text())) {
                report(Code::reserved_name, more.span(more.peek()),
                       fmt::format("`{}` is a word of the language and can't be a spelling of a unit", more.text()));
                entry.known = false;
                break;
            }
            if (cache.contains(more.text()) && decl.scope != kLibraryScope) {
                report(Code::duplicate_row, more.span(more.peek()), fmt::format("`{}` is a spelling already", more.text()));
            }
            put(more.text());
            more.take();
        }
        if (more.is_word("by")) read_by(more, decl.scope);
        if (entry.known) leftover(more);
    }
    end(id, 0);
}

/// `let house_load = 2.5 %`
void Elaborator::let(DeclId id) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const Row& row = decl.tree->rows[decl.row];
    Cursor cursor(*decl.tree, decl.tree->items_of(row)[0]);
    cursor.skip(2);
    LetEntry entry;
    if (decl.broken) {
    } else if (!cursor.is(AtomKind::equals)) {
        report(Code::wrong_shape, decl.tree->head(row), "a named quantity is declared as `let house_load = 2.5 %`");
    } else {
        cursor.take();
        if (const auto amount = read_amount(cursor, decl.scope)) {
            leftover(cursor);
            entry.amount = *amount;
            entry.good = !broken_;
        }
        if (row.item_count > 1 && entry.good) {
            report(Code::unexpected_text, decl.tree->head(row), "a named quantity is one quantity");
            entry.good = false;
        }
        if (row.has_block) {
            report(Code::unused_block, decl.tree->span(row.open, row.close), "a named quantity has no block");
        }
    }
    lets_[id] = entry;
    end(id, 0);
}

bool Elaborator::starts_amount(const Cursor& cursor, std::uint32_t scope) {
    if (cursor.done()) return false;
    const AtomKind kind = cursor.peek().kind;
    if (kind == AtomKind::number || kind == AtomKind::range || kind == AtomKind::percent) return true;
    if (kind != AtomKind::word || scope == kLibraryScope) return false;
    const DeclId id = names_.find_own(scope, NameSpace::units, cursor.text());
    return id != kNoDecl && names_.at(id).kind == Kind::let;
}

bool Elaborator::read_basis(Cursor& cursor, Amount& amount) {
    const auto single = [](std::string_view w) { return w == "w" || w == "v"; };
    if (cursor.is(AtomKind::word) && single(cursor.text()) && cursor.is(AtomKind::slash, 1) &&
        cursor.is(AtomKind::word, 2) && single(cursor.text(2))) {
        const bool top_w = cursor.text() == "w";
        const bool bottom_w = cursor.text(2) == "w";
        amount.basis_span = join(cursor.span(cursor.peek()), cursor.span(cursor.peek(2)));
        if (!top_w && bottom_w) {
            report(Code::wrong_basis, amount.basis_span, "a percentage is w/w, v/v or w/v, and v/w is none of them");
            return false;
        }
        amount.basis = top_w ? (bottom_w ? Basis::ww : Basis::wv) : Basis::vv;
        cursor.skip(3);
        amount.span = join(amount.span, amount.basis_span);
    }
    if (cursor.is_word("of") && cursor.is(AtomKind::word, 1)) {
        if (const auto of = of_word(cursor.text(1))) {
            const Span span = join(cursor.span(cursor.peek()), cursor.span(cursor.peek(1)));
            amount.basis_span = amount.basis ? join(amount.basis_span, span) : span;
            amount.of = *of;
            amount.span = join(amount.span, span);
            cursor.skip(2);
        }
    }
    return true;
}

void Elaborator::report_unit(Cursor& cursor, std::uint32_t scope, std::string_view word, Span span) {
    if (nameless_[static_cast<std::size_t>(NameSpace::units)]) {
        broken_ = true;  // it may be the one whose name is missing
        return;
    }
    // Declared, but broken there: said already.
    if (names_.find(scope, NameSpace::units, word) != kNoDecl || (any_broken_text_ && named_in_broken_text(scope, word))) {
        broken_ = true;
        return;
    }
    const auto& units = names_.all(scope, {Kind::unit});
    const std::string lower = ascii_lower(word);
    (void)cursor;
    if (lower == "percent" || lower == "pct" || lower == "per_cent") {
        report(Code::percent_word, span, "per cent is written with its sign")
            .fix("write `%`", true, {{span, "%"}});
        return;
    }
    // `oz` could be either; `floz`, `cup` must say whose. What they could be is read from the unit table.
    std::string stem = lower;
    if (stem.ends_with("s") && stem.size() > 2) stem.pop_back();
    if (stem == "ounce") stem = "oz";
    if (stem == "fl_oz") stem = "floz";
    static const std::pair<std::string_view, std::string_view> kLong[] = {
        {"teaspoon", "tsp"}, {"tablespoon", "tbsp"}, {"pint", "pt"}, {"gallon", "gal"}, {"quart", "qt"}, {"dram", "dram"}};
    for (const auto& [full, brief] : kLong) {
        if (stem == full) stem = brief;
    }
    std::vector<std::string> candidates;
    for (const auto& u : units) {
        const bool tail = u.size() > stem.size() + 1 && u.ends_with(stem) && u[u.size() - stem.size() - 1] == '_';
        const bool head = u.size() > stem.size() + 1 && u.starts_with(stem) && u[stem.size()] == '_';
        if ((tail || head) && !u.starts_with("label_")) candidates.push_back(u);
    }
    if (stem == "oz") {
        for (const auto& u : units) {
            if (u.ends_with("_floz") && !u.starts_with("label_")) candidates.push_back(u);
        }
        auto added = report(Code::ounce_of_weight, span,
                            fmt::format("`{}` could be an ounce of weight or a fluid ounce, and they differ", word));
        added.note("an ounce of weight is 28.35 g; a fluid ounce is 29.57 ml in the US and 28.41 ml in Britain");
        for (const auto& c : candidates) added.fix(fmt::format("write `{}`", c), false, {{span, c}});
        return;
    }
    if (!candidates.empty()) {
        auto added = report(Code::unit_whose, span,
                            fmt::format("`{}` is not one measure: the US, Britain and the metric kitchen each have "
                                        "their own, and a recipe says whose",
                                        word));
        for (const auto& c : candidates) added.fix(fmt::format("write `{}`", c), false, {{span, c}});
        return;
    }
    for (const auto& u : units) {
        if (ascii_lower(u) == lower) {
            report(Code::unit_case, span, fmt::format("`{}` is written `{}`: units mind their letters", word, u))
                .fix(fmt::format("write `{}`", u), true, {{span, u}});
            return;
        }
    }
    auto added = report(Code::unknown_unit, span, fmt::format("`{}` is no unit", word));
    if (const auto near = may_suggest() ? nearest(word, units) : std::string{}; !near.empty()) {
        added.label(fmt::format("did you mean `{}`?", near));
        added.fix(fmt::format("write `{}`", near), surely(word, near, units), {{span, near}});
        if (const DeclId own = names_.find_own(scope, NameSpace::units, near); own != kNoDecl) {
            added.also(names_.at(own).name_span, "declared here");
        }
    } else {
        added.note("`scruple library units` lists them; `unit` declares another");
    }
}

std::optional<Amount> Elaborator::read_amount(Cursor& cursor, std::uint32_t scope) {
    Amount amount;
    if (cursor.is(AtomKind::word) && scope != kLibraryScope) {
        const DeclId id = names_.find(scope, NameSpace::units, cursor.text());
        if (id != kNoDecl && names_.at(id).kind == Kind::let) {
            if (names_.at(id).state == Decl::State::busy) {
                report(Code::like_cycle, cursor.span(cursor.peek()),
                       fmt::format("`{}` is made of itself", cursor.text()));
                return std::nullopt;
            }
            ++names_.at(id).uses;
            let(id);
            const LetEntry& entry = lets_[id];
            const Span span = cursor.span(cursor.take());
            let_uses_[{span.file, span.begin}] = id;
            if (!entry.good) {
                broken_ = true;
                return std::nullopt;
            }
            amount = entry.amount;
            amount.let = id;
            amount.span = amount.number_span = span;
            if (amount.percent && !read_basis(cursor, amount)) return std::nullopt;
            return amount;
        }
    }
    const bool range = cursor.is(AtomKind::range);
    if (!range && !cursor.is(AtomKind::number)) {
        const Span at = cursor.done() ? cursor.before() : cursor.span(cursor.peek());
        if (cursor.is(AtomKind::word) && scope != kLibraryScope && !is_reserved(cursor.text())) {
            if (nameless_[static_cast<std::size_t>(NameSpace::units)]) {
                broken_ = true;  // it may be the one whose name is missing
                return std::nullopt;
            }
            // A misspelt or broken `let`.
            const bool near = may_suggest() && !nearest(cursor.text(), names_.all(scope, {Kind::let})).empty();
            if (near || (any_broken_text_ && named_in_broken_text(scope, cursor.text()))) {
                unknown_name(scope, NameSpace::units, {Kind::let}, cursor.text(), at);
                return std::nullopt;
            }
        }
        report(cursor.done() ? Code::missing_value : Code::wrong_shape, at,
               cursor.done() ? "an amount is wanted after this"
                             : fmt::format("an amount is wanted here, and `{}` is none", sources_.text(at)));
        return std::nullopt;
    }
    const Span number = cursor.span(cursor.peek());
    const auto text = cursor.text();
    amount.span = amount.number_span = number;
    const auto parse = [&](std::string_view digits) -> std::optional<Rational> {
        const auto parsed = parse_number(digits);
        switch (parsed.error) {
            case NumberError::none: return parsed.value;
            case NumberError::too_many_digits:
                report(Code::number_too_long, number,
                       fmt::format("a number has at most {} digits, and this one has more", kMaxDigits));
                break;
            case NumberError::overflow:
                report(Code::number_overflow, number, "this number is too large or too fine to count with exactly");
                break;
            case NumberError::not_a_number:
                report(Code::wrong_shape, number, fmt::format("`{}` is no number", digits));
                break;
        }
        return std::nullopt;
    };
    if (range) {
        const auto points = split_range(text);
        const auto low = parse(points.front());
        const auto high = low ? parse(points.back()) : std::nullopt;
        if (!low || !high) return std::nullopt;
        amount.low = *low;
        amount.high = *high;
        amount.typical = *high;
        amount.is_range = true;
        if (points.size() == 3) {
            const auto typical = parse(points[1]);
            if (!typical) return std::nullopt;
            amount.typical = *typical;
            amount.stated_typical = true;
        }
        if (amount.low > amount.typical || amount.typical > amount.high) {
            report(Code::range_order, number,
                   fmt::format("`{}` runs backwards: a range goes from its lowest to its highest", text));
            return std::nullopt;
        }
    } else {
        const auto value = parse(text);
        if (!value) return std::nullopt;
        amount.low = amount.typical = amount.high = *value;
        amount.stated_typical = true;
    }
    cursor.take();
    const auto scale = [&](const Rational& factor) {
        amount.low *= factor;
        amount.typical *= factor;
        amount.high *= factor;
    };
    if (cursor.is(AtomKind::percent)) {
        amount.span = join(amount.span, cursor.span(cursor.take()));
        amount.percent = true;
        amount.dimension = kFraction;
        scale(Rational(1, 100));
        if (!read_basis(cursor, amount)) return std::nullopt;
    } else if (cursor.is(AtomKind::word)) {
        const auto word = cursor.text();
        const Unit* unit = find_unit(scope, word);
        if (unit) {
            Unit whole = *unit;
            amount.span = join(amount.span, cursor.span(cursor.take()));
            if (cursor.is(AtomKind::slash) && cursor.is(AtomKind::word, 1)) {
                const Unit* bottom = find_unit(scope, cursor.text(1));
                const Span span = cursor.span(cursor.peek(1));
                if (!bottom) {
                    report_unit(cursor, scope, cursor.text(1), span);
                    return std::nullopt;
                }
                const auto both = quotient(whole, *bottom);
                amount.span = join(amount.span, span);
                if (!both) {
                    report(Code::wrong_dimension, amount.span, "a unit is at most one unit by another, such as g/ml");
                    return std::nullopt;
                }
                whole = *both;
                cursor.skip(2);
            }
            amount.dimension = whole.dimension;
            amount.currency = whole.currency;
            if (whole.dimension == kFraction) amount.percent = true;
            scale(whole.factor);
            if (amount.percent && !read_basis(cursor, amount)) return std::nullopt;
        } else if (!is_reserved(word)) {
            // A word that is no unit: the unit misspelt if a name follows, else the unit is missing.
            const Span span = cursor.span(cursor.peek());
            const bool name = names_.find(scope, NameSpace::materials, word) != kNoDecl ||
                              names_.find(scope, NameSpace::formats, word) != kNoDecl;
            if (!name && names_.find(scope, NameSpace::units, word) != kNoDecl) {
                broken_ = true;  // a unit that is declared, and broken there
                return std::nullopt;
            }
            if (!name) {
                const bool more = cursor.is(AtomKind::word, 1) || cursor.is(AtomKind::slash, 1);
                const bool guess = may_suggest();
                const auto near = guess ? nearest(word, names_.all(scope, {Kind::unit})) : std::string{};
                std::string joined(word);
                for (std::size_t i = 1; cursor.is(AtomKind::word, i); ++i) joined += "_" + std::string(cursor.text(i));
                const bool whole_name = more && names_.find(scope, NameSpace::materials, joined) != kNoDecl;
                if (!whole_name && (more || !near.empty() || cursor.left() == 1)) {
                    // `5 vetivr` could be either; a near material's name decides for the missing unit.
                    const auto materials = more || !guess ? std::vector<std::string>{}
                                                : names_.suggest(scope, {Kind::oil, Kind::ingredient, Kind::blend}, word);
                    if (more || materials.empty() || word.size() <= 3) {
                        report_unit(cursor, scope, word, span);
                        return std::nullopt;
                    }
                }
            }
        }
    }
    if (amount.low.overflowed() || amount.high.overflowed() || amount.typical.overflowed()) {
        report(Code::number_overflow, number, "this number is too large or too fine to count with exactly");
        return std::nullopt;
    }
    return amount;
}

std::string_view Elaborator::figure_text(const Amount& amount) const {
    const Amount* at = &amount;
    for (auto let = lets_.find(at->let); let != lets_.end(); let = lets_.find(at->let)) at = &let->second.amount;
    return sources_.text(at->span);
}

bool Elaborator::check_dimension(const Amount& amount, Dimension dimension, std::string_view what) {
    if (amount.dimension == dimension) return true;
    if (amount.bare()) {
        report(Code::missing_unit, amount.span,
               fmt::format("{} is {}, and `{}` has no unit", what, dimension_name(dimension), sources_.text(amount.span)));
        return false;
    }
    if (dimension == kNumber) {
        report(Code::unexpected_unit, amount.span, fmt::format("{} is a bare number, without a unit", what));
        return false;
    }
    report(Code::wrong_dimension, amount.span,
           fmt::format("{} is {}, and `{}` is {}", what, dimension_name(dimension), sources_.text(amount.span),
                       amount.percent ? "a percentage" : dimension_name(amount.dimension)));
    return false;
}

bool Elaborator::check_positive(const Amount& amount, std::string_view what) {
    if (amount.low.sign() > 0) return true;
    const bool zero = amount.low.is_zero();
    report(zero ? Code::zero_amount : Code::negative_amount, amount.number_span,
           zero ? fmt::format("{} is nothing: leave the row out, or give an amount", what)
                : fmt::format("{} is less than nothing", what));
    return false;
}

void Elaborator::note_let_basis(const Amount& amount, std::string_view basis) {
    if (amount.let == kNoDecl || !amount.percent || amount.of != OfWord::none || amount.basis) return;
    LetEntry& entry = lets_[amount.let];
    if (entry.amount.of != OfWord::none || entry.amount.basis) return;  // says of what itself
    if (entry.basis.empty()) {
        entry.basis = basis;
        entry.basis_span = amount.span;
    } else if (entry.basis != basis) {
        const Decl& decl = names_.at(amount.let);
        report(Code::let_basis, amount.span,
               fmt::format("`{}` is used here as a share {} and elsewhere as a share {}", decl.name, basis, entry.basis))
            .also(entry.basis_span, fmt::format("here {}", entry.basis))
            .also(decl.name_span, "declared here")
            .note("one percentage of two things is two quantities: declare another, or say of what in the declaration");
    }
}

std::optional<Amount> Elaborator::read_quantity(Cursor& cursor, std::uint32_t scope, Dimension dimension,
                                                std::string_view what, bool range_allowed) {
    auto amount = read_amount(cursor, scope);
    if (!amount) return std::nullopt;
    if (!check_dimension(*amount, dimension, what)) return std::nullopt;
    if (amount->is_range && !range_allowed) {
        report(Code::unexpected_range, amount->span, fmt::format("{} is one figure, not a range", what));
        return std::nullopt;
    }
    return amount;
}

SourceId Elaborator::read_by(Cursor& cursor, std::uint32_t scope) {
    if (!cursor.take_word("by")) return kNone;
    const auto name = read_name(cursor, scope, NameSpace::cites, {Kind::cite});
    return name.decl == kNoDecl ? kNone : cite(name.decl);
}

}  // namespace scruple
