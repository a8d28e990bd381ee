// A bench for machines: every row with what it did and what was then in the beaker.
#include "emit/bench.h"
#include "emit/words.h"
#include "formula/fingerprint.h"
#include "num/decimal.h"
#include "trade/bench.h"

namespace scruple::emit {
namespace {

std::string_view name_in(const Model& model, MaterialId material) { return model.materials[material].header.name; }

double per_cent(const Rational& share) { return share.to_double() * 100; }

const BenchStep* step_of(const BenchTable& table, std::size_t row) {
    for (const BenchStep& step : table.steps) {
        if (step.row == row) return &step;
    }
    return nullptr;
}

void write_step(JsonWriter& json, const Document& document, const Bench& bench, const BenchStep& step) {
    const Model& model = *document.model;
    json.text("total", format_exact(step.total));
    json.list("whole_ratio");
    for (const std::int64_t part : step.whole_ratio) json.whole(part);
    json.close_array();
    json.array("lines");
    for (const BeakerLine& line : step.lines) {
        json.open_row();
        json.text("material", name_in(model, line.material));
        json.text("name", title_of(model, line.material));
        json.text("amount", format_exact(line.amount));
        json.text("added", format_exact(line.added));
        json.number("share_percent", per_cent(line.share));
        json.number("share_percent_before", per_cent(line.share_before));
        json.number("odour_percent", step.odour_known && line.odour ? std::optional<double>(per_cent(*line.odour)) : std::nullopt);
        json.close_object();
    }
    json.close_array();
    json.array("added_drops");
    for (const AddedDrops& added : step.added) {
        json.open_row();
        json.text("material", name_in(model, added.material));
        json.text("amount", format_exact(added.amount));
        if (added.drops) {
            json.text("drops", format_exact(*added.drops));
        } else {
            json.null("drops");
        }
        json.text("drops_per_ml", format_exact(added.drops_per_ml));
        json.close_object();
    }
    json.close_array();
    json.boolean("impacts_known", step.odour_known);
    if (step.lead) {
        json.row("leads");
        json.text("material", name_in(model, step.lead->material));
        json.number("odour_percent", per_cent(step.lead->odour));
        json.boolean("sticks_out", step.lead->sticks_out && step.lines.size() > 1);
        json.close_object();
    } else {
        json.null("leads");
    }
    if (!document.prices || !document.prices->any()) {
        json.null("cost");
        return;
    }
    const BeakerCost cost = cost_so_far(model, *document.prices, bench, step);
    json.row("cost");
    json.text("currency", document.prices->currency());
    json.boolean("complete", cost.complete);
    json.number("known", cost.known > 0 ? std::optional<double>(cost.known) : std::nullopt);
    json.list("lines");
    for (const auto& line : cost.lines) json.number(line);
    json.close_array();
    json.close_object();
}

void write_row(JsonWriter& json, const Document& document, const Bench& bench, const BenchTable& table, std::size_t i) {
    const BenchRow& row = bench.rows[i];
    json.open_object();
    json.whole("row", static_cast<std::int64_t>(i + 1));
    json.text("act", act_word(row.act));
    json.text_or_null("on", row.on);
    json.text_or_null("mark", row.mark);
    json.number("after_hours", row.act == BenchAct::after ? std::optional<double>(row.hours.to_double()) : std::nullopt);
    json.array("entries");
    for (const BenchEntry& entry : row.entries) {
        json.open_row();
        json.text("name", entry.name);
        json.text_or_null("amount", entry.text);
        json.text_or_null("remark", entry.remark);
        json.close_object();
    }
    json.close_array();
    json.text_or_null("remark", row.remark);
    const BenchStep* step = step_of(table, i);
    if (step) {
        json.object("beaker");
        write_step(json, document, bench, *step);
        json.close_object();
    } else {
        json.null("beaker");
    }
    json.close_object();
}

}  // namespace

void write_bench(JsonWriter& json, const Document& document, BenchId id) {
    const Model& model = *document.model;
    const Bench& bench = model.benches[id];
    const BenchTable table = run_bench(model, bench);
    json.open_object();
    json.text("id", bench.header.name);
    json.text("name", bench.header.title);
    json.text_or_null("doc", bench.header.doc);
    json.text_or_null("on", bench.on);
    json.boolean("complete", !bench.header.broken && (bench.unit == Dim::none || !table.steps.empty()));
    json.text_or_null("unit", unit_word(bench.unit));
    if (!bench.header.broken && bench.start.bench < model.benches.size()) {
        json.object("from");
        json.text("bench", model.benches[bench.start.bench].header.name);
        json.text("mark", bench.start.mark);
        json.text_or_null("taking", bench.start.taking);
        json.text("share", bench.start.share.to_string());
        json.key("beaker");
        const BenchStep* start = step_of(table, kStart);
        if (start) {
            json.open_object();
            write_step(json, document, bench, *start);
            json.close_object();
        } else {
            json.null();
        }
        json.close_object();
    } else {
        json.null("from");
    }
    json.array("rows");
    // A log that is short of a row is none.
    if (!bench.header.broken) {
        for (std::size_t i = 0; i < bench.rows.size(); ++i) {
            write_row(json, document, bench, table, i);
            json.pass_on();
        }
    }
    json.close_array();
    json.array("marks");
    if (!bench.header.broken) {
        for (std::size_t i = 0; i < bench.rows.size(); ++i) {
            if (bench.rows[i].act != BenchAct::mark) continue;
            json.open_row();
            json.text("mark", bench.rows[i].mark);
            json.whole("row", static_cast<std::int64_t>(i + 1));
            json.text("fingerprint", fingerprint(model, blend_at(bench, i)));
            json.close_object();
        }
    }
    json.close_array();
    json.array("assumptions");
    for (const Assumption& a : table.assumptions) {
        json.open_row();
        json.text("what", a.what);
        json.text("source", a.source);
        json.close_object();
    }
    json.close_array();
    json.close_object();
}

void write_bench(CsvWriter& csv, const Document& document, BenchId id) {
    const Model& model = *document.model;
    const Bench& bench = model.benches[id];
    if (bench.header.broken) return;
    const BenchTable table = run_bench(model, bench);
    const auto head = [&](std::string_view material, std::string_view title, std::string_view amount) {
        csv.text("bench");
        csv.text(bench.header.name);
        csv.text(bench.header.title);
        csv.nothing(5);
        csv.text(material);
        csv.text(title);
        csv.text(amount);
        csv.nothing(7);
    };
    const auto lines = [&](const BenchStep& step, std::string_view row, std::string_view act, std::string_view on, std::string_view remark) {
        BeakerCost cost;
        if (document.prices) cost = cost_so_far(model, *document.prices, bench, step);
        for (std::size_t i = 0; i < step.lines.size(); ++i) {
            const BeakerLine& line = step.lines[i];
            head(name_in(model, line.material), title_of(model, line.material), format_exact(line.amount));
            const bool known = cost.asked && cost.lines[i];
            csv.number(known ? cost.lines[i] : std::nullopt);
            csv.text(known ? document.prices->currency() : std::string_view());
            csv.text(row);
            csv.text(act);
            csv.text(on);
            csv.nothing();
            csv.text(unit_word(bench.unit));
            csv.text(format_exact(line.added));
            csv.number(per_cent(line.share));
            csv.number(step.odour_known && line.odour ? std::optional<double>(per_cent(*line.odour)) : std::nullopt);
            csv.text(remark);
        }
    };
    if (const BenchStep* start = step_of(table, kStart)) lines(*start, "0", "start", "", "");
    for (std::size_t i = 0; i < bench.rows.size(); ++i) {
        const BenchRow& row = bench.rows[i];
        const std::string number = std::to_string(i + 1);
        if (row.act == BenchAct::add) {
            if (const BenchStep* step = step_of(table, i)) lines(*step, number, "add", row.on, row.remark);
            continue;
        }
        const auto told = [&](std::string_view material, std::string_view title) {
            head(material, title, "");
            csv.nothing(2);
            csv.text(number);
            csv.text(act_word(row.act));
            csv.text(row.on);
            csv.text(row.act == BenchAct::after ? std::string_view(row.hours_text) : row.mark);
            csv.nothing(4);
            csv.text(row.remark);
        };
        if (row.entries.empty()) told("", "");
        for (const BenchEntry& entry : row.entries) told(entry.name, entry.title);
    }
}

}  // namespace scruple::emit
