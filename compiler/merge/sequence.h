// Three sequences whose order is meaning, held against each other: where both sides stay with the base, where one of
// them changed something, and where both did.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace scruple::merging {

struct Range {
    std::uint32_t begin = 0, end = 0;
    std::uint32_t size() const { return end - begin; }
};

/// Either one element that all three have, or what stands between two such.
struct Stretch {
    bool stable = false;
    Range base, ours, theirs;
};

/// Texts as numbers that are equal where the texts are.
class Numbering {
public:
    std::uint32_t of(std::string text) { return numbers_.try_emplace(std::move(text), narrow()).first->second; }

private:
    std::uint32_t narrow() const { return static_cast<std::uint32_t>(numbers_.size()); }
    std::unordered_map<std::string, std::uint32_t> numbers_;
};

/// For each element of `a` its partner in `b`, or -1; partners stand in order. What stands once in both is matched first,
/// then what lies between; a stretch that differs throughout is not searched to the end, so that work stays small.
std::vector<std::int32_t> partners(std::span<const std::uint32_t> a, std::span<const std::uint32_t> b);

std::vector<Stretch> stretches(std::span<const std::uint32_t> base, std::span<const std::uint32_t> ours,
                               std::span<const std::uint32_t> theirs);

}  // namespace scruple::merging
