// Lines that a person types, with editing, history and completion on a terminal; plain lines from a pipe or a file.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace scruple {

class LineReader {
public:
    virtual ~LineReader() = default;
    /// The next line without its end; nothing at the end of the input.
    virtual std::optional<std::string> line(const std::string& prompt) = 0;
    /// Whether a person can see an answer and enter the line again.
    virtual bool edits() const = 0;
    /// What Tab completes.
    virtual void complete_with(std::vector<std::string> words) = 0;
};

/// An editor where both ends are a terminal, else one that reads plain lines and repeats them behind the prompt, so that what is
/// printed reads like the session.
std::unique_ptr<LineReader> make_line_reader();

}  // namespace scruple
