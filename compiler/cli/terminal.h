// What the terminal at hand can do. The only place that looks at it.
#pragma once

#include <cstddef>
#include <string>

namespace scruple {

enum class Stream { out, err };

/// `when` is auto, always or never. Auto: a terminal, NO_COLOR not set, TERM not dumb.
bool wants_color(const std::string& when, Stream stream);

/// Columns of the terminal, 80 where there is none; at most 200.
std::size_t terminal_width(Stream stream);

/// Writes all of it and flushes; false if that failed (a full disk, a closed pipe).
bool write_out(const std::string& text);
bool write_err(const std::string& text);

}  // namespace scruple
