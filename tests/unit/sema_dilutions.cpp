// Oils kept dissolved, and a maker's own bottle of a library's oil: limits, densities and compositions see through both.
// What is expected is arithmetic; the limits are read from the library, none is written here.
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <string>

#include "query/session.h"

using namespace scruple;

namespace {

constexpr const char* kDilutions =
    "oil tenth \"Tenth\" like rose_otto { diluted 10 % in jojoba }\n"
    "oil whole \"Whole\" like rose_otto { diluted 100 % in jojoba }\n"
    "oil own \"Own\" like bergamot_expressed { impact 3 }\n"
    "oil half \"Half\" like bergamot_expressed { diluted 50 % in jojoba }\n"
    "oil quarter \"Quarter\" like half { diluted 25 % in jojoba }\n";

/// One blend of `rows` by weight, at `load` in body oil.
std::unique_ptr<Compilation> product(const std::string& rows, const std::string& load) {
    return compile_text("a.scruple", std::string(kDilutions) + "blend b {\n    by weight\n" + rows + "}\nproduct p {\n    blend b at " +
                                         load + " w/w\n    format body_oil of 100 ml\n    in jojoba\n}\n");
}

const Material& material(const Compilation& c, std::string_view name) {
    const auto at = std::find_if(c.model.materials.begin(), c.model.materials.end(),
                                 [&](const Material& m) { return m.header.name == name && !m.header.from_library; });
    REQUIRE(at != c.model.materials.end());
    return *at;
}

/// How much of every limit is used, by rule set and subject; the phototoxic sums under names of their own.
std::map<std::string, double> uses(const Compilation& c) {
    std::map<std::string, double> out;
    REQUIRE(c.judgements.size() == 1);
    for (const auto& check : c.judgements[0].checks) {
        std::string name = check.soft ? "soft " : "firm ";
        if (check.substance != kNone) name += c.model.substances[check.substance].header.name;
        if (check.material != kNone) name += c.model.materials[check.material].header.name;
        if (check.kind == CheckKind::phototoxic) name += "sun";
        out[name] = check.used;
    }
    return out;
}

void same(const std::map<std::string, double>& a, const std::map<std::string, double>& b) {
    REQUIRE_FALSE(a.empty());
    REQUIRE(a.size() == b.size());
    for (const auto& [name, used] : a) {
        INFO(name);
        REQUIRE(b.contains(name));
        CHECK(b.at(name) == Approx(used).epsilon(1e-9));
    }
}

bool has(const Compilation& c, Code code) {
    return std::any_of(c.diagnostics.begin(), c.diagnostics.end(), [&](const Diagnostic& d) { return d.code == code; });
}

}  // namespace

TEST_CASE("A dilution at 100 % is the oil") {
    same(uses(*product("    1 part rose_otto\n", "0.1 %")), uses(*product("    1 part whole\n", "0.1 %")));
}

TEST_CASE("Ten times as much of a tenth is as much of the oil") {
    same(uses(*product("    1 part rose_otto\n", "0.1 %")), uses(*product("    1 part tenth\n", "1 %")));
}

TEST_CASE("A dilution of a dilution's kind has a strength of its own") {
    same(uses(*product("    1 part bergamot_expressed\n", "0.1 %")), uses(*product("    1 part quarter\n", "0.4 %")));
}

TEST_CASE("What a dilution is dissolved in is in the product, and meets its own limits") {
    const auto c = compile_text("a.scruple",
                                "rules house {}\nlimit dipropylene_glycol under house { 1 % in skin }\n"
                                "workshop \"W\" { rules house }\n"
                                "oil t like lavender { diluted 10 % in dipropylene_glycol }\nblend b { 1 part t }\n"
                                "product p {\n    blend b at 2 % w/w\n    format salt_scrub of 100 g\n"
                                "    in 0.2 % dipropylene_glycol, rest jojoba\n}\n");
    const auto found = uses(*c);
    REQUIRE(found.size() == 1);
    CHECK(found.at("firm dipropylene_glycol") == Approx((0.02 * 90 + 0.98 * 0.2) / 1).epsilon(1e-9));
    CHECK(has(*c, Code::over_limit));
}

TEST_CASE("An oil that burns skin in sun and a carrier that does add up") {
    const auto c = compile_text("a.scruple",
                                "ingredient macerate {\n    density 0.92 g/ml\n    role fixed_oil\n}\n"
                                "oil t like bergamot_expressed { diluted 20 % in macerate }\n"
                                "rules house {}\nlimit macerate under house {\n    effect phototoxic\n    1 % in sunlit_skin\n}\n"
                                "limit bergamot_expressed under house {\n    effect phototoxic\n    0.4 % in sunlit_skin\n}\n"
                                "workshop \"W\" { rules house }\nblend b { 1 part t }\n"
                                "product p {\n    blend b at 0.5 % w/w\n    format body_oil of 100 ml\n    in jojoba\n}\n");
    const auto found = uses(*c);
    REQUIRE(found.size() == 1);
    CHECK(found.at("firm sun") == Approx(0.1 / 0.4 + 0.4 / 1).epsilon(1e-9));
}

TEST_CASE("A dilution counts towards the limit of every strength that it is like, however far up") {
    const auto c = compile_text("a.scruple",
                                std::string(kDilutions) + "oil eighth like quarter { diluted 12.5 % in jojoba }\n"
                                "rules house {}\nlimit half under house { 0.5 % in skin }\nlimit quarter under house { 0.5 % in skin }\n"
                                "workshop \"W\" { rules house }\nblend b { 1 part eighth }\n"
                                "product p {\n    blend b at 1 % w/w\n    format body_oil of 100 ml\n    in squalane\n}\n");
    const auto found = uses(*c);
    REQUIRE(found.size() == 2);
    CHECK(found.at("firm half") == Approx(0.25 / 0.5).epsilon(1e-9));
    CHECK(found.at("firm quarter") == Approx(0.5 / 0.5).epsilon(1e-9));
}

TEST_CASE("A group of one's own is summed wherever it stands") {
    const std::string oil = "oil t {\n    density 0.9 g/ml\n    contains {\n        10 % linalool\n        20 % geraniol\n    }\n}\n";
    const std::string group = "group mine { members linalool, geraniol }\n";
    const std::string rest =
        "rules house {}\nlimit mine under house { 1 % in skin }\nworkshop \"W\" { rules house }\nblend b { 1 part t }\n"
        "product p {\n    blend b at 1 % w/w\n    format body_oil of 100 ml\n    in jojoba\n}\n";
    for (const auto& text : {group + oil + rest, oil + rest + group}) {
        const auto found = uses(*compile_text("a.scruple", text));
        REQUIRE(found.size() == 1);
        CHECK(found.at("firm mine") == Approx(0.3).epsilon(1e-9));
    }
}

TEST_CASE("A bottle of one's own keeps the limits of the oil that it is like") {
    same(uses(*product("    1 part bergamot_expressed\n", "0.3 %")), uses(*product("    1 part own\n", "0.3 %")));
    // Together they are one oil.
    same(uses(*product("    1 part bergamot_expressed\n", "0.3 %")),
         uses(*product("    1 part bergamot_expressed\n    1 part own\n", "0.3 %")));
    // Under the library's own name too.
    const auto taken_over =
        compile_text("a.scruple",
                     "oil bergamot_expressed like bergamot_expressed { impact 3 }\nblend b { 1 part bergamot_expressed }\n"
                     "product p {\n    blend b at 3 %\n    format body_oil of 100 ml\n    in jojoba\n}\n");
    CHECK(has(*taken_over, Code::phototoxic_sum));
}

TEST_CASE("The density of a dilution is worked out, unless it is stated") {
    const auto c = product("    1 part tenth\n", "1 %");
    const auto& neat = *std::find_if(c->model.materials.begin(), c->model.materials.end(), [](const Material& m) {
                           return m.header.name == "rose_otto" && m.header.from_library;
                       })->density;
    const auto& carrier = *c->model.materials[material(*c, "tenth").dilution->in].density;
    const auto& made = *material(*c, "tenth").density;
    CHECK(made.g_per_ml.typical == Approx(1 / (0.1 / neat.g_per_ml.typical + 0.9 / carrier.g_per_ml.typical)).epsilon(1e-12));
    CHECK(c->model.standing(made.source) == Standing::derived);
    const auto stated = compile_text("a.scruple", "oil t like rose_otto {\n    diluted 10 % in jojoba\n    density 0.87 g/ml\n}\n"
                                                  "blend b { 1 part t }\n");
    CHECK(material(*stated, "t").density->g_per_ml.typical == 0.87);
}

TEST_CASE("A density that is stated of a dilution is that dilution's, and of no other strength") {
    const std::string text =
        "oil t like rose_otto {\n    diluted 10 % in jojoba\n    density 0.5 g/ml\n}\n"
        "oil same like t { impact 3 }\noil other like t { diluted 20 % in jojoba }\n"
        "oil plain like rose_otto { diluted 20 % in jojoba }\n";
    const auto c = compile_text("a.scruple", text);
    const auto density = [&](std::string_view name) { return material(*c, name).density->g_per_ml.typical; };
    CHECK(density("same") == 0.5);
    CHECK(density("other") == density("plain"));
}

TEST_CASE("What a dilution is dissolved in counts as known") {
    const auto c = product("    1 part tenth\n", "1 %");
    const auto& neat = *std::find_if(c->model.materials.begin(), c->model.materials.end(),
                                     [](const Material& m) { return m.header.name == "rose_otto" && m.header.from_library; });
    CHECK(1 - material(*c, "tenth").known_typical == Approx((1 - neat.known_typical) * 0.1).epsilon(1e-9));
}

TEST_CASE("A blend that is dissolved already is not undiluted on skin") {
    const auto neat = [](const std::string& oil) {
        return compile_text("a.scruple", std::string(kDilutions) + "blend b {\n    1 part " + oil +
                                             "\n}\nproduct p {\n    blend b at neat\n    format roll_on of 10 ml\n}\n");
    };
    CHECK(has(*neat("rose_otto"), Code::undiluted_on_skin));
    CHECK(has(*neat("whole"), Code::undiluted_on_skin));
    CHECK_FALSE(has(*neat("tenth"), Code::undiluted_on_skin));
    // A drop of a dilution beside it makes no oil weaker.
    CHECK(has(*neat("rose_otto\n    1 part tenth\n"), Code::undiluted_on_skin));
}

TEST_CASE("A dilution says how much, by weight, and in what") {
    const auto code = [](const std::string& row) {
        return compile_text("a.scruple", "oil t like rose_otto { diluted " + row + " }\n")->diagnostics;
    };
    const auto first = [&](const std::string& row) {
        const auto found = code(row);
        REQUIRE(found.size() == 1);
        return found[0].code;
    };
    CHECK(code("10 % in jojoba").empty());
    CHECK(first("10 in jojoba") == Code::missing_unit);
    CHECK(first("10 ml in jojoba") == Code::wrong_dimension);
    CHECK(first("10 % v/v in jojoba") == Code::wrong_basis);
    CHECK(first("10..20 % in jojoba") == Code::unexpected_range);
    CHECK(first("0 % in jojoba") == Code::zero_amount);
    CHECK(first("120 % in jojoba") == Code::out_of_range);
    CHECK(first("10 %") == Code::missing_value);
    CHECK(first("10 % in jojba") == Code::unknown_name);
    CHECK(first("10 % in clove_bud") == Code::wrong_kind);
}
