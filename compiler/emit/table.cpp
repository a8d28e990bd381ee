#include "emit/table.h"

#include <algorithm>

#include "base/text.h"

namespace scruple::emit {
namespace {

constexpr std::size_t kGap = 2;
constexpr std::size_t kNarrowest = 12;  // a flexible column below this is not worth having
constexpr std::size_t kNesting = 2;     // lines stand further in than the headings among them

void trim_right(std::string& line) {
    while (!line.empty() && line.back() == ' ') line.pop_back();
}

std::string_view cell(const TableRow& row, std::size_t column) {
    return column < row.cells.size() ? std::string_view(row.cells[column]) : std::string_view();
}

bool has_headings(const Table& table) {
    return std::any_of(table.rows.begin(), table.rows.end(),
                       [](const TableRow& row) { return row.kind == TableRow::Kind::heading; });
}

/// Widths of the columns, or nothing where they cannot stand side by side.
std::vector<std::size_t> column_widths(const Table& table, std::size_t room) {
    const std::size_t nesting = has_headings(table) ? kNesting : 0;
    const std::size_t count = table.columns.size();
    std::vector<std::size_t> widths(count, 0);
    std::size_t fixed = count > 0 ? kGap * (count - 1) : 0;
    std::vector<std::size_t> flexible;
    for (std::size_t c = 0; c < count; ++c) {
        widths[c] = display_width(table.columns[c].head);
        for (const TableRow& row : table.rows) {
            if (row.kind == TableRow::Kind::heading) continue;
            const std::size_t in = c == 0 && row.kind == TableRow::Kind::line ? nesting : 0;
            widths[c] = std::max(widths[c], display_width(cell(row, c)) + in);
        }
        if (table.columns[c].flexible) {
            flexible.push_back(c);
        } else {
            fixed += widths[c];
        }
    }
    std::size_t wanted = 0;
    for (std::size_t c : flexible) wanted += widths[c];
    if (fixed + wanted <= room) return widths;
    if (fixed + kNarrowest * flexible.size() > room) return {};
    // Every flexible column gets an even share at most; what the narrow ones leave goes to the wide
    // ones.
    std::sort(flexible.begin(), flexible.end(), [&](std::size_t a, std::size_t b) {
        return widths[a] != widths[b] ? widths[a] < widths[b] : a < b;
    });
    std::size_t left = room - fixed;
    for (std::size_t i = 0; i < flexible.size(); ++i) {
        std::size_t& width = widths[flexible[i]];
        width = std::min(width, left / (flexible.size() - i));
        left -= width;
    }
    return widths;
}

void add_row(std::vector<std::string>& out, const std::vector<std::vector<std::string>>& cells,
             const std::vector<Column>& columns, const std::vector<std::size_t>& widths,
             std::size_t indent) {
    std::size_t height = 1;
    for (const auto& lines : cells) height = std::max(height, lines.size());
    for (std::size_t i = 0; i < height; ++i) {
        std::string line(indent, ' ');
        for (std::size_t c = 0; c < cells.size(); ++c) {
            if (c > 0) line.append(kGap, ' ');
            const std::string_view text =
                i < cells[c].size() ? std::string_view(cells[c][i]) : std::string_view();
            line += columns[c].align == Align::right ? pad_left(text, widths[c])
                                                     : pad_right(text, widths[c]);
        }
        trim_right(line);
        out.push_back(std::move(line));
    }
}

void add_folded(std::vector<std::string>& out, std::string_view text, std::size_t indent,
                std::size_t width) {
    for (const std::string& part : fold(text, width > indent ? width - indent : 1)) {
        out.push_back(std::string(indent, ' ') + part);
        trim_right(out.back());
    }
}

std::vector<std::string> as_lists(const Table& table, std::size_t indent, std::size_t width) {
    std::vector<std::string> out;
    for (const TableRow& row : table.rows) {
        if (row.kind == TableRow::Kind::heading) {
            add_folded(out, cell(row, 0), indent, width);
            continue;
        }
        add_folded(out, cell(row, 0), indent, width);
        for (std::size_t c = 1; c < table.columns.size(); ++c) {
            if (cell(row, c).empty()) continue;
            add_folded(out, table.columns[c].head + ": " + std::string(cell(row, c)), indent + 2,
                       width);
        }
    }
    return out;
}

}  // namespace

std::vector<std::string> fold(std::string_view text, std::size_t width) {
    if (width == 0) width = 1;
    std::vector<std::string> out;
    for (const std::string& line : wrap(text, width)) {
        if (display_width(line) <= width) {
            out.push_back(line);
            continue;
        }
        std::string part;
        std::size_t taken = 0;
        for (std::size_t at = 0; at < line.size();) {
            const std::size_t length = std::max<std::size_t>(decode_utf8(line, at).length, 1);
            const std::string_view next = std::string_view(line).substr(at, length);
            const std::size_t takes = display_width(next);
            if (!part.empty() && taken + takes > width) {
                out.push_back(std::move(part));
                part.clear();
                taken = 0;
            }
            part += next;
            taken += takes;
            at += length;
        }
        if (!part.empty()) out.push_back(std::move(part));
    }
    if (out.empty()) out.emplace_back();
    return out;
}

std::vector<std::string> layout(const Table& table, std::size_t indent, std::size_t width) {
    const std::size_t room = width > indent ? width - indent : 1;
    const std::vector<std::size_t> widths = column_widths(table, room);
    if (widths.empty()) return as_lists(table, indent, width);

    std::vector<std::string> out;
    std::size_t across = table.columns.empty() ? 0 : kGap * (table.columns.size() - 1);
    for (std::size_t w : widths) across += w;
    auto broken = [&](auto text_of, std::size_t nesting) {
        std::vector<std::vector<std::string>> cells;
        for (std::size_t c = 0; c < table.columns.size(); ++c) {
            const std::size_t in = c == 0 ? nesting : 0;
            std::vector<std::string> lines{std::string(text_of(c))};
            if (table.columns[c].flexible)
                lines = fold(text_of(c), widths[c] > in ? widths[c] - in : 1);
            for (std::string& line : lines) line.insert(0, in, ' ');
            cells.push_back(std::move(lines));
        }
        return cells;
    };
    const bool headed = std::any_of(table.columns.begin(), table.columns.end(),
                                    [](const Column& column) { return !column.head.empty(); });
    if (headed) {
        add_row(out,
                broken([&](std::size_t c) { return std::string_view(table.columns[c].head); }, 0),
                table.columns, widths, indent);
    }
    const std::size_t nesting = has_headings(table) ? kNesting : 0;
    bool after_rule = false;
    for (const TableRow& row : table.rows) {
        if (row.kind == TableRow::Kind::heading) {
            add_folded(out, cell(row, 0), indent, width);
            after_rule = false;
            continue;
        }
        if (row.kind == TableRow::Kind::total && !after_rule) {
            out.push_back(std::string(indent, ' ') + std::string(across, '-'));
            after_rule = true;
        }
        const std::size_t in = row.kind == TableRow::Kind::line ? nesting : 0;
        add_row(out, broken([&](std::size_t c) { return cell(row, c); }, in), table.columns, widths,
                indent);
    }
    return out;
}

}  // namespace scruple::emit
