#include "changes/weigh.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "changes/listed.h"
#include "emit/figures.h"
#include "emit/json_parts.h"
#include "emit/words.h"
#include "formula/balance.h"

namespace scruple::changes {
namespace {

enum class Like : std::uint8_t { same, near, apart };

/// Far beyond what rounding makes of a figure, from where two are sure to read as different facts.
constexpr double kApart = 1e-6;

Like like(double a, double b) {
    if (a == b) return Like::same;
    return std::abs(a - b) > kApart * std::max(std::abs(a), std::abs(b)) ? Like::apart : Like::near;
}

Like like(const std::optional<double>& a, const std::optional<double>& b) {
    if (a.has_value() != b.has_value()) return Like::apart;
    return a ? like(*a, *b) : Like::same;
}

Like alike(bool equal) { return equal ? Like::same : Like::apart; }

/// What is not the same may still come to the same fact.
Like perhaps(bool equal) { return equal ? Like::same : Like::near; }

Like most(Like a, Like b) { return std::max(a, b); }

void raise(Sure& sure, Like by) {
    if (by == Like::apart) sure = Sure::yes;
    if (by == Like::near && sure == Sure::no) sure = Sure::open;
}

class Weighing {
public:
    Weighing(const Unit& was, const Unit& is) : was_(was), is_(is), old_(*was.document), new_(*is.document), wanted_(is.wanted) {}

    Weight blend() {
        const Blend& a = old_.model->blends[was_.index];
        const Blend& b = new_.model->blends[is_.index];
        const BlendFigures& x = (*old_.blend_figures)[was_.index];
        const BlendFigures& y = (*new_.blend_figures)[is_.index];
        if (!x.complete || !y.complete || x.lines.empty() || y.lines.empty()) return Weight::unknown();
        list(Rank::label, alike(a.header.title == b.header.title));
        list(Rank::words, alike(a.header.doc == b.header.doc));
        list(Rank::words, alike(variation_of(old_, a) == variation_of(new_, b)));
        const Like parts = like_parts(x, y);
        raise(out_.parts, parts);
        list(Rank::smell, parts);
        if (out_.listed[at(Rank::smell)] != Sure::yes) {
            list(Rank::smell, alike(a.measure == b.measure));
            list(Rank::smell, perhaps(a.percent == b.percent && a.intent == b.intent && same_amounts(x, y)));
            list(Rank::smell, like(x.density, y.density));
            small(perhaps(assumptions(old_, was_.index) == assumptions(new_, is_.index)));
            // What else is said of its smell hangs on what its oils are.
            if (wanted_.amounts) list(Rank::smell, same_smell(x, y));
        }
        return std::move(out_);
    }

    Weight product() {
        const Product& a = old_.model->products[was_.index];
        const Product& b = new_.model->products[is_.index];
        const Formula& x = (*old_.formulas)[was_.index];
        const Formula& y = (*new_.formulas)[is_.index];
        if (!x.complete || !y.complete || is_special(*old_.model, a) || is_special(*new_.model, b)) return Weight::unknown();
        const Format& f = old_.model->formats[a.format];
        const Format& g = new_.model->formats[b.format];
        list(Rank::label, alike(a.header.title == b.header.title));
        list(Rank::words, alike(a.header.doc == b.header.doc));
        list(Rank::words, alike(a.line == b.line));
        list(Rank::making, alike(old_.model->blends[a.blend].header.name == new_.model->blends[b.blend].header.name));
        const Like format = alike(f.header.name == g.header.name && category(*old_.model, f.category) == category(*new_.model, g.category));
        list(Rank::making, format);
        list(Rank::making, like(static_cast<double>(emit::made_units(a, x)), static_cast<double>(emit::made_units(b, y))));
        recipe_ = format;
        if (wanted_.amounts) amounts(a, b, f, g, x, y);
        if (wanted_.judged || wanted_.people) safety(a, b);
        if (wanted_.label) label(a, b, x, y);
        if (wanted_.cost) cost();
        // Small things of these are not looked at here.
        if (wanted_.amounts || wanted_.people || wanted_.label) small(Like::near);
        return row_open_ ? Weight::unknown() : std::move(out_);
    }

private:
    static std::size_t at(Rank rank) { return static_cast<std::size_t>(rank); }

    /// A change that is listed under its rank.
    void list(Rank rank, Like how) {
        raise(out_.listed[at(rank)], how);
        raise(out_.differs, how);
    }
    void small(Like how) { raise(out_.differs, how); }
    void worsen(Like how) {
        raise(out_.worse, how);
        list(Rank::safety, how);
    }

    std::string_view name(const Document& d, MaterialId m) const { return d.model->materials[m].header.name; }
    static std::string_view category(const Model& model, CategoryId c) {
        return c < model.categories.size() ? model.categories[c].header.name : std::string_view();
    }
    static std::string_view variation_of(const Document& d, const Blend& b) {
        return b.variation_of < d.model->blends.size() ? d.model->blends[b.variation_of].header.name : std::string_view();
    }
    /// Without amounts only money can have taken something else as given.
    std::vector<Assumption> assumptions(const Document& d, BlendId id) const {
        if (wanted_.amounts) return emit::blend_assumptions(d, id);
        return d.blend_costs ? (*d.blend_costs)[id].assumptions : std::vector<Assumption>();
    }

    /// Oils have one row each, in any order.
    Like like_parts(const BlendFigures& x, const BlendFigures& y) const {
        if (x.lines.size() != y.lines.size()) return Like::apart;
        const auto in_order = [&](const Document& d, const BlendFigures& figures) {
            std::vector<std::pair<std::string_view, const BlendFigures::Line*>> out;
            for (const BlendFigures::Line& line : figures.lines) out.emplace_back(name(d, line.material), &line);
            std::sort(out.begin(), out.end());
            return out;
        };
        const auto a = in_order(old_, x), b = in_order(new_, y);
        Like all = Like::same;
        for (std::size_t i = 0; i < a.size(); ++i) {
            if (a[i].first != b[i].first) return Like::apart;
            all = most(all, most(like(a[i].second->share_ww, b[i].second->share_ww), like(a[i].second->share_vv, b[i].second->share_vv)));
        }
        return all;
    }
    static bool same_amounts(const BlendFigures& x, const BlendFigures& y) {
        return std::equal(x.lines.begin(), x.lines.end(), y.lines.begin(), y.lines.end(), [](const auto& a, const auto& b) { return a.amount == b.amount; });
    }

    /// What is listed of the smell. What would bring the leader down, and what may be masked, is small.
    Like same_smell(const BlendFigures& x, const BlendFigures& y) {
        const Balance a = balance_of(*old_.model, x), b = balance_of(*new_.model, y);
        const auto same_notes = [](const Balance::Notes& m, const Balance::Notes& n) {
            return m.top == n.top && m.middle == n.middle && m.base == n.base && m.unknown == n.unknown;
        };
        bool same = a.oils.size() == b.oils.size() && a.all_known == b.all_known && a.leader == b.leader && same_notes(a.by_parts, b.by_parts) &&
                    a.by_odour.has_value() == b.by_odour.has_value() && (!a.by_odour || same_notes(*a.by_odour, *b.by_odour));
        for (std::size_t i = 0; same && i < a.oils.size(); ++i) {
            const Balance::Oil &m = a.oils[i], &n = b.oils[i];
            same = m.share == n.share && m.impact == n.impact && m.odour == n.odour && m.over_half == n.over_half && m.over_share == n.over_share;
        }
        if (a.raise.has_value() != b.raise.has_value()) small(Like::apart);
        if (a.raise && b.raise) small(alike(a.raise->drops == b.raise->drops && a.raise->beaker == b.raise->beaker));
        if (a.raise && b.raise) small(perhaps(a.raise->leader == b.raise->leader));
        const auto same_mask = [](const Balance::Mask& m, const Balance::Mask& n) { return m.strong == n.strong && m.weak == n.weak && m.times == n.times; };
        small(perhaps(std::equal(a.masks.begin(), a.masks.end(), b.masks.begin(), b.masks.end(), same_mask)));
        // Moods are read from what the library says of the oils.
        small(perhaps(old_.model->blends[was_.index].intent.empty() && new_.model->blends[is_.index].intent.empty()));
        return perhaps(same);
    }

    /// What is told of a product by lots, waivers and assessments is looked at.
    static bool is_special(const Model& model, const Product& p) {
        return !p.lots.empty() || !p.waivers.empty() || p.format >= model.formats.size() || p.blend >= model.blends.size() ||
               std::any_of(model.assessments.begin(), model.assessments.end(), [&](const Assessment& a) { return a.blend == p.blend; });
    }

    void amounts(const Product& a, const Product& b, const Format& f, const Format& g, const Formula& x, const Formula& y) {
        list(Rank::label, most(alike(a.content.dimension == b.content.dimension), like(a.content.value.to_double(), b.content.value.to_double())));
        list(Rank::label, alike(warnings(a, f) == warnings(b, g)));
        list(Rank::label, conservation(x, y));
        const Like lines = like_lines(x, y);
        recipe_ = recipe_ == Like::apart || lines == Like::apart ? Like::apart : Like::near;
        list(Rank::making, lines);
        // Of what goes with the lines nothing else is looked at here.
        list(Rank::making, Like::near);
    }

    Like like_lines(const Formula& x, const Formula& y) const {
        if (x.lines.size() != y.lines.size()) return Like::apart;
        const auto in_order = [&](const Document& d, const Formula& formula) {
            std::vector<std::pair<std::pair<LineRole, std::string_view>, const FormulaLine*>> out;
            for (const FormulaLine& line : formula.lines) out.emplace_back(std::pair(line.role, name(d, line.material)), &line);
            std::sort(out.begin(), out.end());
            return out;
        };
        const auto a = in_order(old_, x), b = in_order(new_, y);
        Like all = Like::same;
        bool twins = false;  // two lines of one oil are told apart by their figures alone
        for (std::size_t i = 0; i < a.size(); ++i) {
            if (a[i].first != b[i].first) return Like::apart;
            twins |= i > 0 && a[i].first == a[i - 1].first;
            const FormulaLine &m = *a[i].second, &n = *b[i].second;
            all = most(all, most(most(like(m.mass_g, n.mass_g), like(m.fraction, n.fraction)), like(m.drops, n.drops)));
        }
        return twins && all == Like::apart ? Like::near : all;
    }

    static std::vector<std::string_view> warnings(const Product& product, const Format& format) {
        std::vector<std::string_view> out(product.warnings.begin(), product.warnings.end());
        out.insert(out.end(), format.warnings.begin(), format.warnings.end());
        std::sort(out.begin(), out.end());
        return out;
    }

    Like conservation(const Formula& x, const Formula& y) const {
        const auto said = [](const Document& d, const Formula& f) {
            std::vector<std::pair<std::string_view, const Material*>> out;
            for (const FormulaLine& line : f.lines) {
                const Material& m = d.model->materials[line.material];
                if (!m.conservation.empty() || !m.cites_appendix.empty()) out.emplace_back(m.header.name, &m);
            }
            std::sort(out.begin(), out.end());
            out.erase(std::unique(out.begin(), out.end()), out.end());
            return out;
        };
        const auto a = said(old_, x), b = said(new_, y);
        if (a.size() != b.size()) return Like::apart;
        Like all = Like::same;
        for (std::size_t i = 0; i < a.size(); ++i) {
            if (a[i].first != b[i].first) return Like::apart;
            const Material &m = *a[i].second, &n = *b[i].second;
            all = most(all, perhaps(m.conservation == n.conservation && m.cites_appendix == n.cites_appendix &&
                                    source(old_, m.cites_source) == source(new_, n.cites_source)));
        }
        return all;
    }

    static std::pair<std::string_view, Standing> source(const Document& d, SourceId id) {
        const Source* s = d.model->source(id);
        return s ? std::pair(s->text, s->standing) : std::pair(std::string_view(), Standing::maker);
    }

    // Safety

    static std::string_view rules(const Document& d, const Limit* limit) {
        return limit && limit->rules < d.model->rule_sets.size() ? d.model->rule_sets[limit->rules].header.name : std::string_view();
    }
    /// Whether two checks have one name in a document.
    static bool same_rule(const Document& d, const Check& m, const Document& e, const Check& n) {
        if (!m.from || !n.from) return !m.from && !n.from && m.kind == n.kind;
        return category(*d.model, m.category) == category(*e.model, n.category) && emit::subject_name(*d.model, m) == emit::subject_name(*e.model, n) &&
               rules(d, m.from) == rules(e, n.from);
    }
    static bool has_twins(const Document& d, const std::vector<Check>& checks) {
        for (std::size_t i = 0; i < checks.size(); ++i) {
            for (std::size_t k = 0; k < i; ++k) {
                const Check &m = checks[i], &n = checks[k];
                const bool one_subject = m.substance == n.substance && m.material == n.material && m.category == n.category;
                if ((one_subject || m.harm || !m.from) && same_rule(d, m, d, n)) return true;
            }
        }
        return false;
    }

    static bool little(const Check& c, Sure& sure) {
        if (c.kind == CheckKind::prohibited || c.verdict != Verdict::passes) return false;
        const double used = std::max(c.used, c.used_at_maximum) * 100;
        if (std::abs(used - kMuchUsed) <= kApart * kMuchUsed) sure = Sure::open;
        return used < kMuchUsed;
    }

    void safety(const Product& a, const Product& b) {
        const Judgement& x = (*old_.judgements)[was_.index];
        const Judgement& y = (*new_.judgements)[is_.index];
        if (x.verdict != y.verdict) {
            list(Rank::safety, Like::apart);
            if (y.verdict > x.verdict) {
                worsen(Like::apart);
                out_.verdict = static_cast<int>(y.verdict);
            }
        }
        list(Rank::safety, alike(x.decided_by == y.decided_by));
        const emit::OwnBasis own = emit::own_basis(*old_.model, a), other = emit::own_basis(*new_.model, b);
        list(Rank::safety, alike(own.basis == other.basis && own.of == other.of));
        ceiling(x, x.ceiling, y, y.ceiling);
        ceiling(x, x.careful, y, y.careful);
        if (wanted_.people) people();
        checks(x.checks, y.checks);
        unknowns(x, y);
        unstated(x, y);
    }

    void ceiling(const Judgement& x, const Ceiling& a, const Judgement& y, const Ceiling& b) {
        const bool lost = b.state == Ceiling::State::not_known || b.state == Ceiling::State::over_without_blend;
        if (lost && a.state != b.state) worsen(Like::apart);
        list(Rank::safety, alike(a.state == b.state));
        if (a.state == Ceiling::State::bound && b.state == a.state) {
            list(Rank::safety, like(a.load_ww, b.load_ww));
            list(Rank::safety, perhaps(a.text == b.text));
        }
        const Check *m = x.check(a.bound_by), *n = y.check(b.bound_by);
        list(Rank::safety, alike(!m || !n ? m == n : same_rule(old_, *m, new_, *n)));
    }

    void checks(const std::vector<Check>& before, const std::vector<Check>& after) {
        if (has_twins(old_, before) || has_twins(new_, after)) {
            worsen(Like::near);
            return;
        }
        std::vector<bool> met(before.size(), false);
        for (std::size_t i = 0; i < after.size(); ++i) {
            const Check& n = after[i];
            std::size_t k = i;
            if (k >= before.size() || met[k] || !same_rule(old_, before[k], new_, n)) {
                for (k = 0; k < before.size(); ++k) {
                    if (!met[k] && same_rule(old_, before[k], new_, n)) break;
                }
            }
            if (k == before.size()) {
                one_sided(new_, n, true);
            } else {
                met[k] = true;
                both(before[k], n);
            }
        }
        for (std::size_t k = 0; k < before.size(); ++k) {
            if (!met[k]) one_sided(old_, before[k], false);
        }
    }

    void one_sided(const Document& d, const Check& c, bool came) {
        if (came && c.verdict > Verdict::accepted) worsen(Like::apart);
        listed_unless(little_of(c, nullptr), Like::apart);
        if (!c.from) return;
        // It came or went by a row where the recipe stayed.
        if (recipe_ == Like::same) out_.rows.push_back(emit::rule_id(*d.model, c));
        if (recipe_ == Like::near) row_open_ = true;
    }

    /// Whether what differs between them is small.
    static Sure little_of(const Check& a, const Check* b) {
        Sure sure = Sure::yes;
        bool small = little(a, sure);
        if (b) small = little(*b, sure) && small;
        return sure == Sure::open ? sure : small ? Sure::yes : Sure::no;
    }
    void listed_unless(Sure small_change, Like how) {
        if (small_change == Sure::no) return list(Rank::safety, how);
        small(how);
        if (small_change == Sure::open && how != Like::same) list(Rank::safety, Like::near);
    }

    void both(const Check& m, const Check& n) {
        const bool ban = m.kind == CheckKind::prohibited, banned = n.kind == CheckKind::prohibited;
        if (n.verdict > m.verdict) worsen(Like::apart);
        if (n.verdict > Verdict::accepted && !banned) {
            for (const auto& [was, is] : {std::pair(m.used, n.used), std::pair(m.used_at_maximum, n.used_at_maximum)}) {
                if (ban) worsen(Like::apart);
                else if (is > was) worsen(like(was, is));
            }
        }
        const LimitRow *p = m.row, *q = n.row;
        const auto from = p ? source(old_, p->source) : std::pair(std::string_view(), Standing::maker);
        const auto now_from = q ? source(new_, q->source) : std::pair(std::string_view(), Standing::maker);
        const Like limit = like(m.limit, n.limit);
        const bool sourced = from == now_from && !p == !q;
        if (m.kind != CheckKind::phototoxic && n.kind != CheckKind::phototoxic) {
            if (limit == Like::apart || !sourced) out_.rows.push_back(emit::rule_id(*new_.model, n));
            if (limit == Like::near) row_open_ = true;
        }
        Like all = most(limit, most(like(m.actual, n.actual), like(m.actual_at_maximum, n.actual_at_maximum)));
        all = most(all, most(like(m.used, n.used), like(m.used_at_maximum, n.used_at_maximum)));
        all = most(all, alike(m.kind == n.kind && m.soft == n.soft && m.verdict == n.verdict && m.decided_by == n.decided_by && sourced));
        all = most(all, perhaps(std::equal(m.bringers.begin(), m.bringers.end(), n.bringers.begin(), n.bringers.end(),
                                           [&](MaterialId a, MaterialId b) { return name(old_, a) == name(new_, b); })));
        listed_unless(little_of(m, &n), all);
    }

    void unknowns(const Judgement& x, const Judgement& y) {
        if (x.unknowns.size() != y.unknowns.size()) small(Like::apart);
        for (const Unknown& n : y.unknowns) {
            const auto m = std::find_if(x.unknowns.begin(), x.unknowns.end(), [&](const Unknown& u) { return name(old_, u.material) == name(new_, n.material); });
            const bool there = m != x.unknowns.end();
            small(there ? most(like(m->unknown_fraction, n.unknown_fraction), like(m->share_of_blend, n.share_of_blend)) : Like::apart);
            if (std::abs(n.unknown_fraction - kMuchUnknown) <= kApart || (there && std::abs(m->unknown_fraction - kMuchUnknown) <= kApart)) worsen(Like::near);
            if (n.unknown_fraction <= kMuchUnknown) continue;
            if (!there || m->unknown_fraction <= kMuchUnknown) worsen(Like::apart);
            else if (n.unknown_fraction > m->unknown_fraction) worsen(like(m->unknown_fraction, n.unknown_fraction));
        }
    }

    void unstated(const Judgement& x, const Judgement& y) {
        if (x.unstated.size() != y.unstated.size()) small(Like::apart);
        for (const UnstatedLimit& n : y.unstated) {
            const auto m = std::find_if(x.unstated.begin(), x.unstated.end(), [&](const UnstatedLimit& u) {
                return u.from->header.name == n.from->header.name && rules(old_, u.from) == rules(new_, n.from);
            });
            if (m == x.unstated.end()) {
                worsen(Like::apart);
                continue;
            }
            small(most(like(m->actual, n.actual), like(m->actual_at_maximum, n.actual_at_maximum)));
            small(perhaps(!m->row == !n.row && (!n.row || source(old_, m->row->source) == source(new_, n.row->source))));
        }
    }

    void people() {
        const PeopleJudgement& x = (*old_.people)[was_.index];
        const PeopleJudgement& y = (*new_.people)[is_.index];
        const auto same = [&](const std::vector<AudienceId>& a, const std::vector<AudienceId>& b) {
            return std::equal(a.begin(), a.end(), b.begin(), b.end(), [&](AudienceId m, AudienceId n) {
                return old_.model->audiences[m].header.name == new_.model->audiences[n].header.name;
            });
        };
        const Like audience = most(alike(x.named == y.named), perhaps(same(x.audience, y.audience) && same(x.unguided, y.unguided)));
        list(Rank::safety, audience);
        recipe_ = most(recipe_, audience);
        if (y.guided && y.over && !(x.guided && x.over)) worsen(Like::apart);
        for (const PersonalCaution& c : y.cautions) {
            if (!c.meant) continue;
            const auto it = std::find_if(x.cautions.begin(), x.cautions.end(), [&](const PersonalCaution& o) { return o.caution->header.name == c.caution->header.name; });
            if (it == x.cautions.end() || !it->meant) worsen(Like::apart);
        }
    }

    void label(const Product& a, const Product& b, const Formula& x, const Formula& y) {
        if (!old_.allergens || !new_.allergens) return list(Rank::label, alike(!old_.allergens == !new_.allergens));
        list(Rank::label, same_lists());
        const LabelNames before = old_.allergens->names(a, x), after = new_.allergens->names(b, y);
        list(Rank::label, alike(before.state == after.state));
        const auto names = [](const LabelNames& label) {
            std::vector<std::string_view> out;
            for (const NamedAllergen& n : label.named) out.push_back(n.entry->label);
            std::sort(out.begin(), out.end());
            return out;
        };
        if (before.named.size() != after.named.size()) list(Rank::label, Like::apart);
        else list(Rank::label, alike(names(before) == names(after)));
    }

    Like same_lists() const {
        const auto &a = old_.allergens->lists(), &b = new_.allergens->lists();
        return perhaps(std::equal(a.begin(), a.end(), b.begin(), b.end(), [&](const AllergenList& m, const AllergenList& n) {
            const RuleSet &p = old_.model->rule_sets[m.rules], &q = new_.model->rule_sets[n.rules];
            return m.state == n.state && p.header.name == q.header.name && p.header.title == q.header.title && p.dated == q.dated &&
                   p.in_force == q.in_force && p.placed_until == q.placed_until && p.sold_until == q.sold_until &&
                   (p.continues < old_.model->rule_sets.size()) == (q.continues < new_.model->rule_sets.size());
        }));
    }

    void cost() {
        const Cost& x = (*old_.costs)[was_.index];
        const Cost& y = (*new_.costs)[is_.index];
        if (x.asked != y.asked) return list(Rank::cost, Like::apart);
        if (!x.asked) return;
        const auto unit = [](const Cost& c) { return c.complete && !c.lines.empty() ? std::optional<double>(c.unit()) : std::nullopt; };
        list(Rank::cost, alike(old_.prices->currency() == new_.prices->currency() && x.over_budget == y.over_budget));
        for (const Like how : {like(unit(x), unit(y)), like(x.wholesale, y.wholesale), like(x.retail, y.retail), like(x.budget, y.budget)}) {
            list(Rank::cost, how);
        }
        small(perhaps(x.assumptions == y.assumptions));
    }

    const Unit& was_;
    const Unit& is_;
    const Document& old_;
    const Document& new_;
    const Wanted wanted_;
    Weight out_;
    Like recipe_ = Like::same;  // whether its amounts, its format and whom it is for stayed
    bool row_open_ = false;     // a row of the rules may say something else
};

}  // namespace

Weight Weight::unknown() {
    Weight out;
    out.differs = Sure::open;
    return out;
}

bool Weight::settled() const {
    return differs != Sure::open && worse != Sure::open && parts != Sure::open &&
           std::find(listed.begin(), listed.end(), Sure::open) == listed.end();
}

Weight weigh(const Unit& was, const Unit& is) {
    Weighing weighing(was, is);
    return is.kind == UnitKind::blend ? weighing.blend() : weighing.product();
}

}  // namespace scruple::changes
