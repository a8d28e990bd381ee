#include <fmt/core.h>

#include <algorithm>

#include "num/decimal.h"
#include "sema/elaborator.h"

namespace scruple {

/// What a variation's head names after `of`, without reporting anything.
DeclId Elaborator::variation_base(const Decl& decl) {
    Cursor cursor = after_name(decl);
    if (!cursor.take_word("of") || !cursor.is(AtomKind::word)) return kNoDecl;
    return names_.find(decl.scope, NameSpace::materials, cursor.text());
}

/// Follows `of` from a variation to its blend. A circle is said once, at its first member, and prints itself; a chain
/// that is too long at the first variation beyond the limit.
bool Elaborator::check_chain(DeclId id) {
    std::vector<DeclId> chain{id};
    for (DeclId at = variation_base(names_.at(id)); at != kNoDecl; at = variation_base(names_.at(at))) {
        if (names_.at(at).kind != Kind::variation) break;
        if (at == id) {
            if (*std::min_element(chain.begin(), chain.end()) == id) {
                std::string text;
                for (const DeclId c : chain) text += fmt::format("`{}` -> ", names_.at(c).name);
                auto added = report(Code::variation_cycle, names_.at(id).name_span,
                                    fmt::format("these variations are made of each other: {}`{}`", text, names_.at(id).name));
                for (std::size_t i = 1; i < chain.size() && i < 4; ++i) {
                    added.also(names_.at(chain[i]).name_span, "in the circle too");
                }
            }
            broken_ = true;
            return false;
        }
        if (std::find(chain.begin(), chain.end(), at) != chain.end()) {
            broken_ = true;  // leads into a circle that is said elsewhere
            return false;
        }
        chain.push_back(at);
        if (chain.size() > limits_.variation_depth + 1u) break;
    }
    if (chain.size() > limits_.variation_depth) {
        if (chain.size() == limits_.variation_depth + 1u) {
            report(Code::variation_too_deep, names_.at(id).name_span,
                   fmt::format("`{}` is more than {} variations away from its blend, and that is the limit",
                               names_.at(id).name, limits_.variation_depth));
        }
        broken_ = true;
        return false;
    }
    return true;
}

/// One action on one oil. Judged against the blend before any action, so that the order of rows means nothing.
void Elaborator::apply_action(Field action, std::uint32_t scope, const SyntaxTree& tree, const Item& item,
                              Cursor cursor, const BlendDraft& before, BlendDraft& draft,
                              std::vector<std::pair<DeclId, Span>>& touched) {
    if (touched.size() >= limits_.formula_lines) {
        if (broken_) return;  // said already, or broken anyway
        report(Code::formula_too_long, cursor.rest(),
               fmt::format("a variation with more than {} actions is more than the limit", limits_.formula_lines));
        return;
    }
    const Kinds kinds{Kind::oil, Kind::blend, Kind::variation};
    const auto touch = [&](DeclId decl, Span span) {
        for (const auto& [other, where] : touched) {
            if (other != decl) continue;
            report(Code::one_action, span, fmt::format("`{}` has an action already: one an oil", names_.at(decl).name))
                .also(where, "the other action");
            return false;
        }
        touched.emplace_back(decl, span);
        return true;
    };
    const auto find = [](const BlendDraft& d, DeclId decl) {
        return std::find_if(d.rows.begin(), d.rows.end(), [&](const BlendRow& r) { return r.decl == decl; });
    };
    const auto slot = [&](DeclId decl) -> BlendRow& {
        return *std::find_if(draft.rows.begin(), draft.rows.end(), [&](const BlendRow& r) { return r.decl == decl; });
    };
    const auto fits = [&](const BlendRow& row) {
        if (row.rest || before.rows.empty()) return true;
        const auto like = std::find_if(before.rows.begin(), before.rows.end(), [](const BlendRow& r) { return !r.rest; });
        if (like == before.rows.end() ||
            (like->amount.percent == row.amount.percent && like->amount.dimension == row.amount.dimension)) {
            return true;
        }
        report(Code::mixed_amounts, row.amount.span,
               "a variation counts in the same measure as the blend that it varies")
            .also(like->amount.span, "the blend counts like this");
        return false;
    };
    const auto absent = [&](DeclId decl, Span span) {
        auto added = report(Code::not_there, span,
                            fmt::format("`{}` isn't in the blend that this varies", names_.at(decl).name));
        std::string list;
        for (const auto& r : before.rows) list += fmt::format("{}`{}`", list.empty() ? "" : ", ", names_.at(r.decl).name);
        added.note("the blend holds " + list);
    };
    if (action == Field::remove) {
        const auto name = read_name(cursor, scope, NameSpace::materials, kinds);
        if (name.decl == kNoDecl) return;
        if (cursor.is(AtomKind::string)) cursor.take();
        leftover(cursor);
        if (!touch(name.decl, name.span)) return;
        if (find(before, name.decl) == before.rows.end()) return absent(name.decl, name.span);
        draft.rows.erase(find(draft, name.decl));
        return;
    }
    if (action == Field::replace) {
        const auto name = read_name(cursor, scope, NameSpace::materials, kinds);
        if (name.decl == kNoDecl) return;
        if (!cursor.take_word("with")) {
            report(Code::missing_value, cursor.done() ? cursor.before() : cursor.rest(),
                   "replace it with what? `replace OIL with 2 parts OTHER_OIL`");
            return;
        }
        BlendRow row;
        row.span = cursor.rest();
        const auto old = find(before, name.decl);
        if (starts_amount(cursor, scope) || cursor.is_word("rest")) {
            auto read = read_blend_row(scope, tree, item, cursor.position());
            if (!read) return;
            row = std::move(*read);
        } else {
            const auto with = read_name(cursor, scope, NameSpace::materials, kinds);
            if (with.decl == kNoDecl) return;
            if (cursor.is(AtomKind::string)) cursor.take();
            leftover(cursor);
            row.decl = with.decl;
            row.name_span = with.span;
            if (old != before.rows.end()) {
                row.amount = old->amount;
                row.rest = old->rest;
            }
        }
        if (!touch(name.decl, name.span)) return;
        if (old == before.rows.end()) return absent(name.decl, name.span);
        if (row.decl == name.decl) {
            report(Code::no_effect, row.name_span,
                   fmt::format("replacing `{}` with itself changes nothing: `set` changes an amount", name.text));
            return;
        }
        if (!touch(row.decl, row.name_span) || !fits(row)) return;
        if (const auto there = find(before, row.decl); there != before.rows.end()) {
            report(Code::already_there, row.name_span, fmt::format("`{}` is in the blend already", names_.at(row.decl).name))
                .also(there->span, "here");
            return;
        }
        slot(name.decl) = row;
        return;
    }
    auto row = read_blend_row(scope, tree, item, cursor.position());
    if (!row || !touch(row->decl, row->name_span) || !fits(*row)) return;
    const auto there = find(before, row->decl);
    if (action == Field::add) {
        if (there != before.rows.end()) {
            report(Code::already_there, row->name_span,
                   fmt::format("`{}` is in the blend already: `set` changes its amount", names_.at(row->decl).name))
                .also(there->span, "here");
            return;
        }
        draft.rows.push_back(*row);
        return;
    }
    if (there == before.rows.end()) return absent(row->decl, row->name_span);
    if (there->rest == row->rest && (row->rest || there->amount.typical == row->amount.typical)) {
        report(Code::no_effect, row->span,
               fmt::format("`{}` is at this amount already, so setting it changes nothing", names_.at(row->decl).name))
            .also(there->span, "set here");
        return;
    }
    slot(row->decl) = *row;
}

void Elaborator::read_variation(DeclId id, Blend& blend, BlendDraft& draft) {
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    Cursor head = after_name(decl);
    if (!head.take_word("of")) {
        if (!decl.broken) {
            report(Code::missing_value, decl.name_span,
                   fmt::format("a variation of what? `variation {} of night_ferry`", decl.name));
        }
    } else {
        const auto name = read_name(head, decl.scope, NameSpace::materials, {Kind::blend, Kind::variation});
        if (name.decl != kNoDecl) {
            if (head.is(AtomKind::string)) {
                // `variation x of y "X"`: the title in another place
                blend.header.title = string_value(head.text());
                head.take();
            }
            leftover(head);
            if (check_chain(id)) {
                if (names_.at(name.decl).state == Decl::State::busy) {
                    report(Code::variation_cycle, name.span,
                           fmt::format("`{}` is made of itself: blends in each other make a circle", name.text));
                } else {
                    const BlendId base = this->blend(name.decl);
                    if (base == kNone || names_.at(name.decl).broken) {
                        broken_ = true;
                    } else {
                        blend.variation_of = base;
                        blend.intent = model_.blends[base].intent;
                        draft = drafts_.at(base);
                    }
                }
            }
        }
    }
    const bool based = blend.variation_of != kNone;
    const BlendDraft before = draft;
    std::vector<std::pair<DeclId, Span>> touched;
    bool acted = false;
    read_block(
        id, decl.row, kind_spec(Kind::variation),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            if (spec.field == Field::intent) {
                blend.intent = read_words(tree, row, cursor, spec);
                return;
            }
            if (spec.field == Field::remark) {
                read_texts(tree, row, cursor);
                return;
            }
            acted = true;
            if (!based) return;  // said already: what it varies is not known
            const auto items = tree.items_of(tree.rows[row]);
            for (std::size_t i = 0; i < items.size(); ++i) {
                Cursor at = i == 0 ? cursor : Cursor(tree, items[i]);
                apply_action(spec.field, decl.scope, tree, items[i], at, before, draft, touched);
            }
        },
        nullptr);
    if (broken_ || decl.broken) return;
    if (!acted) {
        report(Code::no_effect, decl.name_span, "a variation that does nothing is the blend itself: give it an action")
            .note("set, add, remove or replace, each with one oil");
    } else if (draft.rows.empty()) {
        report(Code::all_removed, decl.name_span, "nothing is left in this variation: it takes every oil out");
    }
}

}  // namespace scruple
