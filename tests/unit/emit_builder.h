// A small stillroom built by hand for the emitters' tests: two oils with compositions, one without,
// a carrier, a wax, a format for skin and one for the room. Every figure in it is invented.
#pragma once

#include <deque>
#include <string>

#include "emit/emit.h"
#include "formula/formula.h"
#include "safety/judge.h"

namespace emit_test {

using namespace scruple;

struct Stillroom {
    Model model;
    SourceMap sources;
    Bag bag;
    std::deque<std::string> texts;  // views in the model must live as long as it does
    std::vector<BlendFigures> blend_figures;
    std::vector<Formula> formulas;
    std::vector<Judgement> judgements;
    std::vector<Diagnostic> diagnostics;

    std::string_view keep(std::string text) { return texts.emplace_back(std::move(text)); }

    Header header(std::string name, std::string title) {
        Header h;
        h.name = keep(std::move(name));
        h.title = std::move(title);
        return h;
    }

    SourceId source(Standing standing, std::string text) {
        Source s;
        s.standing = standing;
        s.text = keep(std::move(text));
        model.sources.push_back(s);
        return static_cast<SourceId>(model.sources.size() - 1);
    }

    MaterialId material(std::string name, std::string title, double density,
                        MaterialKind kind = MaterialKind::oil, std::string_view role = "",
                        Note note = Note::unknown) {
        Material m;
        m.header = header(std::move(name), std::move(title));
        m.header.from_library = true;
        m.kind = kind;
        m.role = role;
        m.note = note;
        if (density > 0) {
            Density d;
            d.g_per_ml = {density, density, density, true};
            d.source = source(Standing::supplier, "an invented data sheet");
            m.density = d;
        }
        model.materials.push_back(std::move(m));
        return static_cast<MaterialId>(model.materials.size() - 1);
    }

    SubstanceId substance(std::string name, std::string title) {
        Substance s;
        s.header = header(std::move(name), std::move(title));
        model.substances.push_back(std::move(s));
        return static_cast<SubstanceId>(model.substances.size() - 1);
    }

    void contains(MaterialId material, SubstanceId substance, double low, double typical,
                  double high) {
        Material& m = model.materials[material];
        m.contains.push_back({substance,
                              {low, typical, high, true},
                              source(Standing::paper, "an invented paper"),
                              {}});
        m.composition_known = true;
        m.known_typical += typical;
    }

    CategoryId category(std::string name, std::string title) {
        Category c;
        c.header = header(std::move(name), std::move(title));
        c.within = {static_cast<CategoryId>(model.categories.size())};
        model.categories.push_back(std::move(c));
        return static_cast<CategoryId>(model.categories.size() - 1);
    }

    RuleSetId rules(std::string name, std::string title, std::string dated) {
        RuleSet r;
        r.header = header(std::move(name), std::move(title));
        r.dated = std::move(dated);
        model.rule_sets.push_back(std::move(r));
        return static_cast<RuleSetId>(model.rule_sets.size() - 1);
    }

    void limit(SubstanceId substance, MaterialId material, RuleSetId rules, CategoryId in,
               std::string percent, double fraction, Standing standing,
               Effect effect = Effect::sensitisation, LimitKind kind = LimitKind::ceiling) {
        Limit l;
        l.substance = substance;
        l.material = material;
        l.rules = rules;
        l.header.name = substance != kNone ? model.substances[substance].header.name
                                           : model.materials[material].header.name;
        LimitRow row;
        row.kind = kind;
        row.max_fraction = fraction;
        row.max_text = std::move(percent);
        row.in = {in};
        row.effect = effect;
        row.source = source(standing, "an invented rule");
        l.rows.push_back(std::move(row));
        model.limits.push_back(std::move(l));
        const auto id = static_cast<std::uint32_t>(model.limits.size() - 1);
        auto& by = substance != kNone ? model.substance_limits : model.material_limits;
        const std::uint32_t subject = substance != kNone ? substance : material;
        if (by.size() <= subject) by.resize(subject + 1);
        by[subject].push_back(id);
    }

    FormatId format(std::string name, std::string title, Contact contact, CategoryId category) {
        Format f;
        f.header = header(std::move(name), std::move(title));
        f.contact = contact;
        f.category = category;
        f.load_low = Rational(Rational::Int{1}, Rational::Int{100});
        f.load_typical = Rational(Rational::Int{2}, Rational::Int{100});
        f.load_high = Rational(Rational::Int{5}, Rational::Int{100});
        f.steps = {"weigh <in>", "stir in <blend>", "fill; the batch is <batch>"};
        model.formats.push_back(std::move(f));
        return static_cast<FormatId>(model.formats.size() - 1);
    }

    BlendId blend(std::string name, std::string title,
                  std::vector<std::pair<MaterialId, Rational>> lines,
                  Measure measure = Measure::volume) {
        Blend b;
        b.header = header(std::move(name), std::move(title));
        b.measure = measure;
        for (auto& [material, amount] : lines) {
            b.lines.push_back({amount, material, {}, {}});
            b.total += amount;
        }
        model.blends.push_back(std::move(b));
        const auto id = static_cast<BlendId>(model.blends.size() - 1);
        model.own_blends.push_back(id);
        return id;
    }

    /// Content in millilitres, load as a percentage by weight, in the materials given with their
    /// shares.
    ProductId product(std::string name, std::string title, BlendId blend, FormatId format,
                      Rational ml, Rational load, std::vector<std::pair<MaterialId, Rational>> in,
                      std::int64_t units = 24) {
        Product p;
        p.header = header(std::move(name), std::move(title));
        p.blend = blend;
        p.format = format;
        p.content = {ml, kVolume, {}};
        p.load.value = load;
        p.units = units;
        p.units_stated = true;
        BasePhase phase;
        phase.blend_here = true;
        for (auto& [material, fraction] : in) {
            BaseRow row;
            row.material = material;
            row.fraction = fraction;
            phase.rows.push_back(row);
        }
        if (!in.empty()) p.own_base.push_back(std::move(phase));
        model.products.push_back(std::move(p));
        const auto id = static_cast<ProductId>(model.products.size() - 1);
        model.own_products.push_back(id);
        return id;
    }

    /// Works everything out; call once the model is complete.
    Document document() {
        blend_figures.clear();
        formulas.clear();
        judgements.clear();
        const LimitTable limits(model);
        for (const Blend& b : model.blends) blend_figures.push_back(work_out(model, b, bag));
        for (const Product& p : model.products) {
            formulas.push_back(work_out(model, p, blend_figures[p.blend], bag));
            judgements.push_back(
                judge(model, limits, p, blend_figures[p.blend], formulas.back(), {}, bag));
        }
        bag.sort_and_unique();
        diagnostics = bag.items();
        Document d;
        d.model = &model;
        d.sources = &sources;
        d.collection = "stillroom";
        d.blends = model.own_blends;
        d.products = model.own_products;
        d.blend_figures = &blend_figures;
        d.formulas = &formulas;
        d.judgements = &judgements;
        d.diagnostics = &diagnostics;
        return d;
    }
};

inline Rational part(long long top, long long bottom = 1) {
    return Rational(Rational::Int{top}, Rational::Int{bottom});
}

/// A skin product that passes, with two limits, a premix and something unknown.
struct Usual : Stillroom {
    MaterialId quayside, saltbark, mistral, jojoba, wax;
    SubstanceId harbourol, piniane;
    CategoryId skin, room;
    RuleSetId handbook, guessed;
    FormatId roll_on, candle;
    BlendId ferry;
    ProductId ferry_roll_on;

    explicit Usual(Rational load = part(3, 100)) {
        quayside = material("quayside", "Quayside petals", 0.885, MaterialKind::oil, "", Note::top);
        saltbark = material("saltbark", "Saltbark wood", 0.95, MaterialKind::oil, "", Note::base);
        mistral = material("mistral", "Mistral root", 1.02, MaterialKind::oil, "", Note::middle);
        jojoba = material("jojoba", "Jojoba", 0.868, MaterialKind::ingredient, "fixed_oil");
        wax = material("wax", "Beeswax", 0.96, MaterialKind::ingredient, "wax");
        harbourol = substance("harbourol", "Harbourol");
        piniane = substance("piniane", "Piniane");
        contains(quayside, harbourol, 0.1, 0.2, 0.3);
        contains(quayside, piniane, 0.3, 0.4, 0.5);
        contains(saltbark, harbourol, 0, 0.01, 0.02);
        skin = category("skin", "Anything that touches skin");
        room = category("room", "Scents a room");
        handbook = rules("handbook", "An invented handbook", "2014-05-01");
        guessed = rules("guessed", "Invented estimates", "");
        limit(harbourol, kNone, handbook, skin, "0.6", 0.006, Standing::handbook);
        limit(piniane, kNone, guessed, skin, "2", 0.02, Standing::estimate);
        roll_on = format("roll_on", "Roll-on perfume oil", Contact::leave_on, skin);
        candle = format("candle", "Candle", Contact::none, room);
        ferry = blend("ferry", "Night Ferry",
                      {{quayside, part(6)}, {saltbark, part(3)}, {mistral, part(1, 4)}});
        ferry_roll_on = product("ferry_roll_on", "Night Ferry roll-on", ferry, roll_on, part(10),
                                load, {{jojoba, part(1)}});
    }
};

}  // namespace emit_test
