// Ties the grammar to RowBuilder: looks the text over for what no grammar should meet, then reads
// it in one pass.
#include "syntax/parser.h"

#include <algorithm>
#include <cstring>
#include <limits>

#include "base/text.h"
#include "syntax/characters.h"
#include "syntax/grammar.h"
#include "syntax/mend.h"
#include "syntax/rows.h"

namespace scruple {
namespace {

struct ParseState {
    RowBuilder& rows;
    const char* begin;
    bool turns = false;  // some character of the text turns the reading direction
    bool lone_return_said = false;

    std::size_t offset(const char* at) const { return static_cast<std::size_t>(at - begin); }
    std::size_t read_odd(const char* at) {
        const std::size_t from = offset(at);
        const std::size_t to = mend(rows, from);
        return to > from ? to - from : 1;
    }
};

/// Old line ends: one mistake, however many there are.
void report_lone_returns(ParseState& state, std::size_t first) {
    constexpr std::size_t kMostEdits = 10000;
    const auto text = state.rows.text();
    std::vector<Edit> edits;
    for (std::size_t at = first; at < text.size() && edits.size() <= kMostEdits;
         at = text.find('\r', at + 1)) {
        if (byte_at(text, at + 1) != '\n') edits.push_back({state.rows.span(at, at + 1), "\n"});
    }
    const bool all = edits.size() <= kMostEdits;
    if (!all) edits.pop_back();
    state.rows
        .report(Code::invisible_character, first, first + 1,
                "a carriage return without a line feed, and lines end in a line feed")
        .fix("end the lines as others do", all, std::move(edits));
    state.lone_return_said = true;
}

template <typename Rule>
struct Action : tao::pegtl::nothing<Rule> {};

template <AtomKind Kind>
struct AtomAction {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        state.rows.atom(Kind, state.offset(in.begin()), state.offset(in.end()));
    }
};

template <AtomKind Kind>
struct FigureAction {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        const std::size_t begin = state.offset(in.begin());
        const std::size_t end = state.offset(in.end());
        state.rows.atom(Kind, begin, end);
        if (end - begin > kMostDigits) check_figure_length(state.rows, begin, end);
    }
};

template <>
struct Action<grammar::number> : FigureAction<AtomKind::number> {};
template <>
struct Action<grammar::range_figure> : FigureAction<AtomKind::range> {};
template <>
struct Action<grammar::date> : AtomAction<AtomKind::date> {};
template <>
struct Action<grammar::month> : AtomAction<AtomKind::month> {};
template <>
struct Action<grammar::percent> : AtomAction<AtomKind::percent> {};
template <>
struct Action<grammar::slash> : AtomAction<AtomKind::slash> {};
template <>
struct Action<grammar::equals> : AtomAction<AtomKind::equals> {};

template <>
struct Action<grammar::word> {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        const std::size_t begin = state.offset(in.begin());
        const std::size_t end = state.offset(in.end());
        state.rows.atom(AtomKind::word, begin, end);
        if (end - begin > state.rows.limits().name_bytes) check_name_length(state.rows, begin, end);
    }
};

template <>
struct Action<grammar::text> {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        const std::size_t begin = state.offset(in.begin());
        const std::size_t end = state.offset(in.end());
        state.rows.atom(AtomKind::string, begin, end);
        if (end - begin > state.rows.limits().string_bytes)
            check_string_length(state.rows, begin, end);
        if (state.turns) check_direction(state.rows, begin, end);
    }
};

template <>
struct Action<grammar::comment> {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        const std::size_t begin = state.offset(in.begin());
        const std::size_t end = state.offset(in.end());
        state.rows.comment(begin, end);
        if (state.turns) check_direction(state.rows, begin, end);
    }
};

template <>
struct Action<grammar::slash_comment> {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        const std::size_t begin = state.offset(in.begin());
        const std::size_t end = state.offset(in.end());
        state.rows
            .report(Code::slash_comment, begin, begin + 2,
                    "a comment that starts with slashes, and comments start with `#`")
            .fix("write `#`", true,
                 {{state.rows.span(begin, begin + 2),
                   byte_at(state.rows.text(), begin + 2) == '#' ? "# " : "#"}});
        state.rows.comment(begin, end);
        if (state.turns) check_direction(state.rows, begin, end);
    }
};

template <>
struct Action<grammar::comma> {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        state.rows.comma(state.offset(in.begin()), state.offset(in.end()));
    }
};

template <>
struct Action<grammar::open> {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        state.rows.open(state.offset(in.begin()), state.offset(in.end()));
    }
};

template <>
struct Action<grammar::close> {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        state.rows.close(state.offset(in.begin()), state.offset(in.end()));
    }
};

template <>
struct Action<grammar::line_end> {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        const std::size_t begin = state.offset(in.begin());
        const std::size_t end = state.offset(in.end());
        if (*(in.end() - 1) == '\r' && !state.lone_return_said) report_lone_returns(state, begin);
        state.rows.line_end(begin, end);
    }
};

template <>
struct Action<grammar::bom> {
    template <typename Input>
    static void apply(const Input& in, ParseState& state) {
        state.rows.start_at(state.offset(in.end()));
    }
};

/// Offset of the first byte that is not ASCII; the size if there is none.
std::size_t first_high_byte(std::string_view text) {
    std::size_t at = 0;
    for (; at + 8 <= text.size(); at += 8) {
        std::uint64_t eight = 0;
        std::memcpy(&eight, text.data() + at, 8);
        if ((eight & 0x8080808080808080u) != 0) break;
    }
    while (at < text.size() && static_cast<unsigned char>(text[at]) < 0x80) ++at;
    return at;
}

/// Reports bytes that are no UTF-8, once a run. Tells whether anything turns the reading direction.
bool look_over(RowBuilder& rows) {
    const auto text = rows.text();
    bool turns = false;
    bool noted = false;
    for (std::size_t at = first_high_byte(text); at < text.size();) {
        const auto byte = static_cast<unsigned char>(text[at]);
        if (byte < 0x80) {
            ++at;
            continue;
        }
        const CodePoint c = decode_utf8(text, at);
        if (c.value != 0xFFFD || c.length != 1) {
            turns = turns || characters::is_direction(c.value);
            at += c.length;
            continue;
        }
        const std::size_t begin = at;
        while (at < text.size() && static_cast<unsigned char>(text[at]) >= 0x80) {
            const CodePoint bad = decode_utf8(text, at);
            if (bad.value != 0xFFFD || bad.length != 1) break;
            ++at;
        }
        auto added = rows.report(Code::invalid_utf8, begin, at,
                                 "bytes that are not UTF-8 text, and recipes are UTF-8");
        if (!noted)
            added.note("the file was probably saved in an older encoding; save it again as UTF-8");
        noted = true;
    }
    return turns;
}

/// Another encoding altogether, or no text at all: nothing in it can be read.
bool refused(RowBuilder& rows) {
    const auto text = rows.text();
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF")) {
        rows.report(Code::invalid_utf8, 0, 2, "this is UTF-16 text, and recipes are UTF-8")
            .note("save the file again as UTF-8");
        return true;
    }
    const std::size_t nul = text.find('\0');
    if (nul == std::string_view::npos) return false;
    rows.report(Code::nul_byte, nul, nul + 1, "a NUL byte, and a recipe is text")
        .note("this is no text file, or it was damaged; nothing in it was read");
    return true;
}

}  // namespace

SyntaxTree parse(FileId file, std::string_view text, const ResourceLimits& limits, Bag& bag,
                 std::uint32_t base) {
    SyntaxTree tree;
    tree.file = file;
    tree.base = base;
    if (text.size() > std::numeric_limits<std::uint32_t>::max() / 2 - base) {
        // Offsets would not fit. Callers refuse such files long before.
        bag.add(Code::file_too_large, {file, base, base}, "a file too large to be read");
        tree.complete = false;
        return tree;
    }
    tree.text = text;
    // Room for what lines like ours come to; what is not used is never touched.
    const auto sample = text.substr(0, 16384);
    const auto sampled = static_cast<std::size_t>(std::count(sample.begin(), sample.end(), '\n')) + 1;
    const std::size_t lines = sample.size() == text.size() ? sampled : (text.size() / sample.size() + 1) * sampled;
    tree.rows.reserve(std::min(lines, text.size() / 8 + 8));
    tree.items.reserve(std::min(lines + lines / 8, text.size() / 8 + 8));
    tree.atoms.reserve(std::min(lines * 4, text.size() / 4 + 8));
    RowBuilder rows(tree, limits, bag);
    if (refused(rows)) {
        rows.refuse();
        return tree;
    }
    ParseState state{rows, text.data()};
    state.turns = look_over(rows);
    using Input = tao::pegtl::memory_input<tao::pegtl::tracking_mode::lazy,
                                           tao::pegtl::eol::lf_crlf, const char*>;
    Input in(text.data(), text.data() + text.size(), "");
    tao::pegtl::parse<grammar::file, Action>(in, state);
    rows.finish();
    return tree;
}

}  // namespace scruple
