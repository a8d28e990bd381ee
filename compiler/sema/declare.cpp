#include <fmt/core.h>

#include <algorithm>
#include <utility>

#include "base/text.h"
#include "sema/elaborator.h"
#include "syntax/keywords.h"

namespace scruple {
namespace {

/// "night_ferry" as people read it: "night ferry".
std::string plain_title(std::string_view name) {
    std::string out(name.substr(name.rfind('.') == std::string_view::npos ? 0 : name.rfind('.') + 1));
    for (char& c : out) {
        if (c == '_') c = ' ';
    }
    if (!out.empty() && out[0] >= 'a' && out[0] <= 'z') out[0] = static_cast<char>(out[0] - 'a' + 'A');
    return out;
}

bool only_line_end_between(std::string_view text, std::uint32_t from, std::uint32_t to) {
    std::uint32_t lines = 0;
    for (std::uint32_t i = from; i < to; ++i) lines += text[i] == '\n';
    return lines == 1;
}

}  // namespace

Header Elaborator::header_of(const Decl& decl) const {
    const SyntaxTree& tree = *decl.tree;
    const Row& row = tree.rows[decl.row];
    Header header;
    header.name = decl.name;
    header.name_span = decl.name_span;
    header.span = tree.head(row);
    header.from_library = decl.scope == kLibraryScope;
    if (row.item_count > 0) {
        const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
        const std::size_t at = decl.name_atom + 1;
        if (atoms.size() > at && atoms[at].kind == AtomKind::string) {
            header.title = string_value(tree.value_text(atoms[at]));
        }
    }
    if (header.title.empty()) header.title = plain_title(decl.name);
    // `##` lines directly above, without a blank line between.
    std::uint32_t first = decl.row;
    std::uint32_t below = row.begin;
    while (first > 0 && tree.rows[first - 1].kind == RowKind::doc && tree.rows[first - 1].parent == row.parent &&
           only_line_end_between(tree.text, tree.rows[first - 1].end, below)) {
        --first;
        below = tree.rows[first].begin;
    }
    for (std::uint32_t r = first; r < decl.row; ++r) {
        auto line = tree.view(tree.rows[r].begin, tree.rows[r].end);
        line.remove_prefix(2);
        while (line.starts_with(' ')) line.remove_prefix(1);
        while (line.ends_with('\r') || line.ends_with(' ')) line.remove_suffix(1);
        if (!header.doc.empty()) header.doc += ' ';
        header.doc += line;
    }
    return header;
}

Cursor Elaborator::after_name(const Decl& decl) const {
    const SyntaxTree& tree = *decl.tree;
    const Row& row = tree.rows[decl.row];
    Cursor cursor(tree, tree.items_of(row)[0]);
    cursor.skip(std::min<std::size_t>(decl.name_atom, cursor.left()));
    if (!cursor.done() && cursor.is(AtomKind::word)) cursor.take();
    if (cursor.is(AtomKind::string)) cursor.take();
    return cursor;
}

void Elaborator::check_docs(const CollectionFile& file) {
    const SyntaxTree& tree = file.tree;
    for (std::uint32_t r = 0; r < tree.rows.size(); ++r) {
        const Row& row = tree.rows[r];
        if (row.kind != RowKind::doc) continue;
        const Row* next = r + 1 < tree.rows.size() ? &tree.rows[r + 1] : nullptr;
        const bool good = row.parent == 0xFFFFFFFF && next && next->parent == row.parent &&
                          (next->kind == RowKind::doc || next->kind == RowKind::entry) &&
                          only_line_end_between(tree.text, row.end, next->begin);
        if (good || (next && next->kind == RowKind::error)) continue;
        const Span marks = tree.span(row.begin, row.begin + 2);
        bag_.add(Code::misplaced_doc, marks, "`##` documents the declaration directly below it, and there is none")
            .fix("write `#` for a plain comment", true, {{marks, "#"}});
    }
}

/// Every name after `of` in a variation's head: what the variation starts from is among them.
void Elaborator::note_varied(Cursor head) {
    while (!head.done() && !head.is_word("of")) head.take();
    for (; !head.done(); head.take()) {
        if (!head.is(AtomKind::word)) continue;
        const auto name = head.text();
        varied_.insert(name.substr(name.rfind('.') + 1));
    }
}

void Elaborator::declare_row(const CollectionFile& file, std::uint32_t r) {
    const SyntaxTree& tree = file.tree;
    const Row& row = tree.rows[r];
    const auto items = tree.items_of(row);
    const auto give_up = [&] {
        broken_rows_.push_back(tree.span(row.begin, row.has_block ? row.open : row.head_end));
        any_broken_text_ = true;
    };
    if (items.empty() || items[0].atom_count == 0) return give_up();
    Cursor cursor(tree, items[0]);
    const Span first = cursor.span(cursor.peek());
    if (!cursor.is(AtomKind::word)) {
        if (!row.broken) {
            report(Code::unexpected_text, tree.head(row),
                   "a file holds declarations, and this row stands outside of any")
                .note("it may have lost its block: a declaration starts with its kind and name and ends in `{`");
        }
        return give_up();
    }
    const auto word = cursor.text();
    const KindSpec* kind = find_kind(word);
    if (!kind) {
        give_up();
        if (row.broken) return;
        std::vector<std::string> kinds;
        for (const auto& k : all_kinds()) {
            if (k.user) kinds.emplace_back(k.word);
        }
        auto added = report(Code::unknown_kind, first, fmt::format("`{}` is no kind of declaration", word));
        if (const auto near = nearest(word, kinds); !near.empty()) {
            added.label(fmt::format("did you mean `{}`?", near));
            added.fix(fmt::format("write `{}`", near), surely(word, near, kinds), {{first, near}});
        } else if (is_declaration_word(word)) {
            added.label("this compiler does not know it yet");
        }
        added.note("a declaration starts with its kind: blend, variation, product, line, base, oil, ingredient …");
        return;
    }
    if (row.broken) give_up();
    cursor.take();
    if (kind->kind == Kind::use) {
        const bool shape = cursor.left() == 3 && cursor.is(AtomKind::string) && cursor.is_word("as", 1) &&
                           cursor.is(AtomKind::word, 2);
        if (!shape && !row.broken) {
            report(Code::wrong_shape, tree.head(row), "an import names a folder and says what to call it here")
                .note("write `use \"../shelf\" as shelf`");
        }
        if (!shape) {
            broken_imports_.insert(file.scope);
            give_up();
        }
        if (row.has_block) report(Code::unused_block, tree.span(row.open, row.close), "an import has no block");
        return;
    }
    Decl decl;
    decl.kind = kind->kind;
    decl.scope = file.scope;
    decl.tree = &tree;
    decl.row = r;
    decl.broken = row.broken;
    if (kind->kind == Kind::workshop) {
        // Its name is its title string.
        DeclId added = kNoDecl;
        decl.name = "workshop";
        decl.name_span = first;
        if (file.scope != 0) return;  // an import's workshop stays behind
        if (workshop_ != kNoDecl) {
            report(Code::two_workshops, first, "a collection has one workshop, and there is another")
                .also(names_.at(workshop_).name_span, "the other one");
            return;
        }
        names_.declare(decl, added);
        workshop_ = added;
        return;
    }
    if (kind->kind == Kind::prices || kind->kind == Kind::rate) {
        // Nothing refers to them by name.
        DeclId added = kNoDecl;
        decl.name = kind->word;
        decl.name_span = first;
        names_.declare(decl, added);
        return;
    }
    if (cursor.is_word(word) && cursor.is(AtomKind::word, 1) && !is_reserved(cursor.text(1))) {
        const Span again = cursor.span(cursor.take());
        if (!row.broken) {
            report(Code::unexpected_text, again, fmt::format("`{}` stands here twice", word))
                .fix(fmt::format("take one `{}` out", word), true, {{Span{first.file, first.end, again.end}, ""}});
        }
        decl.name_atom = 2;
        decl.broken = true;
    }
    if (kind->kind == Kind::lot) return declare_lot(decl, cursor, first);
    if (!cursor.is(AtomKind::word)) {
        nameless_[static_cast<std::size_t>(kind->space)] = true;
        if (!row.broken) {
            report(Code::missing_name, first, fmt::format("{} needs a name after its kind", kind_phrase(kind->kind)))
                .note(fmt::format("for example `{} night_ferry`: small letters, digits and underscores", kind->word));
        }
        return give_up();
    }
    const Atom& name = cursor.peek();
    decl.name = cursor.text();
    decl.name_span = cursor.span(name);
    const bool limit = kind->kind == Kind::limit || kind->kind == Kind::allergen;
    if (kind->kind != Kind::limit && kind->kind != Kind::unit) {
        bool good = decl.name[0] >= 'a' && decl.name[0] <= 'z';
        bool upper = false;
        for (char c : decl.name) {
            upper |= c >= 'A' && c <= 'Z';
            good &= (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
        }
        if (upper) {
            const std::string lower = ascii_lower(decl.name);
            report(Code::uppercase_name, decl.name_span,
                   fmt::format("`{}` has capital letters, and names are written small", decl.name))
                .note("the title string after the name is for reading: it may have capitals")
                .fix(fmt::format("write `{}`", lower), true, {{decl.name_span, lower}});
            return give_up();
        }
        if (!good) {
            report(Code::bad_name, decl.name_span,
                   fmt::format("`{}` is no name: names start with a letter and hold letters, digits and underscores",
                               decl.name));
            return give_up();
        }
        if (is_reserved(decl.name)) {
            report(Code::reserved_name, decl.name_span,
                   fmt::format("`{}` is a word of the language and can't be a name", decl.name));
            return give_up();
        }
    }
    if (limit) {
        // Limits are told apart by subject and rule set, allergens by name and rule set; sema reads both.
        DeclId added = kNoDecl;
        names_.declare(decl, added);
        return;
    }
    if (kind->kind == Kind::variation) note_varied(cursor);
    DeclId added = kNoDecl;
    if (const DeclId earlier = names_.declare(decl, added); earlier != kNoDecl) {
        const Decl& other = names_.at(earlier);
        report(Code::duplicate_name, decl.name_span,
               fmt::format("`{}` is {} already, and two things can't share a name", decl.name, kind_phrase(other.kind)))
            .also(other.name_span, "the first one");
        names_.at(added).broken = true;
        names_.at(added).state = Decl::State::done;
        return;
    }
    // A name of the library is taken over only on purpose.
    bool like = false;
    for (std::size_t i = 0; i < cursor.left(); ++i) like |= cursor.is_word("like", i);
    if (!like) {
        if (const DeclId library = names_.find_library(kind->space, decl.name); library != kNoDecl) {
            const Decl& other = names_.at(library);
            auto shadow = report(Code::shadowed_name, decl.name_span,
                                 fmt::format("the library has {} called `{}` already", kind_phrase(other.kind), decl.name));
            shadow.also(other.name_span, "the library's");
            shadow.fix(fmt::format("name it `own_{}`", decl.name), false, {{decl.name_span, "own_" + std::string(decl.name)}});
            if (kind->like && other.kind == kind->kind) {
                shadow.note(fmt::format("write `{} {} like {}` to start from the library's and change some of it",
                                        kind->word, decl.name, decl.name));
            }
        }
    }
}

void Elaborator::declare_all() {
    for (const auto& file : collection_.files) {
        check_docs(file);
        const SyntaxTree& tree = file.tree;
        bool stray = false;  // a run of rows that belong to nothing is said once
        const Row* before = nullptr;
        const auto give_up = [&](const Row& row) {
            broken_rows_.push_back(tree.span(row.begin, row.end));
            any_broken_text_ = true;
        };
        for (std::uint32_t r = 0; r < tree.rows.size(); r = tree.rows[r].next) {
            const Row& row = tree.rows[r];
            if (row.kind == RowKind::error) {
                give_up(row);
                stray = true;
                continue;
            }
            if (row.kind != RowKind::entry) continue;
            const Row* last = std::exchange(before, &row);
            const auto items = tree.items_of(row);
            const std::string_view word = !items.empty() && items[0].atom_count > 0 &&
                                                  tree.atoms_of(items[0])[0].kind == AtomKind::word
                                              ? tree.value_text(tree.atoms_of(items[0])[0])
                                              : std::string_view{};
            const bool declares = is_declaration_word(word);
            const bool indented = row.begin != 0 && tree.text[row.begin - 1] != '\n';
            // Rows that fell out of a block whose braces are wrong: the braces are said already.
            if (indented && !tree.complete && (stray || !declares || !row.has_block)) {
                give_up(row);
                stray = true;
                Diagnostic* brace = bag_.find(Code::stray_brace, tree.file);
                if (brace && last && last->has_block && last->close < row.begin && brace->more.empty()) {
                    brace->more.push_back({tree.span(last->close, last->close + 1), "a block is closed here, and indented rows follow"});
                }
                continue;
            }
            const KindSpec* kind = find_kind(word);
            if (row.broken && kind && kind->block && !row.has_block) {
                if (kind->space != NameSpace::none) nameless_[static_cast<std::size_t>(kind->space)] |= items[0].atom_count < 2;
                give_up(row);
                stray = true;
                continue;
            }
            if (stray && !declares && !row.has_block) {
                give_up(row);
                continue;
            }
            declare_row(file, r);
            stray = row.broken || !declares;
        }
    }
}

}  // namespace scruple
