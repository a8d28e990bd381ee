// JSON and CSV: what they say, and that any text and any figure comes through.
#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

#include <nlohmann/json.hpp>

#include "diag/render.h"
#include "emit/json_text.h"
#include "unit/emit_builder.h"

using namespace emit_test;
using Json = nlohmann::ordered_json;

namespace {

std::vector<std::string> keys(const Json& object) {
    std::vector<std::string> out;
    for (const auto& item : object.items()) out.push_back(item.key());
    return out;
}

}  // namespace

TEST_CASE("the formula document has its keys in order") {
    Usual room;
    const Json json = Json::parse(emit_json(room.document()));
    CHECK(keys(json) == std::vector<std::string>{"schema", "compiler", "library", "rules",
                                                 "collection", "on", "benches", "blends",
                                                 "products", "diagnostics"});
    CHECK(json["on"].is_null());
    Document dated = room.document();
    dated.on = "2026-05-02";
    CHECK(Json::parse(emit_json(dated))["on"] == "2026-05-02");
    CHECK(json["schema"] == "scruple.formula/1");
    CHECK(json["collection"] == "stillroom");
    const Json& blend = json["blends"][0];
    CHECK(blend["id"] == "ferry");
    CHECK(blend["parts"][2]["parts"] == "0.25");
    const Json& product = json["products"][0];
    CHECK(product["units"] == 24);
    CHECK(product["load"]["value_percent"] == 3);
    CHECK(product["load"]["basis"] == "w/w");
    CHECK(product["lines"].size() == 4);
    CHECK(product["label"].is_null());
    double percent = 0, weigh = 0;
    for (const Json& line : product["lines"]) {
        percent += line["percent_ww"].get<double>();
        weigh += line["weigh_g"].get<double>();
    }
    CHECK(percent == Approx(100).epsilon(1e-9));
    CHECK(weigh == Approx(product["batch"]["weigh_g"].get<double>()).epsilon(1e-9));
}

TEST_CASE("a document in pieces is the same document") {
    Usual room;
    for (int i = 0; i < 1500; ++i) {
        room.product("p" + std::to_string(i), "P", room.ferry, room.roll_on, part(10), part(2, 100),
                     {{room.jojoba, part(1)}});
    }
    const Document document = room.document();
    std::string whole;
    std::size_t pieces = 0;
    emit_json(document, [&](std::string_view piece) {
        whole += piece;
        ++pieces;
    });
    CHECK(pieces > 2);
    CHECK(whole == emit_json(document));
    CHECK(Json::parse(whole)["products"].size() == 1501);
}

TEST_CASE("a printed ceiling is never above the one that was worked out") {
    Usual room(part(30, 100));
    const Document document = room.document();
    const Json safety = Json::parse(emit_json(document))["products"][0]["safety"];
    const Judgement& judgement = room.judgements[room.ferry_roll_on];
    REQUIRE(judgement.ceiling.state == Ceiling::State::bound);
    CHECK(safety["verdict"] == "fails");
    CHECK(safety["max_load_ww_percent"].get<double>() <= judgement.ceiling.load_ww * 100);
    CHECK(safety["max_load_ww_percent"].get<double>() ==
          Approx(judgement.ceiling.load_ww * 100).epsilon(1e-9));
    CHECK(safety["bound_by"] == "handbook:harbourol:skin");
    CHECK(safety["checks"][0]["source"] == "an invented rule");
    CHECK(safety["checks"][0]["standing"] == "handbook");
}

TEST_CASE("amounts that are not known are null, never a guess") {
    Usual room;
    room.model.materials[room.saltbark].density.reset();
    const Json product = Json::parse(emit_json(room.document()))["products"][0];
    CHECK(product["complete"] == false);
    CHECK(product["batch"]["mass_g"].is_null());
    CHECK(product["load"]["ww_percent"].is_null());
    for (const Json& line : product["lines"]) CHECK(line["mass_g"].is_null());
    CHECK(product["safety"]["verdict"] == "unknown");
    CHECK(product["safety"]["max_load_ww_percent"].is_null());
}

TEST_CASE("findings read as in the diagnostics document") {
    Usual room(part(30, 100));
    const FileId file =
        room.sources.add("ferry.scruple", "# \xF0\x9F\x8C\xBF leaf\nblend ferry {\r\n}\n");
    const Document document = room.document();
    REQUIRE(!room.diagnostics.empty());
    room.diagnostics[0].span = {file, 7, 11};
    room.diagnostics[0].label = "here";
    room.diagnostics[0].more = {{{file, 12, 17}, "and here"}, {{}, "nowhere"}};
    room.diagnostics[0].fixes = {{"write it out", true, {{{file, 2, 6}, "a \"leaf\""}}}};
    const Json json = Json::parse(emit_json(document));
    CHECK(json["diagnostics"] ==
          Json::parse(render_json(room.diagnostics, room.sources))["diagnostics"]);
}

TEST_CASE("any text is JSON that another reader reads back") {
    const std::string texts[] = {
        "plain",          "quote \" and \\ and /", std::string("nul \0 here", 10),
        "\t\r\n\x1f\x7f", "精油 🌿 e\xCC\x81",      "\xE2\x80\xA8"};
    for (const std::string& text : texts) {
        emit::JsonText json;
        json.text(text);
        CHECK(Json::parse(json.take()).get<std::string>() == text);
    }
    emit::JsonText json;
    json.text("broken \xC3\x28 \xFF");
    CHECK(Json::parse(json.take()).get<std::string>() == "broken \xEF\xBF\xBD( \xEF\xBF\xBD");
}

TEST_CASE("numbers are plain: ten digits, no exponent, null where there is none") {
    const auto written = [](double value) {
        emit::JsonText json;
        json.number(value);
        return json.take();
    };
    CHECK(written(3) == "3\n");
    CHECK(written(0.1 + 0.2) == "0.3\n");
    CHECK(written(1.0 / 3) == "0.3333333333\n");
    CHECK(written(1e-9) == "0.000000001\n");
    CHECK(written(-0.0) == "0\n");
    CHECK(written(std::numeric_limits<double>::infinity()) == "null\n");
    CHECK(written(std::nan("")) == "null\n");
}

TEST_CASE("a comma, a quote or a line end in a title stays one field") {
    Usual room;
    room.model.products[room.ferry_roll_on].header.title = "Ferry, \"night\"";
    const std::string csv = emit_csv(room.document());
    CHECK(csv.rfind("kind,id,name,", 0) == 0);
    CHECK(csv.find("product,ferry_roll_on,\"Ferry, \"\"night\"\"\",ferry,roll_on,24,") !=
          std::string::npos);
    CHECK(csv.size() >= 2);
    CHECK(csv.substr(csv.size() - 2) == "\r\n");
}

TEST_CASE("what a recipe calls things opens no tag and no table cell in Markdown") {
    Usual room;
    room.model.products[room.ferry_roll_on].header.title = "<b>Ferry</b> | *night* [x](y)";
    const std::string page = emit_product_markdown(room.document(), room.ferry_roll_on);
    CHECK(page.find("# &lt;b&gt;Ferry&lt;/b&gt; \\| \\*night\\* \\[x\\](y)") == 0);
}
