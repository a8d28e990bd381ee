#include <fmt/core.h>

#include <algorithm>

#include "num/decimal.h"
#include "sema/elaborator.h"

namespace scruple {

namespace {

constexpr std::size_t kMostScopes = 64;  // that hold one category

Effect effect_from_word(std::string_view word) {
    if (word == "sensitisation") return Effect::sensitisation;
    if (word == "phototoxic") return Effect::phototoxic;
    if (word == "systemic") return Effect::systemic;
    if (word == "irritation") return Effect::irritation;
    if (word == "prohibited") return Effect::prohibited;
    if (word == "purity") return Effect::purity;
    if (word == "label") return Effect::label;
    if (word == "none") return Effect::none;
    return Effect::unstated;
}

}  // namespace

CategoryId Elaborator::category(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    const auto record = static_cast<CategoryId>(model_.categories.size());
    model_.categories.emplace_back();
    names_.at(id).record = record;
    Category c;
    c.header = header_of(decl);
    Cursor head = after_name(decl);
    leftover(head);
    c.within.push_back(record);
    read_block(id, decl.row, kind_spec(Kind::category),
               [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
                   if (spec.field == Field::code) {
                       c.code = read_text(cursor);
                   } else if (spec.field == Field::within) {
                       for (const auto& [scope, span] : read_names(*decl.tree, row, cursor, decl.scope,
                                                                   NameSpace::categories, {Kind::category})) {
                           if (names_.at(scope).state == Decl::State::busy) {
                               report(Code::like_cycle, span, "categories lie within each other in a circle");
                               continue;
                           }
                           const CategoryId above = category(scope);
                           if (above == kNone) {
                               broken_ = true;
                               continue;
                           }
                           if (model_.categories[above].within.size() >= kMostScopes) {
                               report(Code::out_of_range, span,
                                      fmt::format("`{}` lies within more than {} scopes, and that is the limit", decl.name,
                                                  kMostScopes));
                               continue;
                           }
                           for (const CategoryId up : model_.categories[above].within) {
                               if (std::find(c.within.begin(), c.within.end(), up) == c.within.end()) {
                                   c.within.push_back(up);
                               }
                           }
                       }
                   } else if (spec.field == Field::source) {
                       read_source(cursor);
                   } else {
                       read_texts(*decl.tree, row, cursor);
                   }
               },
               nullptr);
    model_.categories[record] = std::move(c);
    end(id, record);
    return record;
}

RuleSetId Elaborator::rule_set(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    RuleSet rules;
    rules.header = header_of(decl);
    Cursor head = after_name(decl);
    leftover(head);
    read_block(id, decl.row, kind_spec(Kind::rules),
               [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
                   switch (spec.field) {
                       case Field::markets: rules.markets = read_words(*decl.tree, row, cursor, spec); break;
                       case Field::dated: rules.dated = read_date(cursor); break;
                       case Field::in_force: rules.in_force = read_date(cursor); break;
                       case Field::placed_until: rules.placed_until = read_date(cursor); break;
                       case Field::sold_until: rules.sold_until = read_date(cursor); break;
                       case Field::continues: {
                           const auto name = read_name(cursor, decl.scope, NameSpace::rule_sets, {Kind::rules});
                           if (name.decl == kNoDecl) break;
                           leftover(cursor);
                           if (names_.at(name.decl).state == Decl::State::busy) {
                               report(Code::like_cycle, name.span, "rule sets continue each other in a circle");
                               break;
                           }
                           rules.continues = rule_set(name.decl);
                           break;
                       }
                       case Field::publisher: read_text(cursor); break;
                       case Field::source:
                           if (const SourceId s = read_source(cursor); s != kNone) rules.sources.push_back(s);
                           break;
                       default: read_texts(*decl.tree, row, cursor); break;
                   }
               },
               nullptr);
    rules.header.broken = broken_;
    model_.rule_sets.push_back(std::move(rules));
    const auto record = static_cast<RuleSetId>(model_.rule_sets.size() - 1);
    end(id, record);
    return record;
}

/// Reads the limits on a subject once. Their rows name categories and cites, which are read on the way.
void Elaborator::load_limits(std::string_view subject, bool library) {
    if (!library) return;
    if (std::find(limit_subjects_done_.begin(), limit_subjects_done_.end(), subject) != limit_subjects_done_.end()) return;
    const auto found = names_.library_limits(subject);
    if (found.empty()) return;
    limit_subjects_done_.emplace_back(subject);
    for (const DeclId id : found) limit(id);
}

/// `limit SUBJECT under RULES { effect sensitisation … 0.6 % in CATEGORY by CITE }`
void Elaborator::limit(DeclId id) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const auto record = static_cast<std::uint32_t>(model_.limits.size());
    model_.limits.emplace_back();
    names_.at(id).record = record;
    Limit limit;
    limit.header = header_of(decl);

    // The subject: a substance or group, else a material.
    DeclId subject = names_.find(decl.scope, NameSpace::substances, decl.name);
    if (subject != kNoDecl) {
        ++names_.at(subject).uses;
        limit.substance = substance(subject);
    } else {
        subject = resolve(decl.scope, NameSpace::materials, {Kind::oil, Kind::ingredient}, decl.name, decl.name_span);
        if (subject != kNoDecl) limit.material = material(subject);
    }
    Cursor head = after_name(decl);
    if (!head.take_word("under")) {
        if (!decl.broken) {
            report(Code::missing_value, decl.name_span, "a limit says whose rule it is: `limit SUBJECT under house_rules`");
        }
    } else {
        const auto rules = read_name(head, decl.scope, NameSpace::rule_sets, {Kind::rules});
        if (rules.decl != kNoDecl) {
            leftover(head);
            limit.rules = rule_set(rules.decl);
        }
    }
    Effect effect = Effect::unstated;
    SourceId general = kNone;
    read_block(
        id, decl.row, kind_spec(Kind::limit),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            if (spec.field == Field::effect) {
                effect = effect_from_word(read_word(cursor, spec));
                leftover(cursor);
            } else if (spec.field == Field::replaces) {
                limit.replaces_sum = !read_word(cursor, spec).empty();
                leftover(cursor);
            } else if (spec.field == Field::oils) {
                // By name: reading them all for a limit that is seldom measured would cost every run.
                const auto items = tree.items_of(tree.rows[row]);
                for (std::size_t i = 0; i < items.size(); ++i) {
                    Cursor at = i == 0 ? cursor : Cursor(tree, items[i]);
                    const std::string_view word = at.is(AtomKind::word) ? at.text() : std::string_view();
                    if (decl.scope == kLibraryScope) {
                        limit.sum_oils.push_back(word);
                    } else if (const auto name = read_name(at, decl.scope, NameSpace::materials, {Kind::oil}); name.decl != kNoDecl) {
                        limit.sum_oils.push_back(names_.at(name.decl).name);
                        leftover(at);
                    }
                }
            } else if (spec.field == Field::source) {
                if (const SourceId s = read_source(cursor); s != kNone) general = s;
            } else {
                read_texts(tree, row, cursor);
            }
        },
        [&](std::uint32_t r) {
            const Row& row = tree.rows[r];
            Cursor cursor(tree, tree.items_of(row)[0]);
            LimitRow out;
            out.span = tree.head(row);
            if (cursor.take_word("none")) {
                out.kind = LimitKind::none;
            } else if (cursor.take_word("unlimited")) {
                out.kind = LimitKind::unlimited;
            } else if (cursor.take_word("unstated")) {
                out.kind = LimitKind::unstated;
            } else if (cursor.take_word("peroxide")) {
                out.kind = LimitKind::purity;
                const auto amount = read_amount(cursor, decl.scope);
                if (!amount || !check_dimension(*amount, Dimension{Dim::amount, Dim::volume}, "a peroxide value")) return;
                if (amount->is_range) {
                    report(Code::unexpected_range, amount->span, "a limit is one figure, not a range");
                    return;
                }
                if (!check_positive(*amount, "a limit")) return;
                const Rational per_litre = amount->typical * Rational(1000000);  // mol/ml to mmol/l
                out.max_peroxide = per_litre.to_double();
                out.max_peroxide_text = format_exact(per_litre);
            } else {
                const auto amount = read_amount(cursor, decl.scope);
                if (!amount) return;
                if (!amount->percent) {
                    report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
                           "a limit is in per cent of the finished product's weight");
                    return;
                }
                if ((amount->basis && *amount->basis != Basis::ww) ||
                    (amount->of != OfWord::none && amount->of != OfWord::total)) {
                    report(Code::wrong_basis, amount->basis_span, "a limit is w/w of the finished product");
                    return;
                }
                if (amount->is_range) {
                    report(Code::unexpected_range, amount->span, "a limit is one figure, not a range");
                    return;
                }
                if (amount->typical.sign() <= 0 || amount->typical > Rational(1)) {
                    report(amount->typical.is_zero() ? Code::zero_amount
                           : amount->typical.sign() < 0 ? Code::negative_amount : Code::out_of_range,
                           amount->number_span, "a limit is more than nothing and at most 100 %; what may not be there at all is `none`");
                    return;
                }
                out.max_fraction = amount->typical.to_double();
                out.max_text = format_exact(amount->typical * Rational(100));
            }
            if (!cursor.take_word("in")) {
                report(Code::missing_value, cursor.done() ? cursor.before() : cursor.rest(),
                       "a limit says in which category: `0.6 % in fine_fragrance`");
                return;
            }
            const auto items = tree.items_of(row);
            for (std::size_t i = 0; i < items.size(); ++i) {
                Cursor at = i == 0 ? cursor : Cursor(tree, items[i]);
                const auto name = read_name(at, decl.scope, NameSpace::categories, {Kind::category});
                if (name.decl == kNoDecl) return;
                const CategoryId c = category(name.decl);
                if (c == kNone) {
                    broken_ = true;
                    return;
                }
                out.in.push_back(c);
                while (!at.done()) {
                    if (at.is_word("by")) {
                        out.source = read_by(at, decl.scope);
                    } else if (at.take_word("effect")) {
                        static const FieldSpec* spec = find_field(kind_spec(Kind::limit), "effect");
                        out.effect = effect_from_word(read_word(at, *spec));
                    } else if (at.is(AtomKind::string)) {
                        out.remark = string_value(at.text());
                        at.take();
                    } else {
                        leftover(at);
                        break;
                    }
                }
            }
            limit.rows.push_back(std::move(out));
        });
    for (auto& row : limit.rows) {
        if (row.effect == Effect::unstated) row.effect = effect;
        if (row.source == kNone) row.source = general;
        if (row.kind == LimitKind::ceiling && row.effect == Effect::purity) row.kind = LimitKind::purity;
        if (row.source == kNone && decl.scope != kLibraryScope && !broken_) {
            // A maker's own limit needs no book: it is the maker's word, and says so.
            Source own;
            own.standing = Standing::practice;
            own.text = "the workshop's own rule";
            own.span = row.span;
            model_.sources.push_back(own);
            row.source = static_cast<SourceId>(model_.sources.size() - 1);
        }
    }
    if (limit.rows.empty() && !broken_) {
        report(Code::no_rows, decl.name_span, "a limit with no figure limits nothing");
    }
    limit.header.broken = broken_;
    const bool usable = limit.rules != kNone && !limit.rows.empty();
    if (usable && limit.substance != kNone) {
        if (model_.substance_limits.size() <= limit.substance) model_.substance_limits.resize(limit.substance + 1);
        model_.substance_limits[limit.substance].push_back(record);
    } else if (usable && limit.material != kNone) {
        if (model_.material_limits.size() <= limit.material) model_.material_limits.resize(limit.material + 1);
        model_.material_limits[limit.material].push_back(record);
    }
    model_.limits[record] = std::move(limit);
    end(id, record);
}

}  // namespace scruple
