#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "advice/render.h"
#include "advice/variation.h"
#include "emit/page.h"
#include "emit/rule_words.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple {

using namespace emit;

namespace {

constexpr std::size_t kSentences = 3;

std::string ceiling_cell(const Ceiling& c) {
    switch (c.state) {
        case Ceiling::State::bound: return c.text + " %";
        case Ceiling::State::none_applies: return "no limit";
        case Ceiling::State::over_without_blend: return "none";
        case Ceiling::State::not_known: return "not known";
    }
    return "not known";
}

std::string ceiling_words(const Ceiling& c) {
    switch (c.state) {
        case Ceiling::State::bound: return "at most " + c.text + " %, " + basis_text(c.basis, c.of);
        case Ceiling::State::none_applies: return "no limit known here binds it";
        case Ceiling::State::over_without_blend: return "none: it is over a limit however little of the blend goes in";
        case Ceiling::State::not_known: return "not known";
    }
    return "not known";
}

/// "Eugenol: 0.625 % at the top of the range, at most 0.5 % (…)".
std::string broken_text(const Model& model, const Check& check) {
    if (check.kind == CheckKind::undiluted || check.kind == CheckKind::harm || check.kind == CheckKind::phototoxic) {
        return check_rule_text(model, check) +
               (check.kind == CheckKind::undiluted ? "" : ": used to " + used_text(check.used_at_maximum) + " %");
    }
    const bool top = check.decided_by == DecidedBy::maximum;
    const double actual = top ? check.actual_at_maximum : check.actual;
    const std::string limit = limit_text(check);
    return check_rule_text(model, check) + ": comes to " + percent_apart(actual, check.limit, limit.substr(0, limit.find(' '))) + " %" +
           (top ? " at the top of the range" : "") + (check.soft ? "; a figure that was worked out" : "");
}

class Pages {
public:
    Pages(const Advice& advice, const SheetOptions& options)
        : advice_(advice), model_(advice.compilation->model), blend_(model_.blends[advice.blend]), options_(options) {}

    std::string run() {
        page_.title = plain(blend_.header.title);
        page_.id = blend_.header.name;
        page_.paragraph("Advice, by the limits that this library knows. None of it is applied, and none of it is an approval.");
        if (!advice_.formats.empty()) add_formats();
        for (const auto& a : advice_.products) add_product(a);
        if (advice_.products_left > 0) {
            page_.paragraph(fmt::format("And {} more of it; `scruple advise NAME` takes the name of one.",
                                        count_text(static_cast<std::int64_t>(advice_.products_left), "product", "products")));
        }
        add_packs();
        add_swaps();
        std::string out = page_text(page_, options_);
        if (!pastes_.empty()) {
            out += options_.color ? "\n\x1b[1mTO PASTE\x1b[0m\n" : "\nTO PASTE\n";
            for (const auto& [why, text] : pastes_) {
                for (const auto& line : wrapped(why)) out += "  " + line + "\n";
                out += "\n" + text + "\n";
            }
            out.pop_back();
        }
        return out;
    }

private:
    std::vector<std::string> wrapped(const std::string& text) const {
        std::vector<std::string> lines(1);
        for (std::size_t at = 0; at < text.size();) {
            const std::size_t end = std::min(text.find(' ', at), text.size());
            const std::string word = text.substr(at, end - at);
            if (!lines.back().empty() && lines.back().size() + 1 + word.size() + 2 > options_.width) lines.emplace_back();
            lines.back() += (lines.back().empty() ? "" : " ") + word;
            at = end + 1;
        }
        return lines;
    }

    /// Formats in which the same figures hold stand in one line.
    struct FormatLine {
        std::string names;
        std::vector<std::string> cells;
    };

    void add_formats() {
        page_.heading("The most of it, by format");
        Table table;
        table.columns = {{"", Align::left, true}, {"at most", Align::right, false}, {"careful", Align::right, false},
                         {"careful is bound by", Align::left, true}};
        std::vector<std::string> unknown, without_amounts;
        bool of_else = false;
        for (const Contact contact : {Contact::leave_on, Contact::rinse_off, Contact::none}) {
            std::vector<FormatLine> lines;
            for (const auto& f : advice_.formats) {
                const Format& format = model_.formats[f.format];
                if (format.contact != contact) continue;
                const std::string name(format.header.name);
                if (!advice_.compilation->formulas[f.product].complete) {
                    without_amounts.push_back(name);
                    continue;
                }
                auto line = format_line(f, unknown, of_else);
                const auto same = std::find_if(lines.begin(), lines.end(), [&](const FormatLine& l) { return l.cells == line.cells; });
                if (same != lines.end()) {
                    same->names += ", " + name;
                } else {
                    lines.push_back(std::move(line));
                }
            }
            if (!lines.empty()) table.heading(std::string(contact_text(contact)));
            for (auto& l : lines) {
                l.cells.insert(l.cells.begin(), l.names);
                table.line(std::move(l.cells));
            }
        }
        if (!table.rows.empty()) page_.table(std::move(table));
        page_.paragraph(std::string("At most: no published limit known here is broken, at typical composition. Careful: nothing warns "
                                    "either, at the tops of all ranges and by figures that were worked out. By weight of the whole") +
                        (of_else ? ", unless another base is named" : "") + ", in each format's usual base.");
        if (!unknown.empty()) {
            page_.paragraph("?: not all is known there, so the figure keeps within what is known and no further. Not known: " +
                                list_text(unknown) + ".",
                            Tone::warning);
        }
        if (!without_amounts.empty()) {
            page_.paragraph("Not worked out, since no usual base is known or something in it has no density: " +
                            list_text(without_amounts) + ". A product says what it goes into.");
        }
    }

    FormatLine format_line(const FormatAdvice& f, std::vector<std::string>& unknown, bool& of_else) const {
        const Judgement& j = advice_.compilation->judgements[f.product];
        const auto open = not_known(model_, j);
        for (const auto& what : open) {
            if (std::find(unknown.begin(), unknown.end(), what) == unknown.end()) unknown.push_back(what);
        }
        const std::string mark = open.empty() ? "" : "?";
        std::string of = basis_code(j.ceiling.basis, j.ceiling.of);
        if (j.ceiling.state != Ceiling::State::bound || (j.ceiling.basis == Basis::ww && j.ceiling.of == Of::total)) of.clear();
        of_else = of_else || !of.empty();
        if (!of.empty()) of = " " + of;
        const Check* check = j.check(j.careful.bound_by);
        FormatLine line;
        line.names = model_.formats[f.format].header.name;
        line.cells = {ceiling_cell(j.ceiling) + of + mark, ceiling_cell(j.careful) + mark,
                      check ? subject_text(model_, *check) + ", " + limit_text(*check) : ""};
        return line;
    }

    std::string name_of(const ProductAdvice& a) const {
        return a.product ? plain(a.product->header.title) : plain(model_.formats[a.task.product.format].header.title);
    }

    void add_product(const ProductAdvice& a) {
        const Format& format = model_.formats[a.task.product.format];
        page_.heading(a.product ? name_of(a) : "As " + plain(format.header.title));
        const Judgement& j = a.now.judgement;
        std::vector<std::pair<std::string, std::string>> facts;
        if (a.product) facts.emplace_back("Product", a.product->header.name);
        std::string load = load_text(a.task.product.load) + " in " + std::string(format.header.name);
        if (a.now.formula.complete && (a.task.product.load.kind != LoadKind::percent || a.task.product.load.basis != Basis::ww ||
                                       a.task.product.load.of != Of::total)) {
            load += "; now " + emit::percent_text(a.now.formula.load_ww) + " % by weight of the whole";
        }
        facts.emplace_back("Wanted", load + (a.asked_load ? ", as asked for" : a.task.product.load.from_format ? ", the usual load" : ""));
        if (a.now.formula.complete) {
            facts.emplace_back("Ceiling", ceiling_words(j.ceiling));
            if (const Check* c = j.check(j.ceiling.bound_by)) facts.emplace_back("", "bound by " + check_rule_text(model_, *c));
            facts.emplace_back("Careful", ceiling_words(j.careful));
            if (const Check* c = j.check(j.careful.bound_by)) {
                facts.emplace_back("", j.careful.bound_by == j.ceiling.bound_by ? "bound by the same rule" : "bound by " + check_rule_text(model_, *c));
            }
        }
        page_.facts(std::move(facts));
        if (a.waived) {
            page_.paragraph("It accepts a limit's being exceeded; advice does not. A product of what is suggested here has nothing "
                            "to accept.");
        }
        if (a.task.typical) {
            page_.paragraph("Asked for typical compositions and published limits only: what a bottle may hold more, and what was "
                            "worked out, is left as a warning.");
        }
        add_broken(a);
        switch (a.rows.state) {
            case ShareRows::State::too_many:
                page_.paragraph(fmt::format("It has more than {} oils: no ratio is looked for.", kMostAdvisedOils), Tone::warning);
                return;
            case ShareRows::State::undiluted:
                page_.paragraph("Nothing but the blend on skin: no ratio mends that. Put it into a carrier.", Tone::bad);
                return;
            case ShareRows::State::not_known:
                page_.paragraph("NOT KNOWN: the amounts of this cannot be worked out at that load, so no ratio can be looked for. "
                                "`scruple check` says what is missing.", Tone::warning);
                return;
            case ShareRows::State::linear: break;
        }
        switch (a.nearest.state) {
            case Nearest::State::there: add_there(a); break;
            case Nearest::State::impossible: a.parts.found ? add_nearest(a) : add_impossible(a); break;
            case Nearest::State::found: add_nearest(a); break;
        }
    }

    void add_broken(const ProductAdvice& a) {
        std::vector<std::string> items;
        for (const Check& c : a.now.judgement.checks) {
            if (c.verdict == Verdict::fails || c.verdict == Verdict::warns) items.push_back(broken_text(model_, c));
        }
        if (a.now.people.over) {
            items.push_back("Usual for " + (a.now.people.usual.audience == kNone ? a.now.people.usual.guide->header.title
                                                                                 : audiences_text(model_, {a.now.people.usual.audience})) +
                            ", at most " + exact_percent(a.now.people.usual.row->high) + " %: comes to " +
                            share_apart(a.now.people.strength, a.now.people.usual.row->high.to_double()) + " %");
        }
        for (const auto& c : a.now.people.cautions) {
            if (!c.meant || !c.caution->avoid) continue;
            std::vector<std::string> names;
            for (const MaterialId m : c.materials) names.push_back(title_of(model_, m));
            items.push_back("Not for them (" + list_text(names) + "): " + plain(c.caution->text));
        }
        if (items.empty()) return;
        page_.paragraph("At that load, as the blend is:", Tone::bad);
        page_.items(std::move(items));
    }

    void add_open(const Judgement& judgement) {
        const auto open = not_known(model_, judgement);
        if (open.empty()) return;
        page_.paragraph("NOT KNOWN, and no ratio tells: " + list_text(open) + ". What is not known is not safe.", Tone::warning);
    }

    void add_there(const ProductAdvice& a) {
        page_.paragraph("There is nothing to mend that is known here: at that load nothing " +
                        std::string(a.task.typical ? "breaks a published limit" : "breaks a limit or warns") + ". That is no approval.");
        add_open(a.now.judgement);
    }

    void add_impossible(const ProductAdvice& a) {
        std::vector<std::string> items;
        std::vector<const Guide*> said;
        const auto& rows = a.rows;
        const auto strictest = [&](const ShareRow& row) {  // of the sources of one guide
            return std::all_of(rows.rows.begin(), rows.rows.end(), [&](const ShareRow& other) {
                return other.guide != row.guide || other.guide_row->high >= row.guide_row->high;
            });
        };
        if (rows.base_banned) items.emplace_back("what it goes into holds something that may not be there at all");
        for (std::size_t r = 0; r < rows.rows.size() && !rows.base_banned; ++r) {
            double least = 0;
            std::size_t mildest = rows.now.size();
            for (std::size_t i = 0; i < rows.now.size(); ++i) {
                const double use = rows.rows[r].use[i] / rows.thin[i];
                if (rows.banned[i] || (mildest < rows.now.size() && use >= least)) continue;
                least = use;
                mildest = i;
            }
            if (mildest == rows.now.size() || least <= 1 + kLimitTolerance) continue;
            if (const Guide* guide = rows.rows[r].guide) {
                if (!strictest(rows.rows[r]) || std::find(said.begin(), said.end(), guide) != said.end()) continue;
                said.push_back(guide);
            }
            std::vector<double> alone(rows.now.size(), 0);
            alone[mildest] = 1;
            items.push_back(rule(rows, r, alone) + ": even " + title_of(model_, a.now.blend.lines[mildest].material) +
                            " alone, the mildest of these in that, uses " + used_text(least) + " % of it");
        }
        if (std::all_of(rows.banned.begin(), rows.banned.end(), [](char b) { return b != 0; })) {
            items.emplace_back("each of its oils holds something that may not be there at all");
        }
        page_.paragraph("No ratio of these oils keeps within what is known at that load" +
                            std::string(items.empty() ? ": what one oil spares, the others use up." : ":"),
                        Tone::bad);
        page_.items(std::move(items));
        if (a.most.found && a.most_trial.formula.complete) {
            const Judgement& j = a.most_trial.judgement;
            const PeopleJudgement& people = a.most_trial.people;
            const Ceiling* of = a.task.typical ? &j.ceiling : &j.careful;
            if (!a.task.typical && people.named && people.guided && people.ceiling.state == Ceiling::State::bound &&
                (of->state != Ceiling::State::bound || people.ceiling.load_ww < of->load_ww)) {
                of = &people.ceiling;
            }
            const Ceiling& c = *of;
            std::vector<std::string> parts;
            for (std::size_t i = 0; i < a.most.shares.size(); ++i) {
                if (a.most.shares[i] > kSameShare) {
                    parts.push_back(emit::percent_text(a.most.shares[i]) + " % " + title_of(model_, a.now.blend.lines[i].material));
                }
            }
            page_.paragraph("The most that any ratio of these oils takes is " +
                            (c.state == Ceiling::State::bound ? c.text + " %, " + basis_text(c.basis, c.of)
                                                              : format_significant(a.most.load_ww * 100, 3, Rounding::down) +
                                                                    " % by weight of the whole") +
                            ": that of " + list_text(parts) + " by weight. Lower the load, or take other oils.");
        } else if (!a.most.found) {
            page_.paragraph("No load of them does either.");
        }
        add_open(a.now.judgement);
    }

    std::string rule(const ShareRows& rows, std::size_t row, const std::vector<double>& shares) const {
        if (const Guide* guide = rows.rows[row].guide) return "usual for " + plain(guide->header.title) + ", at most " +
                                                                     exact_percent(rows.rows[row].guide_row->high) + " %";
        return check_rule_text(model_, row_as_check(rows, row, shares));
    }

    void add_nearest(const ProductAdvice& a) {
        const WholeParts& best = a.parts.found ? a.parts : a.all_kept;
        page_.paragraph("Nearest ratio of the same oils that " +
                        std::string(a.task.typical ? "breaks no published limit known here" : "breaks no limit known here, and where nothing warns") +
                        ", at that load:");
        add_changes(a, best);
        std::vector<std::pair<std::string, std::string>> facts;
        const auto moved = [&](double d) { return emit::percent_text(d) + " %"; };
        const bool exact = a.nearest.state == Nearest::State::found;
        if (!exact) facts.emplace_back("Without steps", "none at the load as it is now; another ratio comes to fewer drops");
        if (exact) facts.emplace_back("Without steps", "shares by weight change by " + moved(a.nearest.distance) + " in all, of " +
                                                count_text(a.nearest.changed, "oil", "oils") +
                                                (a.nearest.fewest ? "" : "; fewer oils might do, so many were not tried"));
        const auto tight = exact ? tightest_row(a.rows, a.nearest.shares) : std::nullopt;
        if (tight) {
            facts.emplace_back("", "then bound by " + rule(a.rows, *tight, a.nearest.shares));
        }
        if (best.found) {
            facts.emplace_back("In parts", count_text(best.total, "part", "parts") + ", and they change by " + moved(best.distance) +
                                               " in all" + (best.all_tried ? "; no other ratio of up to " + std::to_string(kAllParts) +
                                                                                 " parts is nearer"
                                                                           : "; of the ratios around it the nearest, not all were tried"));
        }
        page_.facts(std::move(facts));
        if (!best.found) {
            page_.paragraph(fmt::format("No ratio of up to {} whole parts comes near enough to it.", kMostParts), Tone::warning);
            return;
        }
        for (std::size_t i = 0; i < best.parts.size(); ++i) {
            if (best.parts[i] > 0) continue;
            page_.paragraph(title_of(model_, a.now.blend.lines[i].material) +
                                (!exact || a.nearest.shares[i] > kSameShare ? " falls out for want of so small a part." : " goes: the nearest ratio has none of it."),
                            Tone::warning);
        }
        add_left(best);
        const std::string where = "For " + load_text(a.task.product.load) + " in " + std::string(model_.formats[a.task.product.format].header.name);
        if (!a.variation.empty()) pastes_.emplace_back(where + ":", a.variation);
        if (a.all_kept.found && a.parts.found) {
            page_.paragraph(fmt::format("With every oil that may stay, in {}; shares change by {} in all:",
                                        count_text(a.all_kept.total, "part", "parts"), moved(a.all_kept.distance)));
            add_changes(a, a.all_kept);
        }
        if (!a.variation_all_kept.empty()) pastes_.emplace_back(where + ", with every oil that may stay:", a.variation_all_kept);
    }

    void add_changes(const ProductAdvice& a, const WholeParts& parts) {
        Table table;
        table.columns = {{"", Align::left, true}, {"now", Align::right, false}, {"then", Align::right, false},
                         {"% w/w now", Align::right, false}, {"no steps", Align::right, false}, {"in parts", Align::right, false},
                         {"change", Align::right, false}};
        for (std::size_t i = 0; i < a.rows.now.size(); ++i) {
            const bool steps = a.nearest.state == Nearest::State::found;
            const double now = a.rows.now[i], exact = steps ? a.nearest.shares[i] : now;
            const bool has = parts.found;
            const double then = has ? parts.shares[i] : exact;
            table.line({title_of(model_, a.now.blend.lines[i].material), parts_text(a.task.blend, a.task.blend.lines[i].amount),
                        has ? parts.parts[i] == 0 ? "out" : std::to_string(parts.parts[i]) : "-", share_apart(now, then), steps ? share_apart(exact, now) : "-",
                        has ? share_apart(then, now) : "-", change_text(then - now)});
        }
        page_.table(std::move(table));
    }

    static std::string change_text(double change) {
        if (std::fabs(change) <= kSameShare) return "0";
        return (change > 0 ? "+" : "-") + share_apart(std::fabs(change), 0);
    }

    /// What the suggestion leaves: warnings that were allowed, and what is not known.
    void add_left(const WholeParts& parts) {
        std::vector<std::string> items;
        for (const Check& c : parts.trial.judgement.checks) {
            if (c.verdict == Verdict::warns) items.push_back(broken_text(model_, c));
        }
        if (!items.empty()) {
            page_.paragraph("Warnings that remain:", Tone::warning);
            page_.items(std::move(items));
        }
        add_open(parts.trial.judgement);
    }

    void add_packs() {
        if (advice_.packs.empty()) return;
        page_.heading("Fewer parts");
        Table table;
        table.columns = {{"parts", Align::right, false}, {"ratio", Align::left, true}, {"an oil's share is off by", Align::right, false}};
        const auto& own = advice_.compilation->blends[advice_.blend].whole_ratio;
        if (!own.empty()) {
            table.line({std::to_string(std::accumulate(own.begin(), own.end(), std::int64_t{0})), ratio_text(own), "-"});
        }
        for (const auto& pack : advice_.packs) {
            const double worst = std::ceil(pack.worst * 1000 - 1e-9) / 1000;
            table.line({std::to_string(pack.total), ratio_text(pack.parts), "up to " + format_fixed(worst * 100, 1) + " % of it"});
        }
        page_.table(std::move(table));
        page_.paragraph("In the order of the blend. Each is another ratio: its ceilings and its fingerprint are its own.");
    }

    /// To the cent, or with as many digits as it takes to be more than nothing.
    static std::string money_apart(double money) {
        for (int decimals = 2; decimals < 9; ++decimals) {
            auto text = format_fixed(money, decimals);
            if (text.find_first_of("123456789") != std::string::npos) return text;
        }
        return format_fixed(money, 2);
    }

    static std::string points(double change) { return (change < 0 ? "-" : "+") + format_fixed(std::fabs(change) * 100, 1); }

    void add_swaps() {
        page_.heading("Cheaper, and much alike");
        if (advice_.swaps.empty()) {
            page_.paragraph("No cheaper oil known here keeps the character of one of these: much the same constituents, or the same "
                            "odour family and note, and a strength no more than two steps away.");
            return;
        }
        bool priced = true;
        for (const auto& s : advice_.swaps) {
            priced = priced && s.saving.has_value();
            page_.paragraph(title_of(model_, s.in) + " for " + title_of(model_, s.out) + ", at the same amount:");
            page_.items(swap_items(s));
            pastes_.emplace_back(title_of(model_, s.in) + " for " + title_of(model_, s.out) + ":", s.variation);
        }
        if (!priced) {
            page_.paragraph("Where no saving stands it is not known, for want of prices; the tier is the library's, 1 cheap to 5 very "
                            "dear, and invented examples.");
        }
        page_.paragraph("What is alike is a rule of thumb of ours, no source: the nose decides.");
    }

    std::vector<std::string> swap_items(const Swap& s) const {
        std::vector<std::string> items;
        if (s.saving) {
            items.push_back(fmt::format("saves {} {} of {} on 100 g of blend, by your price lists{}", money_apart(*s.saving), advice_.currency,
                                        money_apart(s.cost_before), s.stale ? "; one of the prices is old" : ""));
        }
        if (!s.saving && s.tier_in > 0 && s.tier_out > 0) items.push_back(fmt::format("price tier {} instead of {}", s.tier_in, s.tier_out));
        items.push_back(fmt::format("{} % of both is the same constituents{}; strength {} and {}", format_fixed(s.alike.shared * 100, 0, Rounding::down),
                                    s.alike.same_odour ? ", the odour family is the same" : ", of another odour family",
                                    *model_.materials[s.out].impact, *model_.materials[s.in].impact));
        std::string balance = fmt::format("parts by note: top {}, middle {}, base {} points", points(s.top), points(s.middle), points(s.base));
        if (s.odour_before && s.odour_after) {
            balance += fmt::format("; of the odour {} % instead of {} %", share_apart(*s.odour_after, *s.odour_before),
                                   share_apart(*s.odour_before, *s.odour_after));
        }
        items.push_back(std::move(balance));
        const auto name = std::string(model_.formats[advised_format()].header.name);
        items.push_back("in " + name + ": " + ceilings(s.before, s.after));
        if (s.after.formula.complete && !advice_.products.empty() && !s.after.within(advice_.products.front().task)) items.emplace_back("over a limit at the wanted load, as the blend is");
        const auto list = [&](const char* what, const std::vector<std::string>& names) {
            std::vector<std::string> clean;
            for (const auto& n : names) clean.push_back(plain(n));
            if (!clean.empty()) items.push_back(std::string(what) + list_text(clean));
        };
        const auto sentences = [&](const char* what, const std::vector<std::string>& texts) {
            std::string all = what;
            for (std::size_t i = 0; i < texts.size() && i < kSentences; ++i) all += (i ? " " : "") + plain(texts[i]);
            if (texts.size() > kSentences) all += fmt::format(" And {} more.", texts.size() - kSentences);
            if (!texts.empty()) items.push_back(std::move(all));
        };
        list("to name on the label beside: ", s.allergens_gained);
        list("no longer to name on the label: ", s.allergens_lost);
        sentences("cautions that come with it: ", s.cautions_gained);
        sentences("cautions known of the old one and not of the new, which is no proof: ", s.cautions_lost);
        const auto open = not_known(model_, s.after.judgement), before = not_known(model_, s.before.judgement);
        std::vector<std::string> fresh;
        for (const auto& x : open) {
            if (std::find(before.begin(), before.end(), x) == before.end()) fresh.push_back(x);
        }
        list("then NOT KNOWN: ", fresh);
        return items;
    }

    FormatId advised_format() const {
        return advice_.products.empty() ? advice_.formats.front().format : advice_.products.front().task.product.format;
    }

    static std::string ceilings(const Trial& before, const Trial& after) {
        const auto pair = [](const Ceiling& a, const Ceiling& b) {
            const auto x = ceiling_cell(a), y = ceiling_cell(b);
            return x == y ? y + " as before" : y + " instead of " + x;
        };
        return "at most " + pair(before.judgement.ceiling, after.judgement.ceiling) + "; careful " +
               pair(before.judgement.careful, after.judgement.careful);
    }

    const Advice& advice_;
    const Model& model_;
    const Blend& blend_;
    const SheetOptions& options_;
    Page page_;
    std::vector<std::pair<std::string, std::string>> pastes_;
};

}  // namespace

std::vector<std::string> not_known(const Model& model, const Judgement& judgement) {
    std::vector<std::string> out;
    for (const auto& u : judgement.unstated) {
        std::string text = "the limit on " + (u.from->substance != kNone ? substance_title(model, u.from->substance)
                                                                         : title_of(model, u.from->material));
        if (std::find(out.begin(), out.end(), text) == out.end()) out.push_back(std::move(text));
    }
    for (const auto& u : judgement.unknowns) {
        if (!u.leaves_open) continue;
        const bool all = u.unknown_fraction >= 1 - 1e-9;
        out.push_back((all ? std::string() : format_fixed(u.unknown_fraction * 100, 0, Rounding::up) + " % of ") + "the composition of " +
                      title_of(model, u.material));
    }
    return out;
}

Check row_as_check(const ShareRows& rows, std::size_t row, const std::vector<double>& shares) {
    const ShareRow& r = rows.rows[row];
    Check check;
    check.kind = r.kind;
    check.substance = r.substance;
    check.material = r.material;
    check.from = r.from;
    check.row = r.row;
    check.limit = r.row ? r.row->max_fraction : 1;
    check.used = check.used_at_maximum = use_of(rows, row, shares);
    return check;
}

std::optional<std::size_t> tightest_row(const ShareRows& rows, const std::vector<double>& shares) {
    std::optional<std::size_t> out;
    double most = -1;
    for (std::size_t r = 0; r < rows.rows.size(); ++r) {
        const double use = use_of(rows, r, shares);
        if (use > most + 1e-9) {
            most = use;
            out = r;
        }
    }
    return out;
}

std::string share_apart(double share, double other) {
    if (std::fabs(share - other) <= kSameShare) return emit::percent_text(share);
    for (int decimals = 2; decimals < 10; ++decimals) {
        auto text = format_fixed(share * 100, decimals);
        if (text != format_fixed(other * 100, decimals)) return text;
    }
    return emit::percent_text(share);
}

std::string advice_text(const Advice& advice, const SheetOptions& options) { return Pages(advice, options).run(); }

}  // namespace scruple
