// The texts of a run and their line tables. A SourceMap owns user files; the embedded library's
// texts are views of static storage. Lines and columns are worked out only when asked for.
#pragma once

#include <deque>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "base/span.h"

namespace scruple {

/// Zero-based line and column; what a column counts is said by the function that gives it.
struct LineColumn {
    std::uint32_t line = 0;
    std::uint32_t column = 0;
};

/// Byte offset to line and column, and back. Lines end at LF (a CR before it belongs to the line end); a text that ends
/// with LF has an empty last line, as editors show it.
class LineIndex {
public:
    explicit LineIndex(std::string_view text);

    std::uint32_t line_count() const { return static_cast<std::uint32_t>(starts_.size()); }
    /// The line's bytes without its line end; empty past the last line.
    std::string_view line(std::uint32_t line) const;
    std::uint32_t line_start(std::uint32_t line) const;
    /// Zero-based line and byte column of an offset (offsets past the end count as the end).
    LineColumn bytes(std::uint32_t offset) const;
    /// Zero-based line and column in Unicode code points; an invalid byte counts as one. An offset inside a code point
    /// counts as its start, one inside the line end as the end of the line; so too below.
    LineColumn code_points(std::uint32_t offset) const;
    /// Zero-based line and column in UTF-16 code units, as the Language Server Protocol and SARIF count.
    LineColumn utf16(std::uint32_t offset) const;

private:
    std::string_view text_;
    std::vector<std::uint32_t> starts_;
};

/// One text with the path under which people know it (forward slashes, relative to the root).
class SourceFile {
public:
    SourceFile(std::string path, std::string text);
    /// A file of the embedded library: `text` must live as long as the program.
    static SourceFile embedded(std::string path, std::string_view text);

    SourceFile(const SourceFile&) = delete;
    SourceFile& operator=(const SourceFile&) = delete;

    const std::string& path() const { return path_; }
    std::string_view text() const { return text_; }
    bool is_embedded() const { return embedded_; }
    const LineIndex& lines() const;  // made on first use; safe to call from several threads

private:
    struct EmbeddedTag {};
    SourceFile(EmbeddedTag, std::string path, std::string_view text);

    std::string path_;
    std::string owned_;
    std::string_view text_;
    bool embedded_ = false;
    mutable std::once_flag once_;
    mutable std::unique_ptr<LineIndex> lines_;

    friend class SourceMap;
};

/// Owns the files of a run; a FileId is the order of adding.
class SourceMap {
public:
    FileId add(std::string path, std::string text);
    FileId add_embedded(std::string path, std::string_view text);

    const SourceFile& file(FileId id) const { return *files_[static_cast<std::size_t>(id)]; }
    std::size_t size() const { return files_.size(); }
    /// The bytes of a span; empty for an unknown span.
    std::string_view text(Span span) const;

private:
    std::deque<std::unique_ptr<SourceFile>> files_;
};

}  // namespace scruple
