// A comparison laid out for people before it is text: sections by rank, each a table of what it was and what it is now.
// Every rendering for people prints the same report, so they cannot say different things.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "changes/change.h"
#include "emit/page.h"

namespace scruple::changes {

struct ReportSection {
    std::string title;
    bool worse = false;
    emit::Table table;      // a heading row for each blend or product
    std::size_t left_out = 0;  // small changes that only the whole report lists
};

/// Without `all`, small changes are counted only.
std::vector<ReportSection> report(const Changes& changes, bool all);

/// "OLD against NEW", by the names of the sides.
std::string report_title(const Changes& changes);

/// Text safe in Markdown and in a page; no line breaks.
std::string escaped_markdown(std::string_view text);
std::string escaped_html(std::string_view text);

}  // namespace scruple::changes
