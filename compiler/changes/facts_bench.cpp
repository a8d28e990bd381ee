// A bench's object as facts: its log in order. What follows from the log is not compared again.
#include <nlohmann/json.hpp>

#include "changes/fact_maker.h"
#include "changes/state.h"
#include "num/decimal.h"

namespace scruple::changes {
namespace {

using BenchJson = nlohmann::json;
using BenchMaker = FactMaker<BenchJson>;

void append(std::string& out, std::string_view before, const std::string& text) {
    if (text.empty()) return;
    if (!out.empty()) out += ' ';
    out += before;
    out += text;
}

/// A row as a maker writes it, on one line.
std::string row_text(const BenchJson& row) {
    std::string out;
    const std::string act = BenchMaker::text(row, "act");
    const BenchJson& hours = BenchMaker::at(row, "after_hours");
    if (act != "add") append(out, "", act);
    append(out, "", BenchMaker::text(row, "mark"));
    if (hours.is_number()) append(out, "", format_significant(hours.get<double>(), 4) + " h");
    bool first = true;
    for (const BenchJson& entry : BenchMaker::items(row, "entries")) {
        std::string one;
        append(one, "", BenchMaker::text(entry, "amount"));
        append(one, "", BenchMaker::text(entry, "name"));
        if (const auto remark = BenchMaker::text(entry, "remark"); !remark.empty()) append(one, "", "\"" + remark + "\"");
        if (!first) out += ',';
        first = false;
        append(out, "", one);
    }
    if (const auto remark = BenchMaker::text(row, "remark"); !remark.empty()) append(out, "", "\"" + remark + "\"");
    append(out, "on ", BenchMaker::text(row, "on"));
    return out;
}

}  // namespace

std::vector<Fact> facts_of_bench(std::string_view text) {
    std::vector<Fact> out;
    const BenchJson bench = BenchJson::parse(text, nullptr, false);
    if (!bench.is_object()) return out;
    BenchMaker maker(out);
    maker.add(What::title, "", bench, {"name"});
    maker.add(What::doc, "", bench, {"doc"});
    maker.add(What::complete, "", bench, {"complete"});
    std::vector<std::string> rows;
    const BenchJson& from = BenchMaker::at(bench, "from");
    if (from.is_object()) {
        std::string start = "from " + BenchMaker::text(from, "bench") + " at " + BenchMaker::text(from, "mark");
        append(start, "taking ", BenchMaker::text(from, "taking"));
        rows.push_back(std::move(start));
    }
    for (const BenchJson& row : BenchMaker::items(bench, "rows")) rows.push_back(row_text(row));
    Fact log{What::log, "", {}};
    log.fields.push_back({"rows", std::move(rows), false});
    log.fields.push_back({"on", BenchMaker::scalar(BenchMaker::at(bench, "on")), false});
    out.push_back(std::move(log));
    put_in_order(out);
    return out;
}

}  // namespace scruple::changes
