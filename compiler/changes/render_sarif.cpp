#include <algorithm>

#include "changes/listed.h"
#include "changes/places.h"
#include "changes/render.h"
#include "changes/sentence.h"
#include "diag/render.h"
#include "emit/emit.h"

namespace scruple::changes {
namespace {

struct RankRule {
    Rank rank;
    LogRule rule;
};

const std::vector<RankRule>& rank_rules() {
    static const std::vector<RankRule> rules = {
        {Rank::safety, {"safety_change", "A change in what can hurt",
                        "Against the version before, a limit, a ceiling, a verdict, a caution or what is known of them is otherwise. "
                        "Read it before the product is made; a qualified assessor, the local rules and the supplier's documents decide.",
                        Severity::warning}},
        {Rank::label, {"label_change", "A change of the label",
                       "Against the version before, the label must say something else.", Severity::warning}},
        {Rank::cost, {"cost_change", "A change of cost", "Against the version before, one costs another sum, or its cost is known no longer.",
                      Severity::note}},
        {Rank::smell, {"smell_change", "A change of the blend", "Against the version before, oils came, went, or have another share.",
                       Severity::note}},
    };
    return rules;
}

Severity severity_of(const Change& c, Severity usual) {
    if (c.rank() != Rank::safety) return usual;
    if (!c.worse) return Severity::note;
    const bool fails = c.fresh && c.fresh->text("verdict") == "fails";
    return fails ? Severity::error : Severity::warning;
}

}  // namespace

std::string render_sarif(const Changes& changes, const Places& places, const SourceMap& sources) {
    std::vector<LogRule> rules;
    for (const RankRule& r : rank_rules()) rules.push_back(r.rule);
    std::vector<LogResult> results;
    for (std::size_t r = 0; r < rules.size(); ++r) {
        for (const UnitChange& u : changes.units) {
            if (u.state == UnitState::removed) continue;
            for (const Change& c : u.changes) {
                if (c.rank() != rank_rules()[r].rank || is_minor(c)) continue;
                if (c.what == What::part && c.direction == Direction::share) continue;  // its row stayed
                // Of what is new, only what is wrong with it.
                if (u.state == UnitState::added && !c.worse) continue;
                results.push_back({r, severity_of(c, rules[r].severity), u.id + ": " + sentence(u, c), places.of(u, c)});
            }
        }
    }
    for (const SideError& e : changes.new_errors) results.push_back({0, Severity::error, "not all of it could be compared: " + e.message, {}});
    return scruple::render_sarif(rules, results, sources, kVersion);
}

}  // namespace scruple::changes
