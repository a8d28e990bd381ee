// Builds models by hand, so that formulas and judgements can be tested without any text.
// Percentages here are plain numbers (2.5 is 2.5 %); names are invented unless a test says where
// its figure comes from.
#pragma once

#include <deque>
#include <string>
#include <utility>
#include <vector>

#include "formula/formula.h"
#include "num/decimal.h"
#include "safety/judge.h"

namespace scruple::test {

inline Rational number(const std::string& text) {
    return parse_number(text).value;
}
inline Rational percent(const std::string& text) {
    return number(text) / Rational(100);
}

struct Part {
    SubstanceId substance;
    double low, typical, high;  // per cent
};

class ModelBuilder {
public:
    Model model;

    SourceId source(Standing standing, std::string text) {
        Source s;
        s.standing = standing;
        s.text = keep(std::move(text));
        model.sources.push_back(s);
        return static_cast<SourceId>(model.sources.size() - 1);
    }
    SubstanceId substance(std::string name) {
        model.substances.emplace_back();
        head(model.substances.back().header, std::move(name));
        return static_cast<SubstanceId>(model.substances.size() - 1);
    }
    /// `within` must be closed by the caller's order: what it names is built already.
    CategoryId category(std::string name, std::vector<CategoryId> within = {}) {
        model.categories.emplace_back();
        Category& c = model.categories.back();
        head(c.header, std::move(name));
        const auto id = static_cast<CategoryId>(model.categories.size() - 1);
        c.within = {id};
        for (const auto up : within) {
            for (const auto each : model.categories[up].within) c.within.push_back(each);
        }
        return id;
    }
    RuleSetId rules(std::string name) {
        model.rule_sets.emplace_back();
        head(model.rule_sets.back().header, std::move(name));
        return static_cast<RuleSetId>(model.rule_sets.size() - 1);
    }
    MaterialId material(MaterialKind kind, std::string name, double density,
                        std::string role = {}) {
        model.materials.emplace_back();
        Material& m = model.materials.back();
        head(m.header, std::move(name));
        m.kind = kind;
        m.role = keep(std::move(role));
        if (density > 0) {
            Density d;
            d.g_per_ml = {density, density, density, true};
            m.density = d;
        }
        return static_cast<MaterialId>(model.materials.size() - 1);
    }
    MaterialId oil(std::string name, double density, std::vector<Part> parts = {}) {
        const auto id = material(MaterialKind::oil, std::move(name), density);
        contains(id, std::move(parts));
        return id;
    }
    MaterialId carrier(std::string name, double density, std::string role = "fixed_oil") {
        return material(MaterialKind::ingredient, std::move(name), density, std::move(role));
    }
    void contains(MaterialId id, std::vector<Part> parts) {
        Material& m = model.materials[id];
        for (const auto& p : parts) {
            Constituent c;
            c.substance = p.substance;
            c.fraction = {p.low / 100, p.typical / 100, p.high / 100, true};
            m.contains.push_back(c);
            m.composition_known = true;
            m.known_typical = std::min(1.0, m.known_typical + p.typical / 100);
        }
    }

    Limit& limit_of_substance(SubstanceId id, RuleSetId rules) {
        Limit& limit = new_limit(rules);
        limit.substance = id;
        index(model.substance_limits, id);
        return limit;
    }
    Limit& limit_of_material(MaterialId id, RuleSetId rules) {
        Limit& limit = new_limit(rules);
        limit.material = id;
        index(model.material_limits, id);
        return limit;
    }
    LimitRow& row(Limit& limit, const std::string& most, std::vector<CategoryId> in, Effect effect,
                  SourceId from) {
        LimitRow r;
        r.max_text = most;
        r.max_fraction = percent(most).to_double();
        r.in = std::move(in);
        r.effect = effect;
        r.source = from;
        limit.rows.push_back(std::move(r));
        return limit.rows.back();
    }

    FormatId format(std::string name, Contact contact, CategoryId category, Basis basis = Basis::ww,
                    Of of = Of::total) {
        model.formats.emplace_back();
        Format& f = model.formats.back();
        head(f.header, std::move(name));
        f.contact = contact;
        f.category = category;
        f.load_basis = basis;
        f.load_of = of;
        return static_cast<FormatId>(model.formats.size() - 1);
    }
    BlendId blend(Measure measure, std::vector<std::pair<MaterialId, std::string>> lines) {
        model.blends.emplace_back();
        Blend& b = model.blends.back();
        head(b.header, "blend_" + std::to_string(model.blends.size()));
        b.measure = measure;
        for (const auto& [material, amount] : lines) {
            BlendLine line;
            line.material = material;
            line.amount = number(amount);
            b.total += line.amount;
            b.lines.push_back(line);
        }
        return static_cast<BlendId>(model.blends.size() - 1);
    }

    static BaseRow share(MaterialId material, const std::string& p, Of of = Of::base) {
        BaseRow r;
        r.material = material;
        r.fraction = percent(p);
        r.of = of;
        return r;
    }
    static BaseRow rest(MaterialId material) {
        BaseRow r;
        r.material = material;
        r.rest = true;
        return r;
    }
    static std::vector<BasePhase> phase(std::vector<BaseRow> rows) {
        BasePhase p;
        p.rows = std::move(rows);
        return {std::move(p)};
    }
    static Load load(const std::string& p, Basis basis = Basis::ww, Of of = Of::total) {
        Load l;
        l.value = percent(p);
        l.basis = basis;
        l.of = of;
        return l;
    }

    ProductId product(BlendId blend, FormatId format, const std::string& content,
                      Dimension dimension, Load load, std::vector<BasePhase> base) {
        model.products.emplace_back();
        Product& p = model.products.back();
        head(p.header, "product_" + std::to_string(model.products.size()));
        p.blend = blend;
        p.format = format;
        p.content = {number(content), dimension, {}};
        p.load = load;
        p.own_base = std::move(base);
        return static_cast<ProductId>(model.products.size() - 1);
    }

    BlendFigures figures(BlendId id, Bag* bag = nullptr) {
        Bag own;
        return work_out(model, model.blends[id], bag ? *bag : own);
    }
    Formula formula(ProductId id, Bag* bag = nullptr, const FormulaOptions& options = {}) {
        Bag own;
        return work_out(model, model.products[id], figures(model.products[id].blend),
                        bag ? *bag : own, options);
    }
    Judgement judged(ProductId id, Bag* bag = nullptr) {
        Bag own, quiet;
        const BlendFigures blend = figures(model.products[id].blend);
        const Formula made = work_out(model, model.products[id], blend, quiet);
        return judge(model, LimitTable(model), model.products[id], blend, made, {}, bag ? *bag : own);
    }

private:
    std::string_view keep(std::string text) {
        texts_.push_back(std::move(text));
        return texts_.back();
    }
    void head(Header& header, std::string name) {
        header.title = name;
        header.name = keep(std::move(name));
    }
    Limit& new_limit(RuleSetId rules) {
        model.limits.emplace_back();
        model.limits.back().rules = rules;
        return model.limits.back();
    }
    void index(std::vector<std::vector<std::uint32_t>>& by, std::uint32_t id) {
        if (by.size() <= id) by.resize(id + 1);
        by[id].push_back(static_cast<std::uint32_t>(model.limits.size() - 1));
    }

    std::deque<std::string> texts_;
};

inline std::size_t count_of(const Bag& bag, Code code) {
    std::size_t n = 0;
    for (const auto& d : bag.items()) n += d.code == code;
    return n;
}
inline std::string message_of(const Bag& bag, Code code) {
    for (const auto& d : bag.items()) {
        if (d.code == code) return d.message;
    }
    return {};
}
inline const Check* check_of(const Judgement& judgement, CheckKind kind) {
    for (const auto& c : judgement.checks) {
        if (c.kind == kind) return &c;
    }
    return nullptr;
}

}  // namespace scruple::test
