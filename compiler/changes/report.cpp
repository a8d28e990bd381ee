#include "changes/report.h"

#include <algorithm>
#include <utility>

#include "changes/listed.h"
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

/// Adds what a unit has for the section; small changes are counted without `all`.
void add_unit(ReportSection& section, const UnitChange& u, Rank rank, bool all) {
    bool headed = false;
    const auto head = [&] {
        if (!headed) section.table.heading(unit_heading(u));
        headed = true;
    };
    if (rank == Rank::words && u.renamed()) {
        head();
        section.table.line({"called", emit::plain(u.old_id), emit::plain(u.id)});
    }
    for (const Change& c : u.changes) {
        if (c.rank() != rank) continue;
        section.worse |= c.worse;
        if (!all && (is_small(u, c) || reads_the_same(u, c))) {
            ++section.left_out;
            continue;
        }
        head();
        add_row(section, u, c);
    }
}

void add_counted(ReportSection& section, const std::vector<CountedUnit>& counted, Rank rank) {
    for (const CountedUnit& u : counted) {
        if (!u.listed[static_cast<std::size_t>(rank)]) continue;
        const bool worse = u.worse && rank == Rank::safety;  // nothing else gets worse
        section.worse |= worse;
        ++section.more;
        section.more_worse += worse;
    }
}

std::vector<ReportSection> report(const Changes& changes, bool all) {
    std::vector<ReportSection> out;
    if (!changes.rows.empty()) out.push_back(rule_rows(changes));
    for (const Rank rank : {Rank::safety, Rank::label, Rank::cost, Rank::smell, Rank::making, Rank::ground, Rank::words}) {
        ReportSection section{section_title(rank), false, empty_table()};
        if (rank == Rank::ground) {
            const UnitChange nobody;
            for (const Change& c : changes.collection) add_row(section, nobody, c);
        }
        for (const UnitChange& u : changes.units) add_unit(section, u, rank, all);
        add_counted(section, changes.counted, rank);
        if (!section.table.rows.empty() || section.left_out > 0 || section.more > 0) out.push_back(std::move(section));
    }
    return out;
}

}  // namespace

std::vector<ReportSection> whole_report(const Changes& changes) { return report(changes, true); }

std::vector<ReportSection> short_report(const Changes& changes) { return report(changes, false); }

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

std::size_t small_only(const Changes& changes) {
    return static_cast<std::size_t>(std::count_if(changes.counted.begin(), changes.counted.end(), [](const CountedUnit& u) {
        return std::find(u.listed.begin(), u.listed.end(), true) == u.listed.end();
    }));
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
