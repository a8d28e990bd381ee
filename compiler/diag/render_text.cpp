#include "diag/render.h"

#include <fmt/core.h>

#include <algorithm>
#include <map>

#include "base/text.h"
#include "diag/excerpt.h"
#include "diag/place.h"

// The layout, top to bottom: what is wrong; where, with the code; the line with its marks (`^` the main place, `~`
// further ones, `+` what to type, `-` what to take out); notes; ways to mend (`mend` is certain, `perhaps` is not).
// Colour only repeats what the words and marks say.

namespace scruple {
namespace {

using namespace diag;

constexpr std::size_t kMostFurther = 12;   // further places shown before the rest is counted
constexpr std::size_t kMostFixes = 4;
constexpr std::size_t kMostHunks = 3;      // edited lines shown of one fix
constexpr std::size_t kMostNewLines = 5;   // lines shown of one long insertion
constexpr std::size_t kHunkContext = 1600; // bytes around an edit that are looked at; four a column
constexpr std::size_t kLeastText = 24;     // columns left for words, however narrow the terminal

enum class Tone { plain, error, warning, note, mend, dim };

std::string_view escape(Tone tone) {
    switch (tone) {
        case Tone::error: return "\x1b[1;31m";
        case Tone::warning: return "\x1b[1;33m";
        case Tone::note: return "\x1b[36m";
        case Tone::mend: return "\x1b[32m";
        case Tone::dim: return "\x1b[2m";
        case Tone::plain: break;
    }
    return {};
}

Tone tone_of(Severity severity) {
    switch (severity) {
        case Severity::error: return Tone::error;
        case Severity::warning: return Tone::warning;
        case Severity::note: break;
    }
    return Tone::note;
}

/// A stretch of one line and the words that belong to it.
struct Mark {
    std::size_t begin = 0;  // bytes in the line
    std::size_t end = 0;
    char sign = '^';
    Tone tone = Tone::plain;
    std::string text;
};

/// A mark as it stands in the excerpt.
struct Drawn {
    std::size_t begin = 0;  // columns
    std::size_t end = 0;
    const Mark* mark = nullptr;
};

using MarkedLines = std::map<std::uint32_t, std::vector<Mark>>;

class TextWriter {
public:
    TextWriter(const SourceMap& sources, const TextOptions& options) : sources_(sources), options_(options) {}

    std::string write(const Diagnostic& d) {
        tone_ = tone_of(d.severity);
        gutter_ = gutter_for(d);
        headline(d);
        places(d);
        for (const auto& note : d.notes) paragraph("  note: ", Tone::note, note);
        for (std::size_t i = 0; i < d.fixes.size() && i < kMostFixes; ++i) fix(d.fixes[i], i > 0);
        if (d.fixes.size() > kMostFixes) {
            out_ += fmt::format("  and {} more ways to mend it\n", d.fixes.size() - kMostFixes);
        }
        return std::move(out_);
    }

private:
    const SourceMap& sources_;
    const TextOptions& options_;
    std::string out_;
    Tone tone_ = Tone::error;
    std::size_t gutter_ = 4;

    std::string painted(Tone tone, std::string_view text) const {
        if (!options_.color || tone == Tone::plain || text.empty()) return std::string(text);
        return fmt::format("{}{}\x1b[0m", escape(tone), text);
    }

    /// Columns for the excerpt, right of the gutter.
    std::size_t columns() const {
        const std::size_t width = options_.width == 0 ? kMostColumns : options_.width;
        return width > gutter_ + 3 + kLeastText ? std::min(width - gutter_ - 3, kMostColumns) : kLeastText;
    }

    std::vector<std::string> broken(std::string_view text, std::size_t indent) const {
        std::vector<std::string> lines;
        const std::string shown = visible(text);
        for (std::size_t at = 0; at <= shown.size();) {
            const std::size_t end = std::min(shown.find('\n', at), shown.size());
            const std::string_view piece = std::string_view(shown).substr(at, end - at);
            if (options_.width == 0) {
                lines.emplace_back(piece);
            } else {
                const std::size_t room = std::max(options_.width, indent + kLeastText) - indent;
                for (auto& line : wrap(piece, room)) lines.push_back(std::move(line));
            }
            at = end + 1;
        }
        if (lines.empty()) lines.emplace_back();
        return lines;
    }

    /// `lead` and then the text, its further lines below its first word.
    void paragraph(std::string_view lead, Tone tone, std::string_view text) {
        const std::string indent(lead.size(), ' ');
        bool first = true;
        for (const auto& line : broken(text, lead.size())) {
            out_ += first ? painted(tone, lead) : indent;
            out_ += line;
            out_ += '\n';
            first = false;
        }
    }

    void headline(const Diagnostic& d) {
        const std::string lead = fmt::format("{}: ", severity_word(d.severity));
        bool first = true;
        for (const auto& line : broken(d.message, lead.size())) {
            out_ += first ? painted(tone_, lead) : std::string(lead.size(), ' ');
            out_ += line;
            out_ += '\n';
            first = false;
        }
    }

    std::size_t gutter_for(const Diagnostic& d) const {
        std::uint32_t last = 1;
        const auto see = [&](Span span) {
            if (!has_place(sources_, span)) return;
            last = std::max(last, sources_.file(span.file).lines().bytes(std::max(span.begin, span.end)).line + 1);
        };
        see(d.span);
        for (const auto& label : d.more) see(label.span);
        for (const auto& fix : d.fixes) {
            for (const auto& edit : fix.edits) see(edit.span);
        }
        return std::max<std::size_t>(4, fmt::formatted_size("{}", last) + 1);
    }

    /// A span over several lines is marked on its first line and on its last.
    void mark_span(MarkedLines& lines, Span span, char sign, Tone tone, const std::string& text) const {
        const SourceFile& file = sources_.file(span.file);
        const LineIndex& index = file.lines();
        const LineColumn from = index.bytes(span.begin);
        LineColumn to = index.bytes(std::max(span.begin, span.end));
        if (to.column == 0 && to.line > from.line) {  // ends with a line end: the line after has no part in it
            --to.line;
            to.column = static_cast<std::uint32_t>(index.line(to.line).size());
        }
        if (from.line == to.line) {
            lines[from.line].push_back({from.column, to.column, sign, tone, text});
            return;
        }
        lines[from.line].push_back({from.column, index.line(from.line).size(), sign, tone, "from here"});
        const std::string_view last = index.line(to.line);
        std::size_t start = last.substr(0, kHunkContext).find_first_not_of(" \t");
        if (start == std::string_view::npos || start > to.column) start = 0;
        lines[to.line].push_back({start, to.column, sign, tone, text.empty() ? "to here" : "to here: " + text});
    }

    void place_line(std::string_view lead, Span span, std::string_view after) {
        const SourceFile& file = sources_.file(span.file);
        const LineColumn at = place_for_people(file, span.begin);
        out_ += painted(Tone::dim, lead);
        out_ += fmt::format("{}:{}:{}", path_for_people(file), at.line + 1, at.column + 1);
        out_ += painted(Tone::dim, after);
        out_ += '\n';
    }

    void places(const Diagnostic& d) {
        const std::string code = fmt::format(" ({})", code_info(d.code).name);
        const bool placed = has_place(sources_, d.span);
        std::vector<FileId> order;
        std::map<FileId, MarkedLines> files;
        std::map<FileId, Span> first;
        const auto add = [&](Span span, char sign, Tone tone, const std::string& text) {
            if (files.find(span.file) == files.end()) {
                order.push_back(span.file);
                first[span.file] = span;
            }
            mark_span(files[span.file], span, sign, tone, text);
        };
        if (placed) {
            add(d.span, '^', tone_, d.label);
        } else {
            out_ += painted(Tone::dim, " " + code) + '\n';
        }
        std::vector<std::string> unplaced;
        for (std::size_t i = 0; i < d.more.size() && i < kMostFurther; ++i) {
            if (has_place(sources_, d.more[i].span)) {
                add(d.more[i].span, '~', Tone::note, d.more[i].text);
            } else {
                unplaced.push_back(d.more[i].text);
            }
        }
        for (const FileId id : order) {
            const bool main = placed && id == d.span.file;
            place_line(main ? "  at " : "  and ", first[id], main ? std::string_view(code) : std::string_view{});
            excerpt(sources_.file(id), files[id]);
        }
        if (!placed && !d.label.empty()) paragraph("  note: ", Tone::note, d.label);
        for (const auto& text : unplaced) paragraph("  note: ", Tone::note, text);
        if (d.more.size() > kMostFurther) {
            out_ += fmt::format("  and in {} more places\n", d.more.size() - kMostFurther);
        }
    }

    void excerpt(const SourceFile& file, const MarkedLines& lines) {
        const LineIndex& index = file.lines();
        bool any = false;
        std::uint32_t previous = 0;
        for (const auto& [line, marks] : lines) {
            if (any && line == previous + 2) {
                source_line(previous + 2, cut_line(index.line(previous + 1), 0, 0, columns()).text);
            } else if (any && line > previous + 1) {
                out_ += painted(Tone::dim, fmt::format("{:>{}}", "...", gutter_)) + '\n';
            }
            marked_line(line + 1, index.line(line), marks);
            previous = line;
            any = true;
        }
    }

    void source_line(std::uint32_t number, std::string_view text) {
        out_ += painted(Tone::dim, fmt::format("{:>{}} |", number, gutter_));
        if (!text.empty()) {
            out_ += ' ';
            out_ += text;
        }
        out_ += '\n';
    }

    void below(std::string_view text) {
        out_ += painted(Tone::dim, fmt::format("{:>{}} |", "", gutter_));
        out_ += ' ';
        out_ += text;
        out_ += '\n';
    }

    void marked_line(std::uint32_t number, std::string_view line, std::vector<Mark> marks) {
        std::stable_sort(marks.begin(), marks.end(), [](const Mark& a, const Mark& b) {
            if (a.begin != b.begin) return a.begin < b.begin;
            return a.sign == '^' && b.sign != '^';
        });
        const Mark* focus = &marks.front();
        for (const Mark& mark : marks) {
            if (mark.sign == '^') focus = &mark;
        }
        const Excerpt cut = cut_line(line, focus->begin, focus->end, columns());
        source_line(number, cut.text);
        std::vector<Drawn> row;
        for (const Mark& mark : marks) {
            Drawn drawn{cut.column_of(mark.begin), cut.column_of(mark.end), &mark};
            drawn.end = std::max(drawn.end, drawn.begin + 1);
            if (!row.empty() && drawn.begin < row.back().end + 1) {
                mark_row(row);
                row.clear();
            }
            row.push_back(drawn);
        }
        mark_row(row);
    }

    /// Marks that do not touch share a row; the last one's words stand beside it, the others' below, right to left.
    void mark_row(const std::vector<Drawn>& row) {
        std::string signs;
        std::size_t column = 0;
        for (const Drawn& drawn : row) {
            signs += std::string(drawn.begin - column, ' ');
            signs += painted(drawn.mark->tone, std::string(drawn.end - drawn.begin, drawn.mark->sign));
            column = drawn.end;
        }
        const Drawn& last = row.back();
        const std::string words = visible(last.mark->text);
        const bool beside = options_.width == 0 || column + 1 + display_width(words) <= columns();
        if (beside && !words.empty()) signs += ' ' + painted(last.mark->tone, words);
        below(signs);
        for (auto drawn = row.rbegin(); drawn != row.rend(); ++drawn) {
            if (drawn->mark->text.empty() || (drawn == row.rbegin() && beside)) continue;
            words_below(*drawn);
        }
    }

    void words_below(const Drawn& drawn) {
        const std::size_t wanted = std::min<std::size_t>(display_width(visible(drawn.mark->text)), 44);
        const std::size_t furthest = columns() > wanted ? columns() - wanted : 0;
        const std::size_t indent = std::min(drawn.begin, furthest);
        for (const auto& line : broken(drawn.mark->text, gutter_ + 3 + indent)) {
            below(std::string(indent, ' ') + painted(drawn.mark->tone, line));
        }
    }

    void fix(const Fix& fix, bool further) {
        const std::string_view lead = fix.safe ? "  mend: " : further ? "  or perhaps: " : "  perhaps: ";
        paragraph(lead, Tone::mend, fix.title);
        if (further && says_its_text(fix)) return;
        std::vector<Edit> edits;
        for (const Edit& edit : fix.edits) {
            if (has_place(sources_, edit.span)) edits.push_back(edit);
        }
        std::stable_sort(edits.begin(), edits.end(), [](const Edit& a, const Edit& b) {
            if (a.span.file != b.span.file) return a.span.file < b.span.file;
            return a.span.begin < b.span.begin;
        });
        std::size_t shown = 0;
        for (std::size_t i = 0; i < edits.size();) {
            const std::size_t next = hunk_end(edits, i);
            if (shown == kMostHunks) {
                out_ += fmt::format("  and {} more such edits\n", edits.size() - i);
                break;
            }
            hunk(edits, i, next);
            ++shown;
            i = next;
        }
    }

    /// The title of an alternative says all that its edits would show: "write `us_floz`" below a first such edit.
    static bool says_its_text(const Fix& fix) {
        return std::all_of(fix.edits.begin(), fix.edits.end(), [&](const Edit& e) {
            return !e.text.empty() && fix.title.find('`' + e.text + '`') != std::string::npos;
        });
    }

    /// Edits on one line, near each other, are shown together.
    std::size_t hunk_end(const std::vector<Edit>& edits, std::size_t first) const {
        const FileId id = edits[first].span.file;
        const LineIndex& index = sources_.file(id).lines();
        std::size_t next = first + 1;
        while (next < edits.size() && edits[next].span.file == id) {
            const Span before = edits[next - 1].span;
            const Span span = edits[next].span;
            if (span.begin < before.end || span.begin - before.end > kHunkContext) break;
            if (index.bytes(span.begin).line != index.bytes(before.end).line) break;
            ++next;
        }
        return next;
    }

    void hunk(const std::vector<Edit>& edits, std::size_t first, std::size_t next) {
        const SourceFile& file = sources_.file(edits[first].span.file);
        const std::string_view text = file.text();
        const LineIndex& index = file.lines();
        const auto size = static_cast<std::uint32_t>(text.size());
        const bool only_takes_out = std::all_of(edits.begin() + static_cast<std::ptrdiff_t>(first),
                                                edits.begin() + static_cast<std::ptrdiff_t>(next),
                                                [](const Edit& e) { return e.text.empty(); });
        if (only_takes_out) {
            MarkedLines lines;
            for (std::size_t i = first; i < next; ++i) mark_taken_out(lines, edits[i].span);
            excerpt(file, lines);
            return;
        }
        // The piece of text around the edits, as it will read, and where the new bytes stand in it.
        const std::uint32_t begin = std::min(edits[first].span.begin, size);
        const LineColumn at = index.bytes(begin);
        std::uint32_t from = index.line_start(at.line);
        const bool cut_before = begin - from > kHunkContext;
        if (cut_before) from = begin - static_cast<std::uint32_t>(kHunkContext);
        std::string mended = cut_before ? "..." : "";
        std::vector<std::pair<std::size_t, std::size_t>> fresh;
        std::uint32_t done = from;
        for (std::size_t i = first; i < next; ++i) {
            const std::uint32_t edit_begin = std::clamp(edits[i].span.begin, done, size);
            mended += text.substr(done, edit_begin - done);
            fresh.emplace_back(mended.size(), mended.size() + edits[i].text.size());
            mended += edits[i].text;
            done = std::clamp(edits[i].span.end, edit_begin, size);
        }
        std::string_view tail = text.substr(done, kHunkContext);
        tail = tail.substr(0, tail.find_first_of("\r\n"));
        mended += tail;
        mended_lines(mended, fresh, at.line + 1);
    }

    void mark_taken_out(MarkedLines& lines, Span span) const {
        const LineIndex& index = sources_.file(span.file).lines();
        const LineColumn from = index.bytes(span.begin);
        LineColumn to = index.bytes(std::max(span.begin, span.end));
        if (to.column == 0 && to.line > from.line) {
            --to.line;
            to.column = static_cast<std::uint32_t>(index.line(to.line).size());
        }
        std::uint32_t last = std::min(to.line, from.line + static_cast<std::uint32_t>(kMostNewLines) - 1);
        for (std::uint32_t line = from.line; line <= last; ++line) {
            const std::size_t begin = line == from.line ? from.column : 0;
            const std::size_t end = line == to.line ? to.column : index.line(line).size();
            const bool more = line == last && last < to.line;
            lines[line].push_back({begin, end, '-', Tone::mend,
                                   more ? fmt::format("and {} more lines", to.line - last) : std::string{}});
        }
    }

    void mended_lines(const std::string& mended, const std::vector<std::pair<std::size_t, std::size_t>>& fresh,
                      std::uint32_t number) {
        std::size_t shown = 0;
        for (std::size_t start = 0; start <= mended.size(); ++number) {
            const std::size_t end = std::min(mended.find('\n', start), mended.size());
            if (shown++ == kMostNewLines) {
                out_ += painted(Tone::dim, fmt::format("{:>{}}", "...", gutter_)) + '\n';
                return;
            }
            std::string_view line = std::string_view(mended).substr(start, end - start);
            if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
            std::vector<Mark> marks;
            for (const auto& [from, to] : fresh) {
                const std::size_t mark_begin = std::max(from, start);
                const std::size_t mark_end = std::min(to, start + line.size());
                if (mark_begin < mark_end) {
                    marks.push_back({mark_begin - start, mark_end - start, '+', Tone::mend, {}});
                }
            }
            if (marks.empty()) {
                source_line(number, cut_line(line, 0, 0, columns()).text);
            } else {
                marked_line(number, line, std::move(marks));
            }
            start = end + 1;
        }
    }
};

std::string counted(std::size_t count, std::string_view one) {
    return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

/// "2 errors, 1 warning; `scruple explain over_limit` tells more"
std::string closing_line(const std::vector<Diagnostic>& diagnostics, std::size_t width) {
    std::size_t counts[3] = {0, 0, 0};
    for (const auto& d : diagnostics) ++counts[static_cast<std::size_t>(d.severity)];
    std::string line;
    constexpr std::string_view kWords[] = {"error", "warning", "note"};
    for (std::size_t i = 0; i < 3; ++i) {
        if (counts[i] == 0) continue;
        if (!line.empty()) line += ", ";
        line += counted(counts[i], kWords[i]);
    }
    // The hint is about what is gravest, so that it helps whoever reads no further.
    const Diagnostic* worst = &diagnostics.front();
    for (const auto& d : diagnostics) {
        if (d.severity < worst->severity) worst = &d;
    }
    const std::string hint = fmt::format("`scruple explain {}` tells more", code_info(worst->code).name);
    const bool fits = width == 0 || display_width(line) + 2 + display_width(hint) <= width;
    return line + (fits ? "; " : "\n") + hint + '\n';
}

}  // namespace

std::string render_text(const Diagnostic& diagnostic, const SourceMap& sources, const TextOptions& options) {
    return TextWriter(sources, options).write(diagnostic);
}

std::string render_text(const std::vector<Diagnostic>& diagnostics, const SourceMap& sources,
                        const TextOptions& options) {
    if (diagnostics.empty()) return {};
    std::string text;
    std::size_t printed = 0;
    for (const auto& d : diagnostics) {
        if (printed == options.most) break;
        text += render_text(d, sources, options);
        text += '\n';
        ++printed;
    }
    if (printed < diagnostics.size()) {
        text += fmt::format("{} more not shown\n", diagnostics.size() - printed);
    }
    return text + closing_line(diagnostics, options.width);
}

}  // namespace scruple
