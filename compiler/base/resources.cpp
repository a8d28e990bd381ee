#include "base/resources.h"

#include <algorithm>

namespace scruple {

std::string_view resource(std::string_view path) {
    const auto all = resources();
    const auto at = std::lower_bound(all.begin(), all.end(), path,
                                     [](const Resource& r, std::string_view p) { return r.path < p; });
    return at != all.end() && at->path == path ? at->text : std::string_view{};
}

}  // namespace scruple
