// The page of a bench: the log, the running table in columns that 80 characters hold, and what is in the beaker at each mark.
#include "emit/bench.h"

#include <algorithm>

#include "emit/balance.h"
#include "emit/words.h"
#include "num/decimal.h"
#include "trade/bench.h"

namespace scruple::emit {
namespace {

constexpr std::size_t kOilsAcross = 8;  // as many columns of figures as a page of 80 takes beside the row and the total

std::string tenth_percent(const Rational& share) { return format_fixed(share * Rational(100), 1); }

/// " (10.5 drops)" for an entry that was not counted in drops, where they can be known.
std::string drops_beside(const BenchStep& step, std::size_t first, std::size_t count) {
    Rational sum;
    for (std::size_t i = first; i < first + count && i < step.added.size(); ++i) {
        if (!step.added[i].drops) return {};
        sum += *step.added[i].drops;
    }
    if (sum.overflowed() || count == 0) return {};
    return " (" + format_trimmed(sum, 1) + " drops)";
}

/// A, B … Z, AA, AB …
std::string letter(std::size_t i) {
    std::string out;
    for (++i; i > 0; i = (i - 1) / 26) out.insert(out.begin(), static_cast<char>('A' + (i - 1) % 26));
    return out;
}

std::string row_number(std::size_t row) { return row == kStart ? "start" : std::to_string(row + 1); }

std::string quoted_remark(std::string_view remark) { return "\"" + plain(remark) + "\""; }

void add_log(Page& page, const Document& document, const Bench& bench, const BenchTable& table) {
    const Model& model = *document.model;
    const bool priced = document.prices && document.prices->any();
    page.heading("Log");
    Table log;
    const std::string unit(unit_word(bench.unit));
    log.columns = {{"", Align::right, false}, {"", Align::left, true}, {unit.empty() ? "" : unit + " in all", Align::right, false},
                   {"leads the smell", Align::left, true}};
    if (priced) log.columns.push_back({std::string(document.prices->currency()) + " so far", Align::right, false});
    std::string day;
    const auto step_cells = [&](std::string number, std::string what, const BenchStep* step) {
        std::vector<std::string> cells{std::move(number), std::move(what), step ? format_exact(step->total) : "",
                                       step ? lead_words(model, *step) : ""};
        if (priced) cells.push_back(step ? cost_words(document, bench, *step) : "");
        log.line(std::move(cells));
    };
    if (bench.start.bench != kNone) step_cells(row_number(kStart), "what it starts with", table.last() ? &table.steps[0] : nullptr);
    for (std::size_t i = 0; i < bench.rows.size(); ++i) {
        const BenchRow& row = bench.rows[i];
        if (row.on != day) log.heading(plain(row.on));
        day = row.on;
        const auto step = std::find_if(table.steps.begin(), table.steps.end(), [&](const BenchStep& s) { return s.row == i; });
        std::string what = row_words(bench, row, step == table.steps.end() ? nullptr : &*step);
        if (!row.remark.empty()) what += (what.empty() ? "" : " ") + quoted_remark(row.remark);
        step_cells(row_number(i), std::move(what), step == table.steps.end() ? nullptr : &*step);
    }
    page.table(std::move(log));
}

/// One table of figures by row and oil, in pieces that fit side by side.
template <class Cell>
void add_running(Page& page, const BenchTable& table, std::string_view last_head, bool with_total, const Cell& texts) {
    const std::size_t oils = table.steps.back().lines.size();
    for (std::size_t from = 0; from < oils; from += kOilsAcross) {
        const std::size_t to = std::min(oils, from + kOilsAcross);
        Table figures;
        figures.columns = {{"row", Align::right, false}};
        for (std::size_t i = from; i < to; ++i) figures.columns.push_back({letter(i), Align::right, false});
        const bool total = with_total && to == oils;
        if (total) figures.columns.push_back({std::string(last_head), Align::right, false});
        for (const BenchStep& step : table.steps) {
            std::vector<std::string> cells{row_number(step.row)};
            const std::vector<std::string> line = texts(step);
            for (std::size_t i = from; i < to; ++i) cells.push_back(i < line.size() ? line[i] : "");
            if (total) cells.push_back(format_exact(step.total));
            figures.line(std::move(cells));
        }
        page.table(std::move(figures));
    }
}

void add_running_table(Page& page, const Model& model, const Bench& bench, const BenchTable& table) {
    page.heading("Running table");
    std::vector<std::string> oils;
    const BenchStep& last = table.steps.back();
    for (std::size_t i = 0; i < last.lines.size(); ++i) {
        oils.push_back(letter(i) + ": " + title_of(model, last.lines[i].material));
    }
    page.paragraph("Oils, in the order in which they came:");
    page.items(std::move(oils));
    page.paragraph("So far, in " + std::string(unit_word(bench.unit)) + ":");
    add_running(page, table, "in all", true,
                [](const BenchStep& step) {
                    std::vector<std::string> out;
                    for (const BeakerLine& line : step.lines) out.push_back(format_exact(line.amount));
                    return out;
                });
    page.paragraph("Shares, in per cent of these " + std::string(unit_word(bench.unit)) + ":");
    add_running(page, table, "", false, share_texts);
    page.paragraph("Shares of the odour, in per cent:");
    add_running(page, table, "", false, odour_texts);
    page.paragraph("Ratio, smallest whole numbers:");
    Table ratios;
    ratios.columns = {{"row", Align::right, false}, {"", Align::left, true}};
    for (const BenchStep& step : table.steps) {
        std::string names;
        for (std::size_t i = 0; i < step.lines.size(); ++i) names += (i ? " : " : "") + letter(i);
        const std::string ratio = ratio_text(step.whole_ratio);
        ratios.line({row_number(step.row), ratio.empty() ? "can't be counted in whole numbers" : names + " = " + ratio});
    }
    page.table(std::move(ratios));
}

void add_beaker(Page& page, const Document& document, const Bench& bench, const BenchStep& step, std::size_t row, std::string heading,
                bool advice) {
    page.heading(std::move(heading));
    page.table(beaker_table(document, bench, step));
    if (!advice) return;
    const Model& model = *document.model;
    const Balance balance = balance_in_beaker(model, bench, row);
    std::vector<std::string> said = balance_words(model, balance);
    page.items(std::move(said));
}

}  // namespace

std::string_view unit_word(Dim unit) {
    switch (unit) {
        case Dim::drop: return "drops";
        case Dim::part: return "parts";
        case Dim::volume: return "ml";
        case Dim::mass: return "g";
        default: return "";
    }
}

std::string counted(const Rational& amount, Dim unit) {
    const bool one = amount == Rational(1);
    const std::string_view word = one && unit == Dim::drop ? "drop" : one && unit == Dim::part ? "part" : unit_word(unit);
    return format_exact(amount) + " " + std::string(word);
}

std::vector<std::string> share_texts(const BenchStep& step) {
    std::vector<std::string> out;
    for (const BeakerLine& line : step.lines) out.push_back(tenth_percent(line.share));
    return out;
}

std::vector<std::string> odour_texts(const BenchStep& step) {
    std::vector<std::string> out;
    for (const BeakerLine& line : step.lines) {
        out.push_back(step.odour_known && line.odour ? tenth_percent(*line.odour) : std::string("?"));
    }
    return out;
}

std::string row_words(const Bench& bench, const BenchRow& row, const BenchStep* step) {
    std::vector<std::string> names;
    std::size_t at = 0;
    for (const BenchEntry& entry : row.entries) {
        std::string text = entry.text.empty() ? plain(entry.title) : entry.text + " " + plain(entry.title);
        if (step && bench.unit != Dim::drop) text += drops_beside(*step, at, entry.amounts.size());
        at += entry.amounts.size();
        if (!entry.remark.empty()) text += " (" + plain(entry.remark) + ")";
        names.push_back(std::move(text));
    }
    std::string list;
    for (const auto& name : names) list += (list.empty() ? "" : "; ") + name;
    switch (row.act) {
        case BenchAct::add: return list;
        case BenchAct::strip: return "on a strip: " + list;
        case BenchAct::mark: return "mark " + std::string(row.mark);
        case BenchAct::after: return "after " + plain(row.hours_text) + ":";
    }
    return list;
}

std::string lead_words(const Model& model, const BenchStep& step) {
    if (!step.odour_known) return "not known";
    if (!step.lead) return "nobody alone";
    return title_of(model, step.lead->material) + ", " + tenth_percent(step.lead->odour) + " %" +
           (step.lead->sticks_out && step.lines.size() > 1 ? ": sticks out" : "");
}

std::string cost_words(const Document& document, const Bench& bench, const BenchStep& step) {
    if (!document.prices || !document.prices->any()) return {};
    const BeakerCost cost = cost_so_far(*document.model, *document.prices, bench, step);
    if (cost.complete) return small_money(cost.known);
    return cost.known > 0 ? "at least " + small_money(cost.known) : "?";
}

Table beaker_table(const Document& document, const Bench& bench, const BenchStep& step) {
    const Model& model = *document.model;
    const bool priced = document.prices && document.prices->any();
    BeakerCost cost;
    if (priced) cost = cost_so_far(model, *document.prices, bench, step);
    Table table;
    table.columns = {{"", Align::left, true}, {std::string(unit_word(bench.unit)), Align::right, false},
                     {"% of these", Align::right, false}, {"impact", Align::right, false}, {"% of odour", Align::right, false}};
    if (priced) table.columns.push_back({std::string(document.prices->currency()), Align::right, false});
    const auto shares = share_texts(step);
    const auto odours = odour_texts(step);
    for (std::size_t i = 0; i < step.lines.size(); ++i) {
        const BeakerLine& line = step.lines[i];
        const auto impact = model.materials[line.material].impact;
        std::vector<std::string> cells{title_of(model, line.material), format_exact(line.amount), shares[i],
                                       impact ? std::to_string(*impact) : "?", odours[i]};
        if (priced) cells.push_back(cost.lines[i] ? small_money(*cost.lines[i]) : "?");
        table.line(std::move(cells));
    }
    std::vector<std::string> total{"Total", format_exact(step.total), "", "", ""};
    if (priced) total.push_back(cost_words(document, bench, step));
    table.total(std::move(total));
    return table;
}

Page bench_page(const Document& document, BenchId id) {
    const Model& model = *document.model;
    const Bench& bench = model.benches[id];
    Page page;
    page.title = plain(bench.header.title);
    page.id = plain(bench.header.name);
    page.doc = bench.header.doc;
    if (bench.header.broken) {
        // A log that is short of a row must not look like one.
        page.paragraph("Not known: the rows of this bench have errors; see the findings of the check.", Tone::bad);
        add_cautions(page, document, nullptr);
        return page;
    }
    const BenchTable table = run_bench(model, bench);
    std::vector<std::pair<std::string, std::string>> facts;
    if (!bench.on.empty()) {
        const std::string& last = bench.rows.empty() ? bench.on : bench.rows.back().on;
        facts.emplace_back("Date", plain(bench.on) + (last.empty() || last == bench.on ? "" : " to " + plain(last)));
    }
    if (bench.start.bench < model.benches.size()) {
        const Bench& from = model.benches[bench.start.bench];
        Rational start;
        for (const BenchAmount& one : bench.start.amounts) start += one.amount;
        std::string text = plain(from.header.title) + " (" + plain(from.header.name) + ") at " + std::string(bench.start.mark);
        text += bench.start.taking.empty() ? ", all of it" : ", taking " + plain(bench.start.taking);
        if (bench.start.unit != Dim::none) text += ", which is " + bench.start.share.to_string() + " of it";
        facts.emplace_back("Starts from", text + ": " + counted(start, bench.unit));
    }
    if (bench.unit != Dim::none) facts.emplace_back("Counted in", std::string(unit_word(bench.unit)));
    std::vector<std::string> marks;
    for (std::size_t i = 0; i < bench.rows.size(); ++i) {
        if (bench.rows[i].act == BenchAct::mark) marks.push_back(std::string(bench.rows[i].mark) + " (row " + std::to_string(i + 1) + ")");
    }
    if (!marks.empty()) facts.emplace_back("Marks", list_text(marks));
    page.facts(std::move(facts));
    if (bench.rows.empty() && table.steps.empty()) {
        page.paragraph("Nothing is written down yet.");
        add_cautions(page, document, nullptr);
        return page;
    }
    add_log(page, document, bench, table);
    if (!table.steps.empty()) {
        add_running_table(page, model, bench, table);
        const std::size_t end = bench.rows.empty() ? kStart : bench.rows.size() - 1;
        bool end_told = false;
        for (std::size_t i = 0; i < bench.rows.size(); ++i) {
            if (bench.rows[i].act != BenchAct::mark) continue;
            const BenchStep* step = table.at(i);
            if (!step) continue;
            end_told = step == table.last();
            add_beaker(page, document, bench, *step, i, "In the beaker at " + std::string(bench.rows[i].mark), end_told);
        }
        if (!end_told) add_beaker(page, document, bench, *table.last(), end, "In the beaker now", true);
        if (document.prices && document.prices->any() && bench.unit == Dim::part) {
            page.paragraph("What it costs so far is not known: parts have no size.");
        }
        page.paragraph("Odour is share times impact (1 to 10), made up to 100 %; over half, or over three times its share, sticks out. "
                       "Common practice, no source: the nose decides.");
    }
    add_assumptions(page, table.assumptions);
    add_cautions(page, document, nullptr);
    return page;
}

}  // namespace scruple::emit
