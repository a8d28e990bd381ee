#include "safety/waivers.h"

#include <algorithm>
#include <string>

#include "base/date.h"
#include "formula/wording.h"
#include "safety/ceiling.h"

namespace scruple {
namespace {

using State = WaiverUse::State;

bool about(const Check& check, const Waiver& w) {
    return check.from && check.from->rules == w.rules && check.substance == w.substance && check.material == w.material;
}

bool is_there(const Model& model, const Formula& formula, const Waiver& w) {
    return std::any_of(formula.lines.begin(), formula.lines.end(), [&](const FormulaLine& line) {
        const Material& m = model.materials[line.material];
        if (w.substance != kNone) {
            return std::any_of(m.contains.begin(), m.contains.end(),
                               [&](const Constituent& c) { return c.substance == w.substance && c.fraction.high > 0; });
        }
        return line.material == w.material ||
               std::any_of(m.counts_as.begin(), m.counts_as.end(), [&](const CountsAs& c) { return c.material == w.material; });
    });
}

/// Whether those rules limit the oil because it burns skin in the sun.
bool in_sum(const Model& model, const Judgement& judgement, const Waiver& w) {
    if (w.material == kNone) return false;
    for (const Check& check : judgement.checks) {
        for (const PhototoxicPart& part : check.parts) {
            if (!part.from || part.from->rules != w.rules) continue;
            const auto& as = model.materials[part.material].counts_as;
            if (part.material == w.material ||
                std::any_of(as.begin(), as.end(), [&](const CountsAs& c) { return c.material == w.material; })) {
                return true;
            }
        }
    }
    return false;
}

/// The waivers of one check, by finding; null where there is none that may stand.
struct Waived {
    WaiverUse* limit = nullptr;
    WaiverUse* maximum = nullptr;
    WaiverUse* derived = nullptr;
};

void use(WaiverUse& waiver, double actual, Check& check) {
    waiver.actual = actual;
    waiver.state = within_limit(actual / waiver.waiver->ceiling) ? State::accepts : State::exceeded;
    check.waiver = waiver.waiver;
}

/// A waiver that waits for another finding than the one there is.
void pass_by(WaiverUse* waiver, Waivable found) {
    if (!waiver) return;
    waiver->found = found;
    waiver->state = found == waiver->waiver->finding ? State::within : State::other_finding;
}

void settle(Check& check, const Waived& w) {
    const bool over = !within_limit(check.used);
    const bool over_at_maximum = !within_limit(check.used_at_maximum);
    const auto accepted = [](const WaiverUse* waiver) { return waiver && waiver->state == State::accepts; };
    if (check.soft) {
        if (!over && !over_at_maximum) return;
        pass_by(w.limit, Waivable::derived);
        pass_by(w.maximum, Waivable::derived);
        if (!w.derived) return;
        use(*w.derived, std::max(check.actual, check.actual_at_maximum), check);
        if (accepted(w.derived)) check.verdict = Verdict::accepted;
        return;
    }
    pass_by(w.derived, over ? Waivable::limit : Waivable::maximum);
    if (over) {
        if (!w.limit) {
            pass_by(w.maximum, Waivable::limit);
            return;
        }
        use(*w.limit, check.actual, check);
        if (!accepted(w.limit)) return;  // it fails as if nobody had accepted anything
    } else if (over_at_maximum) {
        pass_by(w.limit, Waivable::maximum);
    } else {
        return;
    }
    const bool covered = accepted(w.limit) && within_limit(check.actual_at_maximum / w.limit->waiver->ceiling);
    check.verdict = covered ? Verdict::accepted : Verdict::warns;
    if (covered || !w.maximum) return;
    use(*w.maximum, check.actual_at_maximum, check);
    if (accepted(w.maximum)) check.verdict = Verdict::accepted;
}

std::string_view code_word(Waivable finding) {
    switch (finding) {
        case Waivable::limit: return "over_limit";
        case Waivable::maximum: return "over_at_maximum";
        case Waivable::derived: return "over_derived";
    }
    return "over_limit";
}

}  // namespace

bool is_law(const Model& model, const Limit& limit, const LimitRow& row) {
    const auto law = [&](SourceId source) { return source != kNone && model.standing(source) == Standing::law; };
    if (law(row.source)) return true;
    if (limit.rules == kNone) return false;
    const auto& sources = model.rule_sets[limit.rules].sources;
    return std::any_of(sources.begin(), sources.end(), law);
}

void settle_waivers(const Model& model, const Product& product, const Formula& formula, std::string_view on,
                    Judgement& judgement) {
    auto& uses = judgement.waivers;
    uses.reserve(product.waivers.size());
    for (const Waiver& w : product.waivers) {
        WaiverUse u;
        u.waiver = &w;
        u.state = !is_there(model, formula, w)    ? State::not_there
                  : !rules_hold(model, w.rules)   ? State::not_compared
                                                  : State::no_limit;
        for (const Check& check : judgement.checks) {
            if (!about(check, w)) continue;
            u.actual = check.actual;
            u.limit = check.limit;
            u.limit_text = check.row->max_text;
            if (is_law(model, *check.from, *check.row)) {
                u.state = State::law;
                break;
            }
            u.state = check.kind == CheckKind::prohibited          ? State::prohibited
                      : check.row->effect == Effect::phototoxic ? State::burns
                                                                : State::within;
            if (u.state != State::within) break;
        }
        // A limit of the phototoxic sum is no check of its own.
        if (u.state == State::no_limit && in_sum(model, judgement, w)) u.state = State::burns;
        if (u.state == State::within && !on.empty() && !w.until.empty() && is_after(on, w.until)) u.state = State::expired;
        uses.push_back(u);
    }
    for (Check& check : judgement.checks) {
        if (check.kind != CheckKind::substance && check.kind != CheckKind::oil) continue;
        Waived waived;
        for (WaiverUse& u : uses) {
            if (!about(check, *u.waiver) || u.state == State::law || u.state == State::prohibited || u.state == State::burns ||
                u.state == State::expired) {
                continue;
            }
            (u.waiver->finding == Waivable::limit     ? waived.limit
             : u.waiver->finding == Waivable::maximum ? waived.maximum
                                                      : waived.derived) = &u;
        }
        if (waived.limit || waived.maximum || waived.derived) settle(check, waived);
    }
}

void report_waivers(const FindingContext& context, Bag& bag) {
    const Model& model = context.model;
    for (const WaiverUse& u : context.judgement.waivers) {
        if (u.state == State::accepts || u.state == State::exceeded) continue;
        const Waiver& w = *u.waiver;
        const std::string subject = w.substance != kNone ? std::string(model.substances[w.substance].header.name)
                                                         : material_name(model, w.material);
        const std::string rules(model.rule_sets[w.rules].header.name);
        const std::string product(context.product.header.name);
        const std::string in(context.format.header.name);
        if (u.state == State::law || u.state == State::prohibited || u.state == State::burns) {
            auto found = bag.add(Code::waiver_refused, w.span,
                                 u.state == State::law     ? rules + " is law, and no reason sets law aside"
                                 : u.state == State::burns ? "the limit of " + subject + " guards against burns in the sun, and can't be set aside"
                                                       : rules + " forbids " + subject + ", and no amount of it can be accepted");
            found.note("take the waiver out, and change the product until it passes");
            continue;
        }
        if (u.state == State::expired) {
            auto found = bag.add(Code::waiver_expired, w.span, "this was accepted until " + w.until + ", and that is over");
            found.note("look at it again: change the product, or accept it anew with a reason that holds today");
            continue;
        }
        std::string message;
        switch (u.state) {
            case State::not_there: message = "there is no " + subject + " in " + product; break;
            case State::no_limit: message = rules + " has no limit on " + subject + " in " + in; break;
            case State::not_compared:
                message = "the workshop is not judged by " + rules;
                break;
            case State::other_finding:
                message = "what is found of " + subject + " under " + rules + " is `" + std::string(code_word(u.found)) + "`, not `" +
                          std::string(w.code) + "`";
                break;
            default:
                message = subject + " is within what " + rules + " allows in " + in + ": " + percent_text(u.actual) + " of " +
                          std::string(u.limit_text) + " %";
                break;
        }
        auto found = bag.add(Code::waiver_unused, w.span, "nothing is accepted here: " + message);
        if (u.state == State::other_finding) {
            found.note("a waiver names the finding that it accepts");
        } else {
            found.note("take it out: a waiver that nobody needs hides what comes later");
        }
    }
}

}  // namespace scruple
