#include "cli/terminal.h"

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "base/text.h"

namespace scruple {
namespace {

int descriptor(Stream stream) { return stream == Stream::out ? STDOUT_FILENO : STDERR_FILENO; }

bool write_all(std::FILE* file, std::string_view text) {
    return std::fwrite(text.data(), 1, text.size(), file) == text.size() && std::fflush(file) == 0;
}

}  // namespace

bool is_terminal(Stream stream) { return isatty(descriptor(stream)) == 1; }

bool wants_color(const std::string& when, Stream stream) {
    if (when == "always") return true;
    if (when == "never") return false;
    const char* none = std::getenv("NO_COLOR");
    const char* term = std::getenv("TERM");
    if (none && *none) return false;
    if (term && std::string_view(term) == "dumb") return false;
    return is_terminal(stream);
}

std::size_t terminal_width(Stream stream) {
    winsize size{};
    if (is_terminal(stream) && ioctl(descriptor(stream), TIOCGWINSZ, &size) == 0 && size.ws_col > 0) {
        return std::clamp<std::size_t>(size.ws_col, 40, 200);
    }
    return 80;
}

bool write_out(std::string_view text) { return write_all(stdout, text); }

bool write_err(std::string_view text) { return write_all(stderr, text); }

std::string plain_text(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    for (std::size_t at = 0; at < text.size();) {
        const CodePoint c = decode_utf8(text, at);
        const auto bytes = text.substr(at, c.length);
        const bool broken = c.value == 0xFFFD && c.length == 1;
        const bool control = (c.value < 0x20 && c.value != '\n' && c.value != '\t') || (c.value >= 0x7F && c.value < 0xA0);
        if (broken || control) {
            out += '?';
        } else {
            out += bytes;
        }
        at += c.length;
    }
    return out;
}

bool say(const std::string& message) { return write_err(plain_text(message)); }

}  // namespace scruple
