// Shares of a blend by volume and by weight. Expected values follow from m = rho V by hand.
#include <catch2/catch.hpp>

#include "unit/model_builder.h"

using namespace scruple;
using namespace scruple::test;

TEST_CASE("parts are volumes, and weights follow the densities", "[formula]") {
    ModelBuilder m;
    const auto light = m.oil("light", 0.8);
    const auto heavy = m.oil("heavy", 1.2);
    const auto f = m.figures(m.blend(Measure::volume, {{light, "3"}, {heavy, "1"}}));
    REQUIRE(f.complete);
    CHECK(f.lines[0].share_vv == Approx(0.75).epsilon(1e-14));
    CHECK(f.lines[0].share_ww == Approx(2.4 / 3.6).epsilon(1e-14));
    CHECK(f.density == Approx(0.9).epsilon(1e-14));
    CHECK(f.whole_ratio == std::vector<std::int64_t>{3, 1});
}

TEST_CASE("weights give volumes back", "[formula]") {
    ModelBuilder m;
    const auto light = m.oil("light", 0.8);
    const auto heavy = m.oil("heavy", 1.2);
    const auto f = m.figures(m.blend(Measure::mass, {{light, "2.4"}, {heavy, "1.2"}}));
    REQUIRE(f.complete);
    CHECK(f.lines[0].share_vv == Approx(0.75).epsilon(1e-14));
    CHECK(f.lines[0].share_ww == Approx(2.0 / 3).epsilon(1e-14));
}

TEST_CASE("counted drops go through each oil's own dropper", "[formula]") {
    ModelBuilder m;
    const auto thin = m.oil("thin", 0.9);
    const auto thick = m.oil("thick", 0.9);
    m.model.workshop.drops_per_ml = Rational(20);
    m.model.materials[thick].drops_per_ml = Rational(10);
    const auto f = m.figures(m.blend(Measure::drops, {{thin, "2"}, {thick, "1"}}));
    CHECK(f.lines[0].share_vv == Approx(0.5).epsilon(1e-14));
}

TEST_CASE("a missing density is told, and only where it matters", "[formula]") {
    ModelBuilder m;
    const auto known = m.oil("known", 0.9);
    const auto unknown = m.oil("unknown", 0);
    Bag bag;
    const auto by_volume = m.figures(m.blend(Measure::volume, {{known, "1"}, {unknown, "1"}}), &bag);
    CHECK_FALSE(by_volume.complete);
    CHECK(count_of(bag, Code::no_density) == 1);

    Bag quiet;
    const auto by_weight =
        m.figures(m.blend(Measure::mass, {{known, "1"}, {unknown, "3"}}), &quiet);
    CHECK(quiet.empty());
    REQUIRE(by_weight.complete);
    CHECK(by_weight.density == 0);
    CHECK(by_weight.lines[1].share_ww == Approx(0.75));
    CHECK(by_weight.note_unknown == 1);

    const auto alone = m.figures(m.blend(Measure::volume, {{unknown, "7"}}), &quiet);
    CHECK(quiet.empty());
    CHECK(alone.complete);
    CHECK(alone.lines[0].share_ww == 1);
}

TEST_CASE("notes are shared out by volume, between top and middle by halves", "[formula]") {
    ModelBuilder m;
    const Note notes[] = {Note::top, Note::top_middle, Note::middle, Note::base, Note::unknown};
    std::vector<std::pair<MaterialId, std::string>> lines;
    for (const auto note : notes) {
        const auto id = m.oil("oil" + std::to_string(lines.size()),
                              0.8 + 0.05 * static_cast<double>(lines.size()));
        m.model.materials[id].note = note;
        lines.emplace_back(id, "1");
    }
    const auto f = m.figures(m.blend(Measure::volume, lines));
    CHECK(f.note_share[0] == Approx(0.3));
    CHECK(f.note_share[1] == Approx(0.3));
    CHECK(f.note_share[2] == Approx(0.2));
    CHECK(f.note_unknown == Approx(0.2));
}

TEST_CASE("a library's density is an assumption, the maker's own is none", "[formula]") {
    ModelBuilder m;
    const auto mine = m.oil("mine", 0.9);
    const auto from_book = m.oil("from_book", 0.88);
    m.model.materials[from_book].header.from_library = true;
    m.model.materials[from_book].density->source = m.source(Standing::recalled, "a pharmacopoeia");
    const auto f = m.figures(m.blend(Measure::volume, {{mine, "1"}, {from_book, "1"}}));
    std::size_t densities = 0;
    for (const auto& a : f.assumptions) {
        if (a.what.find("g/ml") == std::string::npos) continue;
        ++densities;
        CHECK(a.what == "from_book weighs 0.88 g/ml");
        CHECK(a.source == "from memory of a pharmacopoeia");
    }
    CHECK(densities == 1);
}
