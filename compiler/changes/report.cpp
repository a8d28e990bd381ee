#include "changes/report.h"

#include <algorithm>
#include <utility>

#include "changes/sentence.h"
#include "emit/words.h"

namespace scruple::changes {
namespace {

std::string section_title(Rank rank) {
    switch (rank) {
        case Rank::safety: return "What can hurt";
        case Rank::label: return "On the label";
        case Rank::cost: return "Money";
        case Rank::smell: return "Oils and smell";
        case Rank::making: return "Amounts and making";
        case Rank::ground: return "What the figures rest on";
        case Rank::words: return "Words";
    }
    return {};
}

std::string unit_heading(const UnitChange& u) {
    std::string out(unit_kind_word(u.kind));
    out += " " + u.id;
    if (!u.name.empty()) out += " \"" + u.name + "\"";
    if (u.renamed()) out += ", was " + u.old_id;
    if (u.state != UnitState::changed) out += u.state == UnitState::added ? ", NEW" : ", GONE";
    if (!u.follows.empty()) out += ", follows " + u.follows;
    return emit::plain(out);
}

emit::Table empty_table() {
    emit::Table table;
    table.columns = {{"", emit::Align::left, true}, {"was", emit::Align::left, true}, {"is now", emit::Align::left, true}};
    return table;
}

/// Of what is new or gone only what it is made of and how it is judged is worth a row.
bool of_a_whole(const Change& c) {
    return c.what == What::verdict || c.what == What::ceiling || c.what == What::part || c.what == What::line ||
           c.what == What::load || c.what == What::allergen || c.what == What::cost || c.worse;
}

void add_row(ReportSection& section, const UnitChange& u, const Change& c) {
    const Words w = words(u, c);
    section.table.line({emit::plain((c.worse ? "! " : "") + w.about), c.old ? emit::plain(w.was) : "-",
                        c.fresh ? emit::plain(w.now) : "-"});
}

/// It differs in digits that are not shown.
bool reads_the_same(const UnitChange& u, const Change& c) {
    if (!c.old || !c.fresh || c.worse) return false;
    const Words w = words(u, c);
    return w.was == w.now;
}

ReportSection rule_rows(const Changes& changes) {
    ReportSection rows{"Rows of rule sets", false, empty_table()};
    for (const RowChange& r : changes.rows) {
        const auto said = [](const std::optional<Fact>& f) -> std::string {
            if (!f || !f->number("limit_percent")) return "-";
            return emit::percent_text(*f->number("limit_percent") / 100) + " %, " + f->text("standing");
        };
        rows.table.line({emit::plain(r.rule), emit::plain(said(r.old)), emit::plain(said(r.fresh))});
    }
    return rows;
}

/// Adds what a unit has for the section; small changes are counted without `all`. With `full` there is no room for it, and it
/// is counted as one. True where it got rows.
bool add_unit(ReportSection& section, const UnitChange& u, Rank rank, bool all, bool full) {
    bool headed = false, missed = false, worse = false;
    const auto head = [&] {
        if (!headed) section.table.heading(unit_heading(u));
        headed = true;
    };
    if (rank == Rank::words && u.renamed()) {
        missed = full;
        if (!full) {
            head();
            section.table.line({"called", emit::plain(u.old_id), emit::plain(u.id)});
        }
    }
    for (const Change& c : u.changes) {
        if (c.rank() != rank) continue;
        worse |= c.worse;
        const bool small = is_minor(c) || (u.state != UnitState::changed && !of_a_whole(c));
        if (!all && (small || (!full && reads_the_same(u, c)))) {
            ++section.left_out;
        } else if (full) {
            missed = true;
        } else {
            head();
            add_row(section, u, c);
        }
    }
    section.worse |= worse;
    section.more += missed;
    section.more_worse += missed && worse;
    return headed;
}

std::vector<ReportSection> report(const Changes& changes, bool all, std::size_t most) {
    std::vector<ReportSection> out;
    if (!changes.rows.empty()) out.push_back(rule_rows(changes));
    for (const Rank rank : {Rank::safety, Rank::label, Rank::cost, Rank::smell, Rank::making, Rank::ground, Rank::words}) {
        ReportSection section{section_title(rank), false, empty_table()};
        if (rank == Rank::ground) {
            const UnitChange nobody;
            for (const Change& c : changes.collection) add_row(section, nobody, c);
        }
        std::size_t listed = 0;
        for (const UnitChange& u : changes.units) listed += add_unit(section, u, rank, all, listed == most);
        if (!section.table.rows.empty() || section.left_out > 0) out.push_back(std::move(section));
    }
    return out;
}

}  // namespace

std::vector<ReportSection> whole_report(const Changes& changes) { return report(changes, true, changes.units.size()); }

std::vector<ReportSection> short_report(const Changes& changes, std::size_t most) { return report(changes, false, most); }

std::string left_out_words(const ReportSection& section) {
    std::vector<std::string> out;
    if (section.more > 0) {
        std::string more = emit::count_text(static_cast<std::int64_t>(section.more), "more blend or product", "more blends and products");
        if (section.more_worse > 0) more += " (" + std::to_string(section.more_worse) + " of them worse)";
        out.push_back(std::move(more));
    }
    if (section.left_out > 0) out.push_back(emit::count_text(static_cast<std::int64_t>(section.left_out), "small change", "small changes"));
    return emit::list_text(out);
}

std::string report_title(const Changes& changes) {
    return emit::plain(changes.old_side.name) + " -> " + emit::plain(changes.new_side.name);
}

std::string escaped_html(std::string_view text) {
    std::string out;
    for (const char c : emit::plain(text)) {
        switch (c) {
            case '&': out += "&amp;"; break;
            case '<': out += "&lt;"; break;
            case '>': out += "&gt;"; break;
            case '"': out += "&quot;"; break;
            case '\'': out += "&#39;"; break;
            default: out += c;
        }
    }
    return out;
}

std::string escaped_markdown(std::string_view text) {
    std::string out;
    const std::string flat = emit::plain(text);
    for (std::size_t i = 0; i < flat.size(); ++i) {
        const char c = flat[i];
        constexpr std::string_view kMarks = "\\`*_[]|#~!";
        if (c == '&') out += "&amp;";
        else if (c == '<') out += "&lt;";
        else if (c == '>') out += "&gt;";
        else if (c == '@') out += "&#64;";
        else if (c == ':' && flat.compare(i, 3, "://") == 0) out += "&#58;";
        else if (kMarks.find(c) != std::string_view::npos) out += std::string("\\") + c;
        else if (i == 0 && (c == '-' || c == '+' || c == '=')) out += std::string("\\") + c;
        else out += c;
    }
    return out;
}

}  // namespace scruple::changes
