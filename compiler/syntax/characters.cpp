#include "syntax/characters.h"

#include <algorithm>
#include <array>
#include <iterator>

namespace scruple::characters {
namespace {

struct Range {
    char32_t first;
    char32_t last;
};

template <std::size_t N>
bool within(const Range (&ranges)[N], char32_t c) {
    const auto after =
        std::upper_bound(std::begin(ranges), std::end(ranges), c,
                         [](char32_t value, const Range& r) { return value < r.first; });
    return after != std::begin(ranges) && c <= std::prev(after)->last;
}

struct Pair {
    char32_t from;
    char to;
};

// Shapes that common fonts draw alike (the Latin look of Unicode's confusables table, single
// letters only).
constexpr Pair kLookalikes[] = {
    {0x391, 'A'}, {0x392, 'B'}, {0x395, 'E'}, {0x396, 'Z'}, {0x397, 'H'}, {0x399, 'I'},
    {0x39A, 'K'}, {0x39C, 'M'}, {0x39D, 'N'}, {0x39F, 'O'}, {0x3A1, 'P'}, {0x3A4, 'T'},
    {0x3A5, 'Y'}, {0x3A7, 'X'}, {0x3B1, 'a'}, {0x3B9, 'i'}, {0x3BA, 'k'}, {0x3BD, 'v'},
    {0x3BF, 'o'}, {0x3C1, 'p'}, {0x3C5, 'u'}, {0x3F2, 'c'}, {0x405, 'S'}, {0x406, 'I'},
    {0x408, 'J'}, {0x410, 'A'}, {0x412, 'B'}, {0x415, 'E'}, {0x41A, 'K'}, {0x41C, 'M'},
    {0x41D, 'H'}, {0x41E, 'O'}, {0x420, 'P'}, {0x421, 'C'}, {0x422, 'T'}, {0x425, 'X'},
    {0x430, 'a'}, {0x435, 'e'}, {0x43A, 'k'}, {0x43C, 'm'}, {0x43E, 'o'}, {0x440, 'p'},
    {0x441, 'c'}, {0x443, 'y'}, {0x445, 'x'}, {0x455, 's'}, {0x456, 'i'}, {0x458, 'j'},
    {0x4BB, 'h'}, {0x501, 'd'}, {0x51B, 'q'}, {0x51D, 'w'},
};

// clang-format off
// U+00C0 to U+017F, one entry a code point; an empty entry has no plain form.
constexpr std::string_view kPlain[] = {
    "A",  "A",  "A", "A", "A", "A", "AE", "C", "E", "E", "E", "E", "I", "I", "I", "I",  // C0
    "D",  "N",  "O", "O", "O", "O", "O",  "",  "O", "U", "U", "U", "U", "Y", "",  "ss", // D0
    "a",  "a",  "a", "a", "a", "a", "ae", "c", "e", "e", "e", "e", "i", "i", "i", "i",  // E0
    "d",  "n",  "o", "o", "o", "o", "o",  "",  "o", "u", "u", "u", "u", "y", "",  "y",  // F0
    "A",  "a",  "A", "a", "A", "a", "C",  "c", "C", "c", "C", "c", "C", "c", "D", "d",  // 100
    "D",  "d",  "E", "e", "E", "e", "E",  "e", "E", "e", "E", "e", "G", "g", "G", "g",  // 110
    "G",  "g",  "G", "g", "H", "h", "H",  "h", "I", "i", "I", "i", "I", "i", "I", "i",  // 120
    "I",  "i",  "",  "",  "J", "j", "K",  "k", "",  "L", "l", "L", "l", "L", "l", "L",  // 130
    "l",  "L",  "l", "N", "n", "N", "n",  "N", "n", "",  "",  "",  "O", "o", "O", "o",  // 140
    "O",  "o",  "OE", "oe", "R", "r", "R", "r", "R", "r", "S", "s", "S", "s", "S", "s", // 150
    "S",  "s",  "T", "t", "T", "t", "T",  "t", "U", "u", "U", "u", "U", "u", "U", "u",  // 160
    "U",  "u",  "U", "u", "W", "w", "Y",  "y", "Y", "Z", "z", "Z", "z", "Z", "z", "",   // 170
};
// clang-format on
static_assert(std::size(kPlain) == 0x180 - 0xC0);

struct FractionRow {
    char32_t from;
    std::uint32_t over;
    std::uint32_t under;
};

// Unicode's "vulgar fraction" characters with their numeric values (UnicodeData.txt, field 8).
constexpr FractionRow kFractions[] = {
    {0x00BC, 1, 4},  {0x00BD, 1, 2}, {0x00BE, 3, 4}, {0x2150, 1, 7}, {0x2151, 1, 9},
    {0x2152, 1, 10}, {0x2153, 1, 3}, {0x2154, 2, 3}, {0x2155, 1, 5}, {0x2156, 2, 5},
    {0x2157, 3, 5},  {0x2158, 4, 5}, {0x2159, 1, 6}, {0x215A, 5, 6}, {0x215B, 1, 8},
    {0x215C, 3, 8},  {0x215D, 5, 8}, {0x215E, 7, 8}, {0x2189, 0, 3},
};

}  // namespace

bool is_odd_space(char32_t c) {
    static constexpr Range kSpaces[] = {{0x0B, 0x0C},     {0x85, 0x85},     {0xA0, 0xA0},
                                        {0x1680, 0x1680}, {0x2000, 0x200A}, {0x2028, 0x2029},
                                        {0x202F, 0x202F}, {0x205F, 0x205F}, {0x3000, 0x3000}};
    return within(kSpaces, c);
}

bool is_invisible(char32_t c) {
    static constexpr Range kHidden[] = {
        {0x00, 0x08},     {0x0E, 0x1F},     {0x7F, 0x84},     {0x86, 0x9F},      {0xAD, 0xAD},
        {0x34F, 0x34F},   {0x61C, 0x61C},   {0x115F, 0x1160}, {0x17B4, 0x17B5},  {0x180B, 0x180F},
        {0x200B, 0x200F}, {0x202A, 0x202E}, {0x2060, 0x206F}, {0x3164, 0x3164},  {0xFE00, 0xFE0F},
        {0xFEFF, 0xFEFF}, {0xFFA0, 0xFFA0}, {0xFFF0, 0xFFFB}, {0xE0000, 0xE0FFF}};
    return within(kHidden, c);
}

bool is_direction(char32_t c) {
    static constexpr Range kTurns[] = {
        {0x61C, 0x61C}, {0x200E, 0x200F}, {0x202A, 0x202E}, {0x2066, 0x2069}};
    return within(kTurns, c);
}

bool is_odd_dash(char32_t c) {
    static constexpr Range kDashes[] = {{0x2010, 0x2015}, {0x2043, 0x2043}, {0x2212, 0x2212},
                                        {0x2E3A, 0x2E3B}, {0xFE58, 0xFE58}, {0xFE63, 0xFE63},
                                        {0xFF0D, 0xFF0D}};
    return within(kDashes, c);
}

bool is_foreign_letter(char32_t c) {
    // Everything from U+00C0 on that is no sign, punctuation, picture or private character. Coarse
    // on purpose: it only decides how much is quoted in one message.
    static constexpr Range kLetters[] = {
        {0xAA, 0xAA},       {0xB5, 0xB5},      {0xBA, 0xBA},       {0xC0, 0xD6},
        {0xD8, 0xF6},       {0xF8, 0x2BF},     {0x300, 0x36F},     {0x370, 0x373},
        {0x376, 0x377},     {0x37B, 0x37D},    {0x37F, 0x37F},     {0x386, 0x386},
        {0x388, 0x481},     {0x483, 0x559},    {0x561, 0x588},     {0x591, 0x5BD},
        {0x5D0, 0x5F2},     {0x610, 0x61A},    {0x620, 0x65F},     {0x66E, 0x6D3},
        {0x6D5, 0x6DC},     {0x6FA, 0x6FC},    {0x710, 0x7BF},     {0x900, 0x963},
        {0x971, 0x1650},    {0x1681, 0x169A},  {0x16A0, 0x16EA},   {0x1700, 0x17B3},
        {0x17B6, 0x17D3},   {0x1820, 0x1FBC},  {0x1FBE, 0x1FBE},   {0x1FC2, 0x1FCC},
        {0x1FD0, 0x1FDB},   {0x1FE0, 0x1FEC},  {0x1FF2, 0x1FFC},   {0x2071, 0x2071},
        {0x207F, 0x207F},   {0x20D0, 0x20F0},  {0x212A, 0x212B},   {0x2C00, 0x2CE4},
        {0x2D00, 0x2DFF},   {0x3005, 0x3007},  {0x3041, 0x3096},   {0x3099, 0x309A},
        {0x309D, 0x309F},   {0x30A1, 0x30FA},  {0x30FC, 0x318E},   {0x31A0, 0x31BF},
        {0x31F0, 0x31FF},   {0x3400, 0x4DBF},  {0x4E00, 0xA48C},   {0xA4D0, 0xA4FD},
        {0xA500, 0xABFF},   {0xAC00, 0xD7FB},  {0xF900, 0xFB4F},   {0xFB50, 0xFBB1},
        {0xFBD3, 0xFD3D},   {0xFD50, 0xFDFB},  {0xFE20, 0xFE2F},   {0xFE70, 0xFEFC},
        {0xFF66, 0xFF9F},   {0xFFA1, 0xFFDC},  {0x10000, 0x100FA}, {0x10280, 0x1031F},
        {0x1D400, 0x1D7CB}, {0x20000, 0x323AF}};
    return within(kLetters, c);
}

char full_width(char32_t c) {
    if (c == 0xFF0D) return 0;  // the full-width hyphen counts among the dashes
    if (c >= 0xFF01 && c <= 0xFF5E) return static_cast<char>(c - 0xFEE0);
    if (c == 0x3001 || c == 0xFE50) return ',';
    if (c == 0x3002 || c == 0xFE52) return '.';
    return 0;
}

char lookalike(char32_t c) {
    const auto found =
        std::lower_bound(std::begin(kLookalikes), std::end(kLookalikes), c,
                         [](const Pair& p, char32_t value) { return p.from < value; });
    return found != std::end(kLookalikes) && found->from == c ? found->to : '\0';
}

std::string_view plain_letters(char32_t c) {
    if (c >= 0xC0 && c < 0x180) return kPlain[c - 0xC0];
    return {};
}

std::optional<SmallFraction> fraction(char32_t c) {
    for (const auto& row : kFractions) {
        if (row.from == c) return SmallFraction{row.over, row.under};
    }
    return std::nullopt;
}

}  // namespace scruple::characters
