#include <fmt/core.h>

#include <algorithm>

#include "num/decimal.h"
#include "sema/elaborator.h"

namespace scruple {

/// `70 % MATERIAL`, `0.5 % of total MATERIAL`, `rest MATERIAL`. The cursor stands on the amount.
bool Elaborator::read_base_row(std::uint32_t scope, const SyntaxTree& tree, const Item& item, Cursor cursor,
                               BasePhase& phase) {
    (void)tree;
    (void)item;
    BaseRow row;
    row.span = cursor.rest();
    if (cursor.take_word("rest")) {
        row.rest = true;
    } else {
        const auto amount = read_amount(cursor, scope);
        if (!amount) return false;
        if (!amount->percent) {
            report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
                   "a base is written in per cent of its weight");
            return false;
        }
        if (amount->is_range) {
            report(Code::unexpected_range, amount->span, "an amount in a base is one figure, not a range");
            return false;
        }
        if ((amount->basis && *amount->basis != Basis::ww) ||
            (amount->of != OfWord::none && amount->of != OfWord::total && amount->of != OfWord::base)) {
            report(Code::wrong_basis, amount->basis_span,
                   "a row of a base is w/w of the base, or `of total` for a share of the finished product");
            return false;
        }
        if (!check_positive(*amount, "this amount")) return false;
        if (amount->typical > Rational(1)) {
            report(Code::out_of_range, amount->number_span, "a share of a base is at most 100 %");
            return false;
        }
        row.of = amount->of == OfWord::total ? Of::total : Of::base;
        note_let_basis(*amount, row.of == Of::total ? "of the total" : "of the base");
        row.fraction = amount->typical;
    }
    const auto name = read_name(cursor, scope, NameSpace::materials, {Kind::ingredient, Kind::oil, Kind::base});
    row.name_span = name.span;
    if (name.decl == kNoDecl) return false;
    if (cursor.is(AtomKind::string)) cursor.take();  // a remark
    leftover(cursor);
    if (names_.at(name.decl).kind == Kind::base) {
        if (names_.at(name.decl).state == Decl::State::busy) {
            report(Code::base_cycle, name.span, fmt::format("`{}` holds itself: bases in each other make a circle", name.text))
                .also(names_.at(name.decl).name_span, "declared here");
            return false;
        }
        row.base = base(name.decl);
        if (names_.at(name.decl).broken) {
            broken_ = true;
            return false;
        }
    } else {
        row.material = material(name.decl);
        if (names_.at(name.decl).broken) broken_ = true;
    }
    phase.rows.push_back(row);
    return true;
}

/// The whole must close: 100 % of base rows, or one rest. Rows of the total need a rest to give way.
void Elaborator::close_base(std::vector<BasePhase>& phases, Span span, std::string_view what) {
    Rational sum;
    bool of_total = false;
    const BaseRow* rest = nullptr;
    std::size_t count = 0;
    for (const auto& phase : phases) {
        for (const auto& row : phase.rows) {
            ++count;
            if (row.rest) {
                if (rest) {
                    report(Code::rest_twice, row.span, "only one row can take the rest")
                        .also(rest->span, "this one takes it already");
                    return;
                }
                rest = &row;
            } else if (row.of == Of::total) {
                of_total = true;
            } else {
                sum += row.fraction;
            }
        }
    }
    if (count == 0) {
        report(Code::no_rows, span, fmt::format("{} holds nothing", what));
        return;
    }
    const Rational whole(1);
    const auto percent = [](const Rational& r) { return format_exact(r * Rational(100)); };
    if (rest) {
        if (sum >= whole) {
            report(Code::rest_of_nothing, rest->span,
                   fmt::format("nothing is left for the rest: the other rows come to {} %", percent(sum)));
        }
    } else if (of_total) {
        report(Code::not_closed, span,
               fmt::format("{} has rows of the finished total, so one row must take the rest", what));
    } else if (sum != whole) {
        auto added = report(Code::not_closed, span,
                            fmt::format("{} adds up to {} %, and it must add up to 100 %", what, percent(sum)));
        const Rational gap = whole - sum;
        added.note(gap.sign() > 0 ? fmt::format("{} % is missing: write `rest` before one of the rows to fill up", percent(gap))
                                  : fmt::format("{} % is too much", percent(-gap)));
    }
}

BaseId Elaborator::base(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const auto record = static_cast<BaseId>(model_.bases.size());
    model_.bases.emplace_back();
    names_.at(id).record = record;
    Base b;
    DeclId like = kNoDecl;
    const Header header = header_of(decl);
    Header scratch;
    start_like(id, scratch, like);
    if (like != kNoDecl) {
        const BaseId from = base(like);
        if (from != kNone) b = model_.bases[from];
        if (names_.at(like).broken) broken_ = true;
    }
    const bool merging = like != kNoDecl;
    b.header = header;

    // Rows of a base that is like another go by phase and material: a row of the same replaces it.
    const auto merge = [&](BasePhase& phase, const BaseRow& row) {
        for (auto& old : phase.rows) {
            if (old.material == row.material && old.base == row.base) {
                old = row;
                return;
            }
        }
        phase.rows.push_back(row);
    };
    const auto phase_named = [&](std::string_view name) -> BasePhase& {
        for (auto& p : b.phases) {
            if (p.name == name) return p;
        }
        b.phases.emplace_back();
        b.phases.back().name = name;
        return b.phases.back();
    };
    const auto add_row = [&](std::string_view phase_name, std::uint32_t r) {
        const Row& row = tree.rows[r];
        const auto items = tree.items_of(row);
        Cursor first(tree, items[0]);
        if (merging && first.is_word("none")) {
            first.take();
            const auto name = read_name(first, decl.scope, NameSpace::materials, {Kind::ingredient, Kind::oil, Kind::base});
            if (name.decl == kNoDecl) return;
            leftover(first);
            const std::uint32_t target = names_.at(name.decl).kind == Kind::base ? base(name.decl) : material(name.decl);
            auto& rows = phase_named(phase_name).rows;
            const auto before = rows.size();
            std::erase_if(rows, [&](const BaseRow& o) {
                return names_.at(name.decl).kind == Kind::base ? o.base == target : o.material == target;
            });
            if (rows.size() == before) {
                report(Code::none_absent, name.span,
                       fmt::format("`{}` isn't in what this is like, so it can't be taken out", name.text));
            }
            return;
        }
        for (const Item& item : items) {
            BasePhase one;
            std::size_t count = 0;
            for (const auto& p : b.phases) count += p.rows.size();
            if (too_long(count, decl)) return;
            if (!read_base_row(decl.scope, tree, item, Cursor(tree, item), one)) continue;
            auto& phase = phase_named(phase_name);
            const BaseRow& added = one.rows[0];
            const auto twice = std::find_if(phase.rows.begin(), phase.rows.end(), [&](const BaseRow& o) {
                return o.material == added.material && o.base == added.base;
            });
            if (!merging && twice != phase.rows.end()) {
                report(Code::duplicate_row, added.name_span, "this stands in the same phase already: one row a material")
                    .also(twice->span, "the first row");
                continue;
            }
            merge(phase, added);
        }
    };
    bool blend_seen = false;
    Span blend_span;
    const auto blend_row = [&](std::string_view phase_name, Span span) {
        if (blend_seen) {
            report(Code::blend_row_twice, span, "the blend goes in at one place, and it has one already")
                .also(blend_span, "here");
            return;
        }
        for (auto& p : b.phases) p.blend_here = false;
        blend_seen = true;
        blend_span = span;
        phase_named(phase_name).blend_here = true;
    };
    KindSpec phase_spec = kind_spec(Kind::base);
    std::vector<FieldSpec> inner;
    for (const auto& f : phase_spec.fields) {
        if (f.field == Field::blend || f.field == Field::remark) inner.push_back(f);
    }
    phase_spec.fields = inner;
    read_block(
        id, decl.row, kind_spec(Kind::base),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            switch (spec.field) {
                case Field::phase: {
                    if (!cursor.is(AtomKind::word)) {
                        report(Code::missing_name, cursor.done() ? cursor.before() : cursor.rest(), "a phase needs a name");
                        break;
                    }
                    const auto name = cursor.text();
                    const Span name_span = cursor.span(cursor.take());
                    const bool there = std::any_of(b.phases.begin(), b.phases.end(),
                                                   [&](const BasePhase& p) { return p.name == name && !merging; });
                    if (there) {
                        report(Code::duplicate_name, name_span, fmt::format("there is a phase `{}` already", name));
                        break;
                    }
                    auto& phase = phase_named(name);
                    if (cursor.is(AtomKind::string)) {
                        phase.title = string_value(cursor.text());
                        cursor.take();
                    }
                    if (cursor.take_word("at")) {
                        const auto at = read_quantity(cursor, decl.scope, Dimension{Dim::temperature, Dim::none},
                                                      "a phase's temperature");
                        if (at) phase.at_c = at->typical;
                    }
                    leftover(cursor);
                    if (!tree.rows[row].has_block) {
                        report(Code::no_rows, name_span, "a phase needs a block of rows");
                        break;
                    }
                    const std::string_view phase_name = name;
                    read_block(
                        id, row, phase_spec,
                        [&](const FieldSpec& f, std::uint32_t r, Cursor& c) {
                            if (f.field == Field::blend) {
                                leftover(c);
                                blend_row(phase_name, tree.head(tree.rows[r]));
                            } else {
                                read_texts(tree, r, c);
                            }
                        },
                        [&](std::uint32_t r) { add_row(phase_name, r); });
                    break;
                }
                case Field::blend:
                    leftover(cursor);
                    blend_row("", tree.head(tree.rows[row]));
                    break;
                case Field::steps: b.steps = read_texts(tree, row, cursor); break;
                case Field::source:
                    if (const SourceId s = read_source(cursor); s != kNone) b.sources.push_back(s);
                    break;
                default: read_texts(tree, row, cursor); break;
            }
        },
        [&](std::uint32_t r) { add_row("", r); });
    if (!broken_ && !decl.broken) {
        close_base(b.phases, decl.name_span, "the base");
        const bool placed = std::any_of(b.phases.begin(), b.phases.end(), [](const BasePhase& p) { return p.blend_here; });
        if (!placed && !b.phases.empty()) b.phases.back().blend_here = true;
    }
    b.header.broken = broken_ || decl.broken;
    model_.bases[record] = std::move(b);
    end(id, record);
    return record;
}

/// `in MATERIAL`, `in house_carrier`, `in 70 % MATERIAL, 30 % MATERIAL`.
std::vector<BasePhase> Elaborator::read_in(std::uint32_t scope, const SyntaxTree& tree, Span where,
                                           const std::vector<Cursor>& items, BaseId& named) {
    named = kNone;
    std::vector<BasePhase> phases(1);
    phases[0].blend_here = true;
    if (items.size() == 1 && !starts_amount(items[0], scope) && !items[0].is_word("rest")) {
        Cursor cursor = items[0];
        const auto name = read_name(cursor, scope, NameSpace::materials, {Kind::ingredient, Kind::base, Kind::oil});
        if (name.decl == kNoDecl) return {};
        if (names_.at(name.decl).kind == Kind::base) {
            named = base(name.decl);
            if (names_.at(name.decl).broken || named == kNone) {
                broken_ = true;
                named = kNone;
                return {};
            }
            return {};
        }
        BaseRow row;
        row.material = material(name.decl);
        if (names_.at(name.decl).broken) broken_ = true;
        row.fraction = Rational(1);
        row.span = row.name_span = name.span;
        phases[0].rows.push_back(row);
        return phases;
    }
    for (const Cursor& cursor : items) {
        if (phases[0].rows.size() >= limits_.formula_lines) {
            report(Code::formula_too_long, where,
                   fmt::format("this list has more than {} rows, and that is the limit", limits_.formula_lines));
            break;
        }
        BasePhase one;
        if (!read_base_row(scope, tree, Item{}, cursor, one)) continue;
        const auto twice = std::find_if(phases[0].rows.begin(), phases[0].rows.end(), [&](const BaseRow& o) {
            return o.material == one.rows[0].material && o.base == one.rows[0].base;
        });
        if (twice != phases[0].rows.end()) {
            report(Code::duplicate_row, one.rows[0].name_span, "this stands in the list already")
                .also(twice->span, "the first time");
            continue;
        }
        phases[0].rows.push_back(one.rows[0]);
    }
    if (!broken_) close_base(phases, where, "the list");
    return phases;
}

}  // namespace scruple
