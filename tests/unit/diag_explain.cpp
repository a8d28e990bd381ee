// The long answers: there is one for every code, its wrong example shows that code and no other, its right one nothing,
// and the files under tests/diagnostics/ are the same examples. Edits called safe are held to it.
#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

#include "diag/explain.h"
#include "diag/render.h"
#include "query/session.h"

using namespace scruple;

namespace {

std::string read(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

const std::filesystem::path kExamples = std::filesystem::path(SCRUPLE_SOURCE_DIR) / "tests/diagnostics";

std::string said(const Compilation& c) { return render_text(c.diagnostics, c.sources, {}); }

/// The text after one fix; edits of one fix never overlap.
std::string applied(std::string text, Fix fix) {
    std::sort(fix.edits.begin(), fix.edits.end(),
              [](const Edit& a, const Edit& b) { return a.span.begin > b.span.begin; });
    std::size_t after = text.size();
    for (const auto& edit : fix.edits) {
        REQUIRE(edit.span.begin <= edit.span.end);
        REQUIRE(edit.span.end <= after);
        text.replace(edit.span.begin, edit.span.end - edit.span.begin, edit.text);
        after = edit.span.begin;
    }
    return text;
}

}  // namespace

TEST_CASE("every code has its long answer", "[diag][explain]") {
    std::set<std::string_view> whys;
    for (const Code code : all_codes()) {
        const auto& e = explanation(code);
        INFO(code_info(code).name);
        CHECK(e.why.size() > 25);
        CHECK(whys.insert(e.why).second);
        CHECK(e.wrong.empty() == e.right.empty());
        CHECK(e.wrong == e.wrong.substr(0, 4000));
    }
}

TEST_CASE("the wrong example shows its code and nothing else, the right one nothing", "[diag][explain]") {
    for (const Code code : all_codes()) {
        const auto& e = explanation(code);
        if (e.wrong.empty()) continue;
        INFO(code_info(code).name);
        CompileOptions options;
        options.on = "2026-05-02";  // for what has an end
        const auto wrong = compile_text("example.scruple", std::string(e.wrong), {}, options);
        {
            INFO(said(*wrong));
            CHECK_FALSE(wrong->diagnostics.empty());
            std::size_t others = 0;
            for (const auto& d : wrong->diagnostics) others += d.code != code;
            // A waiver that is over leaves bare what it accepted.
            CHECK(others == (code == Code::waiver_expired ? 1 : 0));
            CHECK(others < wrong->diagnostics.size());
        }
        const auto right = compile_text("example.scruple", std::string(e.right));
        INFO(said(*right));
        CHECK(right->diagnostics.empty());
    }
}

TEST_CASE("the golden files are the wrong examples", "[diag][explain]") {
    for (const Code code : all_codes()) {
        const auto& e = explanation(code);
        if (e.wrong.empty()) continue;
        INFO(code_info(code).name);
        CHECK(read(kExamples / (std::string(code_info(code).name) + ".scruple")) == e.wrong);
    }
}

TEST_CASE("what a safe edit leaves is clean, and no edit makes it worse", "[diag][fixes]") {
    std::size_t safe = 0;
    for (const auto& entry : std::filesystem::directory_iterator(kExamples)) {
        if (entry.path().extension() != ".scruple" || entry.path().stem() == "too_many_errors") continue;
        const auto text = read(entry.path());
        const auto before = compile_text("example.scruple", text);
        for (std::size_t i = 0; i < before->diagnostics.size() && i < 10; ++i) {
            for (const auto& fix : before->diagnostics[i].fixes) {
                INFO(entry.path().filename().string());
                INFO(fix.title);
                const auto after = compile_text("example.scruple", applied(text, fix));
                INFO(said(*after));
                CHECK(after->diagnostics.size() <= before->diagnostics.size());
                const auto& mended = before->diagnostics[i];
                CHECK(std::none_of(after->diagnostics.begin(), after->diagnostics.end(), [&](const Diagnostic& d) {
                    return d.code == mended.code && d.message == mended.message;
                }));
                if (!fix.safe) continue;
                ++safe;
                if (before->diagnostics.size() == 1) CHECK(after->diagnostics.empty());
            }
        }
    }
    CHECK(safe >= 20);
}

TEST_CASE("no finding of a recipe is without its place", "[diag]") {
    for (const auto& entry : std::filesystem::directory_iterator(kExamples)) {
        if (entry.path().extension() != ".scruple") continue;
        const auto compiled = compile_text("example.scruple", read(entry.path()));
        for (const auto& d : compiled->diagnostics) {
            INFO(entry.path().filename().string() + ": " + d.message);
            CHECK(d.span.known());
            // Lower case, no full stop, and no longer than a headline.
            CHECK_FALSE(d.message.empty());
            CHECK_FALSE((d.message[0] >= 'A' && d.message[0] <= 'Z'));
            CHECK(d.message.back() != '.');
            for (const auto& label : d.more) CHECK(label.span.known());
        }
    }
}
