// What the terminal at hand can do. The only place that looks at it.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace scruple {

enum class Stream { out, err };

bool is_terminal(Stream stream);

/// `when` is auto, always or never. Auto: a terminal, NO_COLOR not set, TERM not dumb.
bool wants_color(const std::string& when, Stream stream);

/// Columns of the terminal, 80 where there is none; at most 200.
std::size_t terminal_width(Stream stream);

/// The text with every byte that is not UTF-8 and every control character but line end and tab as `?`: words of the
/// command line and names of files come back in messages, and must not reach a terminal as commands.
std::string plain_text(std::string_view text);

/// Writes a message of the program's own on the error stream, as plain text.
bool say(const std::string& message);

/// Writes all of it and flushes; false if that failed (a full disk, a closed pipe).
bool write_out(std::string_view text);
bool write_err(std::string_view text);

}  // namespace scruple
