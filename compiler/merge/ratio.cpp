#include "merge/ratio.h"

#include <algorithm>
#include <map>

#include "layout/gutters.h"
#include "merge/row_names.h"
#include "num/decimal.h"

namespace scruple::merging {
namespace {

bool is_share(const Amount& amount) { return amount.measure.starts_with('%') || amount.measure.starts_with("pp"); }

class Gatherer {
public:
    Gatherer(const Version& version, Amounts& out) : tree_(version.tree), out_(out) {}

    void declaration(std::uint32_t row) {
        const Row& at = tree_.rows[row];
        kind_ = first_word_of(tree_, at);
        header(at);
        block(row, {kind_, kind_}, "");
        std::sort(out_.rows.begin(), out_.rows.end(), [](const Amount& a, const Amount& b) { return a.name < b.name; });
        out_.repeated = std::adjacent_find(out_.rows.begin(), out_.rows.end(), [](const Amount& a, const Amount& b) {
                            return a.name == b.name;
                        }) != out_.rows.end();
    }

private:
    /// Of a header what is not its name and title: `of stile`, `from trials at right`.
    void header(const Row& row) {
        if (row.item_count == 0) return;
        const auto atoms = tree_.atoms_of(tree_.items_of(row)[0]);
        for (std::size_t i = 2; i < atoms.size(); ++i) {
            if (atoms[i].kind != AtomKind::string) (out_.basis += tree_.view(atoms[i])) += ' ';
        }
    }

    void block(std::uint32_t row, const Place& place, const std::string& prefix) {
        for (std::uint32_t r = tree_.children_begin(row); r < tree_.children_end(row); r = tree_.rows[r].next) {
            const Row& at = tree_.rows[r];
            if (at.kind != RowKind::entry || at.item_count == 0) continue;
            const std::string_view word = first_word_of(tree_, at);
            const auto atoms = tree_.atoms_of(tree_.items_of(at)[0]);
            if (word == "phase" && place.block == "base" && at.has_block) {
                block(r, {kind_, "phase"}, row_name(tree_, at, place) + '/');
            } else if (word == "by" && kind_ == "blend") {
                out_.basis += item_text(tree_, atoms);
            } else if (kind_ == "variation") {
                action(at, atoms, word, place);
            } else if (const std::size_t length = amount_length(tree_, atoms, place); length > 0) {
                add(prefix + row_name(tree_, at, place), at, atoms.first(length), "");
            }
        }
    }

    void action(const Row& row, std::span<const Atom> atoms, std::string_view word, const Place& place) {
        if (word != "set" && word != "add" && word != "remove" && word != "replace") return;
        std::size_t from = 1;
        if (word == "replace") from = 3;  // replace x with 2 parts y
        if (word == "remove" || from > atoms.size()) from = atoms.size();
        const auto rest = atoms.subspan(from);
        std::string how = " ";
        how += item_text(tree_, atoms.first(std::min(from, atoms.size())));
        add(row_name(tree_, row, place), row, rest.first(layout::amount_atoms(tree_, rest, false)), how);
    }

    void add(std::string name, const Row& row, std::span<const Atom> amount, const std::string& how) {
        Amount out;
        out.name = std::move(name);
        append_row_text(out.text, tree_, row);
        // A remark on the row is no part of its amount.
        if (const auto remark = out.text.find(" \""); remark != std::string::npos) out.text.resize(remark);
        if (!amount.empty() && amount[0].kind == AtomKind::number) {
            const ParsedNumber number = parse_number(tree_.view(amount[0]));
            if (number.error == NumberError::none) out.value = number.value;
            out.measure = item_text(tree_, amount.subspan(1)) + how;
        } else {
            out.measure = item_text(tree_, amount) + how;
        }
        out_.rows.push_back(std::move(out));
    }

    const SyntaxTree& tree_;
    Amounts& out_;
    std::string_view kind_;
};

/// Walks both lists by name.
template <class Visit>
void both(const Amounts& a, const Amounts& b, Visit&& visit) {
    std::size_t i = 0, k = 0;
    while (i < a.rows.size() || k < b.rows.size()) {
        const Amount* left = i < a.rows.size() ? &a.rows[i] : nullptr;
        const Amount* right = k < b.rows.size() ? &b.rows[k] : nullptr;
        if (left && right && left->name != right->name) (left->name < right->name ? right : left) = nullptr;
        i += left != nullptr;
        k += right != nullptr;
        visit(left, right);
    }
}

const Amount* find_amount(const Amounts& in, const std::string& name) {
    const auto at = std::lower_bound(in.rows.begin(), in.rows.end(), name,
                                     [](const Amount& a, const std::string& n) { return a.name < n; });
    return at != in.rows.end() && at->name == name ? &*at : nullptr;
}

/// The sum of the percentages without a basis of their own; nothing where the rows have other measures too.
struct ShareSum {
    bool shares = false;
    bool rest = false;
    Rational sum;
};
ShareSum share_sum(const Amounts& amounts) {
    ShareSum out;
    for (const Amount& a : amounts.rows) {
        if (a.measure == "rest") out.rest = true;
        if (a.measure != "%" || !a.value) continue;
        out.shares = true;
        out.sum += *a.value;
    }
    return out;
}

bool closed(const ShareSum& s) { return s.rest ? s.sum < Rational(100) : s.sum == Rational(100); }

}  // namespace

bool has_ratio(std::string_view kind) {
    return kind == "blend" || kind == "base" || kind == "variation";
}

Amounts amounts_of(const Version& version, std::uint32_t row) {
    Amounts out;
    Gatherer(version, out).declaration(row);
    return out;
}

bool same_amounts(const Amounts& a, const Amounts& b) { return a.basis == b.basis && a.rows == b.rows; }

bool counts_anew(const Amounts& base, const Amounts& side, bool variation) {
    if (base.basis != side.basis) return true;
    std::map<Rational, std::size_t> factors;
    std::size_t counted = 0, changed = 0;
    bool anew = false, shares = false;
    both(base, side, [&](const Amount* old, const Amount* now) {
        const bool rest = (old && old->measure == "rest") || (now && now->measure == "rest");
        if (rest && (!old || !now || old->text != now->text)) anew = true;
        if (!old || rest) return;
        ++counted;
        shares |= is_share(*old);
        if (!now) {
            ++changed;
            return;
        }
        if (old->text == now->text) return;
        ++changed;
        if (old->measure != now->measure) {
            anew |= !variation;
        } else if (old->value && now->value && old->value->sign() > 0 && now->value->sign() > 0) {
            ++factors[*now->value / *old->value];
        }
    });
    if (anew) return true;
    if (!variation && !shares && counted > 0 && changed == counted) return true;
    return std::any_of(factors.begin(), factors.end(),
                       [&](const auto& f) { return f.second >= 2 && 2 * f.second > counted; });
}

Joined join_amounts(const Amounts& base, const Amounts& ours, const Amounts& theirs, bool variation) {
    if (same_amounts(base, ours) || same_amounts(base, theirs) || same_amounts(ours, theirs)) return Joined::fine;
    const bool anew = counts_anew(base, ours, variation) || counts_anew(base, theirs, variation);
    if (base.repeated || ours.repeated || theirs.repeated) return Joined::basis;
    Amounts joined;
    joined.basis = ours.basis == base.basis ? theirs.basis : ours.basis;
    bool conflicts = ours.basis != base.basis && theirs.basis != base.basis && ours.basis != theirs.basis;
    const auto take = [&](const std::string& name) {
        const Amount* old = find_amount(base, name);
        const Amount* mine = find_amount(ours, name);
        const Amount* other = find_amount(theirs, name);
        const auto same = [](const Amount* a, const Amount* b) { return a == b || (a && b && *a == *b); };
        const Amount* taken = same(mine, old) ? other : mine;
        if (!same(mine, old) && !same(other, old) && !same(mine, other)) conflicts = true;
        if (taken) joined.rows.push_back(*taken);
    };
    both(ours, theirs, [&](const Amount* a, const Amount* b) { take((a ? a : b)->name); });
    if (anew) {
        const bool whole = !conflicts && (same_amounts(joined, ours) || same_amounts(joined, theirs));
        return whole ? Joined::fine : Joined::basis;
    }
    if (conflicts) return Joined::fine;  // shown row by row
    const ShareSum sum = share_sum(joined);
    if (sum.shares && closed(share_sum(ours)) && closed(share_sum(theirs)) && !closed(sum)) return Joined::not_closed;
    return Joined::fine;
}

}  // namespace scruple::merging
