#include <fmt/core.h>

#include "sema/elaborator.h"

namespace scruple {

FormatId Elaborator::format(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const auto record = static_cast<FormatId>(model_.formats.size());
    model_.formats.emplace_back();
    names_.at(id).record = record;
    Format f;
    DeclId like = kNoDecl;
    const Header header = header_of(decl);
    Header scratch;
    start_like(id, scratch, like);
    if (like != kNoDecl) {
        const FormatId from = format(like);
        if (from != kNone) f = model_.formats[from];
        if (names_.at(like).broken) broken_ = true;
    }
    const std::string old_title = f.header.title;
    f.header = header;
    if (like != kNoDecl && after_name(decl).position() < 3) f.header.title = old_title;

    KindSpec spec_all = kind_spec(Kind::format);
    std::vector<FieldSpec> relaxed(spec_all.fields.begin(), spec_all.fields.end());
    if (like != kNoDecl) {
        for (auto& s : relaxed) s.required = false;
        spec_all.fields = relaxed;
    }
    read_block(id, decl.row, spec_all,
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            switch (spec.field) {
                case Field::contact: {
                    const auto word = read_word(cursor, spec);
                    leftover(cursor);
                    f.contact = word == "leave_on" ? Contact::leave_on
                              : word == "rinse_off" ? Contact::rinse_off : Contact::none;
                    break;
                }
                case Field::category: {
                    const auto name = read_name(cursor, decl.scope, NameSpace::categories, {Kind::category});
                    if (name.decl != kNoDecl) {
                        leftover(cursor);
                        f.category = category(name.decl);
                        if (f.category == kNone) broken_ = true;
                    }
                    break;
                }
                case Field::load: {
                    f.load_neat = false;
                    f.load_low = f.load_typical = f.load_high = std::nullopt;
                    if (cursor.take_word("neat")) {
                        f.load_neat = true;
                        leftover(cursor);
                        break;
                    }
                    const auto amount = read_amount(cursor, decl.scope);
                    if (!amount) break;
                    leftover(cursor);
                    if (!amount->percent) {
                        report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
                               "a load is a percentage");
                        break;
                    }
                    if (amount->of == OfWord::none && !amount->basis) {
                        report(Code::percent_of_what, amount->span,
                               "a format's load says of what: `of total`, `of base`, `of fats`, `of wax`, or v/v")
                            .fix("write `of total`", false, {{{amount->span.file, amount->span.end, amount->span.end}, " of total"}});
                        break;
                    }
                    f.load_low = amount->low;
                    if (amount->stated_typical) f.load_typical = amount->typical;
                    f.load_high = amount->high;
                    f.load_basis = amount->basis.value_or(Basis::ww);
                    f.load_of = amount->of == OfWord::base ? Of::base : amount->of == OfWord::fats ? Of::fats
                              : amount->of == OfWord::wax ? Of::wax : Of::total;
                    if (amount->of == OfWord::blend || amount->of == OfWord::container || amount->of == OfWord::lye) {
                        report(Code::wrong_basis, amount->basis_span, "a load is a share of total, base, fats or wax");
                    }
                    if (amount->low.sign() < 0 || amount->high > Rational(1)) {
                        report(Code::out_of_range, amount->number_span, "a load is from 0 to 100 %");
                    }
                    break;
                }
                case Field::sold_by: {
                    const auto word = read_word(cursor, spec);
                    leftover(cursor);
                    if (!word.empty()) f.sold_by = word == "mass" ? Dim::mass : Dim::volume;
                    break;
                }
                case Field::sizes: {
                    const auto items = tree.items_of(tree.rows[row]);
                    f.sizes.clear();
                    for (std::size_t i = 0; i < items.size(); ++i) {
                        Cursor at = i == 0 ? cursor : Cursor(tree, items[i]);
                        if (at.is(AtomKind::string)) continue;  // sizes that no measure states
                        const auto amount = read_amount(at, decl.scope);
                        if (!amount) continue;
                        if (amount->dimension != kMass && amount->dimension != kVolume) {
                            report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
                                   "a size is a volume or a weight, or a text where no measure states it");
                            continue;
                        }
                        if (!check_positive(*amount, "a size")) continue;
                        if (at.is(AtomKind::string)) at.take();
                        leftover(at);
                        f.sizes.push_back({amount->typical, amount->dimension, {}});
                    }
                    break;
                }
                case Field::fill: f.fill = read_percent(cursor, decl.scope, spec); break;
                case Field::extra: f.extra = read_percent(cursor, decl.scope, spec); break;
                case Field::keeps: f.keeps_months = read_keeps(tree, row, cursor, decl.scope); break;
                case Field::usual_base: {
                    const auto name = read_name(cursor, decl.scope, NameSpace::materials, {Kind::base});
                    if (name.decl != kNoDecl) {
                        leftover(cursor);
                        f.usual_base = base(name.decl);
                    }
                    break;
                }
                case Field::example: f.example = read_text(cursor); break;
                case Field::mixing: f.mixing = read_text(cursor); break;
                case Field::steps: f.steps = read_texts(tree, row, cursor); break;
                case Field::warnings: f.warnings = read_texts(tree, row, cursor); break;
                case Field::source:
                    if (const SourceId s = read_source(cursor); s != kNone) f.sources.push_back(s);
                    break;
                default: read_texts(tree, row, cursor); break;
            }
        },
        nullptr);
    f.header.broken = broken_ || decl.broken;
    model_.formats[record] = std::move(f);
    end(id, record);
    return record;
}

}  // namespace scruple
