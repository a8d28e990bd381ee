#include "changes/render.h"
#include "changes/report.h"
#include "changes/sentence.h"

namespace scruple::changes {
namespace {

constexpr const char* kStyle =
    "body{font:16px/1.45 sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#1b1b1b;background:#fff}"
    "table{border-collapse:collapse;width:100%;margin:.5rem 0 1.5rem}"
    "th,td{text-align:left;vertical-align:top;padding:.25rem .6rem;border-bottom:1px solid #ccc}"
    "th[colspan]{background:#f1f1f1}.worse{font-weight:bold;color:#8c1000}";

}  // namespace

std::string render_html(const Changes& changes) {
    const std::string title = escaped_html(report_title(changes));
    std::string out = "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>" + title +
                      "</title>\n<style>" + kStyle + "</style>\n</head>\n<body>\n<h1>" + title + "</h1>\n";
    const auto lines = summary(changes);
    const bool bad = outcome(changes) == Outcome::worse || outcome(changes) == Outcome::incomplete;
    out += std::string("<p") + (bad ? " class=\"worse\"" : "") + ">" + escaped_html(lines[0]) + "</p>\n";
    if (lines.size() > 1) {
        out += "<ul>\n";
        for (std::size_t i = 1; i < lines.size(); ++i) out += "<li>" + escaped_html(lines[i]) + "</li>\n";
        out += "</ul>\n";
    }
    for (const ReportSection& s : whole_report(changes)) {
        out += "<h2>" + escaped_html(s.title) + "</h2>\n<table>\n<tr><th></th><th>was</th><th>is now</th></tr>\n";
        for (const emit::TableRow& row : s.table.rows) {
            if (row.kind == emit::TableRow::Kind::heading) {
                out += "<tr><th colspan=\"3\">" + escaped_html(row.cells[0]) + "</th></tr>\n";
                continue;
            }
            const bool worse = row.cells[0].starts_with("! ");
            out += std::string("<tr") + (worse ? " class=\"worse\"" : "") + ">";
            for (const std::string& cell : row.cells) out += "<td>" + escaped_html(cell) + "</td>";
            out += "</tr>\n";
        }
        out += "</table>\n";
    }
    return out + "<p>Scruple supports, and does not replace, a qualified safety assessor.</p>\n</body>\n</html>\n";
}

}  // namespace scruple::changes
