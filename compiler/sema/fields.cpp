#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <unordered_set>

#include "base/date.h"
#include "base/text.h"
#include "sema/elaborator.h"

namespace scruple {

void Elaborator::read_block(DeclId id, std::uint32_t block_row, const KindSpec& kind, const FieldHandler& on_field,
                            const RowHandler& on_row) {
    const Decl& decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const std::uint32_t scope = decl.scope;
    const Row& head = tree.rows[block_row];
    if (!head.has_block) {
        if (kind.block && !head.broken) {
            report(Code::no_rows, tree.head(head),
                   fmt::format("{} needs a block: rows between braces, the `{{` on this line", kind_phrase(kind.kind)));
        }
        return;
    }
    std::array<Span, kFieldCount> seen{};  // by Field
    const std::size_t brace_line_end = tree.text.find('\n', head.open);
    for (std::uint32_t r = tree.children_begin(block_row); r < tree.children_end(block_row); r = tree.rows[r].next) {
        const Row& row = tree.rows[r];
        if (row.kind == RowKind::error || row.broken) {
            broken_ = true;
            continue;
        }
        if (row.kind != RowKind::entry || row.item_count == 0) continue;
        Cursor cursor(tree, tree.items_of(row)[0]);
        if (cursor.done()) continue;
        // One mistake is one finding: what else a row gives after its first follows from it.
        struct Guard {
            Elaborator* self;
            RowMark mark;
            Span row;
            ~Guard() {
                if (self->bag_.size() != mark.bag || self->unknown_log_.size() != mark.log) self->one_finding(mark, row);
            }
        } guard{this, mark_row(), tree.head(row)};
        const bool word = cursor.is(AtomKind::word);
        const auto text = word ? cursor.text() : std::string_view{};
        const bool amount = starts_amount(cursor, scope) || (word && (text == "rest" || text == "none")) ||
                            (word && kind.rows == Rows::limit &&
                             (text == "unlimited" || text == "unstated" || text == "peroxide"));
        if (amount) {
            if (kind.rows != Rows::none && on_row) {
                on_row(r);
            } else if (never_closed(tree.rows[decl.row])) {
                broken_ = true;
            } else {
                report(Code::unexpected_text, tree.head(row),
                       fmt::format("{} holds fields, and a row that starts with an amount belongs in none",
                                   kind_phrase(kind.kind)));
            }
            continue;
        }
        const Span first = cursor.span(cursor.peek());
        // What stands beside the brace belongs before it where the head is wrong already.
        if (broken_ && row.begin < brace_line_end && !(word && find_field(kind, text))) continue;
        const FieldSpec* spec = word ? find_field(kind, text) : nullptr;
        if (!spec) {
            if (never_closed(tree.rows[decl.row])) {
                broken_ = true;
                continue;
            }
            if (!word) {
                report(Code::unexpected_text, first,
                       fmt::format("a row starts with a field{}, and `{}` is neither",
                                   kind.rows == Rows::none ? "" : " or an amount", sources_.text(first)));
                continue;
            }
            static constexpr std::string_view kTakesOut[] = {"remove", "replace", "set", "subtract", "take", "undo"};
            if (kind.kind == Kind::bench && std::find(std::begin(kTakesOut), std::end(kTakesOut), text) != std::end(kTakesOut)) {
                report(Code::log_only_adds, first,
                       fmt::format("`{}` is no row of a bench: what is in the beaker can't come out, so a log only adds", text))
                    .note("raise all the others instead, or start a beaker from an earlier mark: "
                          "`bench NAME from THIS at MARK { … }`");
                continue;
            }
            std::vector<std::string> fields;
            for (const auto& f : kind.fields) fields.emplace_back(f.word);
            // A row that begins with a material's name has lost its amount, not its field.
            const bool rows_of_materials = kind.rows == Rows::blend || kind.rows == Rows::base;
            const auto near = nearest(text, fields);
            if (near.empty() && kind.rows != Rows::none && nameless_[static_cast<std::size_t>(NameSpace::units)]) {
                broken_ = true;  // it may be the named quantity whose name is missing
                continue;
            }
            if (rows_of_materials && near.empty() && names_.find(scope, NameSpace::materials, text) != kNoDecl) {
                ++names_.at(names_.find(scope, NameSpace::materials, text)).uses;
                report(Code::missing_value, first, fmt::format("how much `{}`? a row starts with its amount", text));
                continue;
            }
            auto added = report(Code::unknown_field, first,
                                fmt::format("{} has no field `{}`", kind_phrase(kind.kind), text));
            if (!near.empty()) {
                added.label(fmt::format("did you mean `{}`?", near));
                added.fix(fmt::format("write `{}`", near), surely(text, near, fields), {{first, near}});
            } else {
                std::string list;
                for (const auto& f : fields) list += (list.empty() ? "`" : ", `") + f + "`";
                added.note(fields.empty() ? "it has none" : "its fields are " + list);
            }
            continue;
        }
        auto& earlier = seen[static_cast<std::size_t>(spec->field)];
        if (earlier.known() && !spec->repeatable) {
            report(Code::duplicate_field, first,
                   fmt::format("`{}` is said twice, and only once makes sense", spec->word))
                .also(earlier, "the first time");
            continue;
        }
        earlier = first;
        if (row.has_block && spec->shape != Shape::block &&
            tree.view(row.head_end, row.open).find('\n') != std::string_view::npos) {
            // Said already; but the brace was not meant for this row.
            broken_ = true;
            const Span brace = tree.span(row.open, row.open + 1);
            if (Diagnostic* said = may_suggest() ? bag_.find(Code::brace_on_next_line, brace) : nullptr) {
                said->notes.push_back(fmt::format("`{}` takes no block: the row that this one belongs to may be missing", spec->word));
                for (auto& fix : said->fixes) fix.safe = false;
            }
        } else if (row.has_block && spec->shape != Shape::block) {
            report(Code::unused_block, tree.span(row.open, row.open + 1),
                   fmt::format("`{}` takes no block", spec->word));
        }
        cursor.take();
        on_field(*spec, r, cursor);
    }
    if (broken_ || decl.broken) return;
    for (const auto& f : kind.fields) {
        if (!f.required || seen[static_cast<std::size_t>(f.field)].known()) continue;
        report(Code::missing_field, decl.name_span,
               fmt::format("{} must say its `{}`: {}", kind_phrase(kind.kind), f.word, f.doc));
    }
}

bool Elaborator::first_item_only(const SyntaxTree& tree, std::uint32_t row) {
    const auto items = tree.items_of(tree.rows[row]);
    if (items.size() <= 1) return true;
    const Cursor second(tree, items[1]);
    report(Code::unexpected_text, second.whole(), "this field takes one value, and a list stands here");
    return false;
}

std::string Elaborator::read_text(Cursor& cursor) {
    if (!cursor.is(AtomKind::string)) {
        const Span at = cursor.done() ? cursor.before() : cursor.span(cursor.peek());
        report(cursor.done() ? Code::missing_value : Code::wrong_shape, at, "a text in double quotes is wanted here");
        return {};
    }
    auto value = string_value(cursor.text());
    cursor.take();
    leftover(cursor);
    return value;
}

std::vector<std::string> Elaborator::read_texts(const SyntaxTree& tree, std::uint32_t row, Cursor first) {
    std::vector<std::string> out;
    const auto items = tree.items_of(tree.rows[row]);
    for (std::size_t i = 0; i < items.size(); ++i) {
        Cursor cursor = i == 0 ? first : Cursor(tree, items[i]);
        if (cursor.is(AtomKind::string) && cursor.is(AtomKind::string, 1)) {
            const Span first_text = cursor.span(cursor.peek());
            const Span end{first_text.file, first_text.end, first_text.end};
            report(Code::unexpected_text, cursor.span(cursor.peek(1)), "two texts side by side, and a comma goes between them")
                .fix("put a comma between them", true, {{end, ","}});
            break;
        }
        auto text = read_text(cursor);
        if (text.empty()) break;
        out.push_back(std::move(text));
    }
    return out;
}

std::string_view Elaborator::read_word(Cursor& cursor, const FieldSpec& spec) {
    if (!cursor.is(AtomKind::word)) {
        const Span at = cursor.done() ? cursor.before() : cursor.span(cursor.peek());
        report(cursor.done() ? Code::missing_value : Code::wrong_shape, at,
               fmt::format("a word is wanted here: {}", spec.doc));
        return {};
    }
    const Span span = cursor.span(cursor.peek());
    const auto word = cursor.text();
    cursor.take();
    if (!spec.choices.empty() && std::find(spec.choices.begin(), spec.choices.end(), word) == spec.choices.end()) {
        std::vector<std::string> choices(spec.choices.begin(), spec.choices.end());
        if (spec.open) {
            if (const auto near = may_suggest() ? nearest(word, choices) : std::string{};
                !near.empty() && word.size() >= 4 && edit_distance(word, near, 1) == 1) {
                report(Code::near_word, span,
                       fmt::format("`{}` is one slip away from `{}`, a usual word for `{}`", word, near, spec.word))
                    .fix(fmt::format("write `{}`", near), false, {{span, near}});
            }
            return word;
        }
        std::string list;
        for (std::size_t i = 0; i < choices.size(); ++i) {
            if (i > 0) list += i + 1 == choices.size() ? " or " : ", ";
            list += "`" + choices[i] + "`";
        }
        auto added = report(Code::unknown_word, span, fmt::format("`{}` can't be `{}`: it is {}", spec.word, word, list));
        if (const auto near = nearest(word, choices); !near.empty()) {
            added.label(fmt::format("did you mean `{}`?", near));
            added.fix(fmt::format("write `{}`", near), surely(word, near, choices), {{span, near}});
        }
        return {};
    }
    return word;
}

std::vector<std::string_view> Elaborator::read_words(const SyntaxTree& tree, std::uint32_t row, Cursor first,
                                                     const FieldSpec& spec) {
    std::vector<std::string_view> out;
    std::unordered_set<std::string_view> seen;
    const auto items = tree.items_of(tree.rows[row]);
    for (std::size_t i = 0; i < items.size(); ++i) {
        Cursor cursor = i == 0 ? first : Cursor(tree, items[i]);
        const Span span = cursor.whole();
        const auto word = read_word(cursor, spec);
        if (word.empty()) continue;
        leftover(cursor);
        if (!seen.insert(word).second) {
            report(Code::duplicate_row, i == 0 ? cursor.before() : span, fmt::format("`{}` stands in the list twice", word));
            continue;
        }
        out.push_back(word);
    }
    return out;
}

std::vector<std::pair<DeclId, Span>> Elaborator::read_names(const SyntaxTree& tree, std::uint32_t row, Cursor first,
                                                            std::uint32_t scope, NameSpace space,
                                                            const Kinds& kinds) {
    std::vector<std::pair<DeclId, Span>> out;
    std::unordered_set<DeclId> seen;
    const auto items = tree.items_of(tree.rows[row]);
    for (std::size_t i = 0; i < items.size(); ++i) {
        Cursor cursor = i == 0 ? first : Cursor(tree, items[i]);
        const auto name = read_name(cursor, scope, space, kinds);
        if (name.decl == kNoDecl) continue;
        leftover(cursor);
        if (!seen.insert(name.decl).second) {
            report(Code::duplicate_row, name.span, fmt::format("`{}` stands in the list twice", name.text));
            continue;
        }
        out.emplace_back(name.decl, name.span);
    }
    return out;
}

std::optional<Rational> Elaborator::read_percent(Cursor& cursor, std::uint32_t scope, const FieldSpec& spec) {
    auto amount = read_amount(cursor, scope);
    if (!amount) return std::nullopt;
    leftover(cursor);
    if (!amount->percent) {
        report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
               fmt::format("`{}` is a percentage: {}", spec.word, spec.doc));
        return std::nullopt;
    }
    if (amount->basis || amount->of != OfWord::none) {
        report(Code::wrong_basis, amount->basis_span,
               fmt::format("`{}` takes a bare percentage: {}", spec.word, spec.doc));
        return std::nullopt;
    }
    if (amount->is_range) {
        report(Code::unexpected_range, amount->span, fmt::format("`{}` is one figure, not a range", spec.word));
        return std::nullopt;
    }
    const double value = amount->typical.to_double();
    if (value < spec.least || value > spec.most) {
        report(amount->typical.sign() < 0 ? Code::negative_amount : Code::out_of_range, amount->span,
               fmt::format("`{}` is from {:g} to {:g} %", spec.word, spec.least * 100, spec.most * 100));
        return std::nullopt;
    }
    note_let_basis(*amount, fmt::format("in `{}`", spec.word));
    return amount->typical;
}

/// `source handbook "Essential Oil Safety, 2nd ed. 2014"`
SourceId Elaborator::read_source(Cursor& cursor) {
    Source source;
    source.span = cursor.rest();
    if (!cursor.is(AtomKind::word)) {
        report(Code::wrong_shape, cursor.done() ? cursor.before() : cursor.rest(),
               "a source says how sure it is and then which: `source handbook \"…\"`");
        return kNone;
    }
    const Span span = cursor.span(cursor.peek());
    const auto standing = standing_from_word(cursor.text());
    if (!standing) {
        report(Code::unknown_word, span, fmt::format("`{}` is no standing of a source", cursor.text()))
            .note("law, standard, handbook, supplier, paper, practice, recalled, vague, derived, estimate or disputed");
        return kNone;
    }
    source.standing = *standing;
    cursor.take();
    const auto text = read_text(cursor);
    if (text.empty()) return kNone;
    model_.texts.push_back(text);
    source.text = model_.texts.back();
    model_.sources.push_back(source);
    return static_cast<SourceId>(model_.sources.size() - 1);
}

std::optional<Range> Elaborator::read_figure(Cursor& cursor, std::uint32_t scope, const FieldSpec& spec,
                                             std::optional<double>* at_c, SourceId* source) {
    auto amount = read_quantity(cursor, scope, spec.dimension, fmt::format("`{}`", spec.word), true);
    if (!amount) return std::nullopt;
    if (cursor.take_word("at")) {
        const auto at = read_quantity(cursor, scope, Dimension{Dim::temperature, Dim::none}, "the temperature after `at`");
        if (!at) return std::nullopt;
        if (at_c) *at_c = at->typical.to_double();
    }
    const SourceId by = read_by(cursor, scope);
    if (source) *source = by;
    if (cursor.is(AtomKind::string)) cursor.take();  // a remark on the figure
    leftover(cursor);
    Range range{amount->low.to_double(), amount->typical.to_double(), amount->high.to_double(), amount->stated_typical};
    if (range.low < spec.least || range.high > spec.most) {
        report(amount->low.sign() < 0 ? Code::negative_amount : Code::out_of_range, amount->span,
               fmt::format("`{}` can't be `{}`", spec.word, sources_.text(amount->span)))
            .note(std::string(spec.doc));
        return std::nullopt;
    }
    return range;
}

/// `24 months sealed, 12 months opened`: what counts for a product is the shorter time.
std::optional<Rational> Elaborator::read_keeps(const SyntaxTree& tree, std::uint32_t row, Cursor first, std::uint32_t scope,
                                               std::optional<Rational>* opened_time) {
    std::optional<Rational> out;
    bool sealed = false;
    bool opened = false;
    const auto items = tree.items_of(tree.rows[row]);
    for (std::size_t i = 0; i < items.size(); ++i) {
        Cursor cursor = i == 0 ? first : Cursor(tree, items[i]);
        const auto amount = read_quantity(cursor, scope, Dimension{Dim::calendar, Dim::none}, "a keeping time");
        if (!amount || !check_positive(*amount, "a keeping time")) return out;
        const bool is_sealed = cursor.take_word("sealed");
        const bool is_opened = !is_sealed && cursor.take_word("opened");
        if (items.size() > 1 && !is_sealed && !is_opened && cursor.done()) {
            report(Code::missing_value, amount->span,
                   fmt::format("is `{}` sealed or opened? where two times stand, each says which it is",
                               sources_.text(amount->span)));
            return out;
        }
        if ((is_sealed && sealed) || (is_opened && opened)) {
            report(Code::duplicate_clause, join(amount->span, cursor.before()),
                   fmt::format("how long it keeps {} is said twice", is_sealed ? "sealed" : "opened"));
            return out;
        }
        sealed = sealed || is_sealed;
        opened = opened || is_opened;
        leftover(cursor);
        if (is_opened && opened_time) *opened_time = amount->typical;
        if (!out || amount->typical < *out) out = amount->typical;
    }
    return out;
}

/// CAS Registry Number check digit: digits before it, from the right, times 1, 2, 3 …, summed modulo 10.
std::string Elaborator::read_day(Cursor& cursor) {
    if (!cursor.is(AtomKind::date) && !cursor.is(AtomKind::month)) {
        if (!cursor.done() && bag_.find(Code::dash_range, cursor.span(cursor.peek()))) {
            broken_ = true;  // said already: a date with a dash too many was taken for a range
            return {};
        }
        report(Code::wrong_shape, cursor.done() ? cursor.before() : cursor.rest(), "a date is written 2026-05-02");
        return {};
    }
    if (!valid_date(cursor.text())) {
        report(Code::bad_date, cursor.span(cursor.peek()), fmt::format("`{}` is not in the calendar", cursor.text()));
        return {};
    }
    std::string date(cursor.text());
    cursor.take();
    return date;
}

/// A date that ends its row.
std::string Elaborator::read_date(Cursor& cursor) {
    auto date = read_day(cursor);
    if (!date.empty()) leftover(cursor);
    return date;
}

void Elaborator::check_cas(std::string_view cas, Span span) {
    int sum = 0;
    int position = 0;
    std::size_t dashes = 0;
    bool shape = cas.size() >= 7 && cas.size() <= 12;
    for (std::size_t i = cas.size(); shape && i-- > 0;) {
        const char c = cas[i];
        if (c == '-') {
            ++dashes;
            continue;
        }
        if (c < '0' || c > '9') {
            shape = false;
            break;
        }
        if (position > 0) sum += (c - '0') * position;
        ++position;
    }
    shape = shape && dashes == 2 && cas[cas.size() - 2] == '-' && cas[cas.size() - 5] == '-';
    if (shape && sum % 10 == cas.back() - '0') return;
    report(Code::bad_cas, span,
           shape ? fmt::format("the last digit of `{}` should be {}: a digit is mistyped", cas, sum % 10)
                 : fmt::format("`{}` is no CAS number: those look like 78-70-6", cas));
}

}  // namespace scruple
