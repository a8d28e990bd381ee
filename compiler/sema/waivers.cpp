// What a maker takes upon himself, and what an assessor has covered: `accept` and `assessed`. Whether a waiver may stand,
// and whether an assessment still fits, safety/ says; here they are only read.
#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "num/decimal.h"
#include "sema/elaborator.h"

namespace scruple {
namespace {

struct WaivableWord {
    std::string_view word;
    Waivable finding;
};
constexpr std::array kWaivable = {
    WaivableWord{"over_limit", Waivable::limit},
    WaivableWord{"over_without_blend", Waivable::limit},
    WaivableWord{"over_at_maximum", Waivable::maximum},
    WaivableWord{"over_derived", Waivable::derived},
};

/// Findings that people may try to accept, and why that can't be.
struct Refused {
    std::string_view word;
    std::string_view why;
};
constexpr std::array kRefused = {
    Refused{"prohibited", "what is prohibited has no amount that could be accepted"},
    Refused{"undiluted_on_skin", "undiluted oil does not go on skin"},
    Refused{"phototoxic_sum", "a burn does not wait for a reason: what is sold can't rest on its buyers staying out of the sun"},
    Refused{"unknown_composition", "what is not known can't be weighed up"},
    Refused{"unstated_limit", "a limit whose figure is not known can't be weighed up"},
};

}  // namespace

/// A percentage of the finished product's weight.
std::optional<Amount> Elaborator::read_share(Cursor& cursor, std::uint32_t scope, std::string_view what) {
    auto amount = read_amount(cursor, scope);
    if (!amount) return std::nullopt;
    if (!amount->percent) {
        report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
               fmt::format("{} is in per cent of the finished product's weight", what));
        return std::nullopt;
    }
    if ((amount->basis && *amount->basis != Basis::ww) || (amount->of != OfWord::none && amount->of != OfWord::total)) {
        report(Code::wrong_basis, amount->basis_span, fmt::format("{} is w/w of the finished product", what));
        return std::nullopt;
    }
    if (amount->is_range) {
        report(Code::unexpected_range, amount->span, fmt::format("{} is one figure, not a range", what));
        return std::nullopt;
    }
    if (!check_positive(*amount, what)) return std::nullopt;
    if (amount->typical > Rational(1)) {
        report(Code::out_of_range, amount->number_span, fmt::format("{} is at most 100 %", what));
        return std::nullopt;
    }
    note_let_basis(*amount, "of the finished product's weight");
    return amount;
}

/// `accept over_limit OIL under RULES to 0.7 % because "…" until 2027-06`
void Elaborator::read_accept(Cursor& cursor, std::uint32_t scope, Product& product) {
    constexpr std::string_view kForm =
        "`accept over_limit OIL under RULES to 0.7 % because \"why\" until 2027-06`";
    Waiver w;
    const Span start = cursor.done() ? cursor.before() : cursor.span(cursor.peek());
    if (!cursor.is(AtomKind::word)) {
        report(cursor.done() ? Code::missing_value : Code::wrong_shape, start, "accept which finding?").note(std::string(kForm));
        return;
    }
    w.code = cursor.text();
    const auto known = std::find_if(kWaivable.begin(), kWaivable.end(), [&](const auto& k) { return k.word == w.code; });
    if (known == kWaivable.end()) {
        const auto refused = std::find_if(kRefused.begin(), kRefused.end(), [&](const auto& r) { return r.word == w.code; });
        if (refused != kRefused.end()) {
            report(Code::waiver_refused, start, fmt::format("`{}` can't be accepted: {}", w.code, refused->why));
            return;
        }
        std::vector<std::string> words;
        for (const auto& k : kWaivable) words.emplace_back(k.word);
        auto added = report(Code::unknown_word, start,
                            fmt::format("`{}` is no finding that can be accepted", w.code));
        if (const auto near = nearest(w.code, words); !near.empty()) {
            added.label(fmt::format("did you mean `{}`?", near));
            added.fix(fmt::format("write `{}`", near), surely(w.code, near, words), {{start, near}});
        } else {
            added.note("those are over_limit, over_at_maximum, over_derived and over_without_blend");
        }
        return;
    }
    w.finding = known->finding;
    cursor.take();
    if (!cursor.is(AtomKind::word) || is_reserved(cursor.text()) || cursor.text() == "under") {
        report(Code::missing_value, cursor.done() ? cursor.before() : cursor.span(cursor.peek()),
               "accept too much of what? a substance or an oil is wanted here").note(std::string(kForm));
        return;
    }
    if (const DeclId s = names_.find(scope, NameSpace::substances, cursor.text()); s != kNoDecl) {
        ++names_.at(s).uses;
        w.substance = substance(s);
        cursor.take();
    } else {
        const auto name = read_name(cursor, scope, NameSpace::materials,
                                    {Kind::oil, Kind::ingredient, Kind::substance, Kind::group});
        if (name.decl == kNoDecl) return;
        w.material = material(name.decl);
    }
    bool ceiling = false;
    const auto twice = [&](bool said) {
        if (said) {
            report(Code::duplicate_clause, cursor.span(cursor.peek()), fmt::format("`{}` is said twice", cursor.text()));
        }
        return said;
    };
    while (!cursor.done()) {
        if (cursor.is_word("under")) {
            if (twice(w.rules != kNone)) return;
            cursor.take();
            const auto rules = read_name(cursor, scope, NameSpace::rule_sets, {Kind::rules});
            if (rules.decl == kNoDecl) return;
            w.rules = rule_set(rules.decl);
        } else if (cursor.is_word("to")) {
            if (twice(ceiling)) return;
            cursor.take();
            const auto share = read_share(cursor, scope, "what is accepted");
            if (!share) return;
            ceiling = true;
            w.ceiling = share->typical.to_double();
            w.ceiling_text = format_exact(share->typical * Rational(100));
        } else if (cursor.is_word("because")) {
            if (twice(!w.reason.empty())) return;
            cursor.take();
            if (!cursor.is(AtomKind::string)) {
                report(cursor.done() ? Code::missing_value : Code::wrong_shape,
                       cursor.done() ? cursor.before() : cursor.span(cursor.peek()), "a reason in double quotes is wanted here");
                return;
            }
            w.reason = string_value(cursor.text());
            const Span at = cursor.span(cursor.take());
            if (w.reason.find_first_not_of(' ') == std::string::npos) {
                report(Code::missing_value, at, "a reason is wanted here: it is what a reviewer judges");
                return;
            }
        } else if (cursor.is_word("until")) {
            if (twice(!w.until.empty())) return;
            cursor.take();
            w.until = read_day(cursor);
            if (w.until.empty()) return;
        } else {
            leftover(cursor);
            return;
        }
    }
    w.span = cursor.whole();
    const auto lacks = [&](std::string_view what, std::string_view how) {
        report(Code::missing_value, w.span, fmt::format("a waiver says {}: {}", what, how)).note(std::string(kForm));
    };
    if (w.rules == kNone) return lacks("whose rule it sets aside", "`under house_rules`");
    if (!ceiling) return lacks("up to how much", "`to 0.7 %`, and it speaks up again above that");
    if (w.reason.empty()) return lacks("why", "`because \"tested on volunteers, report 12\"`");
    for (const Waiver& other : product.waivers) {
        if (other.finding == w.finding && other.substance == w.substance && other.material == w.material && other.rules == w.rules) {
            report(Code::duplicate_clause, w.span, "this is accepted twice").also(other.span, "the first time");
            return;
        }
    }
    product.waivers.push_back(std::move(w));
}

/// `assessed report_26_014 "…" of night_ferry { fingerprint "…"  3 % in FORMAT, FORMAT … }`
void Elaborator::assessed(DeclId id) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const auto record = static_cast<std::uint32_t>(model_.assessments.size());
    Assessment a;
    a.header = header_of(decl);
    Cursor head = after_name(decl);
    if (!head.take_word("of")) {
        if (!decl.broken) {
            report(Code::missing_value, decl.name_span,
                   fmt::format("an assessment of what? `assessed {} of night_ferry`", decl.name));
        }
    } else {
        const auto name = read_name(head, decl.scope, NameSpace::materials, {Kind::blend, Kind::variation});
        if (name.decl != kNoDecl) {
            leftover(head);
            a.blend = blend(name.decl);
            if (names_.at(name.decl).broken || a.blend == kNone) broken_ = true;
        }
    }
    Span fingerprint_span;
    read_block(
        id, decl.row, kind_spec(Kind::assessed),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            switch (spec.field) {
                case Field::fingerprint:
                    fingerprint_span = cursor.done() ? cursor.before() : cursor.span(cursor.peek());
                    a.fingerprint = read_text(cursor);
                    break;
                case Field::assessor: a.assessor = read_text(cursor); break;
                case Field::dated: a.dated = read_date(cursor); break;
                case Field::until: a.until = read_date(cursor); break;
                default: read_texts(tree, row, cursor); break;
            }
        },
        [&](std::uint32_t r) {
            const Row& row = tree.rows[r];
            const auto items = tree.items_of(row);
            Cursor cursor(tree, items[0]);
            const auto share = read_share(cursor, decl.scope, "what an assessment covers");
            if (!share) return;
            Assessment::Load load;
            load.most = share->typical.to_double();
            load.text = format_exact(share->typical * Rational(100));
            if (!cursor.take_word("in")) {
                report(Code::missing_value, cursor.done() ? cursor.before() : cursor.rest(),
                       "an assessment says in which formats: `3 % in FORMAT, FORMAT`");
                return;
            }
            for (std::size_t i = 0; i < items.size(); ++i) {
                Cursor at = i == 0 ? cursor : Cursor(tree, items[i]);
                const auto name = read_name(at, decl.scope, NameSpace::formats, {Kind::format});
                if (name.decl == kNoDecl) return;
                leftover(at);
                const FormatId f = format(name.decl);
                if (f == kNone) {
                    broken_ = true;
                    return;
                }
                for (const auto& said : a.loads) {
                    if (std::find(said.formats.begin(), said.formats.end(), f) != said.formats.end()) {
                        report(Code::duplicate_row, name.span, fmt::format("`{}` stands in this assessment twice", name.text));
                        return;
                    }
                }
                load.formats.push_back(f);
            }
            a.loads.push_back(std::move(load));
        });
    if (a.loads.empty() && !broken_) {
        report(Code::no_rows, decl.name_span, "an assessment covers a load in a format: `3 % in FORMAT`");
    }
    if (!a.fingerprint.empty()) {
        const bool form = a.fingerprint.size() == 16 && a.fingerprint.find_first_not_of("0123456789abcdef") == std::string::npos;
        if (!form) {
            report(Code::wrong_shape, fingerprint_span,
                   "a fingerprint is 16 digits and letters a to f, as the blend's sheet prints it");
        }
    }
    a.header.broken = broken_ || decl.broken;
    model_.assessments.push_back(std::move(a));
    end(id, record);
}

}  // namespace scruple
