// The table of codes, and the bag's order.
#include <catch2/catch.hpp>

#include <algorithm>
#include <random>
#include <set>

#include "diag/diagnostic.h"

using namespace scruple;

TEST_CASE("every code has a name of its own, and finds itself by it", "[diag]") {
    std::set<std::string_view> names;
    for (const Code code : all_codes()) {
        const auto& info = code_info(code);
        INFO(info.name);
        CHECK(names.insert(info.name).second);
        CHECK(code_from_name(info.name) == code);
        CHECK(std::all_of(info.name.begin(), info.name.end(),
                          [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_'; }));
        CHECK_FALSE(info.title.empty());
        CHECK(info.title.size() < 80);
        CHECK(info.title.back() != '.');
    }
    CHECK_FALSE(code_from_name("no_such_code").has_value());
    CHECK_FALSE(code_from_name("").has_value());
}

TEST_CASE("severity comes from the table, and can be changed for one finding", "[diag]") {
    Bag bag;
    bag.add(Code::over_limit, {}, "a");
    bag.add(Code::unusual_load, {}, "b");
    bag.add(Code::unusual_load, {}, "c").severity(Severity::note);
    CHECK(bag.errors() == 1);
    CHECK(bag.warnings() == 1);
    CHECK(bag.size() == 3);
}

TEST_CASE("order and repeats do not depend on who came first", "[diag]") {
    std::vector<Diagnostic> all;
    for (std::uint32_t i = 0; i < 60; ++i) {
        Bag bag;
        const Span span = i % 7 == 6 ? Span{} : Span{static_cast<FileId>(i % 3), i % 5, i % 5 + i % 2};
        auto added = bag.add(i % 2 ? Code::unknown_name : Code::missing_unit, span, i % 4 ? "one" : "two");
        if (i % 3 == 0) added.label("label").note("note");
        if (i % 11 == 0) added.also(Span{static_cast<FileId>(1), i, i}, "there");
        all.push_back(bag.items()[0]);
    }
    const auto sorted = [](const std::vector<Diagnostic>& from) {
        Bag bag;
        for (const auto& d : from) bag.push(d);
        bag.sort_and_unique();
        std::string text;
        for (const auto& d : bag.items()) {
            text += std::to_string(static_cast<std::uint32_t>(d.span.file)) + ":" + std::to_string(d.span.begin) + "-" +
                    std::to_string(d.span.end) + " " + std::string(code_info(d.code).name) + " " + d.message + " " +
                    d.label + " " + std::to_string(d.notes.size() + d.more.size()) + "\n";
        }
        return text;
    };
    const auto first = sorted(all);
    std::mt19937 random(7);
    for (int round = 0; round < 50; ++round) {
        std::shuffle(all.begin(), all.end(), random);
        CHECK(sorted(all) == first);
    }
}

TEST_CASE("findings go by file, then place; those without a place come last; repeats go", "[diag]") {
    Bag bag;
    bag.add(Code::nothing_found, {}, "whole run");
    bag.add(Code::unknown_name, {static_cast<FileId>(1), 0, 1}, "second file");
    bag.add(Code::unknown_name, {static_cast<FileId>(0), 9, 10}, "later");
    bag.add(Code::unknown_name, {static_cast<FileId>(0), 2, 3}, "earlier");
    bag.add(Code::unknown_name, {static_cast<FileId>(0), 2, 3}, "earlier");
    bag.sort_and_unique();
    REQUIRE(bag.size() == 4);
    CHECK(bag.items()[0].message == "earlier");
    CHECK(bag.items()[1].message == "later");
    CHECK(bag.items()[2].message == "second file");
    CHECK(bag.items()[3].message == "whole run");
}

TEST_CASE("bags join", "[diag]") {
    Bag a;
    Bag b;
    b.add(Code::unknown_name, {}, "one");
    a.append(std::move(b));
    Bag c;
    c.add(Code::unknown_name, {}, "two");
    a.append(std::move(c));
    REQUIRE(a.size() == 2);
    CHECK(a.items()[1].message == "two");
    a.truncate(1);
    CHECK(a.size() == 1);
}
