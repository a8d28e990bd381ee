// Whom products are for: `audience`, and the library's words of care and usual dilutions for people.
#include <fmt/core.h>

#include <algorithm>
#include <tuple>

#include "sema/elaborator.h"

namespace scruple {

/// `audience children "children of 2 to 15 years" { members children_2_6, children_6_15 }`
AudienceId Elaborator::audience(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    const auto record = static_cast<AudienceId>(model_.audiences.size());
    model_.audiences.emplace_back();
    names_.at(id).record = record;
    Audience a;
    a.header = header_of(decl);
    Cursor head = after_name(decl);
    leftover(head);
    read_block(
        id, decl.row, kind_spec(Kind::audience),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            switch (spec.field) {
                case Field::members:
                    for (const auto& [member, span] :
                         read_names(*decl.tree, row, cursor, decl.scope, NameSpace::audiences, {Kind::audience})) {
                        if (names_.at(member).state == Decl::State::busy) {
                            report(Code::like_cycle, span, "audiences take each other in, in a circle");
                            continue;
                        }
                        const AudienceId inner = audience(member);
                        if (inner == kNone) continue;
                        for (const AudienceId leaf : model_.audiences[inner].leaves) {
                            if (std::find(a.leaves.begin(), a.leaves.end(), leaf) == a.leaves.end()) a.leaves.push_back(leaf);
                        }
                    }
                    break;
                case Field::assumed: {
                    const bool yes = cursor.take_word("yes");
                    if (!yes && !cursor.take_word("no")) {
                        report(Code::wrong_shape, cursor.done() ? cursor.before() : cursor.rest(), "`assumed` is yes or no");
                        break;
                    }
                    leftover(cursor);
                    a.assumed = yes;
                    break;
                }
                case Field::source:
                    if (const SourceId s = read_source(cursor); s != kNone) a.sources.push_back(s);
                    break;
                default: read_texts(*decl.tree, row, cursor); break;
            }
        },
        nullptr);
    if (a.leaves.empty()) a.leaves.push_back(record);
    a.header.broken = broken_;
    model_.audiences[record] = std::move(a);
    end(id, record);
    return record;
}

/// The words of an `audience` row. They are a closed list, so a wrong one is answered with all of them.
std::vector<AudienceId> Elaborator::read_audience(const SyntaxTree& tree, std::uint32_t row, Cursor first,
                                                  std::uint32_t scope) {
    std::vector<AudienceId> out;
    const auto items = tree.items_of(tree.rows[row]);
    for (std::size_t i = 0; i < items.size(); ++i) {
        Cursor cursor = i == 0 ? first : Cursor(tree, items[i]);
        if (!cursor.is(AtomKind::word)) {
            report(cursor.done() ? Code::missing_value : Code::wrong_shape,
                   cursor.done() ? cursor.before() : cursor.span(cursor.peek()), "whom is it for? an audience is wanted here");
            continue;
        }
        const auto word = cursor.text();
        const Span span = cursor.span(cursor.take());
        const DeclId found = names_.find(scope, NameSpace::audiences, word);
        if (found == kNoDecl) {
            const auto& all = names_.all(scope, {Kind::audience});
            std::string list;
            for (const auto& name : all) list += (list.empty() ? "`" : ", `") + name + "`";
            auto added = report(Code::unknown_word, span, fmt::format("`{}` is no audience that is known here", word));
            const auto near = may_suggest() ? names_.suggest(scope, {Kind::audience}, word) : std::vector<std::string>{};
            if (!near.empty()) {
                added.label(fmt::format("did you mean `{}`?", near.front()));
                added.fix(fmt::format("write `{}`", near.front()), surely(word, near.front(), all), {{span, near.front()}});
            }
            added.note("audiences are " + list);
            continue;
        }
        leftover(cursor);
        ++names_.at(found).uses;
        const AudienceId a = audience(found);
        if (a == kNone) continue;
        if (std::find(out.begin(), out.end(), a) != out.end()) {
            report(Code::duplicate_row, span, fmt::format("`{}` stands in the list twice", word));
            continue;
        }
        out.push_back(a);
    }
    return out;
}

/// A maker's own caution, guide or list needs no book: it is the maker's word, and says so.
SourceId Elaborator::own_rule(const Decl& decl) {
    Source own;
    own.standing = Standing::practice;
    own.text = "the workshop's own rule";
    own.span = decl.name_span;
    model_.sources.push_back(own);
    return static_cast<SourceId>(model_.sources.size() - 1);
}

namespace {

template <class Record>
void add_once(std::vector<Record>& list, Record record) {
    if (record != kNone && std::find(list.begin(), list.end(), record) == list.end()) list.push_back(record);
}

}  // namespace

/// The names of a row. `all`: whatever they name is read. Otherwise only what a recipe has named already counts:
/// nothing else can be in one.
void Elaborator::read_subjects(const SyntaxTree& tree, std::uint32_t row, Cursor first, std::uint32_t scope, NameSpace space,
                               const Kinds& kinds, bool all, std::vector<std::uint32_t>& out,
                               FunctionRef<std::uint32_t(DeclId)> read) {
    if (all) {
        for (const auto& [name, span] : read_names(tree, row, first, scope, space, kinds)) add_once(out, read(name));
        return;
    }
    const auto items = tree.items_of(tree.rows[row]);
    for (std::size_t i = 0; i < items.size(); ++i) {
        const Cursor at = i == 0 ? first : Cursor(tree, items[i]);
        if (!at.is(AtomKind::word)) continue;
        const DeclId found = names_.find_opened(space, at.text());
        if (found != kNoDecl && names_.at(found).state == Decl::State::done) add_once(out, names_.at(found).record);
    }
}

/// `caution never_neat "Do not put …" { applies bench, leave_on … }`
void Elaborator::caution(DeclId id, bool all) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    Caution c;
    c.header = header_of(decl);
    c.text = c.header.title;
    Cursor head = after_name(decl);
    leftover(head);
    read_block(
        id, decl.row, kind_spec(Kind::caution),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            switch (spec.field) {
                case Field::applies:
                    c.bench = c.leave_on = c.rinse_off = c.no_skin = false;
                    for (const auto word : read_words(tree, row, cursor, spec)) {
                        c.bench |= word == "bench";
                        c.leave_on |= word == "leave_on";
                        c.rinse_off |= word == "rinse_off";
                        c.no_skin |= word == "no_skin";
                    }
                    break;
                case Field::source:
                    if (const SourceId s = read_source(cursor); s != kNone) c.sources.push_back(s);
                    break;
                case Field::text:
                    c.text.clear();
                    for (const auto& text : read_texts(tree, row, cursor)) c.text += (c.text.empty() ? "" : " ") + text;
                    break;
                case Field::audience: c.audience = read_audience(tree, row, cursor, decl.scope); break;
                case Field::oils:
                    c.of_oils = true;
                    read_subjects(tree, row, cursor, decl.scope, NameSpace::materials, {Kind::oil, Kind::ingredient}, all,
                                  c.oils, [&](DeclId name) { return material(name); });
                    break;
                case Field::substances:
                    c.of_oils = true;
                    read_subjects(tree, row, cursor, decl.scope, NameSpace::substances, {Kind::substance, Kind::group}, all,
                                  c.substances, [&](DeclId name) { return substance(name); });
                    break;
                case Field::from:
                    if (const auto share = read_percent(cursor, decl.scope, spec)) c.from = share->to_double();
                    break;
                case Field::advice:
                    c.avoid = read_word(cursor, spec) == "avoid";
                    leftover(cursor);
                    break;
                case Field::rules: {
                    const auto name = read_name(cursor, decl.scope, NameSpace::rule_sets, {Kind::rules});
                    if (name.decl == kNoDecl) break;
                    leftover(cursor);
                    c.rules = rule_set(name.decl);
                    break;
                }
                case Field::rank:
                    if (const auto q = read_quantity(cursor, decl.scope, kNumber, "`rank`")) {
                        leftover(cursor);
                        if (!q->typical.is_whole() || q->typical < Rational(1) || q->typical > Rational(5)) {
                            report(Code::out_of_range, q->span, "a rank is a whole number from 1, what can hurt most, to 5");
                        } else {
                            c.rank = static_cast<int>(q->typical.floor());
                        }
                    }
                    break;
                default: read_texts(tree, row, cursor); break;
            }
        },
        nullptr);
    if (c.sources.empty() && decl.scope != kLibraryScope) c.sources.push_back(own_rule(decl));
    c.header.broken = broken_ || decl.broken;
    const bool nothing_read = c.of_oils && c.oils.empty() && c.substances.empty();
    if (!c.header.broken && (all || !nothing_read)) model_.cautions.push_back(std::move(c));
    end(id, kNone);
}

/// `guide children_2_6 { audience children_2_6  1 % by some_list "children under five" }`
void Elaborator::guide(DeclId id, bool all) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    Guide g;
    g.header = header_of(decl);
    Cursor head = after_name(decl);
    leftover(head);
    SourceId general = kNone;
    read_block(
        id, decl.row, kind_spec(Kind::guide),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            switch (spec.field) {
                case Field::audience: g.audience = read_audience(tree, row, cursor, decl.scope); break;
                case Field::categories:
                    g.of_purpose = true;
                    read_subjects(tree, row, cursor, decl.scope, NameSpace::categories, {Kind::category}, all, g.categories,
                                  [&](DeclId name) { return category(name); });
                    break;
                case Field::formats:
                    g.of_purpose = true;
                    read_subjects(tree, row, cursor, decl.scope, NameSpace::formats, {Kind::format}, all, g.formats,
                                  [&](DeclId name) { return format(name); });
                    break;
                case Field::oils:
                    g.of_oils = true;
                    read_subjects(tree, row, cursor, decl.scope, NameSpace::materials, {Kind::oil, Kind::ingredient}, all,
                                  g.oils, [&](DeclId name) { return material(name); });
                    break;
                case Field::source:
                    if (const SourceId s = read_source(cursor); s != kNone) general = s;
                    break;
                default: read_texts(tree, row, cursor); break;
            }
        },
        [&](std::uint32_t r) {
            const Row& row = tree.rows[r];
            Cursor cursor(tree, tree.items_of(row)[0]);
            if (!first_item_only(tree, r)) return;
            GuideRow out;
            out.span = tree.head(row);
            if (cursor.take_word("none")) {
                out.none = true;
            } else {
                const auto amount = read_amount(cursor, decl.scope);
                if (!amount) return;
                if (!amount->percent) {
                    report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
                           "a guide is in per cent of the finished product's weight");
                    return;
                }
                if ((amount->basis && *amount->basis != Basis::ww) ||
                    (amount->of != OfWord::none && amount->of != OfWord::total)) {
                    report(Code::wrong_basis, amount->basis_span, "a guide is w/w of the finished product");
                    return;
                }
                if (amount->low.sign() <= 0 || amount->high > Rational(1)) {
                    report(amount->low.is_zero() ? Code::zero_amount : amount->low.sign() < 0 ? Code::negative_amount : Code::out_of_range,
                           amount->number_span, "a guide is more than nothing and at most 100 %; not at all is `none`");
                    return;
                }
                out.low = amount->low;
                out.typical = amount->typical;
                out.high = amount->high;
            }
            out.source = read_by(cursor, decl.scope);
            if (cursor.is(AtomKind::string)) {
                out.remark = string_value(cursor.text());
                cursor.take();
            }
            leftover(cursor);
            g.rows.push_back(std::move(out));
        });
    if (g.rows.empty() && !broken_ && !decl.broken) report(Code::no_rows, decl.name_span, "a guide with no figure guides nobody");
    if (general == kNone && decl.scope != kLibraryScope) general = own_rule(decl);
    for (auto& row : g.rows) {
        if (row.source == kNone) row.source = general;
    }
    g.header.broken = broken_ || decl.broken;
    const bool nothing_read = (g.of_oils && g.oils.empty()) || (g.of_purpose && g.categories.empty() && g.formats.empty());
    if (!g.header.broken && (all || !nothing_read)) model_.guides.push_back(std::move(g));
    end(id, kNone);
}

/// The library's declarations of a kind, in the order in which it writes them: the index knows them by name only.
std::vector<DeclId> Elaborator::in_library_order(Kind kind) {
    auto ids = names_.library_of(kind);
    std::sort(ids.begin(), ids.end(), [&](DeclId a, DeclId b) {
        const Span &x = names_.at(a).name_span, &y = names_.at(b).name_span;
        return std::tie(x.file, x.begin) < std::tie(y.file, y.begin);
    });
    return ids;
}

/// What sheets say of people is read for sheets; a check reads it only where a recipe says whom it is for.
void Elaborator::load_people(bool sheets) {
    bool named = false;
    bool others = false;  // than those who are assumed anyway
    for (const ProductId p : model_.own_products) {
        for (const AudienceId a : model_.products[p].audience) {
            named = true;
            others |= !model_.audiences[a].assumed;
        }
    }
    if (sheets) {
        for (const DeclId id : in_library_order(Kind::audience)) audience(id);
    }
    if (sheets || named) {
        for (const DeclId id : in_library_order(Kind::guide)) guide(id, false);
    }
    if (sheets || others) {
        for (const DeclId id : in_library_order(Kind::caution)) caution(id, false);
    }
}

void Elaborator::load_all_people() {
    for (const DeclId id : in_library_order(Kind::audience)) audience(id);
    for (const DeclId id : in_library_order(Kind::guide)) guide(id, true);
    for (const DeclId id : in_library_order(Kind::caution)) caution(id, true);
}

}  // namespace scruple
