#include "sema/product_parts.h"

#include <fmt/core.h>

#include <algorithm>

#include "num/decimal.h"

namespace scruple {

bool starts_load(const Cursor& cursor) {
    return cursor.is_word("at") || cursor.is_word("using") || (cursor.is_word("up") && cursor.is_word("to", 1)) ||
           cursor.is_word("between");
}

/// Where a list of an `in` clause ends on a line's row.
bool load_stop_in_list(const Cursor& cursor) { return cursor.is_word("as") || starts_load(cursor); }

/// `at 3 %`, `at 3 % v/v`, `at 2 % of fats`, `at neat`, `using 2.5 ml`, `up to 60 drops`, `between 50 and 60 drops`.
/// False if the cursor stands on none of them, or it could not be read.
bool Elaborator::read_load(Cursor& cursor, std::uint32_t scope, ProductParts& parts) {
    const Span start = cursor.span(cursor.peek());
    const auto done = [&](Load load) {
        load.span = join(start, cursor.before());
        if (parts.load) {
            report(Code::duplicate_clause, load.span, "how much blend is said twice")
                .also(parts.load->span, "the first time");
            return false;
        }
        parts.load = load;
        return true;
    };
    Load load;
    if (cursor.take_word("at")) {
        if (cursor.take_word("neat")) {
            load.kind = LoadKind::neat;
            load.value = Rational(1);
            return done(load);
        }
        const auto amount = read_amount(cursor, scope);
        if (!amount) return false;
        if (!amount->percent) {
            report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
                   "after `at` stands a percentage or `neat`")
                .note("a volume for each unit is `using 2.5 ml`; a number of drops is `up to 60 drops`");
            return false;
        }
        if (amount->is_range) {
            report(Code::unexpected_range, amount->span, "a load is one figure, not a range");
            return false;
        }
        if (!check_positive(*amount, "this load")) return false;
        if (amount->typical > Rational(1)) {
            report(Code::out_of_range, amount->number_span, "a load is at most 100 %");
            return false;
        }
        if (amount->of == OfWord::blend || amount->of == OfWord::container || amount->of == OfWord::lye) {
            report(Code::wrong_basis, amount->basis_span, "a load is a share of total, base, fats or wax");
            return false;
        }
        load.kind = LoadKind::percent;
        load.value = amount->typical;
        parts.load_bare = amount->of == OfWord::none && !amount->basis;
        load.basis = amount->basis.value_or(Basis::ww);
        load.of = amount->of == OfWord::base ? Of::base : amount->of == OfWord::fats ? Of::fats
                : amount->of == OfWord::wax ? Of::wax : Of::total;
        if (load.basis != Basis::ww && load.of != Of::total) {
            report(Code::wrong_basis, amount->basis_span, "a share by volume is always of the total");
            return false;
        }
        parts.load_amount = *amount;
        return done(load);
    }
    if (cursor.take_word("using")) {
        const auto amount = read_amount(cursor, scope);
        if (!amount) return false;
        if (amount->dimension != kVolume && amount->dimension != kMass) {
            report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
                   "after `using` stands a volume or a weight of blend for each unit");
            return false;
        }
        if (amount->is_range) {
            report(Code::unexpected_range, amount->span, "a load is one figure, not a range");
            return false;
        }
        if (!check_positive(*amount, "this load")) return false;
        load.kind = amount->dimension == kVolume ? LoadKind::volume : LoadKind::mass;
        load.value = amount->typical;
        return done(load);
    }
    const auto drops = [&](const Amount& amount, std::int64_t& out) {
        if (amount.dimension != kDrop && !amount.bare()) {
            report(Code::wrong_dimension, amount.span, "a number of drops is wanted here");
            return false;
        }
        if (amount.is_range || !amount.typical.is_whole()) {
            report(Code::unexpected_range, amount.span, "drops are whole: one whole number is wanted here");
            return false;
        }
        if (!check_positive(amount, "a number of drops")) return false;
        if (amount.typical > Rational(100000)) {
            report(Code::out_of_range, amount.span, "that is more than 100000 drops: weigh so much, `using 100 g`");
            return false;
        }
        out = static_cast<std::int64_t>(amount.typical.floor());
        return true;
    };
    if (cursor.take_word("between")) {
        const auto least = read_amount(cursor, scope);
        if (!least || !drops(*least, load.least_drops)) return false;
        if (!cursor.take_word("and")) {
            report(Code::missing_value, cursor.before(), "between what and what? `between 50 and 60 drops`");
            return false;
        }
        const auto most = read_amount(cursor, scope);
        if (!most) return false;
        if (most->bare()) {
            report(Code::missing_unit, most->span, "a window is in drops: `between 50 and 60 drops`");
            return false;
        }
        if (!drops(*most, load.most_drops)) return false;
        if (load.least_drops > load.most_drops) {
            report(Code::range_order, join(least->span, most->span), "the window runs backwards: the smaller number comes first");
            return false;
        }
        load.kind = LoadKind::between_drops;
        return done(load);
    }
    cursor.skip(2);  // up to
    const auto most = read_amount(cursor, scope);
    if (!most) return false;
    if (most->bare()) {
        report(Code::missing_unit, most->span, "this is a number of drops: `up to 60 drops`");
        return false;
    }
    if (!drops(*most, load.most_drops)) return false;
    load.kind = LoadKind::up_to_drops;
    return done(load);
}

/// `of 10 ml` after a format.
bool Elaborator::read_size(Cursor& cursor, std::uint32_t scope, ProductParts& parts) {
    const Span of = cursor.span(cursor.peek());
    cursor.take();
    const auto amount = read_amount(cursor, scope);
    if (!amount) return false;
    if (amount->dimension != kMass && amount->dimension != kVolume) {
        report(amount->bare() ? Code::missing_unit : Code::wrong_dimension, amount->span,
               "a size is the net content of a unit: a volume or a weight");
        return false;
    }
    if (amount->is_range) {
        report(Code::unexpected_range, amount->span, "a size is one figure, not a range");
        return false;
    }
    if (!check_positive(*amount, "a size")) return false;
    if (parts.size_known) {
        report(Code::duplicate_clause, join(of, amount->span), "the size is said twice");
        return false;
    }
    parts.size_known = true;
    parts.size = *amount;
    return true;
}

void Elaborator::product_field(DeclId id, const FieldSpec& spec, std::uint32_t row, Cursor& cursor,
                               ProductParts& parts) {
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const auto items = tree.items_of(tree.rows[row]);
    switch (spec.field) {
        case Field::blend: {
            if (!first_item_only(tree, row)) return;
            const auto name = read_name(cursor, decl.scope, NameSpace::materials, {Kind::blend, Kind::variation});
            parts.blend = name.decl;
            parts.blend_span = name.span;
            if (name.decl == kNoDecl) return;
            while (!cursor.done()) {
                if (!starts_load(cursor)) return leftover(cursor);
                if (!read_load(cursor, decl.scope, parts)) {
                    broken_ = true;
                    return;
                }
            }
            return;
        }
        case Field::format: {
            if (!first_item_only(tree, row)) return;
            const auto name = read_name(cursor, decl.scope, NameSpace::formats, {Kind::format});
            parts.format = name.decl;
            parts.format_span = name.span;
            if (name.decl == kNoDecl) return;
            while (!cursor.done()) {
                if (!cursor.is_word("of")) return leftover(cursor);
                if (!read_size(cursor, decl.scope, parts)) return;
            }
            return;
        }
        case Field::in: {
            std::vector<Cursor> list;
            for (std::size_t i = 0; i < items.size(); ++i) list.push_back(i == 0 ? cursor : Cursor(tree, items[i]));
            if (cursor.done()) {
                report(Code::missing_value, cursor.before(), "in what? a carrier, a base, or a list that comes to 100 %");
                return;
            }
            parts.in_span = tree.head(tree.rows[row]);
            parts.in_known = true;
            parts.product.own_base = read_in(decl.scope, tree, parts.in_span, list, parts.product.base_id);
            for (const auto& c : list) {
                if (list.size() == 1 && !starts_amount(c, decl.scope)) {
                    Cursor rest = c;
                    rest.take();
                    while (rest.is(AtomKind::word) && !is_reserved(rest.text())) rest.take();
                    if (!rest.done() && !broken_) leftover(rest);
                }
            }
            return;
        }
        case Field::make:
            if (const auto q = read_quantity(cursor, decl.scope, kNumber, "`make`")) {
                leftover(cursor);
                if (!check_positive(*q, "`make`")) return;
                if (!q->typical.is_whole() || q->typical > Rational(1000000)) {
                    report(Code::out_of_range, q->span, "how many to make is a whole number of at most 1000000");
                    return;
                }
                parts.product.units = static_cast<std::int64_t>(q->typical.floor());
                parts.product.units_stated = true;
            }
            return;
        case Field::container: read_container(decl, cursor, parts.product); return;
        case Field::packaging: read_packaging(decl, row, cursor, parts.product); return;
        case Field::work: read_work(decl, row, cursor, parts.product); return;
        case Field::budget: parts.product.budget = read_money(cursor, decl.scope, "`budget`"); return;
        case Field::extra:
            if (const auto p = read_percent(cursor, decl.scope, spec)) {
                parts.product.extra = *p;
                parts.product.extra_source = "product";
            }
            return;
        case Field::accept: read_accept(cursor, decl.scope, parts.product); return;
        case Field::lots: read_lots(tree, row, cursor, decl.scope, parts); return;
        case Field::steps: parts.product.steps = read_texts(tree, row, cursor); return;
        case Field::audience:
            parts.product.audience_span = tree.head(tree.rows[row]);
            parts.product.audience = read_audience(tree, row, cursor, decl.scope);
            return;
        case Field::warnings: parts.product.warnings = read_texts(tree, row, cursor); return;
        case Field::remark: {
            for (auto& text : read_texts(tree, row, cursor)) parts.product.remarks.push_back(std::move(text));
            return;
        }
        default: return;
    }
}

/// What the rows said becomes a product: format and size agree, the load has its basis, gaps are filled and said.
void Elaborator::finish_product(ProductParts& parts) {
    Product& p = parts.product;
    if (broken_ || parts.blend == kNoDecl || parts.format == kNoDecl) {
        broken_ = true;
        return;
    }
    p.blend = blend(parts.blend);
    p.format = format(parts.format);
    if (names_.at(parts.blend).broken || names_.at(parts.format).broken || p.blend == kNone || p.format == kNone) {
        broken_ = true;
        return;
    }
    const Format& f = model_.formats[p.format];
    if (!parts.size_known) {
        auto added = report(Code::missing_value, parts.format_span,
                            fmt::format("how large? `{} of 10 ml` says the net content of a unit", f.header.name));
        std::string list;
        for (const auto& size : f.sizes) {
            list += fmt::format("{}{} {}", list.empty() ? "" : ", ", format_exact(size.value),
                                size.dimension == kMass ? "g" : "ml");
        }
        if (!list.empty()) added.note("usual sizes are " + list);
        return;
    }
    if (f.sold_by && parts.size.dimension.top != *f.sold_by) {
        report(Code::wrong_size, parts.size.span,
               fmt::format("{} is sold by {}, and `{}` is {}", f.header.name,
                           *f.sold_by == Dim::mass ? "weight" : "volume", sources_.text(parts.size.span),
                           dimension_name(parts.size.dimension)))
            .also(f.header.name_span, "the format");
        return;
    }
    p.content = {parts.size.typical, parts.size.dimension, {}};
    p.content_span = parts.size.span;
    if (parts.load) {
        p.load = *parts.load;
        if (p.load.kind == LoadKind::percent && parts.load_bare) {
            p.load.basis = f.load_basis;
            p.load.of = f.load_of;
            const std::string basis = p.load.basis == Basis::vv ? "by volume" : p.load.basis == Basis::wv ? "by weight in volume"
                                    : p.load.of == Of::base ? "of the base" : p.load.of == Of::fats ? "of the fats"
                                    : p.load.of == Of::wax ? "of the wax" : "of the total";
            note_let_basis(parts.load_amount, basis);
            if (broken_) return;
        }
    } else if (f.load_neat) {
        p.load.kind = LoadKind::neat;
        p.load.value = Rational(1);
        p.load.from_format = true;
        p.load.span = parts.format_span;
    } else if (f.load_typical) {
        p.load.kind = LoadKind::percent;
        p.load.value = *f.load_typical;
        p.load.basis = f.load_basis;
        p.load.of = f.load_of;
        p.load.from_format = true;
        p.load.span = parts.format_span;
    } else {
        report(Code::no_load, parts.blend_span, "how much of the blend? `at 3 %`, `using 2.5 ml` or `up to 60 drops`");
        return;
    }
    const bool neat = p.load.kind == LoadKind::neat;
    if (neat && parts.in_known) {
        report(Code::no_base, parts.in_span, "a neat product holds nothing but the blend, and this one names something to put it in")
            .also(p.load.span, "neat, said here");
        return;
    }
    if (!neat && !parts.in_known) {
        if (f.usual_base == kNone) {
            report(Code::no_base, parts.blend_span, "what does the blend go into? `in` names a carrier, a base, or a list");
            return;
        }
        p.base_id = f.usual_base;
        p.base_span = parts.format_span;
        p.base_usual = true;
    }
    if (parts.in_known) p.base_span = parts.in_span;
    if (!p.audience_span.known()) {
        p.audience = model_.workshop.audience;
        p.audience_span = model_.workshop.audience_span;
    }
    if (!p.extra) {
        const Workshop& w = model_.workshop;
        if (parts.line_extra) {
            p.extra = parts.line_extra;
            p.extra_source = "line";
        } else if (w.extra) {
            p.extra = w.extra;
            p.extra_source = "workshop";
        } else if (f.extra) {
            p.extra = f.extra;
            p.extra_source = "format";
        }
    }
    if (!parts.lots.empty()) settle_lots(parts);
    std::uint64_t lines = model_.blends[p.blend].lines.size();
    for (const auto& phase : model_.phases(p)) lines += phase.rows.size();
    line_count_ += lines;
}

void Elaborator::product(DeclId id) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const auto record = static_cast<ProductId>(model_.products.size());
    ProductParts parts;
    parts.product.header = header_of(decl);
    Cursor head = after_name(decl);
    leftover(head);
    read_block(id, decl.row, kind_spec(Kind::product),
               [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
                   product_field(id, spec, row, cursor, parts);
               },
               nullptr);
    finish_product(parts);
    parts.product.header.broken = broken_ || decl.broken;
    model_.products.push_back(std::move(parts.product));
    model_.own_products.push_back(record);
    end(id, record);
}

/// `12 FORMAT of 100 ml at 1.5 % in house_carrier as night_ferry_body { extra 5 % }`
void Elaborator::line(DeclId id) {
    if (!begin(id)) return;
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    Cursor head = after_name(decl);
    LineParts line;
    line.of_span = decl.name_span;
    line.header = header_of(decl);
    if (!head.take_word("of")) {
        if (!decl.broken) {
            report(Code::missing_value, decl.name_span, fmt::format("a line of what? `line {} of night_ferry`", decl.name));
        }
    } else {
        const auto name = read_name(head, decl.scope, NameSpace::materials, {Kind::blend, Kind::variation});
        line.of = name.decl;
        line.of_span = name.span;
        if (line.of != kNoDecl) leftover(head);
    }
    std::vector<std::uint32_t> rows;
    read_block(
        id, decl.row, kind_spec(Kind::line),
        [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
            if (spec.field == Field::extra) {
                line.extra = read_percent(cursor, decl.scope, spec);
            } else if (spec.field == Field::audience) {
                line.audience_span = tree.head(tree.rows[row]);
                line.audience = read_audience(tree, row, cursor, decl.scope);
            } else {
                read_texts(tree, row, cursor);
            }
        },
        [&](std::uint32_t row) { rows.push_back(row); });
    if (rows.empty() && !broken_) report(Code::no_rows, decl.name_span, "a line needs at least one format");
    for (const std::uint32_t r : rows) {
        const bool outer = broken_;
        broken_ = false;
        line_row(id, r, line);
        broken_ = broken_ || outer;
    }
    end(id, 0);
}

void Elaborator::line_row(DeclId id, std::uint32_t r, const LineParts& line) {
    const Decl decl = names_.at(id);
    const SyntaxTree& tree = *decl.tree;
    const Row& row = tree.rows[r];
    const auto items = tree.items_of(row);
    ProductParts parts;
    parts.blend = line.of;
    parts.blend_span = line.of_span;
    parts.line_extra = line.extra;
    Product& p = parts.product;
    p.header.span = tree.head(row);
    p.line = decl.name;
    Cursor cursor(tree, items[0]);
    const auto units = read_amount(cursor, decl.scope);
    if (!units) return;
    if (!units->bare()) {
        report(Code::unexpected_unit, units->span, "a row of a line starts with how many to make, a bare number");
        return;
    }
    if (!check_positive(*units, "how many to make")) return;
    if (units->is_range || !units->typical.is_whole() || units->typical > Rational(1000000)) {
        report(Code::out_of_range, units->span, "how many to make is a whole number of at most 1000000");
        return;
    }
    p.units = static_cast<std::int64_t>(units->typical.floor());
    p.units_stated = true;
    const auto name = read_name(cursor, decl.scope, NameSpace::formats, {Kind::format});
    parts.format = name.decl;
    parts.format_span = name.span;
    if (name.decl == kNoDecl) return;
    std::string_view as;
    Span as_span;
    while (!cursor.done()) {
        if (cursor.is_word("of")) {
            if (!read_size(cursor, decl.scope, parts)) return;
        } else if (starts_load(cursor)) {
            if (!read_load(cursor, decl.scope, parts)) {
                broken_ = true;
                return;
            }
        } else if (cursor.is_word("as")) {
            if (!read_as(cursor, as, as_span)) return;
        } else if (cursor.take_word("in")) {
            if (parts.in_known) {
                report(Code::duplicate_clause, cursor.before(), "what it goes into is said twice");
                return;
            }
            // The list runs over commas; `as NAME` may close its last item.
            std::vector<std::vector<Atom>> pieces(1);
            while (!cursor.done() && !load_stop_in_list(cursor)) pieces[0].push_back(cursor.take());
            Cursor tail = cursor;
            for (std::size_t i = 1; i < items.size(); ++i) {
                Cursor more(tree, items[i]);
                pieces.emplace_back();
                while (!more.done() && !load_stop_in_list(more)) pieces.back().push_back(more.take());
                tail = more;
            }
            std::vector<Cursor> list;
            for (const auto& piece : pieces) list.emplace_back(tree, std::span<const Atom>(piece));
            parts.in_known = true;
            parts.in_span = tree.head(row);
            if (pieces[0].empty()) {
                report(Code::missing_value, cursor.before(), "in what? a carrier, a base, or a list that comes to 100 %");
                return;
            }
            p.own_base = read_in(decl.scope, tree, list[0].whole(), list, p.base_id);
            parts.in_span = list[0].whole();
            cursor = tail;
            if (broken_) return;
        } else {
            leftover(cursor);
            return;
        }
    }
    if (row.has_block) {
        KindSpec inner = kind_spec(Kind::product);
        std::vector<FieldSpec> fields;
        for (auto f : inner.fields) {
            if (f.field == Field::blend || f.field == Field::format || f.field == Field::in || f.field == Field::make) continue;
            f.required = false;
            fields.push_back(f);
        }
        inner.fields = fields;
        read_block(id, r, inner,
                   [&](const FieldSpec& spec, std::uint32_t field_row, Cursor& c) { product_field(id, spec, field_row, c, parts); },
                   nullptr);
    }
    // LINE_FORMAT_SIZE unless `as` says otherwise.
    if (as.empty()) {
        std::string made = fmt::format("{}_{}", decl.name, sources_.text(name.span));
        std::replace(made.begin(), made.end(), '.', '_');
        if (parts.size_known) {
            auto size = std::string(sources_.text(parts.size.span));
            std::erase(size, ' ');
            std::replace(size.begin(), size.end(), '.', '_');
            std::replace(size.begin(), size.end(), '/', '_');
            made += "_" + size;
        }
        model_.texts.push_back(std::move(made));
        as = model_.texts.back();
        as_span = name.span;
    }
    p.header.name = as;
    p.header.name_span = as_span;
    p.header.doc = line.header.doc;
    if (!p.audience_span.known()) {
        p.audience = line.audience;
        p.audience_span = line.audience_span;
    }
    if (!broken_) {
        Decl own;
        own.kind = Kind::product;
        own.scope = decl.scope;
        own.tree = decl.tree;
        own.row = r;
        own.name = as;
        own.name_span = as_span;
        own.state = Decl::State::done;
        own.uses = 1;
        DeclId added = kNoDecl;
        if (const DeclId earlier = names_.declare(own, added); earlier != kNoDecl) {
            report(Code::duplicate_name, as_span,
                   fmt::format("there is a product `{}` already: `as` gives this one another name", as))
                .also(names_.at(earlier).name_span, "the other one");
        }
    }
    finish_product(parts);
    if (p.format != kNone) {
        p.header.title = fmt::format("{}: {}", line.header.title, model_.formats[p.format].header.title);
        if (parts.size_known) p.header.title += fmt::format(", {}", figure_text(parts.size));
    }
    p.header.broken = broken_;
    model_.own_products.push_back(static_cast<ProductId>(model_.products.size()));
    model_.products.push_back(std::move(p));
}

bool Elaborator::read_as(Cursor& cursor, std::string_view& as, Span& span) {
    cursor.take();
    if (!cursor.is(AtomKind::word)) {
        report(Code::missing_value, cursor.before(), "as what? a name is wanted after `as`");
        return false;
    }
    if (!as.empty()) {
        report(Code::duplicate_clause, cursor.before(), "the name is said twice");
        return false;
    }
    as = cursor.text();
    span = cursor.span(cursor.take());
    return true;
}

}  // namespace scruple
