#include "library/embedded.h"

#include <algorithm>

namespace scruple {

std::span<const EmbeddedDeclaration> embedded_named(std::string_view name) {
    struct ByName {
        bool operator()(const EmbeddedDeclaration& a, std::string_view b) const { return a.name < b; }
        bool operator()(std::string_view a, const EmbeddedDeclaration& b) const { return a < b.name; }
    };
    const auto all = embedded_declarations();
    const auto [first, last] = std::equal_range(all.begin(), all.end(), name, ByName{});
    return {first, last};
}

}  // namespace scruple
