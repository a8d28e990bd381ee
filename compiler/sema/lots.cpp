// Lots: bottles with their certificates, and the products that name them. What a lot says replaces what its oil says, in a
// material of its own; what it does not say stays as the oil has it, so that leaving a row out settles nothing.
#include <fmt/core.h>

#include <algorithm>

#include "num/decimal.h"
#include "sema/product_parts.h"

namespace scruple {
namespace {

constexpr double kPerLitre = 1e6;         // mol/ml to mmol/l
constexpr double kFarFromOneFigure = 0.05;  // a density against one that has no range: a convention of this project, no source

Constituent* row_of(std::vector<Constituent>& rows, SubstanceId substance) {
    const auto at = std::find_if(rows.begin(), rows.end(), [&](const Constituent& c) { return c.substance == substance; });
    return at == rows.end() ? nullptr : &*at;
}
const Constituent* row_of(const std::vector<Constituent>& rows, SubstanceId substance) {
    return row_of(const_cast<std::vector<Constituent>&>(rows), substance);
}

std::string percent_range(const Range& range) {
    const auto figure = [](double fraction) { return format_significant(fraction * 100, 4); };
    return range.low == range.high ? figure(range.low) + " %" : figure(range.low) + " to " + figure(range.high) + " %";
}

std::string density_range(const Range& range) {
    const auto figure = [](double density) { return format_significant(density, 4); };
    return (range.low == range.high ? figure(range.low) : figure(range.low) + " to " + figure(range.high)) + " g/ml";
}

}  // namespace

/// `lot "PG-2411" of …`: its name is a text.
void Elaborator::declare_lot(Decl decl, Cursor cursor, Span kind) {
    const Row& row = decl.tree->rows[decl.row];
    const auto give_up = [&] {
        nameless_[static_cast<std::size_t>(NameSpace::lots)] = true;
        broken_rows_.push_back(decl.tree->span(row.begin, row.has_block ? row.open : row.head_end));
        any_broken_text_ = true;
    };
    if (!cursor.is(AtomKind::string)) {
        if (!decl.broken && cursor.done()) {
            report(Code::missing_name, kind, "a lot needs its number after its kind").note("for example `lot \"PG-2411\" of …`");
        } else if (!decl.broken) {
            const Span at = cursor.span(cursor.peek());
            report(Code::wrong_shape, at, "a lot is called by the number on its bottle, in double quotes")
                .fix("put it in quotes", false, {{at, "\"" + std::string(sources_.text(at)) + "\""}});
        }
        return give_up();
    }
    decl.name_span = cursor.span(cursor.peek());
    model_.texts.push_back(string_value(cursor.text()));
    decl.name = model_.texts.back();
    if (decl.name.find_first_not_of(' ') == std::string_view::npos) {
        report(Code::bad_name, decl.name_span, "a lot's number can't be empty");
        return give_up();
    }
    DeclId added = kNoDecl;
    const DeclId earlier = names_.declare(decl, added);
    if (earlier == kNoDecl) return;
    report(Code::duplicate_name, decl.name_span, fmt::format("there is a lot `{}` already, and two bottles can't share a number", decl.name))
        .also(names_.at(earlier).name_span, "the first one")
        .note("where two suppliers use the same number, put something of the supplier's before it");
    names_.at(added).broken = true;
    names_.at(added).state = Decl::State::done;
}

LotId Elaborator::lot(DeclId id) {
    if (!begin(id)) return names_.at(id).record;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const auto record = static_cast<LotId>(model_.lots.size());
    model_.lots.emplace_back();
    names_.at(id).record = record;
    Lot lot;
    lot.header = header_of(decl);
    lot.header.title = std::string(decl.name);

    DeclId of = kNoDecl;
    Cursor head = after_name(decl);
    if (head.take_word("of")) {
        const auto name = read_name(head, decl.scope, NameSpace::materials, {Kind::oil, Kind::ingredient});
        of = name.decl;
        if (of != kNoDecl) leftover(head);
    } else if (!decl.broken) {
        report(Code::missing_value, decl.name_span, fmt::format("a lot of what? `lot \"{}\" of` and the oil's name", decl.name));
    }
    if (of != kNoDecl) {
        lot.of = material(of);
        broken_ = broken_ || names_.at(of).broken || lot.of == kNone;
    }

    std::optional<Density> density;
    std::optional<Rational> dropper;
    Material stated;  // only its composition is used
    bool contains = false;
    read_block(id, decl.row, kind_spec(Kind::lot),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            switch (spec.field) {
                case Field::density: {
                    Density d;
                    d.span = cursor.rest();
                    if (const auto r = read_figure(cursor, decl.scope, spec, &d.at_c, &d.source)) {
                        d.g_per_ml = *r;
                        if (!r->stated_typical) d.g_per_ml.typical = (r->low + r->high) / 2;
                        density = d;
                    }
                    break;
                }
                case Field::dropper:
                    if (const auto q = read_quantity(cursor, decl.scope, spec.dimension, "`dropper`")) {
                        leftover(cursor);
                        if (check_positive(*q, "`dropper`")) dropper = q->typical;
                    }
                    break;
                case Field::opened: lot.opened = read_date(cursor); break;
                case Field::best_before: lot.best_before = read_date(cursor); break;
                case Field::certificate: lot.certificate = read_text(cursor); break;
                case Field::peroxide: {
                    lot.peroxide_span = cursor.rest();
                    const bool up_to = cursor.is_word("up") && cursor.is_word("to", 1);
                    if (up_to) cursor.skip(2);
                    if (const auto r = read_figure(cursor, decl.scope, spec, nullptr, nullptr)) {
                        lot.peroxide_mmol_per_l = r->high * kPerLitre;
                        lot.peroxide_text = (up_to ? "up to " : "") + format_significant(r->high * kPerLitre, 6);
                    }
                    break;
                }
                case Field::contains:
                    contains = true;
                    lot.only = cursor.take_word("only");
                    leftover(cursor);
                    read_contains(id, row, stated, lot.only);
                    break;
                case Field::source:
                    if (const SourceId s = read_source(cursor); s != kNone) lot.sources.push_back(s);
                    break;
                default: read_texts(tree, row, cursor); break;
            }
        },
        nullptr);

    auto lowest = stated.contains;
    for (auto& c : lowest) {
        if (!c.fraction.stated_typical) c.fraction.typical = c.fraction.low;
    }
    const double least = known_share(lowest).value_or(0);
    if (!broken_ && least > 1 + 1e-9) {
        report(Code::composition_over_whole, decl.name_span,
               fmt::format("the analysis of lot `{}` adds up to {:.4g} %, and a whole is 100 %", decl.name, least * 100));
    }

    Material m;
    if (!broken_ && !decl.broken) {
        // What has no source of its own rests on the certificate.
        Source certificate;
        certificate.standing = lot.certificate.empty() ? Standing::maker : Standing::supplier;
        model_.texts.push_back(lot.certificate.empty() ? fmt::format("what is said of lot {}", decl.name)
                                                       : fmt::format("certificate of lot {}: {}", decl.name, lot.certificate));
        certificate.text = model_.texts.back();
        certificate.span = decl.name_span;
        model_.sources.push_back(certificate);
        const auto own = static_cast<SourceId>(model_.sources.size() - 1);
        const SourceId general = lot.sources.empty() ? own : lot.sources.front();
        for (auto& c : stated.contains) {
            if (c.source == kNone) c.source = general;
            c.analysed = true;
        }
        if (density && density->source == kNone) density->source = general;

        const auto neat = neat_.find(lot.of);
        const bool dissolved = neat != neat_.end() && neat->second.dilution.has_value();
        const Material& oil = model_.materials[lot.of];
        m = dissolved ? neat->second : oil;
        check_lot_ranges(lot, density ? &*density : nullptr, stated.contains);
        if (contains) analyse(m, stated.contains, lot.only);
        const auto covered = known_share(m.contains);
        m.composition_known = covered.has_value();
        m.known_typical = std::min(covered.value_or(0), 1.0);
        if (dissolved) dissolve(m, true);
        m.density = density ? density : oil.density;
        if (dropper) m.drops_per_ml = dropper;
        m.counts_as = oil.counts_as;
        m.counts_as.push_back({lot.of, 1});
        // Printed as the oil; its number stands beside it.
        m.header = lot.header;
        m.header.name = oil.header.name;
        m.header.title = oil.header.title;
        m.header.doc = oil.header.doc;
        m.lot = record;
    } else {
        m.header = lot.header;
        m.header.broken = true;
    }
    lot.material = static_cast<MaterialId>(model_.materials.size());
    lot.header.broken = broken_ || decl.broken;
    model_.materials.push_back(std::move(m));
    model_.lots[record] = std::move(lot);
    end(id, record);
    return record;
}

/// Puts an analysis in the place of an oil's own composition. What is not stated stays, unless `only`.
void Elaborator::analyse(Material& m, const std::vector<Constituent>& stated, bool only) {
    const auto is_stated = [&](SubstanceId s) { return row_of(stated, s) != nullptr; };
    const auto all_stated = [&](const std::vector<SubstanceId>& members) {
        bool any = false;
        for (const SubstanceId s : members) {
            if (model_.substances[s].is_group) continue;
            if (!is_stated(s)) return false;
            any = true;
        }
        return any;
    };
    if (only) m.contains.clear();
    std::erase_if(m.contains, [&](const Constituent& c) {
        const Substance& s = model_.substances[c.substance];
        // Totals are worked out again; the oil's own total gives way once all its parts are analysed.
        return is_stated(c.substance) || (s.is_group && ((c.source == kNone && !c.span.known()) || all_stated(s.members)));
    });
    // No part can be more than the total that was found.
    for (auto& c : m.contains) {
        for (const SubstanceId g : model_.substances[c.substance].groups) {
            const Constituent* total = row_of(stated, g);
            if (!total) continue;
            c.fraction.low = std::min(c.fraction.low, total->fraction.high);
            c.fraction.typical = std::min(c.fraction.typical, total->fraction.high);
            c.fraction.high = std::min(c.fraction.high, total->fraction.high);
        }
    }
    m.contains.insert(m.contains.end(), stated.begin(), stated.end());
    add_groups(m);
    for (auto& c : m.contains) {
        if (!model_.substances[c.substance].is_group) continue;
        Range parts{0, 0, 0, true};
        bool whole = true;
        bool any = false;
        for (const auto& p : m.contains) {
            const auto& in = model_.substances[p.substance].groups;
            if (std::find(in.begin(), in.end(), c.substance) == in.end()) continue;
            whole = whole && p.analysed;
            any = true;
            if (!p.analysed) continue;
            parts.low += p.fraction.low;
            parts.typical += p.fraction.typical;
            parts.high += p.fraction.high;
        }
        if (const Constituent* total = row_of(stated, c.substance)) {
            // The total was found; only parts that were found as well can make it more.
            c.fraction.low = std::max(total->fraction.low, parts.low);
            c.fraction.typical = std::max(total->fraction.typical, parts.typical);
            c.fraction.high = std::max(total->fraction.high, parts.high);
        } else if (c.source == kNone && !c.span.known()) {
            c.analysed = any && whole;
        }
    }
}

/// A figure outside of what the oil is known with: misread, of another oil, or the oil is not what it is called.
void Elaborator::check_lot_ranges(const Lot& lot, const Density* density, const std::vector<Constituent>& stated) {
    const auto neat = neat_.find(lot.of);
    const Material& oil = model_.materials[lot.of];
    const Material& composed = neat != neat_.end() ? neat->second : oil;
    const std::string name(oil.header.name);
    const char* why = "a figure that was misread, another oil, or one that was stretched: all verdicts on products of this lot rest on it";
    if (density && oil.density) {
        const bool same = !density->at_c || !oil.density->at_c || *density->at_c == *oil.density->at_c;
        Range known = oil.density->g_per_ml;
        const std::string words = density_range(known);
        if (known.low == known.high) {
            known.low *= 1 - kFarFromOneFigure;
            known.high *= 1 + kFarFromOneFigure;
        }
        const Range& found = density->g_per_ml;
        if (same && (found.low < known.low * (1 - 1e-9) || found.high > known.high * (1 + 1e-9))) {
            auto added = report(Code::lot_out_of_range, density->span,
                                fmt::format("lot `{}` weighs {}, and {} is known with {}", lot.header.name, density_range(found), name, words));
            if (oil.density->span.known()) added.also(oil.density->span, "what is known of it");
            added.note(why);
        }
    }
    for (const auto& c : stated) {
        const Constituent* known = row_of(composed.contains, c.substance);
        if (!known || !(known->fraction.low < known->fraction.high)) continue;
        const bool over = c.fraction.high > known->fraction.high * (1 + 1e-9);
        const bool under = c.fraction.high < known->fraction.low * (1 - 1e-9);
        if (!over && !under) continue;
        auto added = report(Code::lot_out_of_range, c.span,
                            fmt::format("lot `{}` holds {} {}, and {} is known with {}", lot.header.name, percent_range(c.fraction),
                                        model_.substances[c.substance].header.name, name, percent_range(known->fraction)));
        if (known->span.known()) added.also(known->span, "what is known of it");
        added.note(why);
    }
}

/// `lots "PG-2411", "HW-0325"`
void Elaborator::read_lots(const SyntaxTree& tree, std::uint32_t row, Cursor first, std::uint32_t scope, ProductParts& parts) {
    const auto items = tree.items_of(tree.rows[row]);
    for (std::size_t i = 0; i < items.size(); ++i) {
        Cursor cursor = i == 0 ? first : Cursor(tree, items[i]);
        const Span span = cursor.done() ? cursor.before() : cursor.span(cursor.peek());
        const std::string number = read_text(cursor);
        if (number.empty()) return;
        const DeclId id = names_.find_own(scope, NameSpace::lots, number);
        if (id == kNoDecl) {
            broken_ = true;
            unknown_lots_[{scope, number}].push_back(span);
            continue;
        }
        ++names_.at(id).uses;
        parts.lots.push_back({id, span});
    }
}

/// Every lot is of something that the product holds, and no two are of the same.
void Elaborator::settle_lots(ProductParts& parts) {
    Product& p = parts.product;
    std::vector<MaterialId> held;
    for (const auto& line : model_.blends[p.blend].lines) held.push_back(line.material);
    std::vector<const std::vector<BasePhase>*> bases{&model_.phases(p)};
    if (p.load.kind == LoadKind::neat) bases.clear();
    std::vector<BaseId> seen;
    for (std::size_t i = 0; i < bases.size(); ++i) {
        for (const auto& phase : *bases[i]) {
            for (const auto& row : phase.rows) {
                if (row.material != kNone) held.push_back(row.material);
                if (row.base == kNone || std::find(seen.begin(), seen.end(), row.base) != seen.end()) continue;
                seen.push_back(row.base);
                bases.push_back(&model_.bases[row.base].phases);
            }
        }
    }
    for (const auto& named : parts.lots) {
        const LotId id = lot(named.decl);
        if (id == kNone || names_.at(named.decl).broken) {
            broken_ = true;
            continue;
        }
        const Lot& found = model_.lots[id];
        const Material& of = model_.materials[found.of];
        const auto other = std::find_if(p.lots.begin(), p.lots.end(),
                                        [&](const LotUse& use) { return model_.lots[use.lot].of == found.of; });
        if (other != p.lots.end()) {
            const std::string_view first = model_.lots[other->lot].header.name;
            if (other->lot == id) {
                report(Code::two_lots, named.span, fmt::format("lot `{}` is named twice", first)).also(other->span, "the first time");
            } else {
                report(Code::two_lots, named.span,
                       fmt::format("`{}` and `{}` are both lots of {}, and a product is worked out with one", first,
                                   found.header.name, of.header.name))
                    .also(other->span, "the first one")
                    .note("where a batch takes both, make two products, or a lot of the two as mixed, with the worse figure of each");
            }
            continue;
        }
        if (std::find(held.begin(), held.end(), found.of) == held.end()) {
            auto added = report(Code::lot_not_held, named.span,
                                fmt::format("lot `{}` is of {}, and this product holds none", found.header.name, of.header.name));
            added.also(found.header.name_span, "the lot");
            for (const MaterialId m : held) {
                const auto& as = model_.materials[m].counts_as;
                if (std::none_of(as.begin(), as.end(), [&](const CountsAs& c) { return c.material == found.of; })) continue;
                const auto name = model_.materials[m].header.name;
                added.note(model_.materials[m].dilution
                               ? fmt::format("`{}` is a dilution of it: a lot of that one says what the oil in it was found to hold", name)
                               : fmt::format("`{}` is like it, and has lots of its own", name));
                break;
            }
            continue;
        }
        p.lots.push_back({id, named.span});
    }
}

void Elaborator::report_unknown_lots() {
    std::size_t told = 0;
    for (const auto& [key, spans] : unknown_lots_) {
        const auto& scope = key.first;
        const auto& number = key.second;
        // Its declaration may be one that could not be read.
        if (nameless_[static_cast<std::size_t>(NameSpace::lots)]) continue;
        const bool broken = std::any_of(broken_rows_.begin(), broken_rows_.end(), [&](const Span& row) {
            return sources_.text(row).find(number) != std::string_view::npos;
        });
        if (broken) continue;
        auto added = report(Code::unknown_name, spans.front(), fmt::format("no lot here has the number `{}`", number));
        const auto near = ++told <= 100 ? nearest(number, names_.all(scope, {Kind::lot})) : std::string();
        if (!near.empty()) {
            added.label(fmt::format("did you mean `{}`?", near));
            std::vector<Edit> edits;
            for (const Span& s : spans) edits.push_back({{s.file, s.begin + 1, s.end - 1}, near});
            added.fix(fmt::format("write `{}`", near), false, std::move(edits));
        }
        for (std::size_t i = 1; i < spans.size() && i < 4; ++i) added.also(spans[i], "used here too");
        added.note(fmt::format("`lot \"{}\" of` and an oil's name declares it", number));
    }
}

}  // namespace scruple
