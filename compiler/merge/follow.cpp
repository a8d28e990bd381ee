#include "merge/follow.h"

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <string>

#include "merge/ratio.h"
#include "merge/row_names.h"

namespace scruple::merging {
namespace {

constexpr std::size_t kMostSteps = 32;  // variations of variations go no deeper

/// What of a declaration others build on.
struct Material {
    std::string kind;
    std::string from;      // what it is a variation of, or the bench that it comes from
    Amounts amounts;       // of a blend, a base or a variation
    std::string strength;  // of an oil that is dissolved
    std::string log;       // of a bench, its rows
};

using Materials = std::map<std::string, Material, std::less<>>;

std::string name_after(const SyntaxTree& tree, std::span<const Atom> atoms, std::string_view word) {
    for (std::size_t i = 2; i + 1 < atoms.size(); ++i) {
        if (atoms[i].kind == AtomKind::word && tree.view(atoms[i]) == word) return std::string(tree.view(atoms[i + 1]));
    }
    return {};
}

Materials materials_of(const Version& v) {
    Materials out;
    const SyntaxTree& tree = v.tree;
    for (std::uint32_t r = 0; r < tree.rows.size(); r = tree.rows[r].next) {
        const Row& row = tree.rows[r];
        if (row.kind != RowKind::entry || !row.has_block || row.item_count == 0) continue;
        const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
        const std::string_view kind = first_word_of(tree, row);
        if (atoms.size() < 2 || (!has_ratio(kind) && kind != "oil" && kind != "bench")) continue;
        Material m;
        m.kind = kind;
        if (has_ratio(kind)) {
            m.from = name_after(tree, atoms, kind == "variation" ? "of" : "from");
            m.amounts = amounts_of(v, r);
        } else {
            for (std::uint32_t c = tree.children_begin(r); c < tree.children_end(r); c = tree.rows[c].next) {
                if (tree.rows[c].kind != RowKind::entry) continue;
                if (kind == "oil" && first_word_of(tree, tree.rows[c]) != "diluted") continue;
                std::string& text = kind == "oil" ? m.strength : m.log;
                append_row_text(text, tree, tree.rows[c]);
                text += '\n';
            }
        }
        out.emplace(std::string(kind == "bench" ? "bench " : "") + std::string(tree.view(atoms[1])), std::move(m));
    }
    return out;
}

class Follower {
public:
    Follower(const Version& base, const Version& ours, const Version& theirs)
        : all_{materials_of(base), materials_of(ours), materials_of(theirs)} {}

    std::vector<MergeFollow> run() {
        for (const std::size_t side : {std::size_t{1}, std::size_t{2}}) {
            for (const auto& [name, material] : all_[side]) {
                if (has_ratio(material.kind) && touched(name, side)) look(name, material, side);
            }
        }
        std::sort(out_.begin(), out_.end(), [](const MergeFollow& a, const MergeFollow& b) {
            return std::tie(a.name, a.from) < std::tie(b.name, b.from);
        });
        return std::move(out_);
    }

private:
    const Material* find(const std::string& name, std::size_t side) const {
        const auto at = all_[side].find(name);
        return at == all_[side].end() ? nullptr : &at->second;
    }

    /// Whether a side says something else of it than the base; of a bench, whether rows are others: new ones below
    /// change no mark.
    bool touched(const std::string& name, std::size_t side) const {
        const Material* old = find(name, 0);
        const Material* now = find(name, side);
        if (!old || !now) return old != now;
        return !same_amounts(old->amounts, now->amounts) || old->strength != now->strength || !now->log.starts_with(old->log);
    }

    /// Changed by the other side alone.
    bool changed_beside(const std::string& name, std::size_t side) const {
        return find(name, 0) && touched(name, 3 - side) && !touched(name, side);
    }

    void look(const std::string& name, const Material& material, std::size_t side) {
        std::string from = material.from;
        const Material* at = &material;
        for (std::size_t i = 0; i < kMostSteps && !from.empty(); ++i) {
            const std::string key = (at->kind == "blend" ? "bench " : "") + from;
            if (changed_beside(key, side)) add(name, material, key, side);
            at = find(key, side);
            if (!at) break;
            from = at->from;
        }
        const Material* old = find(name, 0);
        for (const Amount& a : material.amounts.rows) {
            const std::string oil = spoken(a.name.substr(a.name.rfind('/') + 1));
            const Material* of = find(oil, side);
            if (!of || of->kind != "oil" || !changed_beside(oil, side)) continue;
            const bool same = old && std::find(old->amounts.rows.begin(), old->amounts.rows.end(), a) != old->amounts.rows.end();
            if (!same) add(name, material, oil, side);
        }
    }

    void add(const std::string& name, const Material& material, const std::string& from, std::size_t side) {
        const Material* old = find(from, 0);
        const Material* now = find(from, 3 - side);
        MergeFollow follow;
        follow.name = material.kind + ' ' + name;
        follow.from = old->kind == "bench" ? from : old->kind + ' ' + from;
        follow.ours_changed_from = side == 2;
        follow.rescaled = now && has_ratio(old->kind) && counts_anew(old->amounts, now->amounts, old->kind == "variation");
        out_.push_back(std::move(follow));
    }

    std::array<Materials, 3> all_;
    std::vector<MergeFollow> out_;
};

}  // namespace

std::vector<MergeFollow> follows_of(const Version& base, const Version& ours, const Version& theirs) {
    return Follower(base, ours, theirs).run();
}

}  // namespace scruple::merging
