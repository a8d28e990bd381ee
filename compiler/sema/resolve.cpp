#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "sema/elaborator.h"

namespace scruple {
namespace {

constexpr std::size_t kDeepestChain = 200;

}  // namespace

bool Elaborator::begin(DeclId id) {
    Decl& decl = names_.at(id);
    if (decl.state != Decl::State::fresh) return false;
    // Names that lead to names that lead to names: a bound keeps any chain, however long, off the machine's stack.
    if (decl.scope != kLibraryScope && open_.size() >= kDeepestChain) {
        report(Code::variation_too_deep, decl.name_span,
               fmt::format("`{}` is reached through a chain of more than {} declarations, and that is too deep",
                           decl.name, kDeepestChain));
        decl.state = Decl::State::done;
        decl.broken = true;
        return false;
    }
    decl.state = Decl::State::busy;
    open_.push_back({id, broken_});
    broken_ = false;
    return true;
}

void Elaborator::end(DeclId id, std::uint32_t record) {
    Decl& decl = names_.at(id);
    decl.state = Decl::State::done;
    decl.broken |= broken_;
    decl.record = record;
    broken_ = open_.back().second;
    open_.pop_back();
}

DeclId Elaborator::resolve(std::uint32_t scope, NameSpace space, const Kinds& kinds,
                           std::string_view name, Span span) {
    const DeclId id = names_.find(scope, space, name);
    if (id == kNoDecl) {
        unknown_name(scope, space, kinds, name, span);
        return kNoDecl;
    }
    Decl& decl = names_.at(id);
    ++decl.uses;
    if (!kinds.has(decl.kind)) {
        std::string wanted;
        for (std::size_t i = 0; i < kinds.size(); ++i) {
            if (i > 0) wanted += i + 1 == kinds.size() ? " or " : ", ";
            wanted += std::string(kind_phrase(kinds[i]));
        }
        report(Code::wrong_kind, span,
               fmt::format("`{}` is {}, and {} is wanted here", name, kind_phrase(decl.kind), wanted))
            .also(decl.name_span, "declared here");
        return kNoDecl;
    }
    return id;
}

Elaborator::NameRead Elaborator::read_name(Cursor& cursor, std::uint32_t scope, NameSpace space,
                                           const Kinds& kinds) {
    NameRead out;
    if (!cursor.is(AtomKind::word)) {
        const Span at = cursor.done() ? cursor.before() : cursor.span(cursor.peek());
        report(cursor.done() ? Code::missing_value : Code::wrong_shape, at,
               fmt::format("a name is wanted here, of {}", kind_phrase(kinds.front())));
        return out;
    }
    const auto stops = [&](std::string_view word) {
        return (is_reserved(word) && word != "base" && word != "blend") || word == "using" || word == "under" ||
               word == "effect";
    };
    out.span = cursor.span(cursor.peek());
    out.text = std::string(cursor.text());
    const std::string_view first = cursor.text();
    cursor.take();
    if (cursor.is(AtomKind::word) && !stops(cursor.text())) {
        // A name written as two words, or a word too many.
        const DeclId id = names_.find(scope, space, first);
        if (id != kNoDecl) {
            const Span extra = cursor.span(cursor.peek());
            const auto word = cursor.text();
            auto added = report(Code::unexpected_text, extra,
                                word == first ? fmt::format("`{}` stands here twice", word)
                                              : fmt::format("`{}` does not belong after `{}`", word, first));
            added.fix(fmt::format("take `{}` out", word), false, {{Span{extra.file, out.span.end, extra.end}, ""}});
            while (cursor.is(AtomKind::word) && !stops(cursor.text())) cursor.take();
            return out;
        }
        while (cursor.is(AtomKind::word) && !stops(cursor.text())) {
            out.text += '_';
            out.text += cursor.text();
            out.span = join(out.span, cursor.span(cursor.peek()));
            cursor.take();
        }
        const DeclId joined = names_.find(scope, space, out.text);
        if (joined != kNoDecl) {
            ++names_.at(joined).uses;
            report(Code::unknown_name, out.span,
                   fmt::format("names are one word, and `{}` is written `{}`", sources_.text(out.span), out.text))
                .fix(fmt::format("write `{}`", out.text), true, {{out.span, out.text}});
            return out;
        }
        unknown_name(scope, space, kinds, out.text, out.span);
        return out;
    }
    if (is_reserved(first) && names_.find(scope, space, first) == kNoDecl) {
        report(Code::missing_value, out.span,
               fmt::format("a name is wanted before `{}`", first));
        return out;
    }
    bool upper = false;
    for (char c : first) upper |= c >= 'A' && c <= 'Z';
    if (upper) {
        const std::string lower = ascii_lower(first);
        if (const DeclId id = names_.find(scope, space, lower); id != kNoDecl) {
            ++names_.at(id).uses;
            report(Code::uppercase_name, out.span,
                   fmt::format("`{}` has capital letters, and names are written small", first))
                .fix(fmt::format("write `{}`", lower), true, {{out.span, lower}});
            return out;
        }
    }
    out.decl = resolve(scope, space, kinds, first, out.span);
    return out;
}

SourceId Elaborator::cite(DeclId id) {
    if (begin(id)) {
        Source source;
        const Decl decl = names_.at(id);
        const Header header = header_of(decl);
        source.name = decl.name;
        source.span = decl.name_span;
        model_.texts.push_back(header.title);
        source.text = model_.texts.back();
        Cursor head = after_name(decl);
        leftover(head);
        read_block(id, decl.row, kind_spec(Kind::cite),
                   [&](const FieldSpec& spec, std::uint32_t row, Cursor& cursor) {
                       if (spec.field == Field::standing) {
                           const auto word = read_word(cursor, spec);
                           leftover(cursor);
                           if (const auto s = standing_from_word(word)) source.standing = *s;
                       } else if (spec.field == Field::text) {
                           model_.texts.push_back(read_text(cursor));
                           source.text = model_.texts.back();
                       } else {
                           read_texts(*decl.tree, row, cursor);
                       }
                   },
                   nullptr);
        model_.sources.push_back(source);
        end(id, static_cast<std::uint32_t>(model_.sources.size() - 1));
    }
    return names_.at(id).record;
}

}  // namespace scruple
