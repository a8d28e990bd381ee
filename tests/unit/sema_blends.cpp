// What a blend comes to once its accords are worked in. Expected values are arithmetic by hand.
#include <catch2/catch.hpp>

#include "query/session.h"

using namespace scruple;

TEST_CASE("an oil that two accords and a row bring is one line") {
    const auto c = compile_text("a.scruple",
                                "oil a \"A\" { density 0.9 g/ml }\n"
                                "oil b \"B\" { density 0.9 g/ml }\n"
                                "blend first {\n    1 part a\n    2 parts b\n}\n"
                                "blend second {\n    3 parts b\n    1 part a\n}\n"
                                "blend whole {\n    3 parts first\n    2 parts a\n    4 parts second\n}\n");
    for (const Blend& blend : c->model.blends) {
        if (blend.header.name != "whole") continue;
        REQUIRE(blend.lines.size() == 2);
        CHECK(blend.lines[0].amount == Rational(4));  // 1 of 3, 2, and 1 of 4
        CHECK(blend.lines[1].amount == Rational(5));
        CHECK(blend.total == Rational(9));
        return;
    }
    FAIL("no such blend");
}
