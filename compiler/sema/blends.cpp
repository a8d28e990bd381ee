#include <fmt/core.h>

#include <algorithm>
#include <numeric>

#include "num/decimal.h"
#include "sema/elaborator.h"

namespace scruple {
namespace {

std::string_view amount_phrase(Dimension dimension, bool percent) {
    if (percent) return "a percentage";
    switch (dimension.top) {
        case Dim::part: return "parts";
        case Dim::drop: return "drops";
        case Dim::volume: return "a volume";
        case Dim::mass: return "a weight";
        default: return "something else";
    }
}

constexpr std::size_t kFewLines = 16;  // up to here a walk is faster than a map

bool same_kind(const Amount& a, const Amount& b) { return a.percent == b.percent && a.dimension == b.dimension; }

}  // namespace

/// Where in a blend a material stands.
class Elaborator::LinePlaces {
public:
    /// Its line; the line after the last where it has none yet, and the caller adds it.
    std::size_t of(MaterialId material, const std::vector<BlendLine>& lines) {
        if (lines.size() < kFewLines) {
            const auto at = std::find_if(lines.begin(), lines.end(), [&](const BlendLine& l) { return l.material == material; });
            return static_cast<std::size_t>(at - lines.begin());
        }
        for (; mapped_ < lines.size(); ++mapped_) places_.emplace(lines[mapped_].material, mapped_);
        const auto at = places_.find(material);
        return at == places_.end() ? lines.size() : at->second;
    }

private:
    std::unordered_map<MaterialId, std::size_t> places_;
    std::size_t mapped_ = 0;
};

/// One row of a blend: `6 parts OIL`, `20 % OIL`, `rest OIL`, with a remark. `skip` atoms are
/// read already. With `whole` false the amount may be missing (`remove x`).
std::optional<Elaborator::BlendRow> Elaborator::read_blend_row(std::uint32_t scope, const SyntaxTree& tree,
                                                               const Item& item, std::size_t skip) {
    Cursor cursor(tree, item);
    cursor.skip(std::min(skip, cursor.left()));
    BlendRow row;
    row.span = cursor.rest();
    if (cursor.take_word("rest")) {
        row.rest = true;
    } else {
        auto amount = read_amount(cursor, scope);
        if (!amount) return std::nullopt;
        row.amount = *amount;
    }
    const auto name = read_name(cursor, scope, NameSpace::materials, {Kind::oil, Kind::blend, Kind::variation});
    row.decl = name.decl;
    row.name_span = name.span;
    if (name.decl == kNoDecl) return std::nullopt;
    if (cursor.is(AtomKind::string)) cursor.take();
    leftover(cursor);
    if (row.rest) return row;
    if (row.amount.bare()) {
        const Span at{row.amount.span.file, row.amount.span.end, row.amount.span.end};
        report(Code::missing_unit, row.amount.span,
               fmt::format("{} of what? an amount in a blend has its unit", sources_.text(row.amount.span)))
            .fix("write `parts`", false, {{at, row.amount.typical == Rational(1) ? " part" : " parts"}})
            .fix("write `drops`", false, {{at, row.amount.typical == Rational(1) ? " drop" : " drops"}});
        return std::nullopt;
    }
    const Dim dim = row.amount.dimension.top;
    if (row.amount.dimension.bottom != Dim::none ||
        (dim != Dim::part && dim != Dim::drop && dim != Dim::volume && dim != Dim::mass && dim != Dim::fraction)) {
        report(Code::wrong_dimension, row.amount.span,
               "an amount in a blend is in parts, drops, per cent, a volume or a weight");
        return std::nullopt;
    }
    if (row.amount.percent && (row.amount.basis || row.amount.of != OfWord::none)) {
        report(Code::wrong_basis, row.amount.basis_span,
               "a blend says once for all rows what its percentages count: `by weight` or `by volume` as its first row");
        return std::nullopt;
    }
    if (row.amount.is_range) {
        report(Code::unexpected_range, row.amount.span, "an amount in a blend is one figure, not a range");
        return std::nullopt;
    }
    if (!check_positive(row.amount, "this amount")) return std::nullopt;
    if (row.amount.percent && row.amount.typical > Rational(1)) {
        report(Code::out_of_range, row.amount.number_span, "a share of a blend is at most 100 %");
        return std::nullopt;
    }
    if (row.amount.percent) note_let_basis(row.amount, "of a blend");
    return row;
}

bool Elaborator::settle_measure(Blend& blend, const BlendDraft& draft, const Decl& decl) {
    const BlendRow* first = nullptr;
    const BlendRow* rest = nullptr;
    bool good = true;
    for (const auto& row : draft.rows) {
        if (row.rest) {
            if (rest) {
                report(Code::rest_twice, row.span, "only one row can take the rest")
                    .also(rest->span, "this one takes it already");
                good = false;
            }
            rest = &row;
            continue;
        }
        if (!first) {
            first = &row;
        } else if (!same_kind(first->amount, row.amount)) {
            report(Code::mixed_amounts, row.amount.span,
                   fmt::format("this row is {}, and the blend counts in {}: one list, one measure",
                               amount_phrase(row.amount.dimension, row.amount.percent),
                               amount_phrase(first->amount.dimension, first->amount.percent)))
                .also(first->amount.span, amount_phrase(first->amount.dimension, first->amount.percent) == "parts"
                                              ? "parts, here"
                                              : "the first row");
            good = false;
        }
    }
    if (!good) return false;
    if (!first) {
        report(Code::rest_of_nothing, rest ? rest->span : decl.name_span, "a rest needs other rows to be the rest of");
        return false;
    }
    blend.percent = first->amount.percent;
    if (rest && !blend.percent) {
        report(Code::rest_without_percent, rest->span,
               fmt::format("a rest goes with percentages, and this blend counts in {}",
                           amount_phrase(first->amount.dimension, false)));
        return false;
    }
    const Dim dim = first->amount.dimension.top;
    blend.counted = dim;
    if (blend.percent) {
        if (!draft.by) {
            const Span at{first->span.file, first->span.begin, first->span.begin};
            report(Code::percent_of_what, first->amount.span,
                   "a blend in per cent says first whether they are by weight or by volume")
                .fix("by weight", false, {{at, "by weight\n    "}})
                .fix("by volume", false, {{at, "by volume\n    "}});
            return false;
        }
        blend.measure = *draft.by;
        return true;
    }
    blend.measure = dim == Dim::mass ? Measure::mass : dim == Dim::drop ? Measure::drops : Measure::volume;
    if (draft.by && dim == Dim::part) blend.measure = *draft.by;
    if (draft.by && dim != Dim::part && *draft.by != blend.measure) {
        report(Code::mixed_amounts, draft.by_span,
               fmt::format("the blend counts in {}, so it can't be {}", amount_phrase(first->amount.dimension, false),
                           *draft.by == Measure::mass ? "by weight" : "by volume"))
            .also(first->amount.span, "the first row");
        return false;
    }
    return true;
}

bool Elaborator::add_line(Blend& blend, const BlendRow& row, const Rational& amount, std::string_view what) {
    LinePlaces places;
    return add_line(blend, row, amount, places, what);
}

bool Elaborator::add_line(Blend& blend, const BlendRow& row, const Rational& amount, LinePlaces& places,
                          std::string_view what) {
    const auto put = [&](MaterialId material, const Rational& part) {
        const std::size_t at = places.of(material, blend.lines);
        if (at == blend.lines.size()) {
            blend.lines.push_back({part, material, row.span, row.name_span});
        } else {
            blend.lines[at].amount += part;
        }
    };
    const Kind kind = names_.at(row.decl).kind;
    if (kind == Kind::oil || kind == Kind::ingredient) {
        const MaterialId m = material(row.decl);
        if (names_.at(row.decl).broken) broken_ = true;
        if (m == kNone) return false;
        put(m, amount);
        return true;
    }
    // An accord: its oils in their own ratio, so that the row's amount is what they come to.
    if (names_.at(row.decl).state == Decl::State::busy) {
        report(Code::variation_cycle, row.name_span,
               fmt::format("`{}` is made of itself: blends in each other make a circle", names_.at(row.decl).name))
            .also(names_.at(row.decl).name_span, "declared here");
        return false;
    }
    const BlendId accord = this->blend(row.decl);
    if (names_.at(row.decl).broken || accord == kNone) {
        broken_ = true;
        return false;
    }
    const Blend& inner = model_.blends[accord];
    if (inner.measure != blend.measure) {
        const auto word = [](Measure m) {
            return m == Measure::mass ? "by weight" : m == Measure::drops ? "in drops" : "by volume";
        };
        report(Code::wrong_basis, row.span,
               fmt::format("`{}` is counted {}, and this {} {}: an accord and its {} count alike", inner.header.name,
                           word(inner.measure), what, word(blend.measure), what))
            .also(inner.header.name_span, fmt::format("counted {}", word(inner.measure)));
        return false;
    }
    for (const auto& line : inner.lines) put(line.material, amount * line.amount / inner.total);
    return true;
}

void Elaborator::finish_blend(Blend& blend, const BlendDraft& draft, const Decl& decl) {
    if (draft.rows.empty()) {
        report(Code::no_rows, decl.name_span, "a blend needs at least one oil");
        return;
    }
    if (!settle_measure(blend, draft, decl)) return;
    const Rational whole(1);
    Rational sum;
    const BlendRow* rest = nullptr;
    for (const auto& row : draft.rows) {
        if (row.rest) {
            rest = &row;
        } else {
            sum += row.amount.typical;
        }
    }
    if (sum.overflowed()) {
        report(Code::number_overflow, decl.name_span, "the amounts of this blend are too large or too fine to add up exactly");
        return;
    }
    if (blend.percent) {
        const auto percent = [](const Rational& r) { return format_exact(r * Rational(100)); };
        if (rest && sum >= whole) {
            report(Code::rest_of_nothing, rest->span,
                   fmt::format("nothing is left for the rest: the other rows come to {} %", percent(sum)));
            return;
        }
        if (!rest && sum != whole) {
            auto added = report(Code::not_closed, decl.name_span,
                                fmt::format("the rows come to {} %, and a blend in per cent must come to 100 %", percent(sum)));
            const Rational gap = whole - sum;
            added.note(gap.sign() > 0
                           ? fmt::format("{} % is missing: give it to an oil, or write `rest` in place of one amount", percent(gap))
                           : fmt::format("{} % is too much", percent(-gap)));
            return;
        }
    }
    LinePlaces places;
    blend.lines.reserve(draft.rows.size());
    bool good = true;
    for (const auto& row : draft.rows) {
        good &= add_line(blend, row, row.rest ? whole - sum : row.amount.typical, places);
    }
    if (!good) return;
    if (blend.lines.size() > limits_.formula_lines) {
        report(Code::formula_too_long, decl.name_span,
               fmt::format("the blend comes to {} lines, and the limit is {}", blend.lines.size(), limits_.formula_lines));
        return;
    }
    blend.total = blend.percent ? whole : sum;
    for (const auto& line : blend.lines) {
        if (line.amount.overflowed()) {
            report(Code::number_overflow, line.span, "the amounts of this accord are too fine to work out exactly");
            return;
        }
    }
}

void Elaborator::report_twice(const BlendDraft& draft) {
    const auto& rows = draft.rows;
    if (rows.size() < kFewLines) {
        bool any = false;
        for (std::size_t i = 1; i < rows.size() && !any; ++i) {
            any = std::any_of(rows.begin(), rows.begin() + static_cast<std::ptrdiff_t>(i),
                              [&](const BlendRow& r) { return r.decl == rows[i].decl; });
        }
        if (!any) return;
    }
    std::vector<std::pair<DeclId, std::size_t>> seen;
    seen.reserve(rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) seen.emplace_back(rows[i].decl, i);
    std::sort(seen.begin(), seen.end());
    for (std::size_t i = 1; i < seen.size(); ++i) {
        if (seen[i].first != seen[i - 1].first) continue;
        const BlendRow& again = rows[seen[i].second];
        report(Code::duplicate_row, again.name_span,
               fmt::format("`{}` stands in this blend twice: one row an oil", sources_.text(again.name_span)))
            .also(rows[seen[i - 1].second].span, "the first row");
    }
}

/// True once a list has more rows than a formula may have; said once, at the row that is too many.
bool Elaborator::too_long(std::size_t rows, const Decl& decl) {
    if (rows < limits_.formula_lines) return false;
    if (rows == limits_.formula_lines && too_long_told_ != decl.name_span.begin) {
        too_long_told_ = decl.name_span.begin;
        report(Code::formula_too_long, decl.name_span,
               fmt::format("`{}` has more than {} rows, and that is the limit", decl.name, limits_.formula_lines));
    }
    broken_ = true;
    return true;
}

BlendId Elaborator::blend(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const auto record = static_cast<BlendId>(model_.blends.size());
    model_.blends.emplace_back();
    names_.at(id).record = record;
    Blend b;
    BlendDraft draft;
    b.header = header_of(decl);
    if (decl.kind == Kind::variation) {
        read_variation(id, b, draft);
    } else {
        DeclId like = kNoDecl;
        Header scratch;
        Cursor head = after_name(decl);
        const bool from = head.take_word("from");
        if (from) {
            read_blend_from(head, decl, b, draft);
        } else {
            start_like(id, scratch, like);
        }
        draft.rows.reserve(std::min<std::size_t>(tree.rows[decl.row].next - decl.row, kFewLines));
        read_block(
            id, decl.row, kind_spec(Kind::blend),
            [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
                if (spec.field == Field::by) {
                    if (from) {
                        report(Code::rows_beside_mark, tree.head(tree.rows[row]),
                               "a blend from a bench counts as the bench does, and says nothing of its own about that");
                        return;
                    }
                    draft.by_span = tree.head(tree.rows[row]);
                    const auto word = read_word(cursor, spec);
                    leftover(cursor);
                    if (!word.empty()) draft.by = word == "weight" ? Measure::mass : Measure::volume;
                } else if (spec.field == Field::intent) {
                    b.intent = read_words(tree, row, cursor, spec);
                } else {
                    read_texts(tree, row, cursor);
                }
            },
            [&](std::uint32_t r) {
                if (from) {
                    if (broken_) return;
                    report(Code::rows_beside_mark, tree.head(tree.rows[r]),
                           "a blend from a bench has the ratio of its mark, and no rows of its own")
                        .note("`variation NAME of BLEND { … }` changes it, or the bench goes on to another mark");
                    return;
                }
                for (const Item& item : tree.items_of(tree.rows[r])) {
                    if (too_long(draft.rows.size(), decl)) return;
                    if (auto row = read_blend_row(decl.scope, tree, item, 0)) {
                        draft.rows.push_back(std::move(*row));
                    }
                }
                if (tree.rows[r].has_block) {
                    report(Code::unused_block, tree.span(tree.rows[r].open, tree.rows[r].open + 1),
                           "a row of a blend takes no block");
                }
            });
        if (!from) report_twice(draft);
    }
    if (!broken_ && !decl.broken) finish_blend(b, draft, decl);
    line_count_ += b.lines.size();
    b.header.broken = broken_ || decl.broken;
    model_.blends[record] = std::move(b);
    if (varied_.contains(decl.name)) drafts_.emplace(record, std::move(draft));
    end(id, record);
    return record;
}

}  // namespace scruple
