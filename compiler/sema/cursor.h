// Walks the atoms of one item. Nothing here reports: callers say what they expected.
#pragma once

#include <span>
#include <string_view>

#include "syntax/tree.h"

namespace scruple {

class Cursor {
public:
    Cursor(const SyntaxTree& tree, const Item& item) : tree_(&tree), atoms_(tree.atoms_of(item)) {}
    Cursor(const SyntaxTree& tree, std::span<const Atom> atoms) : tree_(&tree), atoms_(atoms) {}

    bool done() const { return at_ >= atoms_.size(); }
    std::size_t left() const { return atoms_.size() - at_; }
    const Atom& peek(std::size_t ahead = 0) const { return atoms_[at_ + ahead]; }
    bool is(AtomKind kind, std::size_t ahead = 0) const { return left() > ahead && peek(ahead).kind == kind; }
    bool is_word(std::string_view word, std::size_t ahead = 0) const {
        return is(AtomKind::word, ahead) && text(ahead) == word;
    }
    std::string_view text(std::size_t ahead = 0) const { return tree_->value_text(peek(ahead)); }
    const Atom& take() { return atoms_[at_++]; }
    bool take_word(std::string_view word) {
        if (!is_word(word)) return false;
        ++at_;
        return true;
    }
    void skip(std::size_t n) { at_ += n; }

    const SyntaxTree& tree() const { return *tree_; }
    Span span(const Atom& atom) const { return tree_->span(atom); }
    /// From the next atom to the end of the item; the end of the last atom when done.
    Span rest() const {
        if (atoms_.empty()) return {};
        if (done()) {
            const auto end = atoms_.back().end;
            return tree_->span(end, end);
        }
        return tree_->span(peek().begin, atoms_.back().end);
    }
    /// The atom before, or the next one at the start.
    Span before() const {
        if (atoms_.empty()) return {};
        return tree_->span(at_ == 0 ? atoms_[0] : atoms_[at_ - 1]);
    }
    Span whole() const {
        if (atoms_.empty()) return {};
        return tree_->span(atoms_.front().begin, atoms_.back().end);
    }
    std::size_t position() const { return at_; }
    void reset(std::size_t position) { at_ = position; }

private:
    const SyntaxTree* tree_;
    std::span<const Atom> atoms_;
    std::size_t at_ = 0;
};

}  // namespace scruple
