#include <fmt/core.h>

#include <algorithm>

#include "sema/elaborator.h"

namespace scruple {

void Elaborator::workshop(DeclId id) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    Workshop& w = model_.workshop;
    w.stated = true;
    w.header = header_of(decl);
    {
        // `workshop "Example Stillroom" {`
        Cursor head(tree, tree.items_of(tree.rows[decl.row])[0]);
        head.take();
        w.header.title.clear();
        if (head.is(AtomKind::string)) {
            w.header.title = string_value(head.text());
            head.take();
        }
        leftover(head);
    }
    read_block(
        id, decl.row, kind_spec(Kind::workshop),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            switch (spec.field) {
                case Field::market: w.market = read_word(cursor, spec); leftover(cursor); break;
                case Field::currency:
                    if (!cursor.is(AtomKind::word) || !is_currency(cursor.text())) {
                        report(Code::unknown_word, cursor.done() ? cursor.before() : cursor.rest(),
                               "a currency is three capital letters, as EUR or GBP");
                    } else {
                        w.currency = cursor.text();
                        cursor.take();
                        leftover(cursor);
                    }
                    break;
                case Field::weighs_to: {
                    const auto items = tree.items_of(tree.rows[row]);
                    for (std::size_t i = 0; i < items.size(); ++i) {
                        Cursor at = i == 0 ? cursor : Cursor(tree, items[i]);
                        const auto division = read_quantity(at, decl.scope, kMass, "the division of a scale");
                        if (!division || !check_positive(*division, "the division of a scale")) break;
                        Scale scale;
                        scale.division_g = division->typical;
                        if (at.is_word("up") && at.is_word("to", 1)) {
                            at.skip(2);
                            const auto most = read_quantity(at, decl.scope, kMass, "what a scale takes");
                            if (!most) break;
                            if (most->typical <= scale.division_g) {
                                report(Code::out_of_range, most->span, "a scale takes more than one division");
                                break;
                            }
                            scale.capacity_g = most->typical;
                        }
                        leftover(at);
                        w.scales.push_back(scale);
                    }
                    // Half a list of scales would judge batches by the wrong one.
                    if (broken_) w.scales.clear();
                    std::sort(w.scales.begin(), w.scales.end(),
                              [](const Scale& a, const Scale& b) { return a.division_g < b.division_g; });
                    break;
                }
                case Field::dropper:
                    if (const auto q = read_quantity(cursor, decl.scope, spec.dimension, "`dropper`")) {
                        leftover(cursor);
                        if (!check_positive(*q, "`dropper`")) break;
                        w.drops_per_ml = q->typical;
                        w.dropper_span = q->span;
                    }
                    break;
                case Field::audience:
                    w.audience_span = tree.head(tree.rows[row]);
                    w.audience = read_audience(tree, row, cursor, decl.scope);
                    break;
                case Field::harms:
                    w.harms_summed = read_word(cursor, spec) == "summed";
                    leftover(cursor);
                    break;
                case Field::extra: w.extra = read_percent(cursor, decl.scope, spec); break;
                case Field::labour:
                    if (const auto q = read_quantity(cursor, decl.scope, spec.dimension, "`labour`")) {
                        leftover(cursor);
                        if (!check_positive(*q, "`labour`")) break;
                        model_.texts.push_back(q->currency);
                        w.labour = Money{q->typical, model_.texts.back(), q->span};
                    }
                    break;
                case Field::overhead: w.overhead = read_percent(cursor, decl.scope, spec); break;
                case Field::wholesale: w.wholesale = read_factor(cursor, decl.scope, spec); break;
                case Field::retail: w.retail = read_factor(cursor, decl.scope, spec); break;
                case Field::prices_keep:
                    if (const auto q = read_quantity(cursor, decl.scope, spec.dimension, "`prices_keep`")) {
                        leftover(cursor);
                        if (!check_positive(*q, "`prices_keep`")) break;
                        if (!q->typical.is_whole() || q->typical > Rational(1200)) {
                            report(Code::out_of_range, q->span, "prices keep for whole months, 1200 at most");
                            break;
                        }
                        w.prices_keep = q->typical;
                    }
                    break;
                case Field::rules:
                    for (const auto& [rules, span] : read_names(tree, row, cursor, decl.scope, NameSpace::rule_sets,
                                                                {Kind::rules})) {
                        if (const RuleSetId r = rule_set(rules); r != kNone) w.rules.push_back(r);
                    }
                    break;
                case Field::address: w.address = read_texts(tree, row, cursor); break;
                default: read_texts(tree, row, cursor); break;
            }
        },
        nullptr);
    w.header.broken = broken_;
    end(id, 0);
}

}  // namespace scruple
