#include "changes/render.h"
#include "changes/report.h"
#include "changes/sentence.h"
#include "emit/words.h"

namespace scruple::changes {
namespace {

/// Comments have an end (GitHub: 65,536 characters).
constexpr std::size_t kMostBytes = 60000;
constexpr std::size_t kMostPoints = 12;

std::string table_text(const emit::Table& table) {
    std::string out = "| | was | is now |\n| :--- | :--- | :--- |\n";
    for (const emit::TableRow& row : table.rows) {
        if (row.kind == emit::TableRow::Kind::heading) {
            out += "| **" + escaped_markdown(row.cells[0]) + "** | | |\n";
            continue;
        }
        out += "|";
        for (const std::string& cell : row.cells) out += " " + escaped_markdown(cell) + " |";
        out += "\n";
    }
    return out;
}

}  // namespace

std::string render_markdown(const Changes& changes) {
    const auto lines = summary(changes);
    std::string out = "### Scruple: " + escaped_markdown(report_title(changes)) + "\n\n**" + escaped_markdown(lines[0]) + "**\n";
    if (lines.size() > 1) out += "\n";
    for (std::size_t i = 1; i < lines.size() && i <= kMostPoints; ++i) out += "- " + escaped_markdown(lines[i]) + "\n";
    if (lines.size() > kMostPoints + 1) out += "- and " + std::to_string(lines.size() - 1 - kMostPoints) + " more, below\n";
    for (const ReportSection& s : short_report(changes)) {
        std::string part = "\n<details>\n<summary>" + std::string(s.worse ? "! " : "") + escaped_html(s.title) + "</summary>\n\n";
        if (!s.table.rows.empty()) part += table_text(s.table);
        if (const std::string rest = left_out_words(s); !rest.empty()) part += "\n" + rest + " not listed here.\n";
        part += "\n</details>\n";
        if (out.size() + part.size() > kMostBytes) {
            out += "\nThe rest is too long for a comment: `scruple diff --to html` shows all of it.\n";
            break;
        }
        out += part;
    }
    if (const std::size_t small = small_only(changes); small > 0) {
        const auto count = static_cast<std::int64_t>(small);
        out += "\n" + emit::count_text(count, "blend or product differs", "blends and products differ") + " in small things only, not listed here.\n";
    }
    out += "\nScruple supports, and does not replace, a qualified safety assessor.\n";
    return out;
}

}  // namespace scruple::changes
