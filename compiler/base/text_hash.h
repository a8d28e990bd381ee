// A hash by which a table of strings finds a view without making a string of it.
#pragma once

#include <cstddef>
#include <functional>
#include <string_view>

namespace scruple {

struct TextHash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const { return std::hash<std::string_view>()(text); }
};

}  // namespace scruple
