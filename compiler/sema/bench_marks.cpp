// What comes out of a bench at a mark: another beaker, or a blend. How much is taken changes no ratio, and is kept exact.
#include <fmt/core.h>

#include <algorithm>

#include "library/dropper.h"
#include "num/decimal.h"
#include "sema/elaborator.h"

namespace scruple {

/// `BENCH at MARK`, with the cursor behind `from`. Both must be known and good; the row of the mark comes back.
std::optional<Elaborator::MarkRead> Elaborator::read_from(Cursor& cursor, const Decl& decl) {
    const auto name = read_name(cursor, decl.scope, NameSpace::benches, {Kind::bench});
    if (name.decl == kNoDecl) return std::nullopt;
    if (!cursor.take_word("at")) {
        report(Code::missing_value, cursor.done() ? cursor.before() : cursor.rest(),
               fmt::format("at which mark? `from {} at MARK`", name.text));
        return std::nullopt;
    }
    const Span at = cursor.done() ? cursor.before() : cursor.span(cursor.peek());
    const auto mark = read_mark(cursor);
    if (mark.empty()) return std::nullopt;
    if (names_.at(name.decl).state == Decl::State::busy) {
        // Everything open down to that bench leads back to it.
        std::string circle;
        auto first = open_.size();
        while (first > 0 && open_[first - 1].first != name.decl) --first;
        for (std::size_t i = first > 0 ? first - 1 : 0; i < open_.size(); ++i) {
            circle += fmt::format("`{}` from ", names_.at(open_[i].first).name);
        }
        // Each name comes from the one after it.
        auto added = report(Code::bench_cycle, name.span,
                            fmt::format("these come from each other: {}`{}`", circle, name.text));
        added.also(names_.at(name.decl).name_span, "declared here");
        return std::nullopt;
    }
    const BenchId id = bench(name.decl);
    if (id == kNone || names_.at(name.decl).broken) {
        broken_ = true;
        return std::nullopt;
    }
    const auto row = row_of_mark(model_.benches[id], mark);
    if (!row) {
        std::vector<std::string> marks;
        for (const BenchRow& r : model_.benches[id].rows) {
            if (r.act == BenchAct::mark) marks.emplace_back(r.mark);
        }
        auto added = report(Code::unknown_mark, at, fmt::format("`{}` has no mark `{}`", name.text, mark));
        added.also(names_.at(name.decl).name_span, "the bench");
        if (const auto near = may_suggest() ? nearest(mark, marks) : std::string{}; !near.empty()) {
            added.label(fmt::format("did you mean `{}`?", near));
            added.also(model_.benches[id].rows[*row_of_mark(model_.benches[id], near)].span, "this mark");
            added.fix(fmt::format("write `{}`", near), surely(mark, near, marks), {{at, near}});
        } else if (marks.empty()) {
            added.note(fmt::format("it has none: a row `mark {}` names what is in the beaker after the row above it", mark));
        } else {
            std::string list;
            for (std::size_t i = 0; i < marks.size() && i < 12; ++i) list += fmt::format("{}`{}`", list.empty() ? "" : ", ", marks[i]);
            added.note("its marks are " + list + (marks.size() > 12 ? " …" : ""));
        }
        return std::nullopt;
    }
    return MarkRead{id, mark, *row, join(name.span, at)};
}

/// What a blend or another bench finds in the beaker at a row.
const Elaborator::Poured& Elaborator::poured(BenchId id, std::size_t rows) {
    const Bench& bench = model_.benches[id];
    rows = std::min(rows, bench.rows.size());
    while (rows > 0 && bench.rows[rows - 1].act != BenchAct::add) --rows;  // the others leave the beaker as it was
    const auto [at, fresh] = poured_.try_emplace({id, rows});
    Poured& out = at->second;
    if (!fresh) return out;
    out.beaker = in_beaker(bench, rows);
    const BenchDraft& draft = bench_drafts_.at(id);
    std::unordered_map<DeclId, std::size_t> places;
    const auto pour = [&](const std::vector<BlendRow>& more) {
        for (const BlendRow& row : more) {
            const auto [place, first] = places.try_emplace(row.decl, out.rows.size());
            if (first) {
                out.rows.push_back(row);
                continue;
            }
            Amount& sum = out.rows[place->second].amount;
            sum.typical += row.amount.typical;
            sum.low = sum.high = sum.typical;
        }
    };
    pour(draft.start);
    for (std::size_t i = 0; i < rows; ++i) pour(draft.rows[i]);
    return out;
}

/// `taking 1/2`, `taking 30 %`, `taking 12 drops`: as a share of what is in the beaker. The ratio is the same whatever is taken.
std::optional<Rational> Elaborator::read_taking(Cursor& cursor, std::uint32_t scope, const Bench& from, const Beaker& beaker,
                                                BenchStart& start) {
    const auto amount = read_amount(cursor, scope);
    if (!amount) return std::nullopt;
    start.taking = std::string(figure_text(*amount));
    if (amount->is_range) {
        report(Code::unexpected_range, amount->span, "what is taken is one figure, not a range");
        return std::nullopt;
    }
    if (!check_positive(*amount, "what is taken")) return std::nullopt;
    if (amount->percent && (amount->basis || amount->of != OfWord::none)) {
        report(Code::wrong_basis, amount->basis_span, "`taking` is a share of all that is in the beaker: a bare percentage");
        return std::nullopt;
    }
    const auto told = [&](const std::string& there) {
        report(Code::taking_too_much, amount->span,
               fmt::format("`{}` is more than there is at this mark: {}", start.taking, there))
            .also(from.rows[start.rows - 1].span, "the mark");
        return std::nullopt;
    };
    if (amount->bare() || amount->percent) {
        if (amount->typical <= Rational(1)) return amount->typical;
        if (amount->percent) return told("at most 100 % can be taken");
        const Span at{amount->span.file, amount->span.end, amount->span.end};
        report(Code::missing_unit, amount->span,
               fmt::format("{} of what? a share of the beaker is at most 1, as in `taking 1/2`, and an amount has its unit",
                           start.taking))
            .fix("write `drops`", false, {{at, " drops"}})
            .fix("write `ml`", false, {{at, " ml"}});
        return std::nullopt;
    }
    const Dim dim = amount->dimension.top;
    start.unit = dim;
    const bool known = amount->dimension.bottom == Dim::none &&
                       (dim == Dim::drop || dim == Dim::volume || dim == Dim::mass || dim == Dim::part);
    const bool sizeless = (dim == Dim::part) != (from.unit == Dim::part);
    if (!known || sizeless) {
        report(Code::wrong_dimension, amount->span,
               known ? "parts have no size: of a bench in parts a share is taken, or so many of the parts"
                     : "what is taken is a share (`1/2`), drops, a volume or a weight");
        return std::nullopt;
    }
    Rational whole = beaker.total();
    if (dim != from.unit) {
        // Through each oil's dropper and density; the whole mixture's drops through the workshop's dropper.
        Rational sum;
        for (const BenchAmount& one : beaker.amounts()) {
            Rational part = millilitres_of(model_, one.material, one.amount, from.unit);
            if (dim == Dim::mass) part *= exact_density_of(model_, one.material);
            const bool weighed = dim == Dim::mass || from.unit == Dim::mass;
            if (weighed && exact_density_of(model_, one.material).is_zero()) {
                report(Code::no_density, amount->span,
                       fmt::format("{} has no density, so how much of the mixture this is cannot be known",
                                   model_.materials[one.material].header.name))
                    .note("take a share instead, as in `taking 1/2`");
                return std::nullopt;
            }
            sum += part;
        }
        whole = dim == Dim::drop ? sum * model_.workshop.drops_per_ml.value_or(Rational(kUsualDropsPerMl)) : sum;
    }
    const Rational share = amount->typical / whole;
    if (share.overflowed()) {
        report(Code::number_overflow, amount->span, "this share of the beaker is too fine to work out exactly");
        return std::nullopt;
    }
    if (share > Rational(1)) {
        const std::string_view word = dim == Dim::drop ? "drops" : dim == Dim::volume ? "ml" : dim == Dim::mass ? "g" : "parts";
        return told(fmt::format("that holds {} {}", dim == from.unit ? format_exact(whole) : format_significant(whole.to_double(), 4), word));
    }
    return share;
}

/// What follows the name in a bench's head: `from OTHER at MARK taking SHARE`.
void Elaborator::read_bench_head(const Decl& decl, Bench& out, BenchDraft& draft) {
    Cursor head = after_name(decl);
    if (head.done()) return;
    if (!head.take_word("from")) return leftover(head);
    const Span whole = head.before();
    const auto mark = read_from(head, decl);
    if (!mark) return;
    const Bench& from = model_.benches[mark->bench];
    out.start.bench = mark->bench;
    out.start.mark = from.rows[mark->row].mark;
    out.start.rows = mark->row + 1;
    out.start.span = join(whole, mark->span);
    const Poured& there = poured(mark->bench, mark->row + 1);
    const Beaker& beaker = there.beaker;
    if (head.take_word("taking")) {
        const Span at = head.before();
        const auto share = read_taking(head, decl.scope, from, beaker, out.start);
        if (!share) return;
        out.start.share = *share;
        out.start.span = join(at, head.before());
    }
    if (head.is(AtomKind::string)) out.header.title = take_remark(head);
    leftover(head);
    out.unit = from.unit;
    draft = {};
    draft.first = bench_drafts_.at(mark->bench).first;
    draft.start = there.rows;
    for (BlendRow& row : draft.start) {
        row.amount.typical *= out.start.share;
        row.amount.low = row.amount.high = row.amount.typical;
    }
    for (BenchAmount one : beaker.amounts()) {
        one.amount *= out.start.share;
        if (one.amount.overflowed()) {
            report(Code::number_overflow, out.start.span, "this share of the beaker is too fine to work out exactly");
            return;
        }
        out.start.amounts.push_back(one);
    }
}

/// `blend NAME from BENCH at MARK`: the ratio in the beaker at that mark, as if it were written out.
void Elaborator::read_blend_from(Cursor& head, const Decl& decl, Blend& blend, BlendDraft& draft) {
    const auto mark = read_from(head, decl);
    if (!mark) return;
    if (head.is(AtomKind::string)) blend.header.title = take_remark(head);
    if (head.is_word("taking")) {
        report(Code::unexpected_text, head.rest(), "a blend is a ratio, and that is the same however much is taken")
            .fix("leave it out", false, {{Span{head.rest().file, head.before().end, head.rest().end}, ""}});
        return;
    }
    leftover(head);
    blend.from_bench = mark->bench;
    blend.from_mark = model_.benches[mark->bench].rows[mark->row].mark;
    draft.rows = poured(mark->bench, mark->row + 1).rows;
}

/// What was poured off a beaker is gone from it, and the log of that beaker does not know.
void Elaborator::check_pourings() {
    std::vector<BenchId> order;
    for (BenchId i = 0; i < model_.benches.size(); ++i) {
        if (model_.benches[i].start.bench != kNone && !model_.benches[i].start.taking.empty()) order.push_back(i);
    }
    std::sort(order.begin(), order.end(), [&](BenchId a, BenchId b) {
        const Span& x = model_.benches[a].header.span;
        const Span& y = model_.benches[b].header.span;
        return std::pair(x.file, x.begin) < std::pair(y.file, y.begin);
    });
    std::map<std::pair<BenchId, std::size_t>, std::pair<Rational, Span>> taken;  // by bench and mark
    for (const BenchId i : order) {
        const Bench& b = model_.benches[i];
        const BenchStart& start = b.start;
        const Bench& from = model_.benches[start.bench];
        if (b.header.broken || from.header.broken) continue;
        auto& [sum, first] = taken[{start.bench, start.rows}];
        if (sum.is_zero()) first = start.span;
        sum += start.share;
        if (sum > Rational(1)) {
            report(Code::taking_too_much, start.span,
                   fmt::format("more is taken from `{}` at `{}` than there is: {} of the beaker with this", from.header.name,
                               start.mark, format_exact(sum)))
                .also(first, "taken here already")
                .note("what was mixed again in the same ratio is no pouring: leave `taking` out");
            continue;
        }
        const auto later = std::find_if(from.rows.begin() + static_cast<std::ptrdiff_t>(start.rows), from.rows.end(),
                                        [](const BenchRow& r) { return r.act == BenchAct::add; });
        if (later == from.rows.end()) continue;
        report(Code::poured_off, start.span,
               fmt::format("`{}` goes on after `{}`, and its log counts what was poured off here as still in the beaker",
                           from.header.name, start.mark))
            .also(later->span, "added to what was left")
            .note(fmt::format("give what was left a log of its own: `bench NAME from {} at {} taking {} {{ … }}`",
                              from.header.name, start.mark,
                              (Rational(1) - start.share).to_string()))
            .note("or leave `taking` out, if this was mixed again in the same ratio");
    }
}

}  // namespace scruple
