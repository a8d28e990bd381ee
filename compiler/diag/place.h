// What the three renderers share: the path that people see, and places counted the way each reader counts.
// Everything here is bounded or a single pass over one line; a span that lies past its file's end is clamped.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/source.h"
#include "base/span.h"

namespace scruple::diag {

/// The span's file is one of the map's.
bool has_place(const SourceMap& sources, Span span);

/// `night_ferry.scruple`; a file of the embedded library shows as `library: stdlib/units.scruple`.
std::string path_for_people(const SourceFile& file);

/// `night_ferry.scruple`; a file of the embedded library is `library:stdlib/units.scruple`.
std::string path_for_programs(const SourceFile& file);

struct Range {
    LineColumn start;
    LineColumn end;
};

/// Zero-based lines and UTF-16 code units.
Range utf16_range(const SourceFile& file, Span span);

/// Zero-based line and code points, for people.
LineColumn place_for_people(const SourceFile& file, std::uint32_t offset);

/// Control characters and others that cannot be seen, or that move the cursor, written as <U+001B>; tabs as four
/// spaces; bytes that are no UTF-8 as U+FFFD. Line feeds stay.
std::string visible(std::string_view text);

/// The same for one code point that starts at `offset`; `length` receives the bytes taken.
std::string visible_at(std::string_view text, std::size_t offset, std::uint32_t& length);

}  // namespace scruple::diag
