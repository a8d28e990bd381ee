// One of the three versions: its text with plain line ends, its tree, and its cut into elements of whole lines.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/limits.h"
#include "syntax/tree.h"

namespace scruple::merging {

inline constexpr std::uint32_t kNoRow = 0xFFFFFFFF;

/// What of a text belongs to no line of it.
struct TextForm {
    bool bom = false;
    bool crlf = false;  // all of its lines end in CR LF
    bool mixed = false;  // some do
    bool ended = true;  // the last line has its end
};

/// Not to be moved: the tree looks into the text.
struct Version {
    TextForm form;
    std::string text;  // no byte order mark; every line ended
    SyntaxTree tree;
    std::optional<std::uint32_t> mistake;  // byte of the first mistake

    Version() = default;
    Version(const Version&) = delete;
    Version& operator=(const Version&) = delete;
    std::string_view view(std::uint32_t begin, std::uint32_t end) const {
        return std::string_view(text).substr(begin, end - begin);
    }
};

TextForm form_of(std::string_view text);
/// Takes the text in, with LF for CR LF if `plain`.
void read_version(Version& version, std::string_view text, bool plain, const ResourceLimits& limits);

/// A row or a run of comments that stands alone, with the empty lines and comments that stand on it. All are starts of
/// lines: [begin, lead) is empty, [lead, head) are comments, [head, body) the row up to its `{`, [body, foot) the block,
/// [foot, end) its closing line. Without a block `body` and `foot` are `end`.
struct Element {
    std::uint32_t row = kNoRow;  // none: comments that stand alone
    std::uint32_t begin = 0, lead = 0, head = 0, body = 0, foot = 0, end = 0;
    bool block = false;
};

struct Level {
    std::vector<Element> elements;
    std::uint32_t tail = 0;  // from here to `end`: empty lines behind the last one
    std::uint32_t end = 0;
};

/// The elements of a row's block, or of the file (`kNoRow`). Nothing where they do not stand on lines of their own.
std::optional<Level> level_of(const Version& version, std::uint32_t row);

/// What a row and its block say, as a text that is the same however it is laid out and its figures are written. With
/// its comments. `rows` beyond the first belong to its block.
std::string meaning_of(const Version& version, const Element& element);
/// The comments that stand on an element.
std::string comments_of(std::string_view lines);

}  // namespace scruple::merging
