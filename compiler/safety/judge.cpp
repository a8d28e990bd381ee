#include "safety/judge.h"

#include <algorithm>
#include <iterator>

#include "safety/ceiling.h"
#include "safety/findings.h"
#include "safety/limit_table.h"
#include "safety/lots.h"
#include "safety/sums.h"
#include "safety/waivers.h"

namespace scruple {
namespace {

/// What one entry comes to, as affine functions of the blend's share, with who brings it as a
/// chain.
struct Level {
    Affine typical;
    Affine high;
    std::uint32_t bringer = kNone;  // head of a chain in Scratch::bringers
    bool touched = false;
    bool analysed = false;  // some of it by a lot's certificate
    bool listed = false;    // some of it by an oil's own composition
};

struct Bringer {
    std::uint32_t next = kNone;
    MaterialId material = kNone;
    double amount = 0;
};

/// Kept from product to product, so that judging allocates next to nothing. Every level is zero
/// between uses.
struct Scratch {
    std::vector<Level> levels;
    std::vector<std::uint32_t> touched;
    std::vector<Bringer> bringers;

    void open(std::size_t entries) {
        if (levels.size() < entries) levels.resize(entries);
        touched.clear();
        bringers.clear();
    }
    void close() {
        for (const auto e : touched) levels[e] = Level{};
        touched.clear();
    }
};

class Judging {
public:
    Judging(const Model& model, const LimitTable& limits, const Product& product,
            const BlendFigures& blend, const Formula& formula, std::string_view on)
        : model_(model),
          product_(product),
          format_(model.formats[product.format]),
          blend_(blend),
          formula_(formula),
          on_(on),
          table_(limits.impl().table(format_.category)),
          w_(formula.load_ww),
          undiluted_(format_.contact != Contact::none && !all_dissolved()) {}

    Judgement run() {
        if (undiluted_ && (product_.load.kind == LoadKind::neat || w_ >= kUndiluted)) add_undiluted();
        if (table_) {
            if (!product_.lots.empty()) sum_without_lots();
            sum_up(nullptr);
            if (!product_.lots.empty()) {
                replaced_ = in_the_sums_place(model_, product_, formula_, *table_, scratch().touched);
                if (replaced_ != kNone) out_.sum_replaced_by = table_->entries[replaced_].substance;
            }
            add_limits();
            if (model_.workshop.harms_summed) add_harm_sums(model_, w_, out_.checks);
            add_phototoxic_sums(formula_, *table_, replaced_ != kNone, w_, out_.checks);
            entries_.resize(out_.checks.size(), kNone);
            collect_unstated();
        }
        if (!product_.waivers.empty()) {
            tell_waived_apart();
            settle_waivers(model_, product_, formula_, on_, out_);
            tell_others_together();
        }
        collect_unknowns();
        if (!product_.lots.empty()) out_.lots = lot_states(model_, product_, format_.contact, on_);
        sort_checks();
        verdict();
        ceilings();
        return std::move(out_);
    }

private:
    /// Whether everything in the blend is dissolved already, so that the blend by itself is no undiluted oil. One oil that
    /// isn't is enough for the rule: a drop of a dilution beside it makes it no weaker.
    bool all_dissolved() const {
        return std::all_of(formula_.lines.begin(), formula_.lines.end(), [&](const FormulaLine& line) {
            const auto& dilution = model_.materials[line.material].dilution;
            return line.role != LineRole::blend || (dilution && dilution->share < Rational(1));
        });
    }

    static Scratch& scratch() {
        thread_local Scratch instance;
        return instance;
    }

    /// A line's share; with `own`, blend lines in the blend's own ratio instead of the one that
    /// drops gave.
    Affine share_of(std::size_t line, const BlendFigures* own, std::size_t& oil) const {
        const auto& l = formula_.lines[line];
        if (l.role != LineRole::blend) return l.share;
        const std::size_t i = oil++;
        if (!own || i >= own->lines.size()) return l.share;
        return {0, own->lines[i].share_ww};
    }

    void sum_up(const BlendFigures* own, bool without_lots = false) {
        Scratch& s = scratch();
        s.open(table_->entries.size());
        std::size_t oil = 0;
        for (std::size_t i = 0; i < formula_.lines.size(); ++i) {
            const Affine share = share_of(i, own, oil);
            const MaterialId line_material = formula_.lines[i].material;
            const MaterialId material = without_lots ? model_.unlotted(line_material) : line_material;
            const double fraction = formula_.lines[i].fraction;
            for (auto p = table_->parts_from[material]; p < table_->parts_from[material + 1]; ++p) {
                const auto& part = table_->parts[p];
                Level& level = s.levels[part.entry];
                if (!level.touched) {
                    level.touched = true;
                    s.touched.push_back(part.entry);
                }
                add_to(level.typical, share, part.typical);
                add_to(level.high, share, part.high);
                (part.analysed ? level.analysed : level.listed) = true;
                if (fraction > 0 && (part.high > 0 || !part.analysed)) {
                    s.bringers.push_back({level.bringer, material, fraction * part.high});
                    level.bringer = static_cast<std::uint32_t>(s.bringers.size() - 1);
                }
            }
        }
    }

    /// What the same product comes to by its oils' own compositions.
    void sum_without_lots() {
        sum_up(nullptr, true);
        Scratch& s = scratch();
        for (const auto e : s.touched) without_lots_.push_back({e, s.levels[e]});
        s.close();
    }

    /// A limit that may take the phototoxic sum's place holds on all of it only where it does; another on the same, no
    /// tighter, is then said by it already.
    bool left_out(std::uint32_t e) const {
        const LimitEntry& entry = table_->entries[e];
        if (entry.replaces_sum) return e != replaced_;
        return replaced_ != kNone && entry.substance == out_.sum_replaced_by && entry.limit >= table_->entries[replaced_].limit;
    }

    static Affine use_of(const LimitEntry& entry, Affine level) {
        if (entry.limit <= 0) return level;
        return {level.at_zero * entry.per_limit, level.slope * entry.per_limit};
    }

    void add_limits() {
        Scratch& s = scratch();
        out_.checks.reserve(s.touched.size() + 3);
        entries_.reserve(s.touched.size() + 3);
        entries_.resize(out_.checks.size(), kNone);
        for (const auto e : s.touched) {
            if (left_out(e)) continue;
            const LimitEntry& entry = table_->entries[e];
            const Level& level = s.levels[e];
            entries_.push_back(e);
            Check check = checked(entry, level.typical, level.high);
            const auto other = std::find_if(without_lots_.begin(), without_lots_.end(), [&](const auto& x) { return x.first == e; });
            decide_by(check, entry, level, other == without_lots_.end() ? nullptr : &other->second);
            add_bringers(check, level.bringer);
            out_.checks.push_back(std::move(check));
        }
        s.close();
    }

    Check checked(const LimitEntry& entry, const Affine& typical, const Affine& high) const {
        Check check;
        check.kind = entry.kind;
        check.substance = entry.substance;
        check.material = entry.material;
        check.from = entry.from;
        check.row = entry.row;
        check.category = entry.caught;
        check.limit = entry.limit;
        check.soft = entry.soft;
        check.actual = typical.at(w_);
        check.actual_at_maximum = high.at(w_);
        check.use = use_of(entry, typical);
        check.use_at_maximum = use_of(entry, high);
        if (entry.kind == CheckKind::prohibited) {
            judge_ban(check);
        } else {
            check.used = check.use.at(w_);
            check.used_at_maximum = check.use_at_maximum.at(w_);
            settle_use(check);
        }
        return check;
    }

    /// How much of one subject there is, at typical and at the top of every range.
    /// `beside`: only what the phototoxic sum leaves out.
    Level level_of(SubstanceId substance, MaterialId material, const BlendFigures* own, bool beside, bool without_lots = false) const {
        Level level;
        std::size_t oil = 0;
        for (std::size_t i = 0; i < formula_.lines.size(); ++i) {
            const Affine share = share_of(i, own, oil);
            const MaterialId line = formula_.lines[i].material;
            if (beside && (table_->phototoxic[line].row || table_->phototoxic_any[line].row)) continue;
            const MaterialId id = without_lots ? model_.unlotted(line) : line;
            const Material& m = model_.materials[id];
            if (substance != kNone) {
                for (const Constituent& c : m.contains) {
                    if (c.substance != substance) continue;
                    add_to(level.typical, share, c.fraction.typical);
                    add_to(level.high, share, c.fraction.high);
                    (c.analysed ? level.analysed : level.listed) = true;
                }
                continue;
            }
            double counts = id == material ? 1 : 0;
            for (const CountsAs& other : m.counts_as) counts += other.material == material ? other.share : 0;
            add_to(level.typical, share, counts);
            add_to(level.high, share, counts);
        }
        return level;
    }

    /// Of what a waiver speaks of, every rule set is a check of its own: a waiver of the tightest must not hide the next.
    void tell_waived_apart() {
        std::vector<std::pair<SubstanceId, MaterialId>> done;
        for (const Waiver& w : product_.waivers) {
            const std::pair subject{w.substance, w.material};
            if (std::find(done.begin(), done.end(), subject) != done.end()) continue;
            done.push_back(subject);
            Bringers bringers;
            bool there = false;
            for (std::size_t i = out_.checks.size(); i-- > 0;) {
                const Check& check = out_.checks[i];
                if (!check.from) continue;  // sums, and the undiluted rule
                if (check.substance != w.substance || check.material != w.material) continue;
                there = true;
                bringers = check.bringers;
                out_.checks.erase(out_.checks.begin() + static_cast<std::ptrdiff_t>(i));
                entries_.erase(entries_.begin() + static_cast<std::ptrdiff_t>(i));
            }
            if (!there) continue;
            const auto entries = entries_by_rules(model_, format_.category, w.substance, w.material);
            for (const LimitEntry& entry : entries) {
                // On what the phototoxic sum leaves out, nothing is said that another limit does not say of all of it.
                const bool beside = entry.replaces_sum;
                if (beside && std::any_of(entries.begin(), entries.end(), [&](const LimitEntry& other) {
                        return !other.replaces_sum && !other.soft && other.limit <= entry.limit;
                    })) {
                    continue;
                }
                const Level level = level_of(w.substance, w.material, nullptr, beside);
                const Level other = level_of(w.substance, w.material, nullptr, beside, true);
                Check check = checked(entry, level.typical, level.high);
                decide_by(check, entry, level, &other);
                check.bringers = bringers;
                out_.checks.push_back(std::move(check));
                entries_.push_back(kNone);
            }
        }
    }

    /// Where no waiver stands between two rules on a subject, the tightest is enough, as it is for other subjects.
    void tell_others_together() {
        const auto looser = [&](const Check& check) {
            if (check.waiver || !check.from) return false;
            return std::any_of(out_.checks.begin(), out_.checks.end(), [&](const Check& other) {
                return &other != &check && other.from && other.substance == check.substance && other.material == check.material &&
                       other.soft == check.soft && !other.waiver && other.from->replaces_sum == check.from->replaces_sum &&
                       (other.limit < check.limit || (other.limit == check.limit && &other < &check));
            });
        };
        std::vector<char> drop(out_.checks.size());
        for (std::size_t i = 0; i < drop.size(); ++i) drop[i] = looser(out_.checks[i]);
        for (std::size_t i = drop.size(); i-- > 0;) {
            if (!drop[i]) continue;
            out_.checks.erase(out_.checks.begin() + static_cast<std::ptrdiff_t>(i));
            entries_.erase(entries_.begin() + static_cast<std::ptrdiff_t>(i));
        }
    }

    /// Which figures the verdict rests on. `other`: the level by the oils' own compositions.
    void decide_by(Check& check, const LimitEntry& entry, const Level& level, const Level* other) const {
        check.without_lots = check.verdict;
        if (check.substance == kNone) return;
        const bool typical = check.kind == CheckKind::prohibited ? check.actual > 0 : !within_limit(check.used);
        check.decided_by = typical ? DecidedBy::typical : DecidedBy::maximum;
        if (!level.analysed) return;
        if (other) check.without_lots = checked(entry, other->typical, other->high).verdict;
        if (!level.listed || check.without_lots != check.verdict) check.decided_by = DecidedBy::lot;
    }

    static void judge_ban(Check& check) {
        if (check.actual > 0)
            check.verdict = check.soft ? Verdict::warns : Verdict::fails;
        else if (check.actual_at_maximum > 0)
            check.verdict = Verdict::warns;
    }

    void add_bringers(Check& check, std::uint32_t at) {
        const auto& chain = scratch().bringers;
        amounts_.clear();
        for (; at != kNone; at = chain[at].next) {
            // One material in two phases counts once.
            auto there = std::find_if(amounts_.begin(), amounts_.end(), [&](const Amount& a) {
                return a.material == chain[at].material;
            });
            if (there == amounts_.end())
                there = amounts_.insert(amounts_.end(), {chain[at].material, 0});
            there->amount += chain[at].amount;
            for (; there != amounts_.begin() && there->amount >= (there - 1)->amount; --there)
                std::iter_swap(there, there - 1);
        }
        for (const auto& a : amounts_) check.bringers.push_back(a.material);
    }

    void add_undiluted() {
        Check check;
        check.kind = CheckKind::undiluted;
        check.limit = 1;
        check.use = check.use_at_maximum = {0, 1};
        check.actual = check.actual_at_maximum = check.used = check.used_at_maximum = w_;
        check.verdict = Verdict::fails;
        out_.checks.push_back(std::move(check));
    }

    void collect_unstated() {
        for (const auto& line : formula_.lines) {
            for (auto i = table_->unstated_from[line.material];
                 i < table_->unstated_from[line.material + 1]; ++i) {
                const auto& row = table_->unstated[i];
                const bool there = std::any_of(out_.unstated.begin(), out_.unstated.end(), [&](const UnstatedLimit& u) {
                    return u.from == row.first && u.row == row.second;
                });
                if (there) continue;
                const Level level = level_of(row.first->substance, row.first->material, nullptr, false);
                out_.unstated.push_back({row.first, row.second, level.typical.at(w_), level.high.at(w_)});
            }
        }
        std::stable_sort(out_.unstated.begin(), out_.unstated.end(), [](const UnstatedLimit& x, const UnstatedLimit& y) {
            return x.actual_at_maximum > y.actual_at_maximum;
        });
    }

    void collect_unknowns() {
        for (const auto& line : formula_.lines) {
            const Material& material = model_.materials[line.material];
            if (material.kind != MaterialKind::oil) continue;
            const double unknown = 1 - material.known_typical;
            if (unknown <= 1e-9) continue;
            const double of_oil = material.dilution ? unknown / material.dilution->share.to_double() : unknown;
            const bool much = of_oil > kMuchUnknown + 1e-9 && format_.contact != Contact::none;
            Unknown found;
            found.leaves_open = much || !material.composition_known;
            oils_known_ = oils_known_ && !found.leaves_open;
            found.material = line.material;
            found.unknown_fraction = unknown;
            found.share_of_blend = line.role == LineRole::blend ? line.share.slope : 0;
            found.share_of_product = line.fraction;
            out_.unknowns.push_back(found);
        }
    }

    static int rank(Verdict verdict) {
        switch (verdict) {
            case Verdict::fails: return 0;
            case Verdict::warns: return 1;
            case Verdict::accepted: return 2;
            default: return 3;
        }
    }

    void sort_checks() {
        auto& checks = out_.checks;
        entries_.resize(checks.size(), kNone);
        std::vector<std::uint32_t> order(checks.size());
        for (std::uint32_t i = 0; i < order.size(); ++i) order[i] = i;
        std::sort(order.begin(), order.end(), [&](std::uint32_t a, std::uint32_t b) {
            const int ra = rank(checks[a].verdict), rb = rank(checks[b].verdict);
            if (ra != rb) return ra < rb;
            if (checks[a].used != checks[b].used) return checks[a].used > checks[b].used;
            return a < b;
        });
        std::vector<Check> sorted;
        sorted.reserve(checks.size());
        std::vector<std::uint32_t> entries;
        entries.reserve(checks.size());
        for (const auto i : order) {
            sorted.push_back(std::move(checks[i]));
            entries.push_back(entries_[i]);
        }
        checks = std::move(sorted);
        entries_ = std::move(entries);
    }

    /// No data is never a pass: an oil without composition, a limit without figure, a format
    /// without category.
    bool all_known() const { return table_ && oils_known_ && out_.unstated.empty(); }

    void verdict() {
        const Verdict worst = out_.checks.empty() ? Verdict::passes : out_.checks[0].verdict;
        const bool quiet = worst == Verdict::passes || worst == Verdict::accepted;
        out_.verdict = quiet && !all_known() ? Verdict::unknown : worst;
        if (out_.verdict == Verdict::fails || out_.verdict == Verdict::warns || out_.verdict == Verdict::accepted) {
            out_.decided_by = out_.checks[0].decided_by;
        } else if (out_.verdict == Verdict::passes) {
            const bool by_lot = std::any_of(out_.checks.begin(), out_.checks.end(), [](const Check& c) {
                return c.decided_by == DecidedBy::lot && c.without_lots != Verdict::passes;
            });
            out_.decided_by = by_lot || out_.sum_replaced_by != kNone ? DecidedBy::lot
                              : out_.checks.empty()                   ? DecidedBy::none
                                                                      : DecidedBy::maximum;
        }
        for (const LotState& lot : out_.lots) {
            if (rank(lot.verdict) >= rank(out_.verdict)) continue;
            out_.verdict = lot.verdict;
            out_.decided_by = lot.peroxide == LotState::Peroxide::over ? DecidedBy::lot : DecidedBy::none;
        }
    }

    double most_load() const {
        double most = 1;
        for (const auto& line : formula_.lines) {
            if (line.role == LineRole::base && line.share.slope < 0)
                most = std::min(most, -line.share.at_zero / line.share.slope);
        }
        return most;
    }

    void ceilings() {
        CeilingTask task;
        task.checks = &out_.checks;
        task.load_ww = w_;
        task.most_ww = most_load();
        task.on_skin = undiluted_;
        task.all_known = all_known();
        const bool own = product_.load.kind == LoadKind::percent;
        task.basis = own ? product_.load.basis : format_.load_basis;
        task.of = own ? product_.load.of : format_.load_of;
        task.scale = LoadScale::make(model_, product_, blend_, formula_.lines, task.basis, task.of);

        // A percentage that is typed in makes the blend's own ratio, not the nearest one that drops
        // could give.
        if (table_ && formula_.drop_plan && formula_.drop_plan->multiple == 0) use_own_ratio();

        const std::size_t count = out_.checks.size();
        task.use.resize(count);
        task.counts.resize(count);
        for (std::size_t i = 0; i < count; ++i) {
            task.use[i] = ceiling_use_.empty() ? out_.checks[i].use : ceiling_use_[i];
            task.counts[i] = !out_.checks[i].soft;
        }
        out_.ceiling = solve_ceiling(task);
        for (std::size_t i = 0; i < count; ++i) {
            task.use[i] = ceiling_use_.empty() ? out_.checks[i].use_at_maximum : ceiling_high_[i];
            task.counts[i] = 1;
        }
        out_.careful = solve_ceiling(task);
    }

    void use_own_ratio() {
        sum_up(&blend_);
        Scratch& s = scratch();
        const std::size_t count = out_.checks.size();
        ceiling_use_.resize(count);
        ceiling_high_.resize(count);
        for (std::size_t i = 0; i < count; ++i) {
            const Check& check = out_.checks[i];
            ceiling_use_[i] = check.use;
            ceiling_high_[i] = check.use_at_maximum;
            if (entries_[i] != kNone) {
                const LimitEntry& entry = table_->entries[entries_[i]];
                ceiling_use_[i] = use_of(entry, s.levels[entries_[i]].typical);
                ceiling_high_[i] = use_of(entry, s.levels[entries_[i]].high);
            } else if (check.kind == CheckKind::harm) {
                ceiling_use_[i] = ceiling_high_[i] = {};
                for (const HarmPart& part : check.harm_parts) {
                    const Level level = level_of(part.substance, kNone, &blend_, false);
                    add_to(ceiling_use_[i], level.typical, 1 / part.limit);
                    add_to(ceiling_high_[i], level.high, 1 / part.limit);
                }
            } else if (check.kind == CheckKind::substance || check.kind == CheckKind::oil) {
                const Level level = level_of(check.substance, check.material, &blend_, check.from->replaces_sum);
                ceiling_use_[i] = {level.typical.at_zero / check.limit, level.typical.slope / check.limit};
                ceiling_high_[i] = {level.high.at_zero / check.limit, level.high.slope / check.limit};
            } else if (check.kind == CheckKind::phototoxic) {
                const auto& rows = replaced_ != kNone ? table_->phototoxic_law
                                   : check.soft       ? table_->phototoxic_any
                                                      : table_->phototoxic;
                Affine use;
                std::size_t oil = 0;
                for (std::size_t l = 0; l < formula_.lines.size(); ++l) {
                    const Affine share = share_of(l, &blend_, oil);
                    const PhototoxicRow& row = rows[formula_.lines[l].material];
                    if (row.row) add_to(use, share, 1 / row.limit);
                }
                ceiling_use_[i] = ceiling_high_[i] = use;
            }
        }
        s.close();
    }

    const Model& model_;
    const Product& product_;
    const Format& format_;
    const BlendFigures& blend_;
    const Formula& formula_;
    std::string_view on_;
    const CategoryTable* table_;
    double w_;
    bool undiluted_;  // on skin, and as good as pure oil if the blend stands alone
    bool oils_known_ = true;
    Judgement out_;
    std::vector<std::uint32_t> entries_;  // of each check; kNone for sums
    struct Amount {
        MaterialId material;
        double amount;
    };
    std::vector<Amount> amounts_;
    std::vector<Affine> ceiling_use_, ceiling_high_;
    std::vector<std::pair<std::uint32_t, Level>> without_lots_;  // by entry
    std::uint32_t replaced_ = kNone;  // the entry that takes the phototoxic sum's place
};

}  // namespace

std::string_view decided_word(DecidedBy by) {
    switch (by) {
        case DecidedBy::none: return "";
        case DecidedBy::typical: return "typical";
        case DecidedBy::maximum: return "maximum";
        case DecidedBy::lot: return "lot";
    }
    return "";
}

std::string_view verdict_word(Verdict verdict) {
    switch (verdict) {
        case Verdict::passes: return "passes";
        case Verdict::accepted: return "accepted";
        case Verdict::unknown: return "unknown";
        case Verdict::warns: return "warns";
        case Verdict::fails: return "fails";
    }
    return "unknown";
}

Judgement judge(const Model& model, const LimitTable& limits, const Product& product,
                const BlendFigures& blend, const Formula& formula, std::string_view on) {
    if (!formula.complete || product.format >= model.formats.size()) return {};
    return Judging(model, limits, product, blend, formula, on).run();
}

Judgement judge(const Model& model, const LimitTable& limits, const Product& product,
                const BlendFigures& blend, const Formula& formula, std::string_view on, Bag& bag) {
    if (!formula.complete || product.format >= model.formats.size()) return {};
    Judgement judgement = judge(model, limits, product, blend, formula, on);
    const FindingContext context{model, product, model.formats[product.format], formula, judgement};
    report_findings(context, bag);
    report_waivers(context, bag);
    if (!judgement.lots.empty()) report_lots(model, product, judgement.lots, bag);
    return judgement;
}

}  // namespace scruple
