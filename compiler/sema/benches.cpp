// Benches: trials row by row, in the order in which they happened. Nothing ever comes out of a beaker, so every row's sum is
// the start plus what was added, and exact.
#include <fmt/core.h>

#include <algorithm>
#include <utility>

#include "base/date.h"
#include "sema/elaborator.h"

namespace scruple {
namespace {

std::string_view unit_phrase(Dim unit) {
    switch (unit) {
        case Dim::part: return "parts";
        case Dim::drop: return "drops";
        case Dim::volume: return "a volume";
        case Dim::mass: return "a weight";
        default: return "something else";
    }
}

Measure measure_of(Dim unit) {
    return unit == Dim::mass ? Measure::mass : unit == Dim::drop ? Measure::drops : Measure::volume;
}

}  // namespace

/// The title of a material or a blend that was read.
std::string Elaborator::title_of(DeclId id) const {
    const Decl& decl = names_.at(id);
    const bool accord = decl.kind == Kind::blend || decl.kind == Kind::variation;
    return accord ? model_.blends[decl.record].header.title : model_.materials[decl.record].header.title;
}

/// The text that ends a row or an entry, if one does.
std::string Elaborator::take_remark(Cursor& cursor) {
    if (!cursor.is(AtomKind::string)) return {};
    auto text = string_value(cursor.text());
    cursor.take();
    return text;
}

/// `2 drops OIL "remark"`, into the bench and into the draft that blends are made from.
bool Elaborator::read_bench_amount(Cursor& cursor, std::uint32_t scope, Bench& bench, BenchDraft& draft, BenchRow& row,
                                   std::vector<BlendRow>& rows) {
    BlendRow entry;
    entry.span = cursor.rest();
    const bool named = cursor.is(AtomKind::word) && !starts_amount(cursor, scope);
    if (named && names_.find(scope, NameSpace::materials, cursor.text()) != kNoDecl) {
        ++names_.at(names_.find(scope, NameSpace::materials, cursor.text())).uses;
        report(Code::missing_value, cursor.span(cursor.peek()),
               fmt::format("how much `{}`? the amount stands before the oil: `add 1 drop {}`", cursor.text(), cursor.text()));
        return false;
    }
    const auto amount = read_amount(cursor, scope);
    if (!amount) return false;
    entry.amount = *amount;
    const auto name = read_name(cursor, scope, NameSpace::materials, {Kind::oil, Kind::blend, Kind::variation});
    if (name.decl == kNoDecl) return false;
    entry.decl = name.decl;
    entry.name_span = name.span;
    BenchEntry out;
    out.name = names_.at(name.decl).name;
    out.text = std::string(figure_text(*amount));
    out.span = entry.span;
    out.remark = take_remark(cursor);
    leftover(cursor);
    if (amount->bare()) {
        const Span at{amount->span.file, amount->span.end, amount->span.end};
        const bool one = amount->typical == Rational(1);
        report(Code::missing_unit, amount->span,
               fmt::format("{} of what? an amount on a bench has its unit", sources_.text(amount->span)))
            .fix("write `drops`", false, {{at, one ? " drop" : " drops"}})
            .fix("write `parts`", false, {{at, one ? " part" : " parts"}});
        return false;
    }
    const Dim dim = amount->dimension.top;
    if (amount->percent || amount->dimension.bottom != Dim::none ||
        (dim != Dim::part && dim != Dim::drop && dim != Dim::volume && dim != Dim::mass)) {
        report(Code::wrong_dimension, amount->span, "what goes into a beaker is counted in drops, parts, a volume or a weight");
        return false;
    }
    if (amount->is_range) {
        report(Code::unexpected_range, amount->span, "an amount on a bench is what went in: one figure, not a range");
        return false;
    }
    if (amount->typical.sign() < 0) {
        report(Code::log_only_adds, amount->number_span,
               fmt::format("`{}` is less than nothing: what is in the beaker can't come out, so a bench only adds", out.text))
            .note("raise all the others instead, or start a beaker from an earlier mark: `bench NAME from THIS at MARK { … }`");
        return false;
    }
    if (!check_positive(*amount, "this amount")) return false;
    if (bench.unit == Dim::none) {
        bench.unit = dim;
        draft.first = amount->span;
    } else if (bench.unit != dim) {
        report(Code::mixed_amounts, amount->span,
               fmt::format("this is {}, and the bench counts in {}: one log, one measure, so that its ratio stays exact",
                           unit_phrase(dim), unit_phrase(bench.unit)))
            .also(draft.first, "counted like this first");
        return false;
    }
    Blend scratch;
    scratch.measure = measure_of(bench.unit);
    if (!add_line(scratch, entry, amount->typical, "bench")) return false;
    out.title = title_of(name.decl);
    for (const BlendLine& line : scratch.lines) out.amounts.push_back({line.material, line.amount});
    row.entries.push_back(std::move(out));
    rows.push_back(std::move(entry));
    return true;
}

/// `strip ONE, OTHER "remark"`
bool Elaborator::read_strip(Cursor& cursor, std::uint32_t scope, BenchRow& row, std::unordered_set<DeclId>& seen) {
    if (starts_amount(cursor, scope)) {
        report(Code::wrong_shape, cursor.span(cursor.peek()), "on a strip nothing is counted: `strip` takes names alone");
        return false;
    }
    BenchEntry entry;
    entry.span = cursor.rest();
    const auto name = read_name(cursor, scope, NameSpace::materials, {Kind::oil, Kind::blend, Kind::variation});
    if (name.decl == kNoDecl) return false;
    entry.remark = take_remark(cursor);
    leftover(cursor);
    entry.name = names_.at(name.decl).name;
    if (!seen.insert(name.decl).second) {
        report(Code::duplicate_row, name.span, fmt::format("`{}` stands on this strip twice", name.text));
        return false;
    }
    const Kind kind = names_.at(name.decl).kind;
    if (kind == Kind::blend || kind == Kind::variation) {
        if (names_.at(name.decl).state == Decl::State::busy) {
            report(Code::bench_cycle, name.span, fmt::format("`{}` is made from this bench, so it can't be smelled on it before", name.text));
            return false;
        }
        const BlendId accord = blend(name.decl);
        if (accord == kNone || names_.at(name.decl).broken) {
            broken_ = true;
            return false;
        }
        for (const BlendLine& line : model_.blends[accord].lines) entry.amounts.push_back({line.material, line.amount});
    } else {
        const MaterialId oil = material(name.decl);
        if (names_.at(name.decl).broken) broken_ = true;
        if (oil == kNone) return false;
        entry.amounts.push_back({oil, Rational()});
    }
    entry.title = title_of(name.decl);
    row.entries.push_back(std::move(entry));
    return true;
}

/// The name after `mark` or `at`, in the form of all names; empty where it is none.
std::string_view Elaborator::read_mark(Cursor& cursor) {
    if (!cursor.is(AtomKind::word)) {
        report(cursor.done() ? Code::missing_value : Code::wrong_shape, cursor.done() ? cursor.before() : cursor.span(cursor.peek()),
               "a mark is a name: small letters, digits and underscores");
        return {};
    }
    const Span span = cursor.span(cursor.peek());
    const auto word = cursor.text();
    const auto good = [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_'; };
    if (is_reserved(word)) {
        report(Code::reserved_name, span, fmt::format("`{}` is a word of the language and can't be a mark", word));
        return {};
    }
    if (!(word[0] >= 'a' && word[0] <= 'z') || !std::all_of(word.begin(), word.end(), good)) {
        report(Code::bad_name, span, fmt::format("`{}` is no mark: names are small letters, digits and underscores, a letter first", word));
        return {};
    }
    cursor.take();
    return word;
}

BenchId Elaborator::bench(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const auto record = static_cast<BenchId>(model_.benches.size());
    model_.benches.emplace_back();
    names_.at(id).record = record;
    Bench b;
    b.header = header_of(decl);
    BenchDraft draft;
    read_bench_head(decl, b, draft);
    Beaker beaker;
    beaker.pour(b.start.amounts);
    bool smelled = !beaker.empty();
    std::string day;
    Span day_span;
    std::uint64_t entries = 0;
    std::uint64_t figures = beaker.amounts().size();
    bool told = false;
    const auto too_long = [&](Span span, std::string_view what, std::uint64_t limit) {
        if (!told) report(Code::bench_too_long, span, fmt::format("`{}` has more than {} {}, and that is the limit", decl.name, limit, what));
        told = true;
        broken_ = true;
    };
    const auto read_row = [&](const FieldSpec& spec, std::uint32_t r, Cursor& cursor) {
        const Span span = tree.head(tree.rows[r]);
        const auto items = tree.items_of(tree.rows[r]);
        if (told) return;
        if (b.rows.size() >= limits_.bench_rows) return too_long(span, "rows", limits_.bench_rows);
        entries += items.size();
        if (entries > limits_.formula_lines) return too_long(span, "oils in its rows", limits_.formula_lines);
        if (spec.field == Field::on) {
            if (!first_item_only(tree, r)) return;
            const Span at = cursor.done() ? cursor.before() : cursor.span(cursor.peek());
            const auto date = read_date(cursor);
            if (date.empty()) return;
            if (!day.empty() && is_after(day, date)) {
                report(Code::dates_backwards, at, fmt::format("`{}` is before {}: rows stand in the order in which they happened", date, day))
                    .also(day_span, "the day before this one in the log");
                return;
            }
            day = date;
            day_span = at;
            if (b.on.empty()) b.on = date;
            return;
        }
        BenchRow row;
        row.on = day;
        row.span = span;
        std::vector<BlendRow> added;
        if (spec.field == Field::add || spec.field == Field::strip) {
            row.act = spec.field == Field::add ? BenchAct::add : BenchAct::strip;
            smelled = true;
            bool good = true;
            std::unordered_set<DeclId> seen;
            for (std::size_t i = 0; i < items.size(); ++i) {
                Cursor at = i == 0 ? cursor : Cursor(tree, items[i]);
                good &= row.act == BenchAct::add ? read_bench_amount(at, decl.scope, b, draft, row, added)
                                                 : read_strip(at, decl.scope, row, seen);
                if (!good) break;
            }
            if (!good) {
                broken_ = true;
                return;
            }
            row.remark = std::exchange(row.entries.back().remark, {});  // the last text is the row's
            if (row.act == BenchAct::add) {
                for (const BenchEntry& entry : row.entries) beaker.pour(entry.amounts);
                figures += beaker.amounts().size();
                if (figures > limits_.bench_figures) return too_long(span, "figures in its running table", limits_.bench_figures);
                if (beaker.total().overflowed()) {
                    report(Code::number_overflow, span, "what is in the beaker is too large or too fine to add up exactly");
                    return;
                }
            }
        } else {
            const bool is_mark = spec.field == Field::mark;
            row.act = is_mark ? BenchAct::mark : BenchAct::after;
            if (!first_item_only(tree, r)) return;
            const Span at = cursor.done() ? cursor.before() : cursor.span(cursor.peek());
            if (is_mark) {
                row.mark = read_mark(cursor);
                if (row.mark.empty()) return;
            } else {
                const auto time = read_quantity(cursor, decl.scope, Dimension{Dim::clock, Dim::none}, "the time after `after`");
                if (!time || !check_positive(*time, "this time")) return;
                row.hours = time->typical;
                row.hours_text = std::string(sources_.text(time->span));
            }
            row.remark = take_remark(cursor);
            leftover(cursor);
            if (!is_mark && row.remark.empty()) {
                report(Code::missing_value, span, "how did it smell then? a remark is wanted: `after 24 h \"greener\"`");
                return;
            }
            if (is_mark ? (beaker.empty() && !broken_) : !smelled) {
                report(Code::nothing_in_beaker, span,
                       is_mark ? fmt::format("`{}` marks an empty beaker: something must have been added before it", row.mark)
                               : "nothing was mixed or smelled yet, so there is nothing to come back to");
                return;
            }
            if (const auto other = is_mark ? row_of_mark(b, row.mark) : std::nullopt) {
                report(Code::mark_twice, at, fmt::format("`{}` has a mark `{}` already: one name, one moment", decl.name, row.mark))
                    .also(b.rows[*other].span, "the first one");
                return;
            }
        }
        b.rows.push_back(std::move(row));
        draft.rows.push_back(std::move(added));
    };
    read_block(id, decl.row, kind_spec(Kind::bench), read_row, [&](std::uint32_t r) {
        const Span span = tree.head(tree.rows[r]);
        if (broken_) return;
        report(Code::wrong_shape, span, "a row of a bench says what was done: `add` goes before an amount")
            .fix("write `add` before it", false, {{Span{span.file, span.begin, span.begin}, "add "}});
    });
    if (broken_ || decl.broken) b.header.broken = true;
    line_count_ += figures;
    model_.benches[record] = std::move(b);
    bench_drafts_.emplace(record, std::move(draft));
    end(id, record);
    return record;
}

}  // namespace scruple
