#include "changes/state.h"

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>

#include "changes/fact_maker.h"
#include "changes/read_json.h"

namespace scruple::changes {
namespace {

using StateJson = nlohmann::json;
using StateMaker = FactMaker<StateJson>;

void add_error(std::vector<SideError>& out, const StateJson& d) {
    if (StateMaker::text(d, "severity") != "error") return;
    SideError error;
    error.code = StateMaker::text(d, "code");
    if (tells_how_judged(error.code)) return;
    error.message = StateMaker::text(d, "message");
    error.file = StateMaker::text(d, "file");
    const StateJson& line = StateMaker::at(StateMaker::at(StateMaker::at(d, "range"), "start"), "line");
    if (line.is_number_unsigned()) error.line = line.get<std::size_t>() + 1;
    out.push_back(std::move(error));
}

std::string id_of(std::string_view unit) {
    std::string id;
    each_member(unit, [&](std::string_view key, std::string_view value) {
        if (key != "id" || !id.empty()) return;
        const auto parsed = StateJson::parse(value, nullptr, false);
        if (parsed.is_string()) id = parsed.get<std::string>();
    });
    return id;
}

void add_units(std::vector<Unit>& out, std::string_view list, UnitKind kind) {
    each_element(list, [&](std::string_view text) {
        Unit& unit = out.emplace_back();
        unit.id = id_of(text);
        unit.text = text;
        unit.kind = kind;
    });
}

}  // namespace

void add_assumptions(std::vector<Fact>& out, const std::vector<std::pair<std::string, std::string>>& what_and_source) {
    for (const auto& [what, source] : what_and_source) {
        std::string subject;
        for (const char c : what) {
            const bool digit = (c >= '0' && c <= '9') || (c == '.' && !subject.empty() && subject.back() == '#');
            // Digits within a word are part of a name.
            const bool word = !subject.empty() && subject.back() != '#' && subject.back() != ' ';
            if (!digit || word) subject += c;
            else if (subject.empty() || subject.back() != '#') subject += '#';
        }
        out.push_back({What::assumption, subject, {{"what", what, false}, {"source", source, false}}});
    }
}

bool tells_how_judged(std::string_view code) {
    constexpr std::array kCodes = {"over_limit", "phototoxic_sum", "undiluted_on_skin", "prohibited", "over_without_blend",
                                   "waiver_unused", "waiver_expired", "waiver_refused", "not_for_audience", "over_peroxide"};
    return std::find(kCodes.begin(), kCodes.end(), code) != kCodes.end();
}

std::string_view unit_kind_word(UnitKind kind) {
    return kind == UnitKind::bench ? "bench" : kind == UnitKind::blend ? "blend" : "product";
}

const std::vector<Fact>& Unit::facts() const {
    if (!facts_) facts_ = std::make_shared<const std::vector<Fact>>(read_facts());
    return *facts_;
}

std::vector<Fact> Unit::read_facts() const {
    if (facts_) return *facts_;
    return kind == UnitKind::bench ? facts_of_bench(text) : kind == UnitKind::blend ? facts_of_blend(text) : facts_of_product(text);
}

std::string State::add(std::string text, bool made_now) {
    if (!made_now && !StateJson::accept(text)) return "it is not JSON";
    auto kept = std::make_shared<const std::string>(std::move(text));
    std::string schema;
    State read;
    bool lists = false;
    each_member(*kept, [&](std::string_view key, std::string_view value) {
        if (key == "benches") return add_units(read.benches, value, UnitKind::bench);
        if (key == "blends" || key == "products") {
            lists = true;
            const bool blend = key == "blends";
            return add_units(blend ? read.blends : read.products, value, blend ? UnitKind::blend : UnitKind::product);
        }
        const auto j = StateJson::parse(value, nullptr, false);
        StateMaker maker(read.facts);
        const auto one = [&](What what) {
            read.facts.push_back({what, "", {{"text", StateMaker::scalar(j), false}}});
        };
        if (key == "schema" && j.is_string()) schema = j.get<std::string>();
        if (key == "library") one(What::library);
        if (key == "compiler") one(What::compiler);
        if (key == "on") one(What::on);
        if (key == "rules" && j.is_array()) {
            for (const StateJson& rules : j) {
                Fact& fact = maker.add(What::rules, StateMaker::text(rules, "id"), rules, {"name", "dated", "markets"});
                StateMaker::sort_list(fact, "markets");
            }
        }
        if (key == "diagnostics" && j.is_array()) {
            for (const StateJson& d : j) add_error(read.errors, d);
        }
    });
    if (schema != "scruple.formula/1" || !lists) return "it is no formula document (`scruple build --to json` writes one)";
    texts.push_back(std::move(kept));
    benches.insert(benches.end(), read.benches.begin(), read.benches.end());
    blends.insert(blends.end(), read.blends.begin(), read.blends.end());
    products.insert(products.end(), read.products.begin(), read.products.end());
    for (Fact& fact : read.facts) {
        const bool there = std::any_of(facts.begin(), facts.end(), [&](const Fact& f) {
            return f.what == fact.what && f.subject == fact.subject && same(f, fact);
        });
        if (!there) facts.push_back(std::move(fact));
    }
    put_in_order(facts);
    errors.insert(errors.end(), read.errors.begin(), read.errors.end());
    return {};
}

}  // namespace scruple::changes
