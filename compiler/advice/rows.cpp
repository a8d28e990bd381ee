#include "advice/rows.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "safety/ceiling.h"
#include "safety/limit_table.h"
#include "safety/sums.h"

namespace scruple {
namespace {

class RowMaker {
public:
    RowMaker(const AdviceTask& task, const Trial& now) : task_(task), model_(*task.model), now_(now) {}

    ShareRows run() {
        const Formula& formula = now_.formula;
        if (!formula.complete || task_.product.format >= model_.formats.size()) return std::move(out_);
        if (now_.blend.lines.size() > kMostAdvisedOils) {
            out_.state = ShareRows::State::too_many;
            return std::move(out_);
        }
        for (const auto& line : now_.blend.lines) {
            oils_.push_back(line.material);
            out_.now.push_back(line.share_ww);
        }
        const Format& format = model_.formats[task_.product.format];
        if (formula.load_ww >= kUndiluted && format.contact != Contact::none) {
            out_.state = ShareRows::State::undiluted;
            return std::move(out_);
        }
        if (!find_thinness()) return std::move(out_);
        out_.banned.assign(oils_.size(), 0);
        for (const auto& line : formula.lines) {
            if (line.role == LineRole::base && line.share.slope < 0) {
                out_.most_ww = std::min(out_.most_ww, -line.share.at_zero / line.share.slope);
            }
        }
        if (const CategoryTable* table = task_.limits->impl().table(format.category)) {
            add_entries(*table);
            add_phototoxic(*table);
            if (model_.workshop.harms_summed && !task_.typical) add_harms();
        }
        add_people();
        out_.state = ShareRows::State::linear;
        return std::move(out_);
    }

private:
    /// The engine works out the load of each oil alone. Of a load in drops, which jumps from ratio to ratio, it is the load
    /// as it is now that counts.
    bool find_thinness() {
        for (const MaterialId oil : oils_) {
            double w = now_.formula.load_ww;
            if (!in_drops(task_.product.load)) {
                Blend alone = task_.blend;
                std::erase_if(alone.lines, [&](const BlendLine& line) { return line.material != oil; });
                w = try_blend(task_, alone).formula.load_ww;
            }
            if (!(w > 0) || !std::isfinite(w)) return false;
            out_.thin.push_back(1 / w);
        }
        return true;
    }

    /// Adds a row in which material `m` uses `weight(m)` of the limit for each gram of it in a gram of product.
    template <class Weight>
    void add(ShareRow row, const Weight& weight) {
        ShareRows::Parts parts;
        for (const auto& line : now_.formula.lines) {
            if (line.role == LineRole::base) add_to(parts.base, line.share, weight(line.material));
        }
        bool any = parts.base.at_zero > 0;
        for (std::size_t i = 0; i < oils_.size(); ++i) {
            const double of_oil = weight(oils_[i]);
            any = any || of_oil > 0;
            parts.of_oil.push_back(of_oil);
            // (base_zero + base_slope * w + of_oil * w) / w, with w the blend's share if it is this oil alone.
            row.use.push_back(parts.base.at_zero * out_.thin[i] + parts.base.slope + of_oil);
        }
        if (!any) return;
        out_.rows.push_back(std::move(row));
        out_.parts.push_back(std::move(parts));
    }

    template <class Weight>
    void ban(const Weight& weight) {
        for (std::size_t i = 0; i < oils_.size(); ++i) {
            if (weight(oils_[i]) > 0) out_.banned[i] = 1;
        }
        for (const auto& line : now_.formula.lines) {
            if (line.role == LineRole::base && line.fraction > 0 && weight(line.material) > 0) out_.base_banned = true;
        }
    }

    void add_entries(const CategoryTable& table) {
        std::vector<std::uint32_t> touched;
        std::set<std::uint32_t> seen;
        for (const auto& line : now_.formula.lines) {
            for (auto p = table.parts_from[line.material]; p < table.parts_from[line.material + 1]; ++p) {
                if (seen.insert(table.parts[p].entry).second) touched.push_back(table.parts[p].entry);
            }
        }
        if (!task_.product.lots.empty()) replaced_ = in_the_sums_place(model_, task_.product, now_.formula, table, touched);
        for (const auto e : touched) {
            const LimitEntry& entry = table.entries[e];
            if (entry.soft && task_.typical) continue;
            // The sum over phototoxic oils, or what stands in its place: as in the engine.
            if (entry.replaces_sum ? e != replaced_
                                   : replaced_ != kNone && entry.substance == table.entries[replaced_].substance &&
                                         entry.limit >= table.entries[replaced_].limit) {
                continue;
            }
            const auto held = [&](MaterialId m) {
                double sum = 0;
                for (auto p = table.parts_from[m]; p < table.parts_from[m + 1]; ++p) {
                    if (table.parts[p].entry == e) sum += task_.typical ? table.parts[p].typical : table.parts[p].high;
                }
                return sum;
            };
            if (entry.kind == CheckKind::prohibited || entry.limit <= 0) {
                ban(held);
                continue;
            }
            ShareRow row;
            row.kind = entry.kind;
            row.substance = entry.substance;
            row.material = entry.material;
            row.from = entry.from;
            row.row = entry.row;
            if (!entry.soft) firm_.push_back(out_.rows.size());
            const std::size_t before = out_.rows.size();
            add(std::move(row), [&](MaterialId m) { return held(m) * entry.per_limit; });
            if (out_.rows.size() == before && !entry.soft) firm_.pop_back();
        }
    }

    void add_phototoxic(const CategoryTable& table) {
        const auto sum = [&](const std::vector<PhototoxicRow>& rows) {
            ShareRow row;
            row.kind = CheckKind::phototoxic;
            add(std::move(row), [&](MaterialId m) { return rows[m].row ? 1 / rows[m].limit : 0; });
        };
        if (replaced_ != kNone) return sum(table.phototoxic_law);
        sum(table.phototoxic);
        if (!task_.typical) sum(table.phototoxic_any);
    }

    void add_harms() {
        for (const Harm& harm : model_.harms) {
            HarmRows rows;
            rows.harm = &harm;
            const auto in_group_of = [&](SubstanceId s, SubstanceId group) {
                const auto& groups = model_.substances[s].groups;
                return std::find(groups.begin(), groups.end(), group) != groups.end();
            };
            for (const SubstanceId s : harm.substances) {
                if (std::any_of(harm.substances.begin(), harm.substances.end(), [&](SubstanceId g) { return in_group_of(s, g); })) continue;
                std::vector<std::size_t> of;
                for (const std::size_t r : firm_) {
                    const ShareRow& row = out_.rows[r];
                    if (row.kind == CheckKind::substance && (row.substance == s || in_group_of(row.substance, s))) of.push_back(r);
                }
                if (!of.empty()) rows.of.push_back(std::move(of));
            }
            if (rows.of.size() > 1) out_.harms.push_back(std::move(rows));
        }
    }

    /// What those whom the product names ask for: usual dilutions, and oils that they are to be spared.
    void add_people() {
        const PeopleJudgement& people = now_.people;
        if (!people.named) return;
        for (const auto& c : people.cautions) {
            if (!c.meant || !c.caution->avoid) continue;
            if (task_.typical && !keeps_from(model_, *c.caution)) continue;  // advice: it warns only
            ban([&](MaterialId m) {
                return std::find(c.materials.begin(), c.materials.end(), m) != c.materials.end() ? 1.0 : 0.0;
            });
        }
        if (task_.typical || !people.guided) return;
        const auto take = [&](const UsualFigure& f) {
            const auto part = [&](MaterialId m) {
                const Material& material = model_.materials[m];
                double out = 0;
                if (f.guide->of_oils) {
                    for (const MaterialId o : f.guide->oils) out = std::max(out, counts_as(model_, m, o));
                } else if (material.kind == MaterialKind::oil) {
                    out = material.dilution ? material.dilution->share.to_double() : 1;
                }
                return out;
            };
            if (f.row->none) return ban(part);
            ShareRow row;
            row.kind = CheckKind::oil;
            row.guide = f.guide;
            row.guide_row = f.row;
            const double limit = f.row->high.to_double();
            add(std::move(row), [&](MaterialId m) { return part(m) / limit; });
        };
        take(people.usual);
        for (const auto& f : people.others) take(f);
    }

    const AdviceTask& task_;
    const Model& model_;
    const Trial& now_;
    ShareRows out_;
    std::vector<MaterialId> oils_;
    std::vector<std::size_t> firm_;  // rows of published limits
    std::uint32_t replaced_ = kNone;
};

}  // namespace

ShareRows share_rows(const AdviceTask& task) {
    const Trial now = try_blend(task, task.blend);
    return RowMaker(task, now).run();
}

}  // namespace scruple
