#include "base/source.h"

#include <algorithm>
#include <cstring>
#include <utility>

#include "base/text.h"

namespace scruple {

LineIndex::LineIndex(std::string_view text) : text_(text) {
    starts_.push_back(0);
    const char* const begin = text.data();
    const char* const end = begin + text.size();
    for (const char* at = begin; at != end;) {
        const void* found = std::memchr(at, '\n', static_cast<std::size_t>(end - at));
        if (!found) break;
        at = static_cast<const char*>(found) + 1;
        starts_.push_back(static_cast<std::uint32_t>(at - begin));
    }
}

std::uint32_t LineIndex::line_start(std::uint32_t line) const {
    return line < starts_.size() ? starts_[line] : static_cast<std::uint32_t>(text_.size());
}

std::string_view LineIndex::line(std::uint32_t line) const {
    if (line >= starts_.size()) return {};
    const std::uint32_t begin = starts_[line];
    std::string_view out = text_.substr(begin, line_start(line + 1) - begin);
    if (out.ends_with('\n')) {
        out.remove_suffix(1);
        if (out.ends_with('\r')) out.remove_suffix(1);
    }
    return out;
}

LineColumn LineIndex::bytes(std::uint32_t offset) const {
    offset = std::min(offset, static_cast<std::uint32_t>(text_.size()));
    const auto after = std::upper_bound(starts_.begin(), starts_.end(), offset);
    const auto line = static_cast<std::uint32_t>(after - starts_.begin() - 1);
    return {line, offset - starts_[line]};
}

namespace {

/// Sums `weigh` over the code points that end at or before `column`.
template <class Weigh>
std::uint32_t count(std::string_view line, std::uint32_t column, Weigh weigh) {
    std::uint32_t out = 0;
    for (std::size_t at = 0; at < line.size();) {
        const CodePoint point = decode_utf8(line, at);
        at += point.length;
        if (at > column) break;
        out += weigh(point.value);
    }
    return out;
}

}  // namespace

LineColumn LineIndex::code_points(std::uint32_t offset) const {
    const LineColumn at = bytes(offset);
    return {at.line, count(line(at.line), at.column, [](char32_t) { return 1u; })};
}

LineColumn LineIndex::utf16(std::uint32_t offset) const {
    const LineColumn at = bytes(offset);
    return {at.line, count(line(at.line), at.column, [](char32_t c) { return c >= 0x10000 ? 2u : 1u; })};
}

SourceFile::SourceFile(std::string path, std::string text)
    : path_(std::move(path)), owned_(std::move(text)), text_(owned_) {}

SourceFile::SourceFile(EmbeddedTag, std::string path, std::string_view text)
    : path_(std::move(path)), text_(text), embedded_(true) {}

SourceFile SourceFile::embedded(std::string path, std::string_view text) {
    return SourceFile(EmbeddedTag{}, std::move(path), text);
}

const LineIndex& SourceFile::lines() const {
    std::call_once(once_, [this] { lines_ = std::make_unique<LineIndex>(text_); });
    return *lines_;
}

FileId SourceMap::add(std::string path, std::string text) {
    files_.push_back(std::make_unique<SourceFile>(std::move(path), std::move(text)));
    return static_cast<FileId>(files_.size() - 1);
}

FileId SourceMap::add_embedded(std::string path, std::string_view text) {
    files_.push_back(std::unique_ptr<SourceFile>(new SourceFile(SourceFile::EmbeddedTag{}, std::move(path), text)));
    return static_cast<FileId>(files_.size() - 1);
}

std::string_view SourceMap::text(Span span) const {
    if (static_cast<std::size_t>(span.file) >= files_.size()) return {};
    const std::string_view all = file(span.file).text();
    if (span.begin >= all.size() || span.end <= span.begin) return {};
    return all.substr(span.begin, span.end - span.begin);
}

}  // namespace scruple
