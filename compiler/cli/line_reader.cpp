#include "cli/line_reader.h"

#include <editline/readline.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <iostream>

#include "cli/terminal.h"

namespace scruple {
namespace {

constexpr std::size_t kLongest = 1 << 16;  // of a line from a pipe: the rest of it is passed over

std::vector<std::string>& offered() {
    static std::vector<std::string> words;
    return words;
}

/// The names that go on from what stands there: called with 0 first, then for more.
char* next_offer(const char* begun, int state) {
    static std::size_t at = 0;
    if (state == 0) at = 0;
    const auto& words = offered();
    while (at < words.size()) {
        const std::string& word = words[at++];
        if (word.compare(0, std::strlen(begun), begun) == 0) return ::strdup(word.c_str());
    }
    return nullptr;
}

char** offers(const char* text, int, int) {
    rl_attempted_completion_over = 1;  // never file names
    return rl_completion_matches(text, next_offer);
}

class EditedLines final : public LineReader {
public:
    EditedLines() {
        rl_initialize();
        rl_attempted_completion_function = offers;
        using_history();
    }
    std::optional<std::string> line(const std::string& prompt) override {
        char* typed = ::readline(prompt.c_str());
        if (!typed) {
            write_out("\n");
            return std::nullopt;
        }
        std::string out(typed);
        std::free(typed);
        if (!out.empty()) add_history(out.c_str());
        return out;
    }
    bool edits() const override { return true; }
    void complete_with(std::vector<std::string> words) override { offered() = std::move(words); }
};

class PlainLines final : public LineReader {
public:
    std::optional<std::string> line(const std::string& prompt) override {
        write_out(prompt);
        std::string out;
        int c = 0;
        bool any = false;
        while ((c = std::getchar()) != EOF && c != '\n') {
            any = true;
            if (out.size() < kLongest) out += static_cast<char>(c);
        }
        if (c == EOF && !any) {
            write_out("\n");
            return std::nullopt;
        }
        write_out(plain_text(out) + "\n");
        return out;
    }
    bool edits() const override { return false; }
    void complete_with(std::vector<std::string>) override {}
};

}  // namespace

std::unique_ptr<LineReader> make_line_reader() {
    if (::isatty(STDIN_FILENO) && ::isatty(STDOUT_FILENO)) return std::make_unique<EditedLines>();
    return std::make_unique<PlainLines>();
}

}  // namespace scruple
