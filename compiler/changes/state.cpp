#include "changes/state.h"

#include <algorithm>
#include <array>

#include "changes/fact_maker.h"
#include "changes/read_json.h"
#include "emit/bench.h"
#include "emit/json_parts.h"

namespace scruple::changes {
namespace {

void add_error(std::vector<SideError>& out, Value d) {
    if (d["severity"].text() != "error") return;
    SideError error;
    error.code = text_of(d, "code");
    if (tells_how_judged(error.code)) return;
    error.message = text_of(d, "message");
    error.file = text_of(d, "file");
    const Value line = d["range"]["start"]["line"];
    if (line.is_number() && line.number() >= 0 && line.number() < 1e15) error.line = static_cast<std::size_t>(line.number()) + 1;
    out.push_back(std::move(error));
}

/// What a document says of the collection as a whole.
struct Head {
    std::string schema;
    std::vector<Fact> facts;
    std::vector<SideError> errors;

    void add(std::string_view key, Value value) {
        FactMaker maker(facts);
        const auto one = [&](What what) { facts.push_back({what, "", {{"text", scalar_of(value), false}}}); };
        if (key == "schema") schema = value.text();
        if (key == "library") one(What::library);
        if (key == "compiler") one(What::compiler);
        if (key == "on") one(What::on);
        if (key == "rules" && value.is_array()) {
            for (const Value rules : value) {
                Fact& fact = maker.add(What::rules, text_of(rules, "id"), rules, {"name", "dated", "markets"});
                FactMaker::sort_list(fact, "markets");
            }
        }
        if (key == "diagnostics" && value.is_array()) {
            for (const Value d : value) add_error(errors, d);
        }
    }
};

std::string id_of(std::string_view unit, emit::Values& values) {
    std::string id;
    each_member(unit, [&](std::string_view key, std::string_view value) {
        if (key != "id" || !id.empty()) return;
        read_values(value, values);
        id = values.root().text();
    });
    return id;
}

void add_units(std::vector<Unit>& out, std::string_view list, UnitKind kind) {
    emit::Values values;
    each_element(list, [&](std::string_view text) {
        Unit& unit = out.emplace_back();
        unit.id = id_of(text, values);
        unit.text = text;
        unit.kind = kind;
    });
}

}  // namespace

bool tells_how_judged(std::string_view code) {
    constexpr std::array kCodes = {"over_limit", "phototoxic_sum", "undiluted_on_skin", "prohibited", "over_without_blend",
                                   "waiver_unused", "waiver_expired", "waiver_refused", "not_for_audience", "over_peroxide"};
    return std::find(kCodes.begin(), kCodes.end(), code) != kCodes.end();
}

std::string_view unit_kind_word(UnitKind kind) {
    return kind == UnitKind::bench ? "bench" : kind == UnitKind::blend ? "blend" : "product";
}

void Unit::read(emit::Values& out) const {
    if (!document) return read_values(text, out);
    // What no fact is made of is not made.
    std::vector<std::string_view> unwanted = {"near_ratio", "blend_cost"};
    if (!wanted.amounts) unwanted.push_back("lines");
    if (!wanted.amounts && !wanted.cost) unwanted.push_back("assumptions");
    if (!wanted.judged && !wanted.people) unwanted.push_back("safety");
    if (!wanted.people) unwanted.push_back("cautions");
    if (!wanted.label) unwanted.push_back("label");
    if (!wanted.cost) unwanted.push_back("cost");
    out.clear(std::move(unwanted));
    switch (kind) {
        case UnitKind::bench: return emit::write_bench(out, *document, index);
        case UnitKind::blend: return emit::write_blend(out, *document, index);
        case UnitKind::product:
            if (document->on_demand) document->on_demand->make(index, wanted);
            emit::write_product(out, *document, index);
            if (document->on_demand) document->on_demand->forget(index);
            return;
    }
}

const std::vector<Fact>& Unit::facts() const {
    if (!facts_) {
        emit::Values values;
        read(values);
        facts_ = std::make_shared<const std::vector<Fact>>(facts_of(kind, values.root()));
    }
    return *facts_;
}

std::vector<Fact> facts_of(UnitKind kind, Value unit) {
    return kind == UnitKind::bench ? facts_of_bench(unit) : kind == UnitKind::blend ? facts_of_blend(unit) : facts_of_product(unit);
}

void State::add_facts(std::vector<Fact> more) {
    for (Fact& fact : more) {
        const bool there = std::any_of(facts.begin(), facts.end(), [&](const Fact& f) {
            return f.what == fact.what && f.subject == fact.subject && same(f, fact);
        });
        if (!there) facts.push_back(std::move(fact));
    }
    put_in_order(facts);
}

std::string State::add(std::string text, bool made_now) {
    if (!made_now && !is_json(text)) return "it is not JSON";
    auto text_kept = std::make_shared<const std::string>(std::move(text));
    State read;
    Head head;
    emit::Values values;
    bool lists = false;
    each_member(*text_kept, [&](std::string_view key, std::string_view value) {
        if (key == "benches") return add_units(read.benches, value, UnitKind::bench);
        if (key == "blends" || key == "products") {
            lists = true;
            const bool blend = key == "blends";
            return add_units(blend ? read.blends : read.products, value, blend ? UnitKind::blend : UnitKind::product);
        }
        read_values(value, values);
        head.add(key, values.root());
    });
    if (head.schema != "scruple.formula/1" || !lists) return "it is no formula document (`scruple build --to json` writes one)";
    kept.push_back(std::move(text_kept));
    benches.insert(benches.end(), read.benches.begin(), read.benches.end());
    blends.insert(blends.end(), read.blends.begin(), read.blends.end());
    products.insert(products.end(), read.products.begin(), read.products.end());
    add_facts(std::move(head.facts));
    errors.insert(errors.end(), head.errors.begin(), head.errors.end());
    return {};
}

void State::add(std::shared_ptr<const Document> document, FunctionRef<Wanted(std::string_view)> wanted_of) {
    const Document& d = *document;
    kept.push_back(std::move(document));
    const auto add_unit = [&](std::vector<Unit>& out, UnitKind kind, const Header& header, std::uint32_t index, std::string_view declared) {
        Wanted wanted;
        if (wanted_of) wanted = wanted_of(declared);
        // Nothing but a product is judged.
        if (kind != UnitKind::product) wanted.judged = wanted.people = wanted.label = false;
        if (!wanted.any()) return;
        Unit& unit = out.emplace_back();
        unit.id = header.name;
        unit.kind = kind;
        unit.document = &d;
        unit.index = index;
        unit.wanted = wanted;
    };
    const Model& model = *d.model;
    for (const BenchId b : d.benches) add_unit(benches, UnitKind::bench, model.benches[b].header, b, model.benches[b].header.name);
    for (const BlendId b : d.blends) add_unit(blends, UnitKind::blend, model.blends[b].header, b, model.blends[b].header.name);
    for (const ProductId p : d.products) add_unit(products, UnitKind::product, model.products[p].header, p, model.products[p].declared_name());
    emit::Values values;
    values.open_object();
    emit::write_head(values, d);
    values.key("diagnostics");
    emit::write_diagnostics(values, d);
    values.close_object();
    Head head;
    for (const Value member : values.root()) head.add(member.key(), member);
    add_facts(std::move(head.facts));
    errors.insert(errors.end(), head.errors.begin(), head.errors.end());
}

}  // namespace scruple::changes
