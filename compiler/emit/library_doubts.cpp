// What rests on memory or on working out, for people and for machines.
#include <algorithm>
#include <array>
#include <map>

#include "emit/csv_writer.h"
#include "emit/emit.h"
#include "emit/json_text.h"
#include "emit/library.h"
#include "emit/words.h"

namespace scruple::emit {
namespace {

std::array<std::int64_t, kDoubtKindCount> counts(const std::vector<Doubt>& doubts) {
    std::array<std::int64_t, kDoubtKindCount> out{};
    for (const auto& d : doubts) ++out[static_cast<std::size_t>(d.kind)];
    return out;
}

/// What rows of a kind stand under: their rule set or their oil, and their source, which is said
/// once for many.
std::string heading_of(const Doubt& d) {
    std::string out;
    switch (d.kind) {
        case DoubtKind::limit:
        case DoubtKind::unknown_limit:
        case DoubtKind::uncovered: out = "under " + d.about; break;
        case DoubtKind::composition: out = "in " + d.subject; break;
        default: break;
    }
    const std::string source = d.cite.empty() ? plain(d.source) : d.cite;
    if (source.empty()) return out;
    return out + (out.empty() ? "by " : ", by ") + source;
}

std::string label_of(const Doubt& d) {
    return d.kind == DoubtKind::composition ? d.about : d.subject;
}

std::string figure_of(const Doubt& d) {
    if (d.kind == DoubtKind::uncovered) return "nothing for " + d.figure;
    if (d.kind == DoubtKind::other_figure || d.kind == DoubtKind::format) return d.about;
    return d.figure;
}

void add_rows(Table& table, const std::vector<const Doubt*>& rows) {
    std::vector<std::pair<std::string, std::vector<const Doubt*>>> groups;
    std::map<std::string, std::size_t> places;
    for (const Doubt* d : rows) {
        const auto heading = heading_of(*d);
        const auto [at, fresh] = places.try_emplace(heading, groups.size());
        if (fresh) groups.emplace_back(heading, std::vector<const Doubt*>{});
        groups[at->second].second.push_back(d);
    }
    std::stable_partition(groups.begin(), groups.end(),
                          [](const auto& g) { return g.first.empty(); });
    for (const auto& [heading, of] : groups) {
        if (!heading.empty()) table.heading(heading);
        for (const Doubt* d : of) table.line({label_of(*d), figure_of(*d), d->standing});
    }
}

/// What is missing of one thing stands on one line.
void add_missing(Table& table, const std::vector<const Doubt*>& rows) {
    for (std::size_t i = 0; i < rows.size();) {
        std::string words;
        const auto& subject = rows[i]->subject;
        for (; i < rows.size() && rows[i]->subject == subject; ++i)
            words += (words.empty() ? "" : ", ") + rows[i]->about;
        table.line({subject, words, "unknown"});
    }
}

}  // namespace

std::string doubts_json(const std::vector<Doubt>& doubts) {
    JsonText json;
    json.open_object();
    json.text("schema", "scruple.doubts/1");
    json.text("compiler", kVersion);
    json.text("library", kLibraryEdition);
    json.row("counts");
    const auto count = counts(doubts);
    for (std::size_t i = 0; i < kDoubtKindCount; ++i)
        json.whole(doubt_word(static_cast<DoubtKind>(i)), count[i]);
    json.close_object();
    json.array("doubts");
    for (const auto& d : doubts) {
        json.open_row();
        json.text("kind", doubt_word(d.kind));
        json.text("subject_kind", d.subject_kind);
        json.text("subject", d.subject);
        json.text_or_null("about", d.about);
        json.text_or_null("figure", d.figure);
        json.text("standing", d.standing);
        json.text_or_null("source", d.source);
        json.text_or_null("cite", d.cite);
        json.close_object();
    }
    json.close_array();
    json.close_object();
    return json.take();
}

std::string doubts_csv(const std::vector<Doubt>& doubts) {
    static constexpr std::string_view kColumns[] = {"kind",   "subject_kind", "subject", "about",
                                                    "figure", "standing",     "source",  "cite"};
    CsvWriter csv(kColumns);
    for (const auto& d : doubts) {
        csv.text(doubt_word(d.kind));
        csv.text(d.subject_kind);
        csv.text(d.subject);
        csv.text(d.about);
        csv.text(d.figure);
        csv.text(d.standing);
        csv.text(d.source);
        csv.text(d.cite);
    }
    return csv.take();
}

Page doubts_page(const std::vector<Doubt>& doubts) {
    Page page;
    page.title = "What rests on memory or on working out";
    page.id = "library " + std::string(kLibraryEdition);
    const auto count = counts(doubts);
    Table summary;
    summary.columns = {{"", Align::right, false}, {"", Align::left, true}};
    for (std::size_t i = 0; i < kDoubtKindCount; ++i) {
        if (count[i] > 0)
            summary.line(
                {std::to_string(count[i]), std::string(doubt_title(static_cast<DoubtKind>(i)))});
    }
    summary.total({std::to_string(doubts.size()), "in all"});
    page.table(std::move(summary));

    std::map<std::string, std::string> cited;
    for (std::size_t i = 0; i < kDoubtKindCount; ++i) {
        if (count[i] == 0) continue;
        const auto kind = static_cast<DoubtKind>(i);
        page.heading(std::string(doubt_title(kind)) + " (" + std::to_string(count[i]) + ")");
        Table table;
        table.columns = {
            {"", Align::left, false}, {"", Align::left, true}, {"", Align::left, false}};
        std::vector<const Doubt*> rows;
        for (const auto& d : doubts) {
            if (d.kind != kind) continue;
            rows.push_back(&d);
            if (!d.cite.empty()) cited.emplace(d.cite, d.source);
        }
        kind == DoubtKind::missing ? add_missing(table, rows) : add_rows(table, rows);
        page.table(std::move(table));
    }
    if (!cited.empty()) {
        page.heading("Sources that are named above");
        std::vector<std::string> items;
        for (const auto& [name, text] : cited) items.push_back(name + ": " + plain(text));
        page.items(std::move(items));
    }
    return page;
}

}  // namespace scruple::emit
