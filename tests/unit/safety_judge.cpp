// Limits on products: sums, standings, verdicts, and the words of findings.
#include <catch2/catch.hpp>

#include "unit/safety_stillroom.h"

using namespace scruple;
using namespace scruple::test;

TEST_CASE("phototoxic oils are summed: bergamot 0.2, lemon 0.6, lime 0.1 pass at 94.3 %",
          "[safety]") {
    // IFRA's sum rule as quoted on raw-material sheets: sum of share over limit, at most 1.
    Stillroom s;
    Bag bag;
    const auto j =
        s.judged(s.finished({{s.bergamot, "0.2"}, {s.lemon, "0.6"}, {s.lime, "0.1"}}), &bag);
    const Check* sum = check_of(j, CheckKind::phototoxic);
    REQUIRE(sum);
    CHECK(sum->used == Approx(0.2 / 0.4 + 0.6 / 2.0 + 0.1 / 0.7).epsilon(1e-12));
    CHECK(sum->verdict == Verdict::passes);
    CHECK(j.verdict == Verdict::passes);
    CHECK(bag.empty());
}

TEST_CASE("lime at 0.2 takes the sum to 108.6 %, and all three are named", "[safety]") {
    Stillroom s;
    Bag bag;
    const auto j =
        s.judged(s.finished({{s.bergamot, "0.2"}, {s.lemon, "0.6"}, {s.lime, "0.2"}}), &bag);
    CHECK(j.verdict == Verdict::fails);
    REQUIRE(count_of(bag, Code::phototoxic_sum) == 1);
    const std::string message = message_of(bag, Code::phototoxic_sum);
    CHECK(message.find("108.6 %") != std::string::npos);
    for (const auto* name : {"bergamot_expressed", "lemon_expressed", "lime_expressed"}) {
        CHECK(message.find(name) != std::string::npos);
    }
    CHECK(check_of(j, CheckKind::phototoxic)->parts.size() == 3);
    CHECK(bag.size() == 1);
}

TEST_CASE("lemon 1.0 and bergamot 0.5 come to 175 %, and a grade without furocoumarins to 50 %",
          "[safety]") {
    Stillroom s;
    Bag bag;
    auto j =
        s.judged(s.finished({{s.lemon, "1.0"}, {s.bergamot, "0.5"}, {s.lavender, "3.5"}}), &bag);
    CHECK(check_of(j, CheckKind::phototoxic)->used == Approx(1.75).epsilon(1e-12));
    CHECK(j.verdict == Verdict::fails);
    const auto fcf = s.oil("bergamot_fcf", 0.878, {{s.linalool, 5, 10, 15}});
    s.model.materials[fcf].known_typical = 0.9;
    j = s.judged(s.finished({{s.lemon, "1.0"}, {fcf, "0.5"}, {s.lavender, "3.5"}}));
    CHECK(check_of(j, CheckKind::phototoxic)->used == Approx(0.5).epsilon(1e-12));
    CHECK(j.verdict == Verdict::passes);
}

TEST_CASE("a phototoxic oil in the base counts, in two phases once", "[safety]") {
    Stillroom s;
    const auto mix = s.blend(Measure::mass, {{s.bergamot, "1"}});
    std::vector<BasePhase> base =
        Stillroom::phase({Stillroom::share(s.lemon, "0.5", Of::total), Stillroom::rest(s.jojoba)});
    base.push_back(Stillroom::phase({Stillroom::share(s.lemon, "0.3", Of::total)})[0]);
    const auto j = s.judged(s.product(mix, s.roll_on, "100", kMass, Stillroom::load("0.2"), base));
    const Check* sum = check_of(j, CheckKind::phototoxic);
    REQUIRE(sum);
    CHECK(sum->used == Approx(0.2 / 0.4 + 0.8 / 2).epsilon(1e-12));
    REQUIRE(sum->parts.size() == 2);
    CHECK(sum->parts[1].fraction == Approx(0.008).epsilon(1e-12));
    CHECK(j.ceiling.text == "0.240");  // (1 - 0.8/2) x 0.4
}

TEST_CASE("a derived phototoxic figure makes a second sum, which warns", "[safety]") {
    Stillroom s;
    s.row(s.limit_of_material(s.lemon, s.derived), "1.0", {s.sunlit}, Effect::phototoxic,
          s.worked_out);
    Bag bag;
    const auto j = s.judged(s.finished({{s.bergamot, "0.2"}, {s.lemon, "0.6"}}), &bag);
    REQUIRE(j.checks.size() == 2);
    CHECK(j.checks[0].soft);
    CHECK(j.checks[0].used == Approx(1.1).epsilon(1e-12));
    CHECK(j.checks[1].used == Approx(0.8).epsilon(1e-12));
    CHECK(j.verdict == Verdict::warns);
    CHECK(count_of(bag, Code::over_derived) == 1);
    CHECK(bag.errors() == 0);
    CHECK(j.ceiling.text == "1.00");  // 0.8 % is 80 %
    CHECK(j.careful.text == "0.727");
}

TEST_CASE("what is washed off is outside the phototoxic sum", "[safety]") {
    Stillroom s;
    const auto j = s.judged(s.finished({{s.bergamot, "2"}}, s.bar));
    CHECK_FALSE(check_of(j, CheckKind::phototoxic));
    CHECK(j.verdict == Verdict::passes);
}

TEST_CASE("a substance is summed over its oils", "[safety]") {
    // A worked example: 0.5 % lemongrass at 80 % citral and 0.3 % litsea at 75 % make 0.625 %.
    Stillroom s;
    s.substance_limit(s.citral, "0.6", s.handbook, s.recalled, {s.fine});
    Bag bag;
    const auto j =
        s.judged(s.finished({{s.lemongrass, "0.5"}, {s.litsea, "0.3"}, {s.lavender, "1.2"}}), &bag);
    const Check* c = check_of(j, CheckKind::substance);
    REQUIRE(c);
    CHECK(c->actual == Approx(0.00625).epsilon(1e-12));
    CHECK(c->actual_at_maximum == Approx(0.005 * 0.9 + 0.003 * 0.85).epsilon(1e-12));
    CHECK(std::vector<MaterialId>(c->bringers.begin(), c->bringers.end()) ==
          std::vector<MaterialId>{s.lemongrass, s.litsea});
    CHECK(c->verdict == Verdict::fails);
    CHECK(message_of(bag, Code::over_limit) ==
          "citral comes to 0.625 %, and handbook_2014 allows 0.6 % in fine_fragrance");
    bool recalled = false, mend = false;
    for (const auto& note : bag.items()[0].notes) {
        recalled = recalled || note.find("from memory of") != std::string::npos;
        mend = mend || note.find("at most 1.92 % of total of this blend in roll_on") == 0;
    }
    CHECK(recalled);
    CHECK(mend);
    CHECK(bag.size() == 1);
}

TEST_CASE("at the limit passes, one part in a million over fails", "[safety]") {
    for (const bool over : {false, true}) {
        Stillroom s;
        s.row(s.limit_of_material(s.lavender, s.handbook), "1", {s.skin}, Effect::sensitisation,
              s.read);
        s.substance_limit(s.linalool, "0.35", s.handbook, s.read, {s.skin});
        const auto j = s.judged(s.finished({{s.lavender, over ? "1.000001" : "1"}}));
        const Check* oil = check_of(j, CheckKind::oil);
        const Check* substance = check_of(j, CheckKind::substance);
        REQUIRE(oil);
        REQUIRE(substance);
        CHECK(oil->verdict == (over ? Verdict::fails : Verdict::passes));
        CHECK(substance->used == Approx(over ? 1.000001 : 1).epsilon(1e-10));
        CHECK((substance->verdict == Verdict::fails) == over);
        CHECK((j.verdict == Verdict::fails) == over);
    }
}

TEST_CASE("over only at the top of the range warns and names the lot analysis", "[safety]") {
    Stillroom s;
    s.substance_limit(s.linalool, "0.36", s.handbook, s.read,
                      {s.skin});  // 0.35 % typical, 0.38 % at most
    Bag bag;
    const auto j = s.judged(s.finished({{s.lavender, "1"}}), &bag);
    CHECK(j.verdict == Verdict::warns);
    REQUIRE(count_of(bag, Code::over_at_maximum) == 1);
    CHECK(message_of(bag, Code::over_at_maximum).find("may come to 0.38 %, typically 0.35 %") !=
          std::string::npos);
    CHECK(bag.errors() == 0);
}

TEST_CASE("a derived figure warns, and is silent where a published one fails", "[safety]") {
    Stillroom s;
    s.substance_limit(s.citral, "0.15", s.derived, s.worked_out, {s.fine});
    Bag bag;
    auto j = s.judged(s.finished({{s.lemongrass, "0.5"}}), &bag);
    CHECK(j.verdict == Verdict::warns);
    CHECK(count_of(bag, Code::over_derived) == 1);
    CHECK(bag.size() == 1);
    CHECK(bag.items()[0].message.find("worked out and not published") != std::string::npos);

    s.substance_limit(s.citral, "0.3", s.law, s.read, {s.skin});
    Bag both;
    j = s.judged(s.finished({{s.lemongrass, "0.5"}}), &both);
    CHECK(j.verdict == Verdict::fails);
    CHECK(count_of(both, Code::over_limit) == 1);
    CHECK(both.size() == 1);
    CHECK(j.checks.size() == 2);
}

TEST_CASE("a derived figure that is looser than a published one is not looked at", "[safety]") {
    Stillroom s;
    s.substance_limit(s.citral, "0.6", s.handbook, s.read, {s.fine});
    s.substance_limit(s.citral, "0.7", s.derived, s.worked_out, {s.fine});
    const auto j = s.judged(s.finished({{s.lemongrass, "0.5"}}));
    CHECK(j.checks.size() == 1);
}

TEST_CASE("the tightest of several rows holds, a scope's too", "[safety]") {
    Stillroom s;
    s.substance_limit(s.citral, "0.6", s.handbook, s.read, {s.fine});
    s.substance_limit(s.citral, "0.5", s.law, s.read, {s.skin});
    const auto j = s.judged(s.finished({{s.lemongrass, "0.5"}}));
    REQUIRE(j.checks.size() == 1);
    CHECK(j.checks[0].limit == 0.005);
    CHECK(j.checks[0].category == s.skin);
    CHECK(j.checks[0].from->rules == s.law);
}

TEST_CASE("the workshop's rules and market choose the limits", "[safety]") {
    Stillroom s;
    s.substance_limit(s.citral, "0.3", s.law, s.read, {s.skin});
    const auto id = s.finished({{s.lemongrass, "0.5"}});
    s.model.rule_sets[s.law].markets = {"ch"};
    CHECK(s.judged(id).verdict == Verdict::fails);  // no market stated: all hold
    s.model.workshop.market = "eu";
    CHECK(s.judged(id).verdict == Verdict::passes);
    s.model.workshop.market = "ch";
    CHECK(s.judged(id).verdict == Verdict::fails);
    s.model.workshop.rules = {s.handbook};
    CHECK(s.judged(id).verdict == Verdict::passes);
}

TEST_CASE("undiluted on skin fails, in the room it does not", "[safety]") {
    Stillroom s;
    const auto mix = s.blend(Measure::volume, {{s.lavender, "1"}});
    Load neat;
    neat.kind = LoadKind::neat;
    Bag bag;
    auto j = s.judged(s.product(mix, s.roll_on, "10", kVolume, neat, {}), &bag);
    CHECK(j.verdict == Verdict::fails);
    CHECK(count_of(bag, Code::undiluted_on_skin) == 1);
    CHECK(check_of(j, CheckKind::undiluted));
    Bag room;
    j = s.judged(s.product(mix, s.candle, "10", kVolume, neat, {}), &room);
    CHECK(room.empty());
    CHECK(j.verdict == Verdict::passes);
    // All but a part in a thousand million is undiluted too.
    Bag nearly;
    j = s.judged(s.product(mix, s.roll_on, "10", kVolume, Stillroom::load("99.99999999"),
                           Stillroom::phase({Stillroom::rest(s.jojoba)})),
                 &nearly);
    CHECK(count_of(nearly, Code::undiluted_on_skin) == 1);
}

TEST_CASE("what is prohibited fails at any amount, on our own say-so it warns", "[safety]") {
    Stillroom s;
    const auto root = s.oil("root", 1.0, {{s.linalool, 1, 2, 3}});
    s.model.materials[root].known_typical = 0.9;
    LimitRow ban;
    ban.kind = LimitKind::none;
    ban.in = {s.skin};
    ban.effect = Effect::prohibited;
    ban.source = s.read;
    s.limit_of_material(root, s.law).rows.push_back(ban);
    Bag bag;
    auto j = s.judged(s.finished({{s.lavender, "1"}, {root, "0.0001"}}), &bag);
    CHECK(j.verdict == Verdict::fails);
    CHECK(message_of(bag, Code::prohibited).find("root is in ") == 0);
    CHECK(j.ceiling.state == Ceiling::State::bound);
    CHECK(j.ceiling.text == "0");
    CHECK(s.judged(s.finished({{root, "1"}}, s.candle)).verdict == Verdict::passes);

    s.model.limits.back().rows[0].source = s.worked_out;
    Bag soft;
    j = s.judged(s.finished({{s.lavender, "1"}, {root, "0.0001"}}), &soft);
    CHECK(j.verdict == Verdict::warns);
    CHECK(count_of(soft, Code::over_derived) == 1);
    CHECK(j.ceiling.state == Ceiling::State::none_applies);
    CHECK(j.careful.text == "0");
}

TEST_CASE("a prohibited substance that is there only at the top of its range warns", "[safety]") {
    Stillroom s;
    const auto trace = s.substance("trace");
    const auto moss = s.oil("moss", 1.0, {{trace, 0, 0, 0.01}, {s.linalool, 1, 2, 3}});
    LimitRow ban;
    ban.kind = LimitKind::none;
    ban.in = {s.skin};
    ban.source = s.read;
    s.limit_of_substance(trace, s.law).rows.push_back(ban);
    Bag bag;
    const auto j = s.judged(s.finished({{moss, "1"}}), &bag);
    CHECK(j.verdict == Verdict::warns);
    CHECK(count_of(bag, Code::over_at_maximum) == 1);
}

TEST_CASE("an unstated limit is told once and never passes", "[safety]") {
    Stillroom s;
    LimitRow unstated;
    unstated.kind = LimitKind::unstated;
    unstated.in = {s.skin};
    s.limit_of_material(s.lavender, s.handbook).rows.push_back(unstated);
    s.limit_of_substance(s.citral, s.handbook).rows.push_back(unstated);
    Bag bag;
    const auto j =
        s.judged(s.finished({{s.lavender, "1"}, {s.lemongrass, "0.1"}, {s.litsea, "0.1"}}), &bag);
    CHECK(j.verdict == Verdict::unknown);
    CHECK(j.unstated.size() == 2);
    CHECK(count_of(bag, Code::unstated_limit) == 1);
    const std::string message = message_of(bag, Code::unstated_limit);
    INFO(message);
    CHECK(message.find("lavender ") != std::string::npos);
    CHECK(message.find(" (handbook_2014) and citral ") != std::string::npos);
    CHECK(j.ceiling.state == Ceiling::State::not_known);
    // Largest first, each with what there is of it.
    CHECK(j.unstated[0].from->material == s.lavender);
    CHECK(j.unstated[0].actual > j.unstated[1].actual);
    CHECK(j.unstated[1].actual_at_maximum > 0);
}

TEST_CASE("purity, label and unlimited rows are no limits on a recipe", "[safety]") {
    Stillroom s;
    LimitRow row;
    row.in = {s.skin};
    row.kind = LimitKind::purity;
    s.limit_of_substance(s.linalool, s.law).rows.push_back(row);
    row.kind = LimitKind::unlimited;
    s.limit_of_substance(s.linalool, s.law).rows.push_back(row);
    row.kind = LimitKind::ceiling;
    row.effect = Effect::label;
    row.max_fraction = 1e-9;
    s.limit_of_substance(s.linalool, s.law).rows.push_back(row);
    const auto j = s.judged(s.finished({{s.lavender, "5"}}));
    CHECK(j.checks.empty());
    CHECK(j.verdict == Verdict::passes);
}

TEST_CASE("no composition is unknown, never a pass", "[safety]") {
    Stillroom s;
    const auto mystery = s.oil("mystery", 0.9);
    Bag bag;
    auto j = s.judged(s.finished({{s.lavender, "1"}, {mystery, "1"}}), &bag);
    CHECK(j.verdict == Verdict::unknown);
    CHECK(count_of(bag, Code::unknown_composition) == 1);
    REQUIRE(j.unknowns.size() == 2);
    CHECK(j.unknowns[0].unknown_fraction == Approx(0.1));
    CHECK(j.unknowns[1].unknown_fraction == 1);
    CHECK(j.unknowns[1].share_of_blend == Approx(0.5));
    CHECK(j.ceiling.state == Ceiling::State::not_known);
    // In the room it is still unknown, without the warning.
    Bag room;
    j = s.judged(s.finished({{mystery, "1"}}, s.candle), &room);
    CHECK(room.empty());
    CHECK(j.verdict == Verdict::unknown);
    // A failure outranks it.
    j = s.judged(s.finished({{s.bergamot, "1"}, {mystery, "1"}}));
    CHECK(j.verdict == Verdict::fails);
}

TEST_CASE("a format without a category is judged by nothing, and so is unknown", "[safety]") {
    Stillroom s;
    const auto other = s.format("other", Contact::leave_on, kNone);
    const auto j = s.judged(s.finished({{s.lavender, "1"}}, other));
    CHECK(j.verdict == Verdict::unknown);
    CHECK(j.ceiling.state == Ceiling::State::not_known);
}

TEST_CASE("an incomplete formula is judged unknown without a word", "[safety]") {
    Stillroom s;
    Bag bag;
    const auto mix = s.blend(Measure::mass, {{s.lavender, "1"}});
    const auto j = s.judged(s.product(mix, s.roll_on, "10", kMass, Stillroom::load("1"), {}), &bag);
    CHECK(j.verdict == Verdict::unknown);
    CHECK(j.checks.empty());
    CHECK(bag.empty());
}

TEST_CASE("what the base brings counts, and a base over by itself is told so", "[safety]") {
    Stillroom s;
    s.substance_limit(s.linalool, "0.1", s.handbook, s.read, {s.skin});
    const auto water = s.carrier("lavender_water", 1.0, "hydrosol");
    s.contains(water, {{s.linalool, 0.05, 0.08, 0.1}});
    const auto mix = s.blend(Measure::mass, {{s.lavender, "1"}});
    const auto make = [&](const char* load) {
        return s.product(mix, s.roll_on, "100", kMass, Stillroom::load(load),
                         Stillroom::phase({Stillroom::rest(water)}));
    };
    auto j = s.judged(make("0.05"));
    // 0.0005 x 35 % + 0.9995 x 0.08 %
    CHECK(j.checks[0].actual == Approx(0.0005 * 0.35 + 0.9995 * 0.0008).epsilon(1e-12));
    CHECK(j.ceiling.load_ww == Approx((0.001 - 0.0008) / (0.35 - 0.0008)).epsilon(1e-7));

    const auto strong = s.carrier("strong_water", 1.0, "hydrosol");
    s.contains(strong, {{s.linalool, 0.1, 0.2, 0.3}});
    Bag bag;
    j = s.judged(s.product(mix, s.roll_on, "100", kMass, Stillroom::load("0.05"),
                           Stillroom::phase({Stillroom::rest(strong)})),
                 &bag);
    CHECK(j.verdict == Verdict::fails);
    CHECK(count_of(bag, Code::over_without_blend) == 1);
    CHECK(count_of(bag, Code::over_limit) == 0);
    CHECK(message_of(bag, Code::over_without_blend)
              .find("strong_water in the base brings linalool to 0.2 %") == 0);
    CHECK(j.ceiling.state == Ceiling::State::over_without_blend);
    CHECK(j.ceiling.text.empty());
}

TEST_CASE("an oil of which much is not known leaves the verdict open, on skin only") {
    for (const bool on_skin : {true, false}) {
        for (const double known : {1 - kMuchUnknown, 1 - kMuchUnknown - 1e-6}) {
            Stillroom s;
            s.substance_limit(s.linalool, "5", s.handbook, s.read, {s.skin, s.no_skin});
            s.model.materials[s.lavender].known_typical = known;
            const auto j = s.judged(s.finished({{s.lavender, "1"}}, on_skin ? s.roll_on : s.candle));
            INFO(on_skin << " " << known);
            CHECK(j.verdict == (on_skin && known < 1 - kMuchUnknown ? Verdict::unknown : Verdict::passes));
        }
    }
}
