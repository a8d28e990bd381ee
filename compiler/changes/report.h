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
    std::size_t more = 0;      // blends and products with something for this section that did not fit
    std::size_t more_worse = 0;  // those of them in which it got worse
};

/// Of very many blends and products a terminal and a comment list the gravest, and count the rest.
inline constexpr std::size_t kMostListed = 40;
inline constexpr std::size_t kMostInComment = 30;

/// Everything.
std::vector<ReportSection> whole_report(const Changes& changes);
/// Without small changes; they are counted.
std::vector<ReportSection> short_report(const Changes& changes);
/// "3 small changes", "900 more blends and products (12 of them worse)"; empty where nothing was left out.
std::string left_out_words(const ReportSection& section);

/// How many blends and products are not listed since they differ in small things only.
std::size_t small_only(const Changes& changes);

/// "OLD against NEW", by the names of the sides.
std::string report_title(const Changes& changes);

/// Text safe in Markdown and in a page; no line breaks.
std::string escaped_markdown(std::string_view text);
std::string escaped_html(std::string_view text);

}  // namespace scruple::changes
