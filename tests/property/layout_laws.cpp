// Laws of the layout: it stands still when done twice, loses nothing, and one row more or less is one
// line more or less. Over every recipe of the repository and over generated ones.
#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "../unit/syntax_support.h"
#include "layout/format.h"

using namespace scruple;

namespace {

#if defined(__SANITIZE_ADDRESS__)
constexpr std::uint32_t kFiles = 4000;
constexpr std::uint32_t kBlends = 1000;
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
constexpr std::uint32_t kFiles = 4000;
constexpr std::uint32_t kBlends = 1000;
#else
constexpr std::uint32_t kFiles = 100000;
constexpr std::uint32_t kBlends = 10000;
#endif
#else
constexpr std::uint32_t kFiles = 100000;
constexpr std::uint32_t kBlends = 10000;
#endif

std::string laid_out(const std::string& text) { return format_text(FileId{0}, text).layout.text; }

std::string without_blanks(const std::string& text) {
    std::string out;
    for (const char c : text) {
        if (c != ' ' && c != '\t' && c != '\n' && c != '\r') out += c;
    }
    return out;
}

/// Source texts with blanks, line ends and comments wherever the language takes them.
class Scribble {
public:
    explicit Scribble(std::uint64_t seed) : random_(seed) {}

    std::string file() {
        out_.clear();
        crlf_ = random_.below(8) == 0;
        gap();
        const auto count = 1 + random_.below(3);
        for (std::uint32_t i = 0; i < count; ++i) declaration();
        if (random_.below(4) == 0) out_ += "# the end";
        return out_;
    }

private:
    const char* pick(std::initializer_list<const char*> words) {
        return words.begin()[random_.below(static_cast<std::uint32_t>(words.size()))];
    }
    void blanks() { out_ += pick({" ", " ", "  ", "\t", "        "}); }
    void some() { out_ += pick({"", "", " ", "\t  "}); }
    void end() { out_ += crlf_ ? "\r\n" : "\n"; }
    void comment() {
        out_ += pick({"# c", "#", "#  two  blanks ", "# { } , \"", "# \xC3\xA9t\xC3\xA9", "#, a", "### x\t", "## d"});
    }
    /// Between rows: empty lines, and comments of their own.
    void gap() {
        while (random_.below(3) == 0) {
            some();
            if (random_.below(2) == 0) comment();
            end();
        }
    }
    /// Behind a row: perhaps a comment, and the line's end.
    void row_end() {
        some();
        if (random_.below(4) == 0) comment();
        end();
        gap();
    }
    void comma() {
        out_ += ',';
        some();
        if (random_.below(4) == 0) {
            if (random_.below(2) == 0) comment();
            end();
            while (random_.below(3) == 0) {
                some();
                comment();
                end();
            }
            some();
        }
    }
    void name() {
        out_ += pick({"ho_wood", "vetiver", "a", "petitgrain_bigarade", "x_1", "house.fir", "frankincense_carterii"});
    }
    void text() { out_ += pick({"\"t\"", "\"\"", "\"a \\\" b  c\"", "\"a longer text, with # and { in it\""}); }
    void amount() {
        out_ += pick({"5", "2/3", "0.75", "25..32..38", "-18"});
        out_ += pick({" ", "  ", "\t"});
        out_ += pick({"parts", "%", "ml", "drops", "% of total", "g/ml", "% w/w"});
    }
    void list() {
        const auto kind = random_.below(3);
        const auto count = 1 + random_.below(random_.below(4) == 0 ? 14 : 3);
        for (std::uint32_t i = 0; i < count; ++i) {
            if (i > 0) comma();
            if (kind == 0) name();
            if (kind == 1) text();
            if (kind == 2) {
                amount();
                blanks();
                name();
            }
        }
    }
    void row(std::uint32_t depth) {
        some();
        switch (random_.below(7)) {
            case 0:
            case 1:
                amount();
                blanks();
                name();
                if (random_.below(4) == 0) {
                    blanks();
                    text();
                }
                break;
            case 2: out_ += pick({"rest ho_wood", "none  linalool", "blend", "up to 3 %  geraniol"}); break;
            case 3:
                out_ += pick({"density 0.9 g / ml at 20 C", "opened 2026-05-02", "weighs_to 0.01 g up to 200 g"});
                break;
            case 4:
            case 5:
                out_ += pick({"intent", "in", "steps", "cites_appendix", "remark"});
                blanks();
                list();
                break;
            default:
                if (depth < 4) {
                    out_ += pick({"contains", "phase oil", "phase x \"T\" at 35 C", "36 roll_on of 10 ml as z"});
                    block(depth + 1);
                } else {
                    out_ += "blend";
                }
        }
    }
    void block(std::uint32_t depth) {
        some();
        out_ += '{';
        if (random_.below(6) == 0) {  // on one line
            some();
            if (random_.below(3) != 0) out_ += pick({"cas \"1-2\"", "5 parts vetiver", "blend", "in a, b"});
            some();
            out_ += '}';
            return;
        }
        some();
        if (random_.below(6) == 0) comment();
        end();
        gap();
        const auto count = random_.below(5);
        for (std::uint32_t i = 0; i < count; ++i) {
            row(depth);
            row_end();
        }
        some();
        out_ += '}';
    }
    void declaration() {
        if (random_.below(4) == 0) {
            out_ += "## a description";
            end();
            if (random_.below(4) == 0) {  // a comment within it
                out_ += "# not of it";
                end();
                out_ += "##  its second line";
                end();
            }
        }
        if (random_.below(5) == 0) {
            out_ += pick({"unit  jar = 10 ml also jars", "let small=10 ml", "use \"../s\"  as s"});
        } else {
            out_ += pick({"blend", "base", "lot", "line", "oil", "limit", "guide", "bench", "prices", "workshop"});
            blanks();
            name();
            blanks();
            if (random_.below(2) == 0) text();
            block(1);
        }
        row_end();
    }

    syntax_test::Random random_;
    std::string out_;
    bool crlf_ = false;
};

struct LineCount {
    std::size_t out = 0;
    std::size_t in = 0;
};

std::vector<std::string> lines_in(const std::string& text) {
    std::vector<std::string> out;
    std::size_t at = 0;
    while (at < text.size()) {
        const auto end = text.find('\n', at);
        out.push_back(text.substr(at, end - at));
        at = end == std::string::npos ? text.size() : end + 1;
    }
    return out;
}

/// Lines that differ between the first and the last that do: no diff program shows more.
LineCount differing(const std::string& a, const std::string& b) {
    const auto from = lines_in(a);
    const auto to = lines_in(b);
    std::size_t head = 0;
    while (head < from.size() && head < to.size() && from[head] == to[head]) ++head;
    std::size_t tail = 0;
    while (head + tail < from.size() && head + tail < to.size() &&
           from[from.size() - 1 - tail] == to[to.size() - 1 - tail]) {
        ++tail;
    }
    return {from.size() - head - tail, to.size() - head - tail};
}

}  // namespace

TEST_CASE("every recipe of the repository keeps its meaning in the layout, which stands still") {
    std::size_t read = 0;
    std::size_t whole = 0;
    for (const char* part : {"stdlib", "examples", "tests"}) {
        const auto folder = std::filesystem::path(SCRUPLE_SOURCE_DIR) / part;
        for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
            if (!entry.is_regular_file() || entry.path().extension() != ".scruple") continue;
            std::ifstream file(entry.path(), std::ios::binary);
            const std::string text((std::istreambuf_iterator<char>(file)), {});
            const Formatted done = format_text(FileId{0}, text);
            CAPTURE(entry.path().string());
            CHECK(done.untouched != Formatted::Untouched::fault);
            CHECK(laid_out(done.layout.text) == done.layout.text);
            if (done.untouched == Formatted::Untouched::no) {
                CHECK(without_blanks(done.layout.text).size() + 3 >= without_blanks(text).size());
            } else {
                CHECK(done.layout.text == text);
                CHECK(!done.mistakes.empty());
            }
            if (done.mistakes.empty()) {
                PARSED(before, text);
                PARSED(after, done.layout.text);
                CHECK(after.tree.atoms.size() == before.tree.atoms.size());
                CHECK(after.tree.comments.size() == before.tree.comments.size());
                CHECK(syntax_test::code_names(after.found) == syntax_test::code_names(before.found));
                ++whole;
            }
            ++read;
        }
    }
    CHECK(read > 200);
    CHECK(whole > 150);
}

TEST_CASE("files with comments in every legal place keep all of them, in place") {
    std::size_t comments = 0;
    for (std::uint32_t i = 0; i < kFiles; ++i) {
        const std::string text = Scribble(i).file();
        const Formatted done = format_text(FileId{0}, text);
        const std::string& out = done.layout.text;
        const bool good = done.untouched == Formatted::Untouched::no && done.mistakes.empty() &&
                          without_blanks(out) == without_blanks(text) &&
                          !format_text(FileId{0}, out).changed &&
                          (out.empty() || out.ends_with('\n')) && out.find("\n\n\n") == std::string::npos &&
                          out.find(" \n") == std::string::npos;
        if (!good) {
            INFO(text);
            INFO(out);
            FAIL("file " << i);
        }
        comments += static_cast<std::size_t>(std::count(out.begin(), out.end(), '#'));
    }
    CHECK(comments > kFiles);
}

TEST_CASE("one row added, taken out or changed is at most one line out and one in") {
    const std::vector<std::string> oils = {"vetiver", "ho_wood", "petitgrain_bigarade", "a", "frankincense_carterii"};
    for (std::uint32_t i = 0; i < kBlends; ++i) {
        syntax_test::Random random(i);
        const auto row = [&] {
            std::string out = "  " + std::to_string(1 + random.below(9999)) + (random.below(2) == 0 ? " parts" : "drops") +
                              std::string(1 + random.below(6), ' ') + oils[random.below(5)];
            if (random.below(4) == 0) out += " \"a remark of some length, which may be longer than the line is wide\"";
            if (random.below(4) == 0) out += " # said of it";
            return out;
        };
        std::vector<std::string> rows;
        for (std::uint32_t r = random.below(8); r > 0; --r) rows.push_back(row());
        const auto text = [](const std::vector<std::string>& in) {
            std::string out = "blend night_ferry \"Night Ferry\" {\n";
            for (const auto& r : in) out += r + "\n";
            return out + "}\nproduct p {\n  blend night_ferry at 3 %\n}\n";
        };
        auto other = rows;
        const auto what = rows.empty() ? 0 : random.below(3);
        const auto at = random.below(static_cast<std::uint32_t>(rows.size()) + (what == 0 ? 1 : 0));
        if (what == 0) other.insert(other.begin() + at, row());
        if (what == 1) other.erase(other.begin() + at);
        if (what == 2) other[at] = row();
        const auto [out, in] = differing(laid_out(text(rows)), laid_out(text(other)));
        if (out > 1 || in > 1) {
            INFO(laid_out(text(rows)));
            INFO(laid_out(text(other)));
            FAIL("blend " << i << ": " << out << " out, " << in << " in");
        }
    }
}

TEST_CASE("around broken declarations the rest is laid out, and what is broken stays to the byte") {
    const std::string broken = "blend  b {\n  5,5 parts   x\n   2 parts y ,\n}\n";
    const std::string text = "blend a{\n 5parts x\n}\n\n" + broken + "\nblend c{\n1 part z}\n";
    const Formatted done = format_text(FileId{0}, text);
    CHECK(done.layout.kept == 1);
    CHECK(done.mistakes.size() == 2);
    CHECK(done.layout.text == "blend a {\n    5 parts    x\n}\n\n" + broken + "\nblend c {\n    1 part     z\n}\n");
    // Torn off anywhere, nothing is lost.
    for (std::size_t cut = 0; cut < text.size(); ++cut) {
        const std::string torn = text.substr(0, cut) + text.substr(std::min(text.size(), cut + 1));
        const Formatted result = format_text(FileId{0}, torn);
        CHECK(without_blanks(result.layout.text) == without_blanks(torn));
        CHECK(result.untouched != Formatted::Untouched::fault);
        CHECK(laid_out(result.layout.text) == result.layout.text);
    }
}

TEST_CASE("only rows that reach into the lines asked for are laid out") {
    const std::string text = "blend a{\n 5parts x\n  intent p,\n   q\n 1part y\n}";
    const std::vector<LineRange> third = {{3, 3}};
    CHECK(format_text(FileId{0}, text, {}, third).layout.text ==
          "blend a{\n 5parts x\n    intent     p, q\n 1part y\n}");
    const std::vector<LineRange> ends = {{1, 1}, {6, 9}};
    CHECK(format_text(FileId{0}, text, {}, ends).layout.text ==
          "blend a {\n 5parts x\n  intent p,\n   q\n 1part y\n}\n");
    const std::vector<LineRange> none = {{40, 50}};
    CHECK(!format_text(FileId{0}, text, {}, none).changed);
}

TEST_CASE("some lines laid out, then all of them, is all of it laid out, and nothing is lost between") {
    std::size_t changed = 0;
    for (std::uint32_t i = 0; i < kFiles / 10; ++i) {
        const std::string text = Scribble(i).file();
        syntax_test::Random random(i);
        const auto lines = static_cast<std::uint32_t>(lines_in(text).size());
        std::vector<LineRange> ranges;
        for (std::uint32_t r = 1 + random.below(2); r > 0; --r) {
            const std::uint32_t first = 1 + random.below(lines + 1);
            ranges.push_back({first, first + random.below(4)});
        }
        const Formatted some = format_text(FileId{0}, text, {}, ranges);
        const bool good = some.untouched == Formatted::Untouched::no &&
                          without_blanks(some.layout.text) == without_blanks(text) &&
                          laid_out(some.layout.text) == laid_out(text);
        if (!good) {
            INFO(text);
            INFO(some.layout.text);
            FAIL("file " << i << ", lines " << ranges[0].first << " to " << ranges[0].last);
        }
        changed += some.changed ? 1 : 0;
    }
    CHECK(changed > kFiles / 20);
}

TEST_CASE("where a row is a line, exactly the lines asked for are laid out") {
    for (std::uint32_t i = 0; i < kBlends / 10; ++i) {
        syntax_test::Random random(i);
        std::string text = "blend  a{\n";
        const std::uint32_t rows = random.below(9);
        for (std::uint32_t r = 0; r < rows; ++r) {
            text += std::string(random.below(7), ' ');
            text += random.below(5) == 0 ? "# said " : std::to_string(1 + random.below(900)) + "parts  vetiver \"x\"#y";
            text += "\n";
        }
        text += "  }\n";
        const auto before = lines_in(text);
        const auto all = lines_in(laid_out(text));
        const LineRange range{1 + random.below(rows + 2), 1 + random.below(rows + 2)};
        if (range.first > range.last) continue;
        const std::vector<LineRange> ranges = {range};
        const auto some = lines_in(format_text(FileId{0}, text, {}, ranges).layout.text);
        REQUIRE(all.size() == before.size());
        REQUIRE(some.size() == before.size());
        for (std::uint32_t l = 0; l < some.size(); ++l) {
            const bool asked = range.first <= l + 1 && l + 1 <= range.last;
            if (some[l] == (asked ? all[l] : before[l])) continue;
            INFO(text);
            FAIL("blend " << i << ", line " << l + 1 << " with " << range.first << ":" << range.last << " is " << some[l]);
        }
    }
}

TEST_CASE("clauses are written in one order, and lines end as the first one does") {
    CHECK(laid_out("line l of b {\n12 roll_on of 10 ml as mini in jojoba at 3 %\n}\n") ==
          "line l of b {\n    12  roll_on of 10 ml         at 3 %          in jojoba            as mini\n}\n");
    CHECK(laid_out("product p {\naccept over_limit x until 2027-06 because \"y\" to 1 % under r\n}\n") ==
          "product p {\n    accept     over_limit x under r to 1 % because \"y\" until 2027-06\n}\n");
    CHECK(laid_out("\xEF\xBB\xBFlet  a = 1 g\r\nlet b=2g\n\n\n\n") == "let a = 1 g\r\nlet b = 2 g\r\n");
    CHECK(laid_out("\n \n") == "");
}

TEST_CASE("a remark behind a list breaks no line; texts of one word fill theirs") {
    const std::string names = "    0.5 %          in pads_sun, hair_leave_on, body_rinse_off, household_hand by notes";
    const std::string remark = " \"a remark that is long, and would be as long on a line of its own\"";
    const std::string limit = "limit x under y {\n" + names + remark + "\n}\n";
    CHECK(laid_out(limit) == limit);
    const std::string bench = "bench b {\n    add        1 drop ho_wood, 2 drops vetiver" + std::string(22, ' ') +
                              "\"as long as that one is, or longer still\"\n}\n";
    CHECK(laid_out("bench b{\nadd 1 drop ho_wood,2 drops vetiver \"as long as that one is, or longer still\"}") == bench);
    const std::string numbers = "\"91722-69-9\", \"8022-15-9\", \"93455-96-0\", \"93455-97-1\", \"92623-76-2\", \"84776-65-8\"";
    CHECK(laid_out("allergen x under y {\n cas " + numbers + ", \"1-2\"\n}\n") ==
          "allergen x under y {\n    cas        " + numbers + ",\n               \"1-2\"\n}\n");
    // One longer text among them, and each has a line.
    CHECK(laid_out("allergen x under y {\n also \"a b\", " + numbers + "\n}\n").find("\"a b\",\n") != std::string::npos);
    CHECK(laid_out("prices \"S\" on 2026-04-01 {\n10 ml lavender for 8.20 EUR \"dear\"\n}\n") ==
          "prices \"S\" on 2026-04-01 {\n    10 ml      lavender               for 8.20 EUR    \"dear\"\n}\n");
    CHECK(laid_out("base b {\nphase p {\nthird jojoba\nrest olive\n}\n}\n") ==
          "base b {\n    phase p {\n        third          jojoba\n        rest           olive\n    }\n}\n");
}

TEST_CASE("a text whose layout would pass the limit of a file is left alone") {
    ResourceLimits limits;
    limits.file_bytes = 1000;
    std::string deep = "a";
    for (int i = 0; i < 30; ++i) deep += "{\nb";
    for (int i = 0; i < 30; ++i) deep += "\n}";
    const Formatted done = format_text(FileId{0}, deep, limits);
    CHECK(done.untouched == Formatted::Untouched::too_long);
    CHECK(done.layout.text == deep);
}
