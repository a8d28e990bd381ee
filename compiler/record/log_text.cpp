#include "record/log_text.h"

#include <fmt/core.h>

#include "base/limits.h"
#include "diag/diagnostic.h"
#include "layout/format.h"
#include "syntax/parser.h"

namespace scruple {
namespace {

std::string field(std::string_view word) { return std::string(word) + " "; }

/// A row as the layout has it, with its line ends.
std::string laid_out(const std::string& row) {
    constexpr std::string_view kHead = "bench b {\n";
    constexpr std::string_view kFoot = "}\n";
    std::string text = format_text(FileId::none, std::string(kHead) + row + "\n" + std::string(kFoot)).layout.text;
    return text.substr(kHead.size(), text.size() - kHead.size() - kFoot.size());
}

std::string unit_word(std::string_view amount, std::string_view unit) {
    if (amount == "1" && unit == "drops") return "drop";
    if (amount == "1" && unit == "parts") return "part";
    return std::string(unit);
}

std::string remark_of(std::string_view text) { return text.empty() ? std::string() : " " + string_text(text); }

}  // namespace

std::string string_text(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        out += static_cast<unsigned char>(c) < ' ' ? ' ' : c;
    }
    return out + "\"";
}

std::string day_row(std::string_view day) { return laid_out(field("on") + std::string(day)); }

std::string row_text(const Entry& entry, std::string_view unit) {
    if (entry.ask == Ask::mark) return laid_out(field("mark") + entry.word);
    if (entry.ask == Ask::after) return laid_out(field("after") + entry.word + remark_of(entry.text));
    std::string out = field(entry.ask == Ask::strip ? "strip" : "add");
    for (std::size_t i = 0; i < entry.oils.size(); ++i) {
        const EntryOil& oil = entry.oils[i];
        const std::string_view own = oil.unit.empty() ? unit : std::string_view(oil.unit);
        std::string item = oil.amount.empty() ? oil.names.front() : fmt::format("{} {} {}", oil.amount, unit_word(oil.amount, own), oil.names.front());
        if (!oil.remark.empty()) item += " " + string_text(oil.remark);
        if (i > 0) out += ", ";
        out += item;
    }
    return laid_out(out + remark_of(entry.text));
}

std::string new_bench(std::string_view name, std::string_view title, std::string_view day) {
    return fmt::format("bench {}{} {{\n{}}}\n", name, title.empty() ? "" : " " + string_text(title), day_row(day));
}

std::string new_blend(std::string_view name, std::string_view title, std::string_view bench, std::string_view mark) {
    return fmt::format("blend {}{} from {} at {} {{\n}}\n", name, title.empty() ? "" : " " + string_text(title), bench, mark);
}

std::optional<BenchPlace> find_bench(std::string_view text, std::string_view name) {
    Bag unheard;
    const SyntaxTree tree = parse(FileId::none, text, ResourceLimits{}, unheard);
    for (std::uint32_t r = 0; r < tree.rows.size(); r = tree.rows[r].next) {
        const Row& row = tree.rows[r];
        if (row.kind != RowKind::entry || row.item_count == 0 || !row.has_block || row.close == row.end) continue;
        const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
        if (atoms.size() < 2 || tree.value_text(atoms[0]) != "bench" || tree.value_text(atoms[1]) != name) continue;
        return BenchPlace{row.open, row.close};
    }
    return std::nullopt;
}

std::string with_rows(std::string_view text, const BenchPlace& place, std::string_view rows) {
    // Before the line of the brace, where that has a line of its own.
    std::size_t at = place.close;
    while (at > place.open + 1 && (text[at - 1] == ' ' || text[at - 1] == '\t')) --at;
    const bool own_line = at > 0 && text[at - 1] == '\n';
    if (!own_line) at = place.close;
    std::string out(text.substr(0, at));
    if (!own_line) {
        while (!out.empty() && (out.back() == ' ' || out.back() == '\t')) out.pop_back();
        out += '\n';
    }
    out += rows;
    out += text.substr(at);
    return out;
}

std::string with_declaration(std::string_view text, std::string_view declaration) {
    std::string out(text);
    if (!out.empty() && out.back() != '\n') out += '\n';
    if (!out.empty() && !out.ends_with("\n\n")) out += '\n';
    out += declaration;
    return out;
}

std::optional<std::string> with_struck(std::string_view text, const BenchPlace& place, std::string_view row) {
    const auto at = text.substr(0, place.close).rfind(row);
    if (at == std::string_view::npos || at <= place.open) return std::nullopt;
    // Nothing but comments and the brace may follow.
    for (auto rest = text.substr(at + row.size(), place.close - at - row.size()); !rest.empty();) {
        const auto line = rest.substr(0, rest.find('\n'));
        const auto first = line.find_first_not_of(" \t\r");
        if (first != std::string_view::npos && line[first] != '#') return std::nullopt;
        rest.remove_prefix(std::min(rest.size(), line.size() + 1));
    }
    std::string out(text.substr(0, at));
    std::string_view rest = row;
    bool first = true;
    while (!rest.empty()) {
        auto line = rest.substr(0, rest.find('\n'));
        rest.remove_prefix(std::min(rest.size(), line.size() + 1));
        while (!line.empty() && line.front() == ' ') line.remove_prefix(1);
        out += first ? "    # struck: " : "    #         ";
        out += line;
        out += '\n';
        first = false;
    }
    out += text.substr(at + row.size());
    return out;
}

}  // namespace scruple
