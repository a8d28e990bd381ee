// Laws of the names for labels, on random compositions (a fixed seed).
#include <fmt/core.h>
#include <catch2/catch.hpp>

#include <map>
#include <random>
#include <string>
#include <vector>

#include "query/session.h"

using namespace scruple;

namespace {

constexpr const char* kSubstances[] = {"linalool",   "geraniol", "citral",  "eugenol",
                                       "d_limonene", "coumarin", "myrcene", "p_cymene"};

struct Contained {
    const char* substance;
    int low, typical, high;  // hundredths of a per cent
};

std::string text_of(const std::vector<Contained>& rows, const std::string& load,
                    const char* format) {
    std::string contains;
    for (const Contained& r : rows) {
        contains +=
            fmt::format("        {}.{:02}..{}.{:02}..{}.{:02} % {}\n", r.low / 100, r.low % 100,
                        r.typical / 100, r.typical % 100, r.high / 100, r.high % 100, r.substance);
    }
    return "oil own_oil {\n    density 0.9 g/ml at 20 C\n    contains {\n" + contains +
           "    }\n}\n"
           "blend b {\n    by weight\n    60 % own_oil\n    40 % lavender\n}\n"
           "product p {\n    blend b at " +
           load + " % w/w\n    format " + format + " of 100 ml\n    in jojoba\n}\n";
}

struct Found {
    std::map<std::string, double> named, all;
    double unknown = 0;
};

Found label(const std::string& text) {
    const auto c = compile_text("a.scruple", text);
    REQUIRE(c->formulas.size() == 1);
    const auto names = c->allergens->names(c->model.products[0], c->formulas[0]);
    REQUIRE(names.state == LabelNames::State::listed);
    Found out;
    for (const auto& a : names.named) out.named[a.entry->label] = out.all[a.entry->label] = a.share;
    for (const auto& a : names.under) out.all[a.entry->label] = a.share;
    out.unknown = names.unknown_share;
    return out;
}

}  // namespace

TEST_CASE("Less composition names no more, and what is gone from it is told as unknown",
          "[property][allergens]") {
    std::mt19937_64 random(20260502);
    int lost = 0;
    for (int round = 0; round < 60; ++round) {
        std::vector<Contained> rows;
        for (const char* s : kSubstances) {
            if (random() % 3 == 0) continue;
            const int low = static_cast<int>(random() % 400),
                      typical = low + static_cast<int>(random() % 300);
            rows.push_back({s, low, typical, typical + static_cast<int>(random() % 400)});
        }
        if (rows.size() < 2) continue;
        const std::string load = fmt::format("0.{:03}", 1 + random() % 200);
        const char* format = random() % 2 ? "body_oil" : "shower_gel";
        const Found before = label(text_of(rows, load, format));
        const std::size_t gone = random() % rows.size();
        std::vector<Contained> fewer = rows;
        fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(gone));
        const Found after = label(text_of(fewer, load, format));
        for (const auto& [name, share] : after.named) {
            INFO(name);
            CHECK(before.named.count(name) == 1);
        }
        for (const auto& [name, share] : after.all) {
            REQUIRE(before.all.count(name) == 1);
            CHECK(share <= before.all.at(name) * (1 + 1e-12));
        }
        const double share = std::stod(load) / 100 * 0.6;
        CHECK(after.unknown ==
              Approx(before.unknown + share * rows[gone].typical / 10000).epsilon(1e-9));
        lost += before.named.size() > after.named.size();
    }
    CHECK(lost > 5);
}
