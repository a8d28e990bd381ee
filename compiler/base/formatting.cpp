// The body of fmt, compiled once and linked into the program. Header-only it would be compiled again in every file that
// formats a word, which took half the time of a build; as a shared library the program would need it wherever it runs.

#include <fmt/format-inl.h>

template auto fmt::detail::thousands_sep_impl<char>(locale_ref) -> thousands_sep_result<char>;
template auto fmt::detail::decimal_point_impl<char>(locale_ref) -> char;
template void fmt::detail::vformat_to<char>(buffer<char>&, string_view, format_args, locale_ref);
