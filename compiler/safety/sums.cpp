#include "safety/sums.h"

#include <algorithm>
#include <utility>

#include "safety/ceiling.h"

namespace scruple {
namespace {

/// Whether a limit that replaces the phototoxic sum may be measured for this oil: for others something else may burn.
bool measures(const Model& model, const Limit& limit, MaterialId material) {
    const auto listed = [&](MaterialId id) {
        const auto name = model.materials[id].header.name;
        return std::find(limit.sum_oils.begin(), limit.sum_oils.end(), name) != limit.sum_oils.end();
    };
    const auto& as = model.materials[material].counts_as;
    return listed(material) || std::any_of(as.begin(), as.end(), [&](const CountsAs& other) { return listed(other.material); });
}

/// One sum over all oils that burn skin in sun. `derived`: with derived rows too, if that makes
/// it tighter.
void add_phototoxic(const Formula& formula, const CategoryTable& table, const std::vector<PhototoxicRow>& rows, bool derived,
                    double w, std::vector<Check>& checks) {
    std::vector<PhototoxicPart> parts;
    Affine use;
    CategoryId category = kNone;
    bool tighter = false;
    for (const auto& line : formula.lines) {
        const PhototoxicRow& row = rows[line.material];
        if (!row.row) continue;
        const PhototoxicRow& published = table.phototoxic[line.material];
        tighter = tighter || row.row != published.row || row.limit != published.limit;
        add_to(use, line.share, 1 / row.limit);
        auto there = std::find_if(parts.begin(), parts.end(), [&](const PhototoxicPart& p) {
            return p.material == line.material;
        });
        if (there != parts.end()) {
            there->fraction += line.fraction;
        } else {
            if (parts.empty()) category = row.caught;
            parts.push_back({line.material, line.fraction, row.limit, row.row, row.from});
        }
    }
    if (parts.empty() || (derived && !tighter)) return;
    std::stable_sort(parts.begin(), parts.end(),
                     [](const PhototoxicPart& a, const PhototoxicPart& b) {
                         return a.fraction / a.limit > b.fraction / b.limit;
                     });
    Check check;
    check.kind = CheckKind::phototoxic;
    check.category = category;
    check.limit = 1;
    check.soft = derived;
    check.use = check.use_at_maximum = use;
    check.used = check.used_at_maximum = check.actual = check.actual_at_maximum = use.at(w);
    settle_use(check);
    for (const auto& part : parts) check.bringers.push_back(part.material);
    check.parts = std::move(parts);
    checks.push_back(std::move(check));
}

}  // namespace

std::uint32_t in_the_sums_place(const Model& model, const Product& product, const Formula& formula, const CategoryTable& table,
                                const std::vector<std::uint32_t>& touched) {
    std::uint32_t replaced = kNone;
    for (const auto e : touched) {
        const LimitEntry& entry = table.entries[e];
        // What is accepted may not stand for what nobody can accept: the sum.
        const bool waived = std::any_of(product.waivers.begin(), product.waivers.end(),
                                        [&](const Waiver& w) { return w.substance == entry.substance; });
        if (waived) continue;
        if (!entry.replaces_sum || (replaced != kNone && !(entry.limit < table.entries[replaced].limit))) continue;
        bool any = false;
        bool all = true;
        for (const auto& line : formula.lines) {
            if (!table.phototoxic_any[line.material].row && !table.phototoxic[line.material].row) continue;
            any = true;
            const auto& rows = model.materials[line.material].contains;
            const bool analysed = std::any_of(rows.begin(), rows.end(), [&](const Constituent& c) {
                return c.substance == entry.substance && c.analysed;
            });
            all = all && analysed && measures(model, *entry.from, line.material);
        }
        if (!any || !all) continue;
        replaced = e;
    }
    return replaced;
}

void settle_use(Check& check) {
    const bool typical = within_limit(check.used);
    if (typical && within_limit(check.used_at_maximum)) return;
    check.verdict = !typical && !check.soft ? Verdict::fails : Verdict::warns;
}

void add_phototoxic_sums(const Formula& formula, const CategoryTable& table, bool replaced, double w, std::vector<Check>& checks) {
    if (replaced) {
        add_phototoxic(formula, table, table.phototoxic_law, false, w, checks);
    } else {
        add_phototoxic(formula, table, table.phototoxic, false, w, checks);
        add_phototoxic(formula, table, table.phototoxic_any, true, w, checks);
    }
}

void add_harm_sums(const Model& model, double w, std::vector<Check>& checks) {
    for (const Harm& harm : model.harms) {
        Check sum;
        const auto in_group_of = [&](SubstanceId s, SubstanceId group) {
            const auto& groups = model.substances[s].groups;
            return std::find(groups.begin(), groups.end(), group) != groups.end();
        };
        for (const SubstanceId s : harm.substances) {
            // A substance whose group is in the sum counts there, and only once.
            if (std::any_of(harm.substances.begin(), harm.substances.end(), [&](SubstanceId g) { return in_group_of(s, g); })) continue;
            const Check* tightest = nullptr;
            for (const Check& check : checks) {
                if (check.kind != CheckKind::substance || check.soft) continue;
                if (check.substance != s && !in_group_of(check.substance, s)) continue;
                if (!tightest || check.used > tightest->used) tightest = &check;
            }
            if (!tightest) continue;
            add_to(sum.use, tightest->use, 1);
            add_to(sum.use_at_maximum, tightest->use_at_maximum, 1);
            sum.harm_parts.push_back({tightest->substance, tightest->limit, tightest->use.at(w)});
            sum.category = tightest->category;
            for (const MaterialId m : tightest->bringers) {
                if (std::find(sum.bringers.begin(), sum.bringers.end(), m) == sum.bringers.end()) sum.bringers.push_back(m);
            }
        }
        if (sum.harm_parts.size() < 2) continue;  // alone it has been judged
        std::stable_sort(sum.harm_parts.begin(), sum.harm_parts.end(),
                         [](const HarmPart& a, const HarmPart& b) { return a.used > b.used; });
        sum.kind = CheckKind::harm;
        sum.harm = &harm;
        sum.limit = 1;
        sum.soft = true;
        sum.actual = sum.used = sum.use.at(w);
        sum.actual_at_maximum = sum.used_at_maximum = sum.use_at_maximum.at(w);
        settle_use(sum);
        checks.push_back(std::move(sum));
    }
}

}  // namespace scruple
