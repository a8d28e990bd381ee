// Texts that the build puts into the binary: the pages of `explain`, the files of a fresh collection, and which moods pull
// apart.
#pragma once

#include <span>
#include <string_view>

namespace scruple {

struct Resource {
    std::string_view path;  // "explain/over_limit.md", sorted bytewise
    std::string_view text;
};

std::span<const Resource> resources();

/// The text at a path; empty if there is none.
std::string_view resource(std::string_view path);

}  // namespace scruple
