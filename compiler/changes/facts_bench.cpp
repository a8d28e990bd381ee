// A bench's object as facts: its log in order. What follows from the log is not compared again.

#include "changes/fact_maker.h"
#include "changes/state.h"
#include "num/decimal.h"

namespace scruple::changes {
namespace {

void append(std::string& out, std::string_view before, const std::string& text) {
    if (text.empty()) return;
    if (!out.empty()) out += ' ';
    out += before;
    out += text;
}

/// A row as a maker writes it, on one line.
std::string row_text(Value row) {
    std::string out;
    const std::string act = text_of(row, "act");
    const Value hours = row["after_hours"];
    if (act != "add") append(out, "", act);
    append(out, "", text_of(row, "mark"));
    if (hours.is_number()) append(out, "", format_significant(hours.number(), 4) + " h");
    bool first = true;
    for (const Value entry : items_of(row, "entries")) {
        std::string one;
        append(one, "", text_of(entry, "amount"));
        append(one, "", text_of(entry, "name"));
        if (const auto remark = text_of(entry, "remark"); !remark.empty()) append(one, "", "\"" + remark + "\"");
        if (!first) out += ',';
        first = false;
        append(out, "", one);
    }
    if (const auto remark = text_of(row, "remark"); !remark.empty()) append(out, "", "\"" + remark + "\"");
    append(out, "on ", text_of(row, "on"));
    return out;
}

}  // namespace

std::vector<Fact> facts_of_bench(Value bench) {
    std::vector<Fact> out;
    if (!bench.is_object()) return out;
    FactMaker maker(out);
    maker.add(What::title, "", bench, {"name"});
    maker.add(What::doc, "", bench, {"doc"});
    maker.add(What::complete, "", bench, {"complete"});
    std::vector<std::string> rows;
    const Value from = bench["from"];
    if (from.is_object()) {
        std::string start = "from " + text_of(from, "bench") + " at " + text_of(from, "mark");
        append(start, "taking ", text_of(from, "taking"));
        rows.push_back(std::move(start));
    }
    for (const Value row : items_of(bench, "rows")) rows.push_back(row_text(row));
    Fact log{What::log, "", {}};
    log.fields.push_back({"rows", std::move(rows), false});
    log.fields.push_back({"on", scalar_of(bench["on"]), false});
    out.push_back(std::move(log));
    put_in_order(out);
    return out;
}

}  // namespace scruple::changes
