#include "changes/sentence.h"

#include <algorithm>
#include <cmath>

#include "changes/judge.h"
#include "changes/listed.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple::changes {
namespace {

std::string plain_name(std::string_view id) {
    std::string out(id);
    std::replace(out.begin(), out.end(), '_', ' ');
    return out;
}

std::string figure(std::optional<double> n, std::string_view unit) {
    if (!n) return "not known";
    return format_significant(*n, 4) + (unit.empty() ? "" : " " + std::string(unit));
}

std::string percent(std::optional<double> n) { return n ? emit::percent_text(*n / 100) + " %" : "not known"; }

/// Of what is not allowed at all no share of a limit is used.
bool is_ban(const Fact& f) { return !f.number("used_percent") && !f.number("used_at_maximum_percent"); }

std::string used(const Fact& f) {
    const auto typical = f.number("used_percent");
    const auto most = f.number("used_at_maximum_percent");
    if (is_ban(f)) return "not allowed at all";
    std::string out = emit::used_text(typical.value_or(0) / 100) + " %";
    if (most && typical && !same_figure(*most, *typical)) out += " (up to " + emit::used_text(*most / 100) + " %)";
    return out;
}

std::string loud(std::string verdict) {
    if (verdict == "fails") return "FAILS";
    if (verdict == "unknown") return "NOT KNOWN";
    return verdict;
}

std::string check_name(const Fact& f) {
    const std::string kind = f.text("kind");
    if (kind == "phototoxic_sum") return "phototoxic oils together";
    if (kind == "undiluted_on_skin") return "undiluted on skin";
    std::string out = plain_name(f.text("subject"));
    if (!f.text("rules").empty()) out += " (" + f.text("rules") + ")";
    return out;
}

std::string check_text(const Fact& f, bool with_limit) {
    std::string out = used(f);
    if (with_limit && !is_ban(f)) out += " of " + percent(f.number("limit_percent"));
    return out + ", " + loud(f.text("verdict"));
}

bool limit_moved(const Change& c) {
    return c.old && c.fresh && c.old->text("kind") != "phototoxic_sum" &&
           !same(*c.old->find("limit_percent"), *c.fresh->find("limit_percent"));
}

std::string ceiling_text(const Fact& f) {
    const std::string state = f.text("state");
    if (state == "none_applies") return "no limit applies";
    if (state == "not_known") return "not known";
    if (state == "over_without_blend") return "over without any blend";
    std::string out = percent(f.number("value_percent"));
    if (const auto of = f.text("of"); !of.empty() && of != "total") out += " of " + of;
    if (f.text("basis") != "w/w") out += " " + f.text("basis");
    return out;
}

std::string part_text(const std::vector<Fact>& facts, const Fact& f, const std::string& parts) {
    std::string out = parts + (parts == "1" ? " part" : " parts");
    for (const Fact& measure : facts) {
        if (measure.what == What::measure && measure.flag("in_percent")) out = parts + " %";
    }
    out += ", " + percent(f.number("share_vv_percent")) + " v/v, " + percent(f.number("share_ww_percent")) + " w/w";
    return out;
}

std::string notes_text(const Fact& f) {
    std::string out;
    for (const auto& [word, key] : {std::pair("top", "top_percent"), std::pair("middle", "middle_percent"),
                                    std::pair("base", "base_percent"), std::pair("not known", "unknown_percent")}) {
        const auto n = f.number(key);
        if (!n || (*n == 0 && std::string_view(key) == "unknown_percent")) continue;
        if (!out.empty()) out += ", ";
        out += std::string(word) + " " + format_fixed(*n, 0) + " %";
    }
    return out;
}

std::string cost_text(const Fact& f) {
    const auto n = f.number("per_unit");
    return n ? format_fixed(*n, 2) + " " + f.text("currency") : "not known";
}

std::string scalar_text(const Scalar& s) {
    if (const auto* b = std::get_if<bool>(&s)) return *b ? "yes" : "no";
    if (const auto* n = std::get_if<double>(&s)) return format_significant(*n, 6);
    if (const auto* t = std::get_if<std::string>(&s)) return *t;
    if (const auto* l = std::get_if<std::vector<std::string>>(&s)) {
        std::string out;
        for (const std::string& item : *l) out += (out.empty() ? "" : ", ") + item;
        return out;
    }
    return "-";
}

/// All fields that are compared and said.
std::string all_text(const Fact& f) {
    std::string out;
    for (const Field& field : f.fields) {
        if (field.carried || std::holds_alternative<std::monostate>(field.value)) continue;
        const std::string text = scalar_text(field.value);
        if (text.empty()) continue;
        if (!out.empty()) out += ", ";
        if (f.fields.size() > 1 && std::holds_alternative<bool>(field.value)) out += plain_name(field.name) + ": ";
        out += text;
    }
    return out.empty() ? "nothing" : out;
}

std::string line_text(const Fact& f) {
    const auto weigh = f.number("weigh_g");
    std::string out = figure(weigh ? weigh : f.number("mass_g"), "g") + ", " + percent(f.number("percent_ww"));
    if (const auto lot = f.text("lot"); !lot.empty()) out += ", lot " + lot;
    return out;
}

std::string content_text(const Fact& f) {
    if (const auto n = f.number("volume_ml")) return format_significant(*n, 6) + " ml";
    if (const auto n = f.number("mass_g")) return format_significant(*n, 6) + " g";
    return "not known";
}

/// How long a log is, and its first row that the other side has otherwise.
std::string log_text(const Change& c, const Fact& f, bool fresh) {
    const auto rows = f.list("rows");
    const auto& beside = fresh ? c.old : c.fresh;
    const auto others = beside ? beside->list("rows") : std::vector<std::string>{};
    std::string out = emit::count_text(static_cast<std::int64_t>(rows.size()), "row", "rows");
    std::size_t at = 0;
    while (at < rows.size() && at < others.size() && rows[at] == others[at]) ++at;
    if (beside && at < rows.size()) out += "; row " + std::to_string(at + 1) + ": " + rows[at];
    return out;
}

std::string fact_text(const UnitChange& unit, const Change& c, const Fact& f, bool fresh) {
    switch (c.what) {
        case What::assessed: return f.flag("covers") ? "covered" : "OUTSIDE: " + scalar_text(f.list("outside"));
        case What::complete: return f.flag("complete") ? "worked out" : "NOT KNOWN";
        case What::verdict: return loud(f.text("verdict"));
        case What::log: return log_text(c, f, fresh);
        case What::premix:
            return figure(f.number("oil_g"), "g") + " in " + figure(f.number("carrier_g"), "g") + " " + plain_name(f.text("carrier")) + ", of which " +
                   figure(f.number("use_g"), "g");
        case What::check: return check_text(f, limit_moved(c) || !c.old || !c.fresh);
        case What::waiver:
            return "up to " + percent(f.number("ceiling_percent")) + " (limit " + percent(f.number("limit_percent")) +
                   "): " + f.text("because") + (f.text("until").empty() ? "" : ", until " + f.text("until"));
        case What::ceiling:
        case What::careful: return ceiling_text(f);
        case What::unknown: return percent(f.number("unknown_percent")) + " of it not known";
        case What::unstated: return percent(f.number("actual_at_maximum_percent")) + ", figure of the limit not known";
        case What::caution: return f.text("text") + (f.flag("meant") ? " (for those it is made for)" : "");
        case What::usual_dilution:
            return ceiling_text(f) + (f.flag("over") ? ", OVER at " : ", at ") + percent(f.number("actual_percent"));
        case What::allergen: return percent(f.number("share_percent"));
        case What::allergen_under: return percent(f.number("share_percent")) + ", not named";
        case What::content: return content_text(f);
        case What::cost: return cost_text(f);
        case What::part: return part_text(fresh ? unit.new_facts : unit.old_facts, f, fresh ? c.new_parts : c.old_parts);
        case What::leader: return plain_name(f.text("material")) + ", " + percent(f.number("odour_percent")) + " of the odour";
        case What::notes:
        case What::odour: return notes_text(f);
        case What::density: return figure(f.number("density_g_per_ml"), "g/ml");
        case What::load: return f.text("text") + " (" + percent(f.number("ww_percent")) + " w/w)";
        case What::units: return figure(f.number("units"), "");
        case What::batch:
            return figure(f.number("weigh_g") ? f.number("weigh_g") : f.number("mass_g"), "g") + ", extra " +
                   percent(f.number("extra_percent"));
        case What::line: return line_text(f);
        case What::warning: return "\"" + f.text("text") + "\"";
        default: return all_text(f);
    }
}

std::string about(const Change& c) {
    const Fact& f = c.any();
    switch (c.what) {
        case What::assessed: return "assessment " + c.subject;
        case What::complete: return "amounts";
        case What::verdict: return "verdict";
        case What::check: return check_name(f);
        case What::waiver: return "accepted: " + plain_name(f.text("subject")) + " under " + f.text("rules");
        case What::ceiling: return "most blend that passes";
        case What::careful: return "most at the top of ranges";
        case What::unknown: return "composition of " + plain_name(c.subject);
        case What::unstated: return "not checked: " + plain_name(f.text("subject"));
        case What::caution: return "caution";
        case What::usual_dilution: return "usual dilution";
        case What::lot: return "lot " + c.subject;
        case What::audience: return "for whom";
        case What::allergen: return c.subject;
        case What::label_state: return "allergens on the label";
        case What::allergen_list: return "list " + c.subject;
        case What::allergen_under: return c.subject;
        case What::label_unknown: return "share of the product not known";
        case What::warning: return "warning";
        case What::conservation: return "conservation of " + plain_name(c.subject);
        case What::content: return "net content";
        case What::title: return "name";
        case What::cost: return "cost of one";
        case What::part: {
            const std::string oil = plain_name(c.subject);
            switch (c.direction) {
                case Direction::in: return oil + " IN";
                case Direction::out: return oil + " OUT";
                case Direction::up: return oil + " up";
                case Direction::down: return oil + " down";
                default: return oil + " (as it was)";
            }
        }
        case What::measure: return "counted by";
        case What::leader: return "smelt most";
        case What::notes: return "notes by parts";
        case What::odour: return "notes by odour";
        case What::impact: return "impact of " + plain_name(c.subject);
        case What::density: return "density";
        case What::intent: return "intent";
        case What::mood: return "mood " + c.subject;
        case What::raise: return "to bring the leader down";
        case What::mask: return "may mask";
        case What::blend: return "blend";
        case What::format: return "format";
        case What::load: return "load";
        case What::units: return "units made";
        case What::batch: return "batch";
        case What::phases: return "phases, in order";
        case What::line: return plain_name(f.text("material"));
        case What::drop_plan: return "drops";
        case What::steps: return "steps, in order";
        case What::premix: return "dilution of " + plain_name(c.subject);
        case What::log: return "rows, in order";
        case What::library: return "library";
        case What::compiler: return "compiler";
        case What::rules: return "rule set " + c.subject;
        case What::on: return "judged for";
        case What::assumption: return "taken as given";
        case What::doc: return "description";
        case What::variation_of: return "variation of";
        case What::line_of: return "line";
    }
    return {};
}

std::string title_of(const UnitChange& u) { return u.name.empty() ? u.id : u.name; }

std::string rise_of(const Change& c) {
    const auto a = c.old ? c.old->number("per_unit") : std::nullopt;
    const auto b = c.fresh ? c.fresh->number("per_unit") : std::nullopt;
    if (!a || !b || c.old->text("currency") != c.fresh->text("currency")) {
        return "cost of one: " + (c.old ? cost_text(*c.old) : "none") + " -> " + (c.fresh ? cost_text(*c.fresh) : "not known");
    }
    // The difference of the two that stand beside it, both to the cent.
    const auto cents = [](double money) { return std::round(money * 100) / 100; };
    const double was = a.value_or(0), now = b.value_or(0);
    double by = std::abs(cents(now) - cents(was));
    if (by < 0.01) by = std::abs(now - was);
    return "costs " + format_fixed(by, by < 0.01 ? 4 : 2) + " " + c.fresh->text("currency") + (now > was ? " more" : " less") +
           " each (" + cost_text(*c.old) + " -> " + cost_text(*c.fresh) + ")";
}

void add_summary(std::vector<std::string>& out, const UnitChange& u, const Change& c) {
    const std::string who = title_of(u);
    const bool flips = c.old && c.fresh && c.old->text("verdict") != c.fresh->text("verdict");
    const Words w = words(u, c);
    switch (c.what) {
        case What::assessed:
            if (c.worse) out.push_back(who + " falls outside of its assessment " + c.subject);
            return;
        case What::complete:
            if (c.worse) out.push_back(who + " can no longer be worked out");
            return;
        case What::verdict:
            if (c.how == How::changed) out.push_back(who + ": " + w.was + " -> " + w.now);
            else if (c.worse) out.push_back(who + " is new, and " + w.now);
            return;
        case What::check:
            if (flips || c.worse) {
                out.push_back(who + ": " + w.about + " " +
                              (c.old ? used(*c.old) + " -> " : std::string()) + (c.fresh ? used(*c.fresh) : "none") +
                              (is_ban(c.any())                              ? ""
                               : c.any().text("kind") == "phototoxic_sum" ? " of what is allowed"
                                                                          : " of the limit"));
            }
            return;
        case What::waiver:
            if (c.worse) out.push_back(who + " accepts more: " + w.about + " " + w.now);
            return;
        case What::unknown:
        case What::unstated:
        case What::usual_dilution:
        case What::lot:
            if (c.worse) out.push_back(who + ": " + w.about + ", " + w.now);
            return;
        case What::caution:
            if (c.worse) out.push_back(who + " now warns those it is made for: " + c.any().text("text"));
            return;
        case What::cost:
            if (u.state == UnitState::changed) out.push_back(who + " " + rise_of(c));
            return;
        default: return;
    }
}

std::string oils_of(const UnitChange& u, Direction direction, const char* verb) {
    std::vector<std::string> oils;
    for (const Change& c : u.changes) {
        if (c.what != What::part || c.direction != direction) continue;
        std::string oil = plain_name(c.subject);
        if (c.old && c.fresh) oil += " " + c.old_parts + " -> " + c.new_parts;
        oils.push_back(std::move(oil));
    }
    return oils.empty() ? std::string() : std::string(verb) + " " + emit::list_text(oils);
}

}  // namespace

Words words(const UnitChange& unit, const Change& change) {
    Words out;
    out.about = about(change);
    if (change.old) out.was = fact_text(unit, change, *change.old, false);
    if (change.fresh) out.now = fact_text(unit, change, *change.fresh, true);
    return out;
}

std::string sentence(const UnitChange& unit, const Change& change) {
    const Words w = words(unit, change);
    if (!change.old) return w.about + ": " + w.now + " (new)";
    if (!change.fresh) return w.about + ": " + w.was + " (gone)";
    return w.about + ": " + w.was + " -> " + w.now;
}

std::string row_sentence(const RowChange& row) {
    const auto said = [](const std::optional<Fact>& f) -> std::string {
        if (!f) return "none";
        std::string out = percent(f->number("limit_percent"));
        if (!f->text("source").empty()) out += " (" + f->text("standing") + ": " + f->text("source") + ")";
        return out;
    };
    return "the row " + row.rule + ": " + said(row.old) + " -> " + said(row.fresh) + "; seen in " +
           std::to_string(row.products.size()) + (row.products.size() == 1 ? " product" : " products");
}

Outcome outcome(const Changes& changes) {
    if (changes.any_worse()) return Outcome::worse;
    if (changes.incomplete()) return Outcome::incomplete;
    return changes.any() ? Outcome::differs : Outcome::same;
}

std::vector<std::string> summary(const Changes& changes, std::size_t most) {
    std::vector<std::string> out;
    switch (outcome(changes)) {
        case Outcome::same: return {"Nothing differs in meaning."};
        case Outcome::worse: out.emplace_back("Do not take over unread: something could hurt more than before, or is known less."); break;
        case Outcome::incomplete: out.emplace_back("A side has errors, so that not all of it could be compared."); break;
        case Outcome::differs: out.emplace_back("Nothing that is known here got worse. That is no approval."); break;
    }
    for (const auto& [errors, which] : {std::pair(&changes.old_errors, "old"), std::pair(&changes.new_errors, "new")}) {
        if (errors->empty()) continue;
        out.push_back("The " + std::string(which) + " side has " + std::to_string(errors->size()) +
                      (errors->size() == 1 ? " error" : " errors") + "; first: " + errors->front().message);
    }
    for (const RowChange& row : changes.rows) out.push_back(row_sentence(row));
    for (const Rank rank : {Rank::safety, Rank::label, Rank::cost, Rank::smell}) {
        for (const UnitChange& u : changes.units) {
            if (out.size() > most) {
                out.resize(most);
                out.emplace_back("And more than is listed here.");
                return out;
            }
            if (rank == Rank::safety && u.state != UnitState::changed) {
                out.push_back(title_of(u) + (u.state == UnitState::added ? " is new" : " is gone"));
            }
            if (u.state == UnitState::removed) continue;
            if (rank == Rank::label && u.state == UnitState::changed) {
                std::vector<std::string> came, gone;
                for (const Change& c : u.changes) {
                    if (c.what == What::allergen && c.how != How::changed) (c.how == How::added ? came : gone).push_back(c.subject);
                }
                if (!came.empty()) out.push_back(title_of(u) + "'s label must name " + emit::list_text(came) + " too");
                if (!gone.empty()) out.push_back(title_of(u) + "'s label no longer names " + emit::list_text(gone));
            }
            if (rank == Rank::smell && u.is_blend() && u.state == UnitState::changed) {
                std::vector<std::string> moves;
                for (const auto& [direction, verb] : {std::pair(Direction::in, "takes in"), std::pair(Direction::up, "raises"),
                                                      std::pair(Direction::down, "lowers"), std::pair(Direction::out, "leaves out")}) {
                    if (auto text = oils_of(u, direction, verb); !text.empty()) moves.push_back(std::move(text));
                }
                std::string text = title_of(u);
                if (u.renamed()) text += " (was " + u.old_id + ")";
                if (!u.follows.empty()) text += ", following " + u.follows + ",";
                if (!moves.empty()) out.push_back(text + " " + emit::list_text(moves));
                else if (u.renamed()) out.push_back(u.old_id + " is now called " + u.id);
            }
            for (const Change& c : u.changes) {
                if (c.rank() == rank) add_summary(out, u, c);
            }
        }
    }
    return out;
}

}  // namespace scruple::changes
