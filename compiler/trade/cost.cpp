#include "trade/cost.h"

#include <algorithm>

#include "formula/physical.h"

namespace scruple {
namespace {

/// A comparison with a budget treats this relative difference as equal, as limits do.
constexpr double kSameMoney = 1e-9;

std::optional<double> hours_of(const Product& product, std::int64_t units) {
    if (!product.batch_hours && !product.unit_hours) return std::nullopt;
    double hours = product.batch_hours ? product.batch_hours->to_double() : 0;
    if (product.unit_hours) hours += product.unit_hours->to_double() * static_cast<double>(units);
    return hours;
}

void add_materials(const PriceBook& book, const Product& product, const Formula& formula, Cost& cost) {
    const Price ready = product.base_id == kNone ? Price{} : book.of_base(product.base_id);
    const bool ready_made = ready.row != nullptr;
    std::vector<CostLine> blend;
    if (ready_made) {
        CostLine line;
        line.kind = CostLine::Kind::base;
        line.id = product.base_id;
        line.price = ready;
        line.span = product.base_span;
        for (const FormulaLine& f : formula.lines) line.amount += f.role == LineRole::base ? f.mass_g : 0;
        cost.lines.push_back(std::move(line));
    }
    for (const FormulaLine& f : formula.lines) {
        if (f.role == LineRole::base && ready_made) continue;
        auto& list = f.role == LineRole::blend ? blend : cost.lines;
        const auto same = std::find_if(list.begin(), list.end(), [&](const CostLine& l) {
            return l.kind == CostLine::Kind::material && l.id == f.material;
        });
        if (same != list.end()) {
            same->amount += f.mass_g;
            continue;
        }
        CostLine line;
        line.id = f.material;
        line.role = f.role;
        line.amount = f.mass_g;
        line.price = book.of_material(f.material);
        line.span = f.span;
        list.push_back(std::move(line));
    }
    for (auto& line : blend) cost.lines.push_back(std::move(line));
}

void add_packaging(const PriceBook& book, const Product& product, Cost& cost) {
    const auto add = [&](ContainerId id) {
        cost.packaging_stated = true;
        CostLine line;
        line.kind = CostLine::Kind::container;
        line.id = id;
        line.amount = static_cast<double>(cost.units);
        line.price = book.of_container(id);
        line.span = product.header.name_span;
        cost.lines.push_back(std::move(line));
    };
    if (product.container != kNone) add(product.container);
    for (const ContainerId id : product.packaging) add(id);
}

}  // namespace

const CostLine* Cost::dearest() const {
    const CostLine* most = nullptr;
    for (const CostLine& line : lines) {
        if (line.money && (!most || *line.money > *most->money)) most = &line;
    }
    return most;
}

BlendCost cost_of(const Model& model, const PriceBook& book, const BlendFigures& blend) {
    BlendCost cost;
    cost.asked = book.any();
    if (!cost.asked) return cost;
    bool all = blend.complete && !blend.lines.empty();
    double sum = 0;
    for (const BlendFigures::Line& line : blend.lines) {
        BlendCost::Line out;
        out.price = book.of_material(line.material);
        const double density = density_of(model, line.material, nullptr);
        if (out.price.money && density > 0) {
            density_of(model, line.material, &cost.assumptions);
            out.per_drop = *out.price.money * density / drops_per_ml(model, line.material, &cost.assumptions);
        }
        book.assume_of(out.price, cost.assumptions);
        all = all && out.price.money.has_value();
        if (out.price.money && blend.complete) {
            sum += *out.price.money * line.share_ww;
            cost.at_least_per_g = sum;
        }
        cost.lines.push_back(std::move(out));
    }
    if (!all) return cost;
    cost.per_g = sum;
    if (blend.density > 0) cost.per_ml = sum * blend.density;
    for (std::size_t i = 0; i < cost.lines.size() && sum > 0; ++i) {
        cost.lines[i].share = *cost.lines[i].price.money * blend.lines[i].share_ww / sum;
    }
    return cost;
}

Cost cost_of(const Model& model, const PriceBook& book, const Product& product, const Formula& formula, std::int64_t units) {
    Cost cost;
    cost.asked = book.any() || product.budget.has_value();
    cost.units = std::max<std::int64_t>(units, 1);
    if (!cost.asked) return cost;
    if (product.budget) {
        if (const auto budget = book.exchange(*product.budget)) cost.budget = budget->to_double();
    }
    if (!formula.complete) return cost;
    add_materials(book, product, formula, cost);
    add_packaging(book, product, cost);
    cost.complete = true;
    for (CostLine& line : cost.lines) {
        if (!line.price.money) {
            cost.complete = false;
            continue;
        }
        line.money = line.amount * *line.price.money;
        book.assume_of(line.price, cost.assumptions);
        double& sum = line.kind == CostLine::Kind::container ? cost.packaging
                      : line.kind == CostLine::Kind::material && line.role == LineRole::blend ? cost.blend : cost.base;
        sum += *line.money;
    }
    const Workshop& workshop = model.workshop;
    const auto hours = hours_of(product, cost.units);
    const auto hour = workshop.labour ? book.exchange(*workshop.labour) : std::nullopt;
    if (hours && hour) {
        cost.hours = *hours;
        cost.labour = *hours * hour->to_double();
    } else if (hours || workshop.labour) {
        cost.labour_missing = true;
        cost.complete = false;
    }
    cost.batch = cost.base + cost.blend + cost.packaging + cost.labour.value_or(0);
    if (workshop.overhead) {
        cost.overhead = cost.batch * workshop.overhead->to_double();
        cost.batch += *cost.overhead;
    }
    if (cost.complete) {
        if (workshop.wholesale) cost.wholesale = cost.unit() * workshop.wholesale->to_double();
        if (workshop.retail) cost.retail = cost.wholesale.value_or(cost.unit()) * workshop.retail->to_double();
    }
    cost.over_budget = cost.budget && cost.unit() > *cost.budget * (1 + kSameMoney);
    return cost;
}

}  // namespace scruple
