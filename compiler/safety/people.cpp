#include "safety/people.h"

#include <algorithm>
#include <tuple>
#include <utility>

#include "formula/wording.h"
#include "num/decimal.h"
#include "safety/ceiling.h"

namespace scruple {
namespace {

constexpr std::size_t kMostSaid = 4;

bool carried(const Caution& caution, Contact contact) {
    switch (contact) {
        case Contact::none: return caution.no_skin;
        case Contact::rinse_off: return caution.rinse_off;
        case Contact::leave_on: return caution.leave_on;
    }
    return true;
}

class People {
public:
    People(const Model& model, CautionsOf& cautions_of, const Product& product, const BlendFigures& blend, const Formula& formula,
           Care care, Bag& bag)
        : model_(model), cautions_of_(cautions_of), product_(product), format_(model.formats[product.format]), blend_(blend), formula_(formula),
          care_(care), bag_(bag) {}

    PeopleJudgement run() {
        out_.audience = product_.audience;
        out_.named = !out_.audience.empty();
        if (!out_.named) {
            if (care_ == Care::findings) return std::move(out_);  // nothing is said but on sheets
            for (AudienceId a = 0; a < model_.audiences.size(); ++a) {
                if (model_.audiences[a].assumed) out_.audience.push_back(a);
            }
        }
        collect_materials();
        if (out_.named || care_ == Care::all) collect_cautions();
        report_ruled_out();
        if (formula_.complete && format_.contact == Contact::leave_on) {
            collect_guides();
            solve();
        }
        return std::move(out_);
    }

private:
    struct Held {
        MaterialId material;
        Span span;
    };

    void hold(MaterialId material, Span span) {
        if (material == kNone) return;
        const bool there = std::any_of(held_.begin(), held_.end(), [&](const Held& h) { return h.material == material; });
        if (!there) held_.push_back({material, span});
    }

    /// What is in it, also where its amounts are not known.
    void collect_materials() {
        for (const auto& line : formula_.lines) hold(line.material, line.span);
        if (formula_.complete) return;
        for (const auto& line : model_.blends[product_.blend].lines) hold(line.material, line.span);
    }

    bool is_meant(const Caution& caution) const {
        for (const AudienceId a : caution.audience) {
            for (const AudienceId b : product_.audience) {
                if (overlaps(model_, a, b)) return true;
            }
        }
        return false;
    }

    void collect_cautions() {
        std::vector<std::pair<std::uint32_t, MaterialId>> spoken;  // caution, whom it speaks of
        for (const auto& h : held_) {
            for (const std::uint32_t caution : cautions_of_[h.material]) spoken.emplace_back(caution, h.material);
        }
        std::stable_sort(spoken.begin(), spoken.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
        auto next = spoken.begin();
        for (std::uint32_t i = 0; i < model_.cautions.size(); ++i) {
            const Caution& caution = model_.cautions[i];
            const auto from = next;
            while (next != spoken.end() && next->first == i) ++next;
            if (caution.of_oils && from == next) continue;
            if (caution.usual() || !carried(caution, format_.contact)) continue;
            PersonalCaution found;
            found.caution = &caution;
            found.meant = is_meant(caution);
            if (!found.meant && care_ != Care::all) continue;
            for (auto of = from; of != next; ++of) found.materials.push_back(of->second);
            out_.cautions.push_back(std::move(found));
        }
        drop_needless();
        std::stable_sort(out_.cautions.begin(), out_.cautions.end(), [](const PersonalCaution& a, const PersonalCaution& b) {
            return std::tuple(!a.meant, a.caution->rank) < std::tuple(!b.meant, b.caution->rank);
        });
    }

    /// What holds for every oil that holds so much of something is said by an oil's own words where there are any.
    void drop_needless() {
        for (auto& c : out_.cautions) {
            if (c.caution->substances.empty()) continue;
            std::erase_if(c.materials, [&](MaterialId m) {
                return std::any_of(out_.cautions.begin(), out_.cautions.end(), [&](const PersonalCaution& own) {
                    return own.caution->substances.empty() && own.caution->audience == c.caution->audience &&
                           std::find(own.materials.begin(), own.materials.end(), m) != own.materials.end();
                });
            });
        }
        std::erase_if(out_.cautions, [](const PersonalCaution& c) { return c.caution->of_oils && c.materials.empty(); });
    }

    /// One finding an oil: the hardest source says it, the others stand in its notes.
    void report_ruled_out() {
        for (const auto& h : held_) {
            std::vector<const Caution*> against;
            for (const auto& c : out_.cautions) {
                if (!c.meant || !c.caution->avoid) continue;
                if (std::find(c.materials.begin(), c.materials.end(), h.material) != c.materials.end()) against.push_back(c.caution);
            }
            if (against.empty()) continue;
            std::stable_sort(against.begin(), against.end(), [&](const Caution* a, const Caution* b) {
                return keeps_from(model_, *a) && !keeps_from(model_, *b);
            });
            const Caution& first = *against.front();
            const bool law = keeps_from(model_, first);
            ++(law ? out_.failing : out_.warning);
            auto found = bag_.add(law ? Code::not_for_audience : Code::advised_against, load_place(product_),
                                  material_name(model_, h.material) + " is in " + std::string(product_.header.name) +
                                      ", which is for " + meant_text(first) +
                                      (law ? ", and the law keeps it from them" : ", and a source rules it out for them"));
            if (h.span.known()) found.also(h.span, "it stands here");
            if (product_.audience_span.known()) found.also(product_.audience_span, "whom it is for");
            std::size_t said = 0;
            for (const Caution* c : against) {
                if (said++ == kMostSaid) break;
                for (const SourceId s : c->sources) found.note("\"" + c->text + "\", " + source_words(model_, s));
            }
            found.note(law ? "take it out, or make the product for others"
                           : "advice, no law: take it out, make the product for others, or ask someone who is qualified");
        }
    }

    /// Those of the product's audience whom a caution concerns.
    std::string meant_text(const Caution& caution) const {
        std::vector<AudienceId> meant;
        for (const AudienceId b : product_.audience) {
            if (std::any_of(caution.audience.begin(), caution.audience.end(),
                            [&](AudienceId a) { return overlaps(model_, a, b); })) {
                meant.push_back(b);
            }
        }
        return audiences_text(model_, meant);
    }

    bool for_purpose(const Guide& guide) const {
        if (!guide.of_purpose) return true;
        if (std::find(guide.formats.begin(), guide.formats.end(), product_.format) != guide.formats.end()) return true;
        if (format_.category >= model_.categories.size()) return false;
        const auto& within = model_.categories[format_.category].within;
        return std::any_of(guide.categories.begin(), guide.categories.end(), [&](CategoryId c) {
            return std::find(within.begin(), within.end(), c) != within.end();
        });
    }

    bool for_audience(const Guide& guide, AudienceId leaf) const {
        return std::any_of(guide.audience.begin(), guide.audience.end(), [&](AudienceId a) {
            const auto& leaves = model_.audiences[a].leaves;
            return std::find(leaves.begin(), leaves.end(), leaf) != leaves.end();
        });
    }

    void take(const Guide& guide, AudienceId audience) {
        for (const auto& row : guide.rows) {
            const bool there = std::any_of(figures_.begin(), figures_.end(), [&](const UsualFigure& f) { return f.row == &row; });
            if (!there) figures_.push_back({&guide, &row, audience});
        }
    }

    /// What is usual for a purpose holds for everybody, and stands in place of the general figure of those who are assumed
    /// anyway; for all others the stricter of both counts.
    void collect_guides() {
        bool purpose = false;
        for (const Guide& g : model_.guides) {
            if (!g.audience.empty() || g.of_oils || !for_purpose(g)) continue;
            purpose = true;
            take(g, kNone);
        }
        for (const AudienceId a : out_.audience) {
            bool known = false;
            for (const AudienceId leaf : model_.audiences[a].leaves) {
                bool here = false;
                for (const Guide& g : model_.guides) {
                    if (!for_audience(g, leaf) || !for_purpose(g)) continue;
                    here = here || !g.of_oils;
                    if (purpose && !g.of_purpose && !g.of_oils && model_.audiences[leaf].assumed) continue;
                    take(g, a);
                }
                known = known || here;
            }
            if (!known && out_.named) out_.unguided.push_back(a);
        }
    }

    /// The share of the product that a guide speaks of, by the blend's share.
    Affine spoken_of(const Guide& guide) const {
        Affine sum;
        std::size_t oil = 0;
        const bool own = formula_.drop_plan && formula_.drop_plan->multiple == 0;
        for (const auto& line : formula_.lines) {
            Affine share = line.share;
            if (line.role == LineRole::blend) {
                const std::size_t i = oil++;
                // A percentage that is typed in makes the blend's own ratio, not the nearest one that drops gave.
                if (own && i < blend_.lines.size()) share = {0, blend_.lines[i].share_ww};
            }
            const Material& m = model_.materials[line.material];
            double part = 0;
            if (guide.of_oils) {
                for (const MaterialId o : guide.oils) part = std::max(part, counts_as(model_, line.material, o));
            } else if (m.kind == MaterialKind::oil) {
                part = m.dilution ? m.dilution->share.to_double() : 1;
            }
            sum.at_zero += share.at_zero * part;
            sum.slope += share.slope * part;
        }
        return sum;
    }

    void solve() {
        std::vector<Check> checks;
        std::vector<Affine> levels;
        std::vector<UsualFigure> figures;
        CeilingTask task;
        for (const auto& f : figures_) {
            const Affine level = spoken_of(*f.guide);
            if (f.guide->of_oils && !(level.at(1) > 0)) continue;
            Check check;
            check.kind = f.row->none ? CheckKind::prohibited : CheckKind::substance;
            checks.push_back(std::move(check));
            const double limit = f.row->high.to_double();
            task.use.push_back(f.row->none ? level : Affine{level.at_zero / limit, level.slope / limit});
            task.counts.push_back(1);
            levels.push_back(level);
            figures.push_back(f);
        }
        if (figures.empty()) return;
        task.checks = &checks;
        task.load_ww = formula_.load_ww;
        task.on_skin = true;
        for (const auto& line : formula_.lines) {
            if (line.role == LineRole::base && line.share.slope < 0) {
                task.most_ww = std::min(task.most_ww, -line.share.at_zero / line.share.slope);
            }
        }
        const bool own = product_.load.kind == LoadKind::percent;
        task.basis = own ? product_.load.basis : format_.load_basis;
        task.of = own ? product_.load.of : format_.load_of;
        task.scale = LoadScale::make(model_, product_, blend_, formula_.lines, task.basis, task.of);
        out_.ceiling = solve_ceiling(task);
        out_.guided = true;

        std::size_t binds = 0;
        if (out_.ceiling.bound_by >= 0) {
            binds = static_cast<std::size_t>(out_.ceiling.bound_by);
        } else {
            for (std::size_t i = 1; i < figures.size(); ++i) {
                if (figures[i].row->none || figures[i].row->high < figures[binds].row->high) binds = i;
            }
        }
        out_.usual = figures[binds];
        out_.strength = levels[binds].at(formula_.load_ww);
        out_.over = figures[binds].row->none ? out_.strength > 0 : !within_limit(task.use[binds].at(formula_.load_ww));
        for (std::size_t i = 0; i < figures.size(); ++i) {
            if (i != binds) out_.others.push_back(figures[i]);
        }
        if (out_.over && out_.named) report_over();
    }

    void report_over() {
        ++out_.warning;
        const UsualFigure& f = out_.usual;
        std::string what = "plant oils come to ";
        if (f.guide->of_oils) {
            std::vector<std::string> names;
            for (const auto& h : held_) {
                if (std::any_of(f.guide->oils.begin(), f.guide->oils.end(), [&](MaterialId o) { return counts_as(model_, h.material, o) > 0; })) {
                    names.push_back(material_name(model_, h.material));
                }
            }
            what = list_text(names) + (names.size() == 1 ? " comes to " : " come to ");
        }
        const std::string whom = f.audience == kNone ? f.guide->header.title : audiences_text(model_, {f.audience});
        const std::string limit = exact(f.row->high);
        std::string message = what + more_than(out_.strength, f.row->high) + " of " + std::string(product_.header.name) + ", and ";
        message += f.row->none ? "none at all is the usual advice for " + whom
                               : "at most " + limit + " is usual for " + whom;
        auto found = bag_.add(Code::over_guide, load_place(product_), std::move(message));
        if (product_.audience_span.known()) found.also(product_.audience_span, "whom it is for");
        found.note("the guide: " + source_words(model_, f.row->source) + (f.row->remark.empty() ? "" : ", \"" + f.row->remark + "\""));
        if (out_.ceiling.state == Ceiling::State::bound && out_.ceiling.in_basis > 0) {
            found.note("at most " + load_text(out_.ceiling.text + " %", out_.ceiling.basis, out_.ceiling.of) + " of this blend in " +
                       std::string(format_.header.name) + " stays within it");
        } else {
            found.note("no load of this blend stays within it");
        }
        found.note("practice, no law: staying within it makes nothing safe");
    }

    static std::string exact(const Rational& fraction) { return format_exact(fraction * Rational(100)) + " %"; }

    /// With as many digits as it takes to read as more than the guide.
    static std::string more_than(double actual, const Rational& limit) {
        for (int digits = 3; digits < 12; ++digits) {
            const std::string text = format_significant(actual * 100, digits);
            if (parse_number(text).value.to_double() > limit.to_double() * 100) return text + " %";
        }
        return percent_text(actual, 12);
    }

    const Model& model_;
    CautionsOf& cautions_of_;
    const Product& product_;
    const Format& format_;
    const BlendFigures& blend_;
    const Formula& formula_;
    Care care_;
    Bag& bag_;
    PeopleJudgement out_;
    std::vector<Held> held_;
    std::vector<UsualFigure> figures_;
};

}  // namespace

bool keeps_from(const Model& model, const Caution& caution) {
    if (caution.rules != kNone && !rules_hold(model, caution.rules)) return false;
    return std::any_of(caution.sources.begin(), caution.sources.end(), [&](SourceId s) {
        return model.standing(s) == Standing::law || model.standing(s) == Standing::standard;
    });
}

double counts_as(const Model& model, MaterialId material, MaterialId oil) {
    double most = material == oil ? 1 : 0;
    for (const auto& as : model.materials[material].counts_as) {
        if (as.material == oil) most = std::max(most, as.share);
    }
    return most;
}

bool speaks_of(const Model& model, const Caution& caution, MaterialId material) {
    for (const MaterialId oil : caution.oils) {
        if (counts_as(model, material, oil) > 0) return true;
    }
    const Material& m = model.materials[material];
    if (m.kind != MaterialKind::oil) return false;
    const double share = m.dilution ? m.dilution->share.to_double() : 1;  // what is said of an oil holds for it dissolved
    for (const auto& c : m.contains) {
        const bool named = std::find(caution.substances.begin(), caution.substances.end(), c.substance) != caution.substances.end();
        if (named && c.fraction.high > 0 && c.fraction.high >= share * caution.from * (1 - kLimitTolerance)) return true;
    }
    return false;
}

bool overlaps(const Model& model, AudienceId a, AudienceId b) {
    const auto& x = model.audiences[a].leaves;
    const auto& y = model.audiences[b].leaves;
    return std::any_of(x.begin(), x.end(), [&](AudienceId leaf) { return std::find(y.begin(), y.end(), leaf) != y.end(); });
}

const std::vector<std::uint32_t>& CautionsOf::operator[](MaterialId material) {
    if (found_.size() <= material) found_.resize(model_.materials.size());
    auto& known = found_[material];
    if (!known) {
        known.emplace();
        for (std::uint32_t i = 0; i < model_.cautions.size(); ++i) {
            const Caution& caution = model_.cautions[i];
            if (caution.of_oils && speaks_of(model_, caution, material)) known->push_back(i);
        }
    }
    return *known;
}

PeopleJudgement judge_people(const Model& model, CautionsOf& cautions_of, const Product& product, const BlendFigures& blend,
                             const Formula& formula, Care care, Bag& bag) {
    if (product.format >= model.formats.size() || product.blend >= model.blends.size()) return {};
    return People(model, cautions_of, product, blend, formula, care, bag).run();
}

Verdict with_people(Verdict verdict, const PeopleJudgement& people) {
    if (people.failing > 0) return Verdict::fails;
    return people.warning > 0 && verdict != Verdict::fails ? Verdict::warns : verdict;
}

const std::string& audience_text(const Model& model, AudienceId audience) { return model.audiences[audience].header.title; }

std::string audiences_text(const Model& model, const std::vector<AudienceId>& audiences) {
    std::vector<std::string> out;
    for (const AudienceId a : audiences) out.push_back(audience_text(model, a));
    return list_text(out);
}

}  // namespace scruple
