#include <catch2/catch.hpp>

#include <random>
#include <sstream>

#include "base/text.h"
#include "num/decimal.h"
#include "unit/emit_builder.h"

using namespace emit_test;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

/// The section below a heading in capitals.
std::vector<std::string> section(const std::string& sheet, const std::string& heading) {
    std::vector<std::string> found;
    bool inside = false;
    for (const std::string& line : lines_of(sheet)) {
        if (inside && !line.empty() && line[0] != ' ') break;
        if (inside) found.push_back(line);
        if (line == heading) inside = true;
    }
    return found;
}

bool holds(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

/// Text with every run of white space as one space: what is said, wherever the lines break.
std::string flat(const std::string& text) {
    std::string out;
    std::istringstream in(text);
    for (std::string word; in >> word;) out += (out.empty() ? "" : " ") + word;
    return out;
}

Rational decimal(const std::string& text) {
    const ParsedNumber number = parse_number(text);
    REQUIRE(number.error == NumberError::none);
    return number.value;
}

std::string sheet_of(Stillroom& room, ProductId product, SheetOptions options = {}) {
    return emit_product_sheet(room.document(), product, options);
}

/// Adds the lines of the weighing table up as they are printed, column by column, against its
/// total.
void check_adds_up(const std::string& sheet) {
    Rational sums[3];
    std::vector<std::string> total;
    for (const std::string& line : section(sheet, "WEIGH")) {
        std::vector<std::string> words;
        std::istringstream in(line);
        for (std::string word; in >> word;) words.push_back(word);
        if (line.rfind("  Total ", 0) == 0) {
            total = words;
            break;
        }
        if (line.rfind("    ", 0) != 0 || words.size() < 4) continue;
        // From the right: drops (blend lines only), ml, grams, per cent.
        std::size_t numbers = 0;
        while (numbers < words.size() && words[words.size() - 1 - numbers].find_first_not_of(
                                             "0123456789.") == std::string::npos)
            ++numbers;
        if (numbers < 3) continue;
        const std::size_t first = words.size() - numbers;
        for (std::size_t c = 0; c < 3; ++c) sums[c] += decimal(words[first + c]);
    }
    REQUIRE(total.size() == 4);
    CHECK(decimal(total[1]) == Rational(100));
    for (std::size_t c = 0; c < 3; ++c) CHECK(sums[c] == decimal(total[c + 1]));
}

}  // namespace

TEST_CASE("a product's sheet says what to weigh and that it adds up") {
    Usual room;
    const std::string sheet = sheet_of(room, room.ferry_roll_on);
    check_adds_up(sheet);
    const std::string said = flat(sheet);
    CHECK(holds(said, "Night Ferry roll-on ferry_roll_on"));
    CHECK(holds(said, "Roll-on perfume oil; stays on the skin"));
    CHECK(holds(said, "3 % by weight of the whole"));
    CHECK(holds(said, "1. weigh Jojoba"));
    CHECK(holds(said, "2. stir in Night Ferry"));
    CHECK(!holds(said, "<batch>"));
    CHECK(holds(said, "weighs 0.885 g/ml"));
    CHECK(holds(said, "Mistral root 3.0 % all of it"));
}

TEST_CASE("batches of any size add up as printed") {
    std::mt19937 random(7);
    for (int round = 0; round < 60; ++round) {
        Usual room(part(1 + static_cast<long long>(random() % 900), 10000));
        Product& product = room.model.products[room.ferry_roll_on];
        product.units = 1 + static_cast<std::int64_t>(random() % 500);
        product.extra = part(static_cast<long long>(random() % 50), 1000);
        if (round % 3 == 0) room.model.workshop.scales = {{part(1), std::nullopt}};
        if (round % 3 == 1)
            room.model.workshop.scales = {{part(1, 1000), part(200)}, {part(1, 2), std::nullopt}};
        check_adds_up(sheet_of(room, room.ferry_roll_on));
    }
}

TEST_CASE(
    "every sheet ends with the line that it replaces no assessor, and none approves anything") {
    for (const Rational& load : {part(1, 1000), part(3, 100), part(30, 100)}) {
        Usual room(load);
        const Document document = room.document();
        for (const std::string& sheet : {emit_product_sheet(document, room.ferry_roll_on, {}),
                                         emit_blend_sheet(document, room.ferry, {}),
                                         emit_product_markdown(document, room.ferry_roll_on),
                                         emit_blend_markdown(document, room.ferry)}) {
            const std::string said = flat(sheet);
            CHECK(holds(said,
                        "supports and does not replace a qualified safety assessor, the local "
                        "rules and the "
                        "supplier's own documents"));
            for (const char* word :
                 {"approved", "certified", "is safe", "safe to use", "compliant", "guarantee"}) {
                CHECK_FALSE(holds(said, word));
            }
        }
    }
}

TEST_CASE("the verdict is in plain words, and colour only repeats it") {
    Usual over(part(30, 100));
    const std::string sheet = sheet_of(over, over.ferry_roll_on);
    CHECK(holds(flat(sheet), "DO NOT MAKE THIS: it breaks 1 rule that this library knows"));
    CHECK(holds(flat(sheet), "at most"));
    CHECK(holds(flat(sheet),
                "Harbourol, at most 0.6 % (An invented handbook; Anything that touches skin)"));

    // Whoever weighs as they read must meet it before the first amount.
    CHECK(sheet.find("DO NOT MAKE THIS") < sheet.find("WEIGH"));

    SheetOptions colored;
    colored.color = true;
    const std::string with = sheet_of(over, over.ferry_roll_on, colored);
    CHECK(holds(with, "\x1b["));
    std::string without;
    for (std::size_t at = 0; at < with.size(); ++at) {
        if (with[at] == '\x1b') {
            at = with.find('m', at);
            continue;
        }
        without += with[at];
    }
    CHECK(without == sheet);
    CHECK_FALSE(holds(sheet, "\x1b"));
}

TEST_CASE("an incomplete formula says so and gives no figure to weigh") {
    Usual room;
    room.model.materials[room.saltbark].density.reset();
    const std::string sheet = sheet_of(room, room.ferry_roll_on);
    const std::string said = flat(sheet);
    CHECK(holds(said, "The amounts are not known"));
    CHECK(holds(said, "NOT JUDGED"));
    CHECK_FALSE(holds(said, "Passes"));
    for (const std::string& line : section(sheet, "WEIGH")) CHECK_FALSE(holds(line, "0.0"));
    const std::string blend = emit_blend_sheet(room.document(), room.ferry, {});
    CHECK(holds(flat(blend), "The shares are not known"));
    CHECK_FALSE(holds(blend, "100.00"));
}

TEST_CASE("no sheet is wider than its page, whatever the names are") {
    static const char* const kTitles[] = {"Night Ferry",
                                          "精油のブレンド、夜の渡し船、静かな港",
                                          "e\xCC\x81\xCC\x82\xCC\x83 combining",
                                          "Donaudampfschifffahrtsgesellschaftskapitänswitwenrentena"
                                          "ntragsformularmappenaufbewahrungsort",
                                          "🌿🌿🌿 leaves",
                                          "a title that goes on and on, as titles do when somebody "
                                          "has much to say about a small bottle",
                                          "tab\there and \x1b[31mred\x1b[0m",
                                          "broken \xC3\x28 bytes",
                                          ""};
    constexpr std::size_t kCount = sizeof kTitles / sizeof *kTitles;
    std::mt19937 random(11);
    for (int round = 0; round < 120; ++round) {
        Usual room(part(1 + static_cast<long long>(random() % 400), 1000));
        const auto title = [&] { return std::string(kTitles[random() % kCount]); };
        for (Material& m : room.model.materials) m.header.title = title();
        for (Substance& s : room.model.substances) s.header.title = title();
        for (RuleSet& r : room.model.rule_sets) r.header.title = title();
        Product& product = room.model.products[room.ferry_roll_on];
        product.header.title = title();
        product.header.doc = title() + "\n" + title();
        product.header.name = room.keep(std::string(1 + random() % 120, 'n'));
        product.units = 1 + static_cast<std::int64_t>(random() % 1000000000);
        product.warnings = {title()};
        product.remarks = {title()};
        room.model.blends[room.ferry].header.title = title();
        SheetOptions options;
        options.width = round % 2 ? 80 : 40 + random() % 60;
        const std::string sheet = emit_sheet(room.document(), options);
        for (const std::string& line : lines_of(sheet)) {
            INFO(line);
            CHECK(display_width(line) <= options.width);
        }
        CHECK_FALSE(holds(sheet, "\x1b"));
        CHECK_FALSE(holds(sheet, "\t"));
    }
}

TEST_CASE("the same document gives the same bytes in every form") {
    Usual a, b;
    const Document one = a.document();
    const Document two = b.document();
    CHECK(emit_sheet(one, {}) == emit_sheet(two, {}));
    CHECK(emit_markdown(one) == emit_markdown(two));
    CHECK(emit_json(one) == emit_json(two));
    CHECK(emit_csv(one) == emit_csv(two));
}

TEST_CASE("a blend's sheet shows its ratio, shares and balance") {
    Usual room;
    const std::string said = flat(emit_blend_sheet(room.document(), room.ferry, {}));
    CHECK(holds(said, "Ratio 24 : 12 : 1, 37 parts in all"));
    // 6, 3 and 1/4 parts in 9 1/4.
    CHECK(holds(said, "Quayside petals 6 64.87"));
    CHECK(holds(said, "Saltbark wood 3 32.43"));
    CHECK(holds(said, "Mistral root 0.25 2.70"));
    CHECK(holds(said, "Total 9.25 100.00 100.00"));
    CHECK(holds(said, "top 64.9 %"));
    CHECK(holds(said, "base 32.4 %"));
}
