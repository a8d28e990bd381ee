#include "library/embedded.h"

namespace scruple {

std::span<const EmbeddedDeclaration> embedded_named(std::string_view name) {
    const auto all = embedded_declarations();
    const auto slots = embedded_slots();
    for (std::size_t at = embedded_hash(name) & (slots.size() - 1); slots[at] != 0; at = (at + 1) & (slots.size() - 1)) {
        const std::size_t first = slots[at] - 1u;
        if (all[first].name != name) continue;
        std::size_t last = first + 1;
        while (last < all.size() && all[last].name == name) ++last;
        return all.subspan(first, last - first);
    }
    return {};
}

}  // namespace scruple
