// What looking into the library takes: its records, and what else its text says.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "library/details.h"
#include "library/model.h"

namespace scruple {

struct Catalogue {
    const Model* model = nullptr;
    const Details* details = nullptr;
};

/// Indices of a store's records by name: the order of reading depends on who asks first, and names do not.
template <class Store>
std::vector<std::uint32_t> by_name(const Store& store) {
    std::vector<std::uint32_t> ids(store.size());
    for (std::size_t i = 0; i < ids.size(); ++i) ids[i] = static_cast<std::uint32_t>(i);
    std::stable_sort(ids.begin(), ids.end(),
                     [&](auto a, auto b) { return store[a].header.name < store[b].header.name; });
    return ids;
}

/// Name of what a limit is on.
std::string_view subject_name(const Model& model, const Limit& limit);
/// "oil", "ingredient", "substance" or "group".
std::string_view subject_kind(const Model& model, const Limit& limit);
std::string_view material_kind_word(MaterialKind kind);

/// Sources that rows refer to by name.
std::vector<SourceId> cites_by_name(const Model& model);
/// The sheets that carry a caution, as the language spells them.
std::vector<std::string_view> carried_by(const Caution& caution);

/// Limits by subject, then rule set.
std::vector<std::uint32_t> limits_by_name(const Model& model);

/// The rows of a limit as they are written, in the order of its records; null where the text has no such row.
const DetailRow* limit_row(const Catalogue& catalogue, const Limit& limit, std::size_t row);
/// The row of a substance in a material's `contains`; null for a sum that stands nowhere.
const DetailRow* contains_row(const Catalogue& catalogue, const Material& material, SubstanceId substance);
/// "0.6 %", "none", "no limit", "not known here", or a rule on the lot as it is written.
std::string limit_figure(const Catalogue& catalogue, const Limit& limit, std::size_t row);

/// A constituent that a row states; what is summed for a group has no row.
inline bool is_stated(const Constituent& c) { return c.span.known(); }
/// It or a group that it belongs to has a limit in some rule set.
bool is_limited(const Model& model, SubstanceId substance);

}  // namespace scruple
