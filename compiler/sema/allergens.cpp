// `allergen NAME under RULES { label "Name" … }`: what a list wants named on the label.
#include <algorithm>
#include <tuple>

#include "num/decimal.h"
#include "sema/elaborator.h"

namespace scruple {

/// `all`: whatever it names is read. Otherwise only what a recipe has named already counts: nothing
/// else can be in one.
void Elaborator::allergen(DeclId id, bool all) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    Allergen a;
    a.header = header_of(decl);
    const auto add = [](auto& list, auto record) {
        if (record != kNone && std::find(list.begin(), list.end(), record) == list.end())
            list.push_back(record);
    };
    const auto add_opened = [&](NameSpace space, std::string_view name) {
        const DeclId found = names_.find_opened(space, name);
        if (found == kNoDecl || names_.at(found).state != Decl::State::done) return;
        const auto record = names_.at(found).record;
        space == NameSpace::substances ? add(a.substances, record) : add(a.oils, record);
    };
    Cursor head = after_name(decl);
    if (!head.take_word("under")) {
        if (!decl.broken) {
            report(Code::missing_value, decl.name_span,
                   "an allergen says whose list it is on: `allergen NAME under house_labels`");
        }
    } else {
        const auto rules = read_name(head, decl.scope, NameSpace::rule_sets, {Kind::rules});
        if (rules.decl != kNoDecl) {
            leftover(head);
            a.rules = rule_set(rules.decl);
        }
    }
    bool subjects = false;
    const auto read_threshold = [&](const FieldSpec& spec, Cursor& cursor,
                                    std::optional<double>& share, std::string& text) {
        if (const auto value = read_percent(cursor, decl.scope, spec)) {
            share = value->to_double();
            text = format_exact(*value * Rational(100));
        }
    };
    read_block(
        id, decl.row, kind_spec(Kind::allergen),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            switch (spec.field) {
                case Field::label: a.label = read_text(cursor); break;
                case Field::substances:
                    subjects = true;
                    read_subjects(tree, row, cursor, decl.scope, NameSpace::substances, {Kind::substance, Kind::group}, all,
                                  a.substances, [&](DeclId s) { return substance(s); });
                    break;
                case Field::oils:
                    subjects = true;
                    read_subjects(tree, row, cursor, decl.scope, NameSpace::materials, {Kind::oil, Kind::ingredient}, all,
                                  a.oils, [&](DeclId m) { return material(m); });
                    break;
                case Field::cas: {
                    const Span span = cursor.rest();
                    for (const auto& cas : read_texts(tree, row, cursor)) check_cas(cas, span);
                    break;
                }
                case Field::leave_on:
                    read_threshold(spec, cursor, a.leave_on, a.leave_on_text);
                    break;
                case Field::rinse_off:
                    read_threshold(spec, cursor, a.rinse_off, a.rinse_off_text);
                    break;
                case Field::source:
                    if (const SourceId s = read_source(cursor); s != kNone) a.source = s;
                    break;
                default: read_texts(tree, row, cursor); break;
            }
        },
        nullptr);
    if (!subjects && !all) {
        add_opened(NameSpace::substances, decl.name);
        if (a.substances.empty()) add_opened(NameSpace::materials, decl.name);
    } else if (!subjects && !decl.broken) {
        // Its own name says what it is: a substance or group, else an oil or ingredient.
        if (const DeclId subject = names_.find(decl.scope, NameSpace::substances, decl.name);
            subject != kNoDecl) {
            ++names_.at(subject).uses;
            add(a.substances, substance(subject));
        } else {
            const DeclId whole = resolve(decl.scope, NameSpace::materials,
                                         {Kind::oil, Kind::ingredient}, decl.name, decl.name_span);
            if (whole != kNoDecl) add(a.oils, material(whole));
        }
    }
    if (!a.leave_on && !a.rinse_off && !broken_ && !decl.broken) {
        report(Code::missing_field, decl.name_span,
               "an allergen says over which share it is named: `leave_on 0.001 %`, `rinse_off 0.01 "
               "%`");
    }
    if (a.source == kNone && decl.scope != kLibraryScope) a.source = own_rule(decl);
    a.header.broken = broken_ || decl.broken;
    if (!a.header.broken && a.rules != kNone) model_.allergens.push_back(std::move(a));
    end(id, static_cast<std::uint32_t>(model_.allergens.size()));
}

/// The library's, in the order in which it writes them.
void Elaborator::load_allergens(bool all) {
    auto ids = names_.library_of(Kind::allergen);
    std::sort(ids.begin(), ids.end(), [&](DeclId a, DeclId b) {
        const Span &x = names_.at(a).name_span, &y = names_.at(b).name_span;
        return std::tie(x.file, x.begin) < std::tie(y.file, y.begin);
    });
    for (const DeclId id : ids) allergen(id, all);
}

}  // namespace scruple
