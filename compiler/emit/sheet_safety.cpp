// What a product's page says of safety: the verdict in plain words, the ceilings with what binds
// them, the tightest checks, and everything that is not known. Nothing here may read as an
// approval.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "emit/page.h"
#include "emit/rule_words.h"
#include "emit/words.h"
#include "formula/wording.h"
#include "num/apportion.h"
#include "num/decimal.h"
#include "safety/assessments.h"

namespace scruple::emit {
namespace {

constexpr std::size_t kChecksShown = 6;

std::string rules_title(const Model& model, const Limit* limit) {
    if (!limit || limit->rules >= model.rule_sets.size()) return "this language's own rule";
    return plain(model.rule_sets[limit->rules].header.title);
}

std::string rules_word(const Model& model, const Limit* limit) {
    if (!limit || limit->rules >= model.rule_sets.size()) return "-";
    return plain(model.rule_sets[limit->rules].header.name);
}

std::string standing_of(const Model& model, const Check& check) {
    return check.row ? std::string(standing_word(model.standing(check.row->source))) : "-";
}

}  // namespace

std::string check_rule_text(const Model& model, const Check& check) {
    std::string text = subject_text(model, check);
    if (check.kind == CheckKind::phototoxic) {
        std::vector<std::string> names;
        for (const PhototoxicPart& part : check.parts)
            names.push_back(title_of(model, part.material));
        return text + " on skin that sees the sun" +
               (names.empty() ? "" : " (" + list_text(names) + ")");
    }
    if (check.kind == CheckKind::undiluted) return "no undiluted oil on skin";
    if (check.kind == CheckKind::harm) return plain(check.harm->header.title) + ": shares of the limits added up, at most 100 %";
    const std::string limit = limit_text(check);
    text += limit == "none" ? ", not allowed" : ", at most " + limit;
    text += " (" + rules_title(model, check.from);
    if (check.category < model.categories.size())
        text += "; " + plain(model.categories[check.category].header.title);
    return text + ")";
}

namespace {

/// Over a published limit only where every range is at its top.
bool fails_at_top(const Check& check) {
    return check.verdict == Verdict::warns && check.decided_by == DecidedBy::maximum && !check.soft;
}

/// Each of them a clause with commas of its own.
std::string reasons(const std::vector<std::string>& why) {
    std::string text;
    for (const std::string& each : why) text += (text.empty() ? "" : "; ") + each;
    return text;
}

struct VerdictText {
    std::string text;
    Tone tone = Tone::plain;
};

/// What leaves a verdict open, in words.
std::string open_question(const Model& model, const Judgement& judgement) {
    const Unknown* most = nullptr;
    for (const Unknown& u : judgement.unknowns) {
        if (u.leaves_open && (!most || u.unknown_fraction > most->unknown_fraction)) most = &u;
    }
    if (most) {
        const bool all = most->unknown_fraction >= 1 - 1e-9;
        return (all ? std::string() : format_fixed(most->unknown_fraction * 100, 0, Rounding::up) + " % of ") + "the composition of " +
               title_of(model, most->material) + " is not known, and nothing is said about what that brings.";
    }
    if (!judgement.unstated.empty()) {
        const UnstatedLimit& largest = judgement.unstated.front();
        const std::string subject = largest.from->substance != kNone ? substance_title(model, largest.from->substance)
                                                                     : title_of(model, largest.from->material);
        const std::size_t others = judgement.unstated.size() - 1;
        return "the limit on " + subject +
               (others == 0 ? std::string(" is not known here.")
                            : " and " + std::to_string(others) + (others == 1 ? " other is" : " others are") + " not known here.");
    }
    return "not enough is known of what is in it.";
}

VerdictText verdict_text(const Document& document, ProductId id) {
    const Model& model = *document.model;
    const Judgement& judgement = (*document.judgements)[id];
    const Formula& formula = (*document.formulas)[id];
    if (!formula.complete)
        return {"NOT JUDGED: without amounts nothing can be compared with a limit.", Tone::bad};
    std::int64_t over = 0;
    std::int64_t warned = 0;  // but at the top of a range
    std::int64_t at_top = 0;
    bool settled = false;
    bool accepted = false;
    for (const Check& check : judgement.checks) {
        if (check.verdict == Verdict::fails) ++over;
        if (check.verdict == Verdict::warns) ++(fails_at_top(check) ? at_top : warned);
        settled = settled || (check.decided_by == DecidedBy::lot && check.without_lots != Verdict::passes);
        accepted = accepted || check.verdict == Verdict::accepted;
    }
    if (document.people) {
        over += (*document.people)[id].failing;
        warned += (*document.people)[id].warning;
    }
    const std::string_view broken = accepted ? "no limit that this library knows is broken but what the recipe accepts"
                                             : "no limit that this library knows is broken";
    const std::string_view published = accepted ? "no published limit that this library knows is broken but what the recipe accepts"
                                                : "no published limit that this library knows is broken";
    const auto lots = [&](Verdict verdict) {
        return std::any_of(judgement.lots.begin(), judgement.lots.end(), [&](const LotState& l) { return l.verdict == verdict; });
    };
    switch (judgement.verdict) {
        case Verdict::passes:
            if (judgement.decided_by == DecidedBy::lot) {
                return {std::string("Passes, by the lots' analyses, the limits that this library knows") +
                            (settled ? "; by the oils' own compositions it would not" : "") + ". That is no approval.",
                        Tone::good};
            }
            return {"Passes the limits that this library knows. That is no approval.", Tone::good};
        case Verdict::accepted:
            return {"OVER A LIMIT, and the recipe accepts that: see below for what, how far and why. That is no approval.",
                    Tone::warning};
        case Verdict::unknown:
            return {"NOT KNOWN: " + std::string(broken) + (accepted ? ", and " : ", but ") + open_question(model, judgement),
                    Tone::warning};
        case Verdict::warns: {
            std::vector<std::string> why;
            if (at_top > 0) {
                why.push_back(count_text(at_top, "check fails", "checks fail") +
                              " at the top of the range, which a lot's analysis would settle");
            }
            if (warned > 0) why.push_back(count_text(warned, "check gives a warning", "checks give a warning"));
            if (lots(Verdict::warns)) why.emplace_back("a lot in it is past its time or has many peroxides");
            if (why.empty()) why.emplace_back("there are warnings");
            return {"TAKE CARE: " + std::string(published) + (accepted ? ", and " : ", but ") + reasons(why) + ".", Tone::warning};
        }
        case Verdict::fails: {
            std::vector<std::string> why;
            if (over > 0) why.push_back("it breaks " + count_text(over, "rule", "rules") + " that this library knows");
            if (lots(Verdict::fails)) why.emplace_back("a lot in it has more peroxides than a rule allows");
            if (why.empty()) why.emplace_back("it breaks a rule that this library knows");
            return {"DO NOT MAKE THIS: " + reasons(why) + ".", Tone::bad};
        }
    }
    return {};
}

/// What the recipe accepts although a limit says otherwise.
void add_accepted(Page& page, const Model& model, const Judgement& judgement, bool dated) {
    std::vector<std::string> items;
    bool ends = false;
    for (const WaiverUse& u : judgement.waivers) {
        if (u.state != WaiverUse::State::accepts) continue;
        const Waiver& w = *u.waiver;
        const std::string subject = w.substance != kNone ? substance_title(model, w.substance) : title_of(model, w.material);
        ends = ends || !w.until.empty();
        items.push_back(subject + ": " + percent_apart(u.actual, u.limit, u.limit_text) + " %" +
                        (w.finding == Waivable::limit ? "" : " at the top of every range") + ", and " +
                        plain(model.rule_sets[w.rules].header.name) + " allows " + plain(u.limit_text) +
                        " %. Accepted up to " + plain(w.ceiling_text) + " %" +
                        (w.until.empty() ? "" : " until " + plain(w.until)) + ": " + plain(w.reason));
    }
    if (items.empty()) return;
    page.paragraph("Accepted by the recipe, not by any rule:", Tone::warning);
    page.items(std::move(items));
    if (ends && !dated)
        page.paragraph("No date was given (`--on`), so nobody looked whether the time of what is accepted is over.", Tone::warning);
}

/// What an assessor covered, as the recipe records it. Nobody here has seen the report.
void add_assessed(Page& page, const Document& document, ProductId id) {
    const Model& model = *document.model;
    const Product& product = model.products[id];
    const Formula& formula = (*document.formulas)[id];
    const auto all = coverage(model, product, formula, document.on);
    if (all.empty()) return;
    std::vector<std::string> items;
    bool covered = false;
    for (const Coverage& c : all) {
        const Assessment& a = *c.assessment;
        std::string text = plain(a.header.title);
        if (!a.assessor.empty()) text += ", " + plain(a.assessor);
        if (!a.dated.empty()) text += ", " + plain(a.dated);
        if (c.covers()) {
            covered = true;
            text += ": this ratio, up to " + plain(c.load->text) + " % by weight in this format";
            if (!a.until.empty()) text += ", until " + plain(a.until);
        } else {
            text += ": OUTSIDE";
            std::string_view between = ": ";
            for (const auto& reason : outside_text(model, product, formula, c)) {
                text += std::string(between) + plain(reason);
                between = "; ";
            }
        }
        items.push_back(std::move(text));
    }
    page.paragraph("Assessed, as the recipe records it:", covered ? Tone::plain : Tone::warning);
    page.items(std::move(items));
    page.paragraph("Base, lots, container and label are not compared with the report. The report itself decides.");
}

/// "2 to 30 %, by weight of the whole"; empty where the format states no load.
std::string usual_load(const Model& model, const Product& product) {
    if (product.format >= model.formats.size()) return "";
    const Format& format = model.formats[product.format];
    if (!format.load_low || !format.load_high) return "";
    std::string text = exact_percent(*format.load_low);
    if (*format.load_high != *format.load_low) text += " to " + exact_percent(*format.load_high);
    return text + " %, " + basis_text(format.load_basis, format.load_of);
}

std::string ceiling_text(const Model& model, const Product& product, const Ceiling& ceiling,
                         bool careful) {
    const OwnBasis own = own_basis(model, product);
    switch (ceiling.state) {
        case Ceiling::State::bound:
            return "at most " + ceiling.text + " % of this blend, " + basis_text(own.basis, own.of);
        case Ceiling::State::none_applies: {
            const bool skin = product.format < model.formats.size() &&
                              model.formats[product.format].contact != Contact::none;
            const std::string what =
                careful ? "nothing known here warns" : "no limit known here binds";
            return what + (skin ? " short of undiluted, which skin never takes" : " at any load");
        }
        case Ceiling::State::over_without_blend:
            return "none: the base is over a limit before any blend goes in";
        case Ceiling::State::not_known: return "not known";
    }
    return "not known";
}

void add_ceilings(Page& page, const Document& document, ProductId id) {
    const Model& model = *document.model;
    const Product& product = model.products[id];
    const Judgement& judgement = (*document.judgements)[id];
    std::vector<std::pair<std::string, std::string>> facts;
    auto add = [&](const char* label, const Ceiling& ceiling, bool careful) {
        facts.emplace_back(label, ceiling_text(model, product, ceiling, careful));
        if (ceiling.state == Ceiling::State::none_applies && !careful) {
            const std::string usual = usual_load(model, product);
            if (!usual.empty()) facts.emplace_back("", "usual for the format: " + usual);
        }
        if (careful && ceiling.state == Ceiling::State::bound) {
            facts.emplace_back("", "counting the tops of ranges and derived figures");
        }
        const Check* check = judgement.check(ceiling.bound_by);
        if (check && careful && ceiling.bound_by == judgement.ceiling.bound_by) {
            facts.emplace_back("", "bound by the same rule");
        } else if (check) {
            facts.emplace_back("", "bound by " + check_rule_text(model, *check));
            if (check->row && check->row->source != kNone) {
                facts.emplace_back("", "source, " + plain(source_words(model, check->row->source)));
            }
        }
        const Check* next = judgement.check(ceiling.runner_up);
        if (!careful && next) {
            std::string text = "next: " + check_rule_text(model, *next);
            if (ceiling.runner_up_ww > 0 && std::isfinite(ceiling.runner_up_ww)) {
                text += ", from " + percent_text(ceiling.runner_up_ww) + " % w/w";
            }
            facts.emplace_back("", text);
        }
    };
    add("Safe ceiling", judgement.ceiling, false);
    add("Careful ceiling", judgement.careful, true);
    add_usual(facts, document, id);
    page.facts(std::move(facts));
}

void add_checks(Page& page, const Model& model, const Judgement& judgement) {
    if (judgement.checks.empty()) {
        page.paragraph("No limit of this library applies to what is in it.");
        return;
    }
    Table table;
    table.columns = {{"tightest checks", Align::left, true}, {"comes to", Align::right, false},
                     {"limit", Align::right, false},         {"used", Align::right, false},
                     {"rule set", Align::left, true},        {"standing", Align::left, false}};
    std::size_t shown = 0;
    double rest = 0;
    std::set<std::string> standings;
    for (const Check& check : judgement.checks) {
        const bool must = check.verdict != Verdict::passes;
        if (shown >= kChecksShown && !must) {
            if (std::isfinite(check.used)) rest = std::max(rest, check.used);
            continue;
        }
        ++shown;
        const std::string limit = limit_text(check);
        std::string actual =
            percent_apart(check.actual, check.limit, limit.substr(0, limit.find(' '))) + " %";
        std::string used =
            limit == "none" || limit == "diluted" ? "-" : used_text(check.used) + " %";
        // Where only the top of the range is over, the typical figure alone would look harmless.
        if (check.verdict == Verdict::warns && check.used <= 1 + kLimitTolerance) {
            used = used_text(check.used) + " to " + used_text(check.used_at_maximum) + " %";
        }
        const std::string standing = standing_of(model, check);
        standings.insert(standing);
        table.line({subject_text(model, check), actual, limit, used, rules_word(model, check.from),
                    standing});
    }
    const std::size_t hidden = judgement.checks.size() - shown;
    page.table(std::move(table));
    if (hidden > 0) {
        const std::string most = used_text(rest);
        page.paragraph("And " + std::to_string(hidden) + " more, " +
                       (hidden == 1 ? "using " : "each using ") +
                       (most.find("under") == 0 ? most : "at most " + most) + " % of its limit.");
    }
    std::vector<std::string> meanings;
    if (standings.count("recalled"))
        meanings.emplace_back("recalled: from memory of a named document, not read");
    if (standings.count("derived")) meanings.emplace_back("derived: worked out, not published");
    if (standings.count("estimate")) meanings.emplace_back("estimate: our own guess");
    if (standings.count("disputed")) meanings.emplace_back("disputed: sources disagree");
    if (standings.count("vague")) meanings.emplace_back("vague: from memory of data sheets");
    if (!meanings.empty()) page.items(std::move(meanings));
}

/// Which composition decided, where that is not the typical one or a pass at the top of every range.
void add_decided(Page& page, const Model& model, const Judgement& judgement) {
    std::vector<std::string> at_top, settled, brought, analysed;
    for (const Check& check : judgement.checks) {
        const std::string subject = subject_text(model, check);
        if (fails_at_top(check) && std::find(at_top.begin(), at_top.end(), subject) == at_top.end()) at_top.push_back(subject);
        if (check.decided_by != DecidedBy::lot) continue;
        const bool better = check.verdict == Verdict::passes && check.without_lots != Verdict::passes;
        const bool worse = check.verdict != Verdict::passes && check.without_lots == Verdict::passes;
        auto& list = better ? settled : worse ? brought : analysed;
        if (std::find(list.begin(), list.end(), subject) == list.end()) list.push_back(subject);  // of several limits once
    }
    std::vector<std::string> items;
    const auto add = [&](const char* what, const std::vector<std::string>& subjects) {
        if (!subjects.empty()) items.push_back(what + list_text(subjects));
    };
    add("fails at the top of the range, a lot's analysis would settle it: ", at_top);
    add("passes by a lot's analysis, and would not by the oils' own compositions: ", settled);
    add("over by a lot's analysis, and would pass by the oils' own compositions: ", brought);
    add("by a lot's analysis: ", analysed);
    page.items(std::move(items));
    if (judgement.sum_replaced_by < model.substances.size()) {
        page.paragraph("The lots' certificates state " + substance_title(model, judgement.sum_replaced_by) +
                       " for every oil here that burns skin in sun: its total is the test, in place of the sum of the oils' shares of "
                       "their own limits.");
    }
}

void add_phototoxic(Page& page, const Model& model, const Judgement& judgement) {
    for (const Check& check : judgement.checks) {
        if (check.kind != CheckKind::phototoxic || check.parts.empty()) continue;
        Table table;
        table.columns = {{"on skin that sees the sun", Align::left, true},
                         {"comes to", Align::right, false},
                         {"limit alone", Align::right, false},
                         {"uses", Align::right, false},
                         {"rule set", Align::left, true}};
        std::vector<double> uses;
        for (const PhototoxicPart& part : check.parts)
            uses.push_back(part.limit > 0 ? part.fraction / part.limit * 100 : 0);
        const std::vector<std::int64_t> tenths = round_lines(uses, 0.1);
        std::int64_t sum = 0;
        for (std::size_t i = 0; i < check.parts.size(); ++i) {
            const PhototoxicPart& part = check.parts[i];
            const std::string limit = part.row && !part.row->max_text.empty()
                                          ? plain(part.row->max_text)
                                          : percent_text(part.limit);
            std::string used = "?";
            if (i < tenths.size()) {
                used = format_fixed(static_cast<double>(tenths[i]) / 10, 1);
                sum += tenths[i];
            }
            table.line({title_of(model, part.material), percent_text(part.fraction) + " %",
                        limit + " %", used + " %", rules_word(model, part.from)});
        }
        // The lines add up to their total, but 100 is printed only for what is 100.
        std::string total = format_fixed(static_cast<double>(sum) / 10, 1);
        if (tenths.size() != check.parts.size() || total == "100.0") total = used_text(check.used);
        table.total({"Together", "", "", total + " %", "at most 100 %"});
        page.table(std::move(table));
    }
}

void add_unknowns(Page& page, const Model& model, const Judgement& judgement) {
    Table table;
    table.columns = {{"composition", Align::left, true},
                     {"of the blend", Align::right, false},
                     {"not known", Align::right, false}};
    double unknown = 0;
    for (const Unknown& u : judgement.unknowns) {
        if (!(u.unknown_fraction > 0)) continue;
        unknown += u.unknown_fraction * u.share_of_blend;
        const bool nothing = u.unknown_fraction >= 1 - 1e-9;
        table.line({title_of(model, u.material), format_fixed(u.share_of_blend * 100, 1) + " %",
                    nothing ? "all of it"
                            : format_fixed(u.unknown_fraction * 100, 0, Rounding::up) + " %"});
    }
    if (!table.rows.empty()) {
        page.paragraph("Not known here: " + format_fixed(unknown * 100, 0, Rounding::up) +
                           " % of what is in the blend. Unknown is not the same as harmless; ask "
                           "the supplier for an "
                           "analysis.",
                       Tone::warning);
        page.table(std::move(table));
    }
    if (judgement.unstated.empty()) return;
    Table limits;
    limits.columns = {{"limited", Align::left, true},
                      {"rules", Align::left, true},
                      {"typical", Align::right, false},
                      {"at most", Align::right, false}};
    for (const UnstatedLimit& limit : judgement.unstated) {
        limits.line({limit.from->substance != kNone ? substance_title(model, limit.from->substance)
                                                              : title_of(model, limit.from->material),
                               rules_title(model, limit.from), percent_text(limit.actual) + " %",
                     percent_text(limit.actual_at_maximum) + " %"});
    }
    page.paragraph("Limits exist on these, but their figures are not known here. Look them up in the rules before this is sold:",
                   Tone::warning);
    page.table(std::move(limits));
}

void add_rule_sets(Page& page, const Document& document, const Judgement& judgement) {
    const Model& model = *document.model;
    std::set<RuleSetId> used;
    auto note = [&](const Limit* limit) {
        if (limit && limit->rules < model.rule_sets.size()) used.insert(limit->rules);
    };
    for (const Check& check : judgement.checks) {
        note(check.from);
        for (const PhototoxicPart& part : check.parts) note(part.from);
    }
    for (const UnstatedLimit& unstated : judgement.unstated) note(unstated.from);
    std::vector<std::string> with, also, without;
    for (RuleSetId id = 0; id < model.rule_sets.size(); ++id) {
        // Lists of allergens have a part of their own on the page.
        if (used.count(id) == 0 && document.allergens && document.allergens->is_list(id)) continue;
        const RuleSet& rules = model.rule_sets[id];
        const std::string name = plain(rules.header.name);
        if (used.count(id)) {
            with.push_back(
                name + ": " + plain(rules.header.title) +
                (rules.dated.empty() ? ", date not known here" : ", " + plain(rules.dated)));
        } else {
            (rules_hold(model, id) ? also : without).push_back(name);
        }
    }
    if (!with.empty()) {
        page.paragraph("Rule sets compared with:");
        page.items(std::move(with));
    }
    if (!also.empty())
        page.paragraph("Looked into as well, with nothing that holds for this product: " +
                       list_text(also) + ".");
    if (without.empty()) return;
    const bool chosen = !model.workshop.rules.empty();
    page.paragraph("Not compared with, since the workshop " +
                       (chosen ? std::string("names other rules")
                               : "sells in " + plain(model.workshop.market)) +
                       ": " + list_text(without) + ".",
                   chosen ? Tone::warning : Tone::plain);
}

/// A blend's sheet carries what holds at the bench, a product's what holds for its contact with
/// skin.
bool carries(const Caution& caution, const Model& model, const Product* product) {
    if (!product) return caution.bench;
    if (product->format >= model.formats.size()) return caution.leave_on;
    switch (model.formats[product->format].contact) {
        case Contact::none: return caution.no_skin;
        case Contact::rinse_off: return caution.rinse_off;
        case Contact::leave_on: return caution.leave_on;
    }
    return true;
}

}  // namespace

void add_alarm(Page& page, const Document& document, ProductId id) {
    const Judgement& judgement = (*document.judgements)[id];
    const Formula& formula = (*document.formulas)[id];
    if (formula.complete && judgement.verdict == Verdict::passes) return;
    VerdictText verdict = verdict_text(document, id);
    page.paragraph(std::move(verdict.text) + " See SAFETY below.", verdict.tone);
}

void add_safety(Page& page, const Document& document, ProductId id) {
    const Model& model = *document.model;
    const Formula& formula = (*document.formulas)[id];
    const Judgement& judgement = (*document.judgements)[id];

    page.heading("Safety");
    VerdictText verdict = verdict_text(document, id);
    page.paragraph(std::move(verdict.text), verdict.tone);
    if (formula.complete) {
        add_accepted(page, model, judgement, !document.on.empty());
        add_assessed(page, document, id);
        add_ceilings(page, document, id);
        add_checks(page, model, judgement);
        add_decided(page, model, judgement);
        add_phototoxic(page, model, judgement);
    }
    add_unknowns(page, model, judgement);
    if (formula.complete) add_rule_sets(page, document, judgement);
}

void add_assumptions(Page& page, const std::vector<Assumption>& assumptions) {
    if (assumptions.empty()) return;
    page.heading("Taken as given");
    // What rests on one source stands together, so that the list stays short.
    std::vector<std::pair<std::string, std::string>> by_source;
    for (const Assumption& a : assumptions) {
        auto same = [&](const auto& entry) { return entry.first == a.source; };
        const auto at = std::find_if(by_source.begin(), by_source.end(), same);
        if (at == by_source.end()) {
            by_source.emplace_back(a.source, a.what);
        } else {
            at->second += "; " + a.what;
        }
    }
    std::vector<std::string> items;
    for (const auto& [source, what] : by_source)
        items.push_back(plain(what) + " (" + plain(source) + ")");
    page.items(std::move(items));
}

void add_cautions(Page& page, const Document& document, const Product* product, ProductId id) {
    const Model& model = *document.model;
    page.heading("Cautions");
    if (product) add_personal_cautions(page, document, id);
    std::vector<std::string> items;
    if (product) {
        for (const std::string& warning : product->warnings) items.push_back(plain(warning));
        if (product->format < model.formats.size()) {
            for (const std::string& warning : model.formats[product->format].warnings)
                items.push_back(plain(warning));
        }
    }
    for (const Caution& caution : model.cautions) {
        if (caution.usual() && carries(caution, model, product)) {
            items.push_back(plain(caution.text.empty() ? caution.header.title : caution.text));
        }
    }
    page.items(std::move(items));
    page.paragraph(
        "This sheet supports and does not replace a qualified safety assessor, the local rules and "
        "the "
        "supplier's own documents. It approves nothing.");
}

}  // namespace scruple::emit
