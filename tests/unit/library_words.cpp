// The words of the schema table that the compiler or a maker's search goes by are those that the library uses: a word
// of the table that no material has is misspelt or outlived, and one that only the library has can't be suggested.
#include <catch2/catch.hpp>

#include <algorithm>
#include <set>
#include <string_view>

#include "library/embedded.h"
#include "schema/schema.h"
#include "sema/elaborate.h"

using namespace scruple;

namespace {

std::set<std::string_view> choices(Kind kind, std::string_view field) {
    const auto* spec = find_field(kind_spec(kind), field);
    REQUIRE(spec);
    return {spec->choices.begin(), spec->choices.end()};
}

}  // namespace

TEST_CASE("roles, odour families and moods are those of the library", "[library]") {
    SourceMap sources;
    Bag bag;
    const Model model = elaborate_library(sources, ResourceLimits{}, bag);
    std::set<std::string_view> roles, odours, moods;
    for (const auto& m : model.materials) {
        if (!m.role.empty()) roles.insert(m.role);
        if (!m.odour.empty()) odours.insert(m.odour);
        moods.insert(m.moods.begin(), m.moods.end());
    }
    CHECK(roles == choices(Kind::ingredient, "role"));
    CHECK(odours == choices(Kind::oil, "odour"));
    CHECK(moods == choices(Kind::oil, "moods"));
    CHECK(moods == choices(Kind::blend, "intent"));
    CHECK(moods == choices(Kind::variation, "intent"));
}
