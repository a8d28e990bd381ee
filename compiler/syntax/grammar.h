// The grammar of the text, for PEGTL. Private to the parser and its tests: no other file includes
// it.
//
// It has no recursion. A text is a flat run of pieces; which row, list or block a piece belongs to
// is the business of RowBuilder, so nesting costs no call depth. A piece that is not quite right
// falls through to `odd`, which reads at least one byte, says what is wrong and carries on: every
// text parses. Rules have the names that grammar/scruple.peg gives them.
#pragma once

#include <tao/pegtl.hpp>
#include <tao/pegtl/contrib/analyze_traits.hpp>

namespace scruple::grammar {

using namespace tao::pegtl;

struct bom : utf8::bom {};

struct blank_char : one<' ', '\t'> {};
struct blanks : plus<blank_char> {};
/// A lone carriage return ends a line too, and is reported.
struct line_end : sor<one<'\n'>, seq<one<'\r'>, opt<one<'\n'>>>> {};

struct comment : seq<one<'#'>, star<not_one<'\n', '\r'>>> {};
struct slash_comment : seq<one<'/'>, one<'/', '*'>, star<not_one<'\n', '\r'>>> {};

struct comma : one<','> {};
struct open : one<'{'> {};
struct close : one<'}'> {};
struct equals : one<'='> {};
struct slash : one<'/'> {};

struct high_byte : range<'\x80', '\xFF'> {};
struct degree : string<'\xC2', '\xB0'> {};

// Words. `°C` is one; so is `house.fir`.
struct word_char : sor<ranges<'a', 'z', '0', '9', 'A', 'Z', '_', '_'>, degree> {};
struct name_part
    : seq<sor<ranges<'a', 'z', 'A', 'Z', '_', '_'>, seq<degree, at<alpha>>>, star<word_char>> {};
struct word_trouble : sor<one<'-', '\'', '.'>, high_byte> {};
struct word : seq<name_part, star<seq<one<'.'>, name_part>>, not_at<word_trouble>> {};

// Figures. What may follow one without a second look is all that is not listed as trouble.
struct digits : plus<digit> {};
struct fraction_tail : seq<one<'/'>, digits> {};
struct decimal_tail : seq<one<'.'>, digits> {};
struct value : seq<opt<one<'-'>>, digits, opt<sor<decimal_tail, fraction_tail>>> {};
struct figure_trouble
    : sor<one<'.', '-', '\'', '_'>, seq<one<','>, digit>, seq<one<'/'>, digit>,
          seq<one<'e', 'E'>, opt<one<'+', '-'>>, digit>, seq<one<'x'>, not_at<alpha>>,
          seq<not_at<degree>, high_byte>,
          seq<blanks, sor<ranges<'0', '9', '-', '.'>, seq<not_at<degree>, high_byte>>>> {};
struct month_text : seq<rep<4, digit>, one<'-'>, one<'0', '1'>, digit> {};
struct date : seq<month_text, one<'-'>, digit, digit, not_at<sor<digit, figure_trouble>>> {};
struct month : seq<month_text, not_at<sor<digit, figure_trouble>>> {};
struct points : string<'.', '.'> {};
struct range_figure : seq<value, rep_min_max<1, 2, seq<points, value>>, not_at<figure_trouble>> {};
struct number : seq<value, not_at<figure_trouble>> {};
struct figure : seq<at<sor<digit, one<'-'>>>, sor<number, range_figure, month, date>> {};

struct percent : seq<one<'%'>, not_at<sor<alnum, one<'-'>>>> {};

// Texts. No line end inside, and no escape but these two.
struct escape : seq<one<'\\'>, one<'"', '\\'>> {};
struct text : seq<one<'"'>, star<sor<not_one<'"', '\\', '\n', '\r'>, escape>>, one<'"'>> {};

/// Everything else. The state decides how much of it belongs together.
struct odd {
    using rule_t = odd;
    using subs_t = empty_list;

    template <apply_mode A, rewind_mode M, template <typename...> class Action,
              template <typename...> class Control, typename Input, typename State>
    static bool match(Input& in, State& state) {
        if (in.empty()) return false;
        in.bump(state.read_odd(in.current()));
        return true;
    }
};

struct piece : sor<blanks, word, line_end, figure, comma, text, percent, open, close, comment,
                   equals, slash_comment, slash, odd> {};
struct file : seq<opt<bom>, star<piece>, eof> {};

}  // namespace scruple::grammar

namespace tao::pegtl {

/// `odd` reads at least one byte wherever there is one.
template <typename Name>
struct analyze_traits<Name, scruple::grammar::odd> : analyze_any_traits<> {};

}  // namespace tao::pegtl
