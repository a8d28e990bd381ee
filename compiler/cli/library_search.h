// Looking into the library by plain words: what each record can be found by, and which records all words hit.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "library/catalogue.h"

namespace scruple {

/// In the order in which they are listed.
enum class Shelf : std::uint8_t {
    oil, ingredient, substance, group, format, base, rules, category, limit, caution, guide, audience, unit, source,
};
inline constexpr std::size_t kShelfCount = 14;
/// "oil", "oils".
std::string_view shelf_word(Shelf shelf, bool many);

/// Something that a record can be found by, beside its name.
struct Facet {
    std::string label;   // "mood"
    std::string shown;   // "calming"
    std::string folded;  // for comparing
};

struct ShelfEntry {
    Shelf shelf{};
    std::uint32_t record = 0;  // index in the model's store; of a unit, in the details; of a source, in `sources`
    std::string name;
    std::string title;
    std::string folded;        // name and title
    std::vector<std::string> also;  // other whole names, folded
    std::vector<Facet> facets;
    bool general = false;      // of a caution: it is about no oil and nobody in particular
};

struct Found {
    const ShelfEntry* entry = nullptr;
    bool by_name = true;
    std::string why;  // empty where the name says it
};

/// Lower case, with a space before every word and nothing but words: " one two".
std::string folded(std::string_view text);

class LibrarySearch {
public:
    explicit LibrarySearch(const Catalogue& catalogue);

    const std::vector<ShelfEntry>& entries() const { return entries_; }
    /// Records whose name, title or other name is exactly this.
    std::vector<const ShelfEntry*> named(std::string_view text) const;
    /// Records that every word hits: those hit by name first, then by name.
    std::vector<Found> find(const std::vector<std::string>& words) const;
    /// Names near to a word that hits nothing.
    std::string near(std::string_view word) const;
    /// The different texts of a facet, sorted: what can be searched for.
    std::vector<std::string> values(std::string_view label) const;

private:
    void add(Shelf shelf, std::uint32_t record, std::string_view name, std::string_view title);
    void facet(std::string_view label, std::string_view text);
    void also(const Detail* detail);

    std::vector<ShelfEntry> entries_;
};

}  // namespace scruple
