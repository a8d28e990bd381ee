// The page as Markdown with pipe tables (GitHub Flavored Markdown, 4.10). Every text of a recipe is
// escaped, so that it shows as it was written and cannot open a tag, a link or a heading.
#include <algorithm>

#include "emit/emit.h"
#include "emit/page.h"
#include "emit/words.h"

namespace scruple {

using namespace emit;

namespace {

std::string escaped(std::string_view text) {
    std::string out;
    out.reserve(text.size() + 8);
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        switch (c) {
            case '&': out += "&amp;"; continue;
            case '<': out += "&lt;"; continue;
            case '>': out += "&gt;"; continue;
            case '\\':
            case '`':
            case '*':
            case '_':
            case '[':
            case ']':
            case '|':
            case '#':
            case '~':
            case '!': out += '\\'; break;
            case '-':
            case '+':
            case '=':
                // Only at the start of a line could these open a list or underline a heading.
                if (i == 0) out += '\\';
                break;
            case '.':
            case ')': {
                // "1." at the start would become a numbered list.
                bool digits = i > 0;
                for (std::size_t k = 0; k < i; ++k)
                    digits = digits && text[k] >= '0' && text[k] <= '9';
                if (digits) out += '\\';
                break;
            }
            case ':':
                // A bare address would become a link.
                if (text.substr(i, 3) == "://") {
                    out += "&#58;";
                    continue;
                }
                break;
            case '@': out += "&#64;"; continue;
            default: break;
        }
        out += c;
    }
    return out;
}

std::string table_row(const std::vector<std::string>& cells) {
    std::string row = "|";
    for (const std::string& cell : cells) row += cell.empty() ? "  |" : " " + cell + " |";
    return row + "\n";
}

void add_table(std::string& out, const Table& table) {
    std::vector<std::string> heads;
    std::vector<std::string> rules;
    for (const Column& column : table.columns) {
        heads.push_back(escaped(column.head));
        rules.emplace_back(column.align == Align::right ? "---:" : ":---");
    }
    out += table_row(heads);
    out += table_row(rules);
    for (const TableRow& row : table.rows) {
        std::vector<std::string> cells(table.columns.size());
        for (std::size_t c = 0; c < cells.size() && c < row.cells.size(); ++c) {
            cells[c] = escaped(row.cells[c]);
            const bool strong = row.kind != TableRow::Kind::line && !cells[c].empty();
            if (strong) cells[c] = "**" + cells[c] + "**";
        }
        out += table_row(cells);
    }
}

std::string markdown(const Page& page) {
    std::string out = "# " + escaped(page.title) + " (" + escaped(page.id) + ")\n";
    std::string_view rest = page.doc;
    if (!rest.empty()) out += '\n';
    while (!rest.empty()) {
        const std::size_t end = rest.find('\n');
        std::string line = plain(rest.substr(0, end));
        line.erase(0, std::min(line.find_first_not_of(' '), line.size()));
        out += escaped(line) + "\n";
        rest = end == std::string_view::npos ? std::string_view() : rest.substr(end + 1);
    }
    for (const Block& block : page.blocks) {
        out += '\n';
        switch (block.kind) {
            case Block::Kind::heading: out += "## " + escaped(block.text) + "\n"; break;
            case Block::Kind::paragraph:
                out += block.tone == Tone::plain ? escaped(block.text)
                                                 : "**" + escaped(block.text) + "**";
                out += '\n';
                break;
            case Block::Kind::facts: {
                bool first = true;
                for (const auto& [label, text] : block.facts) {
                    if (label.empty() && !first) {
                        out += "  " + escaped(text) + "\n";
                        continue;
                    }
                    out += "- **" + escaped(label) + "** " + escaped(text) + "\n";
                    first = false;
                }
                break;
            }
            case Block::Kind::items:
                for (const std::string& item : block.items) out += "- " + escaped(item) + "\n";
                break;
            case Block::Kind::numbered: {
                std::size_t number = 0;
                for (const std::string& item : block.items)
                    out += std::to_string(++number) + ". " + escaped(item) + "\n";
                break;
            }
            case Block::Kind::table: add_table(out, block.table); break;
        }
    }
    return out;
}

}  // namespace

std::string emit_product_markdown(const Document& document, ProductId product) {
    return markdown(product_page(document, product));
}

std::string emit_bench_markdown(const Document& document, BenchId bench) {
    return markdown(bench_page(document, bench));
}

std::string emit_blend_markdown(const Document& document, BlendId blend) {
    return markdown(blend_page(document, blend));
}

std::string emit_markdown(const Document& document) {
    std::string out;
    auto add = [&](std::string page) {
        if (!out.empty()) out += "\n---\n\n";
        out += page;
    };
    for (BenchId bench : document.benches) add(emit_bench_markdown(document, bench));
    for (BlendId blend : document.blends) add(emit_blend_markdown(document, blend));
    for (ProductId product : document.products) add(emit_product_markdown(document, product));
    return out;
}

}  // namespace scruple
