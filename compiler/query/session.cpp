#include "query/session.h"

#include <algorithm>
#include <thread>
#include <utility>

#include "base/parallel.h"
#include "formula/intent.h"
#include "safety/assessments.h"
#include "sema/elaborate.h"

namespace scruple {
namespace {

/// Runs `work(begin, end, bag)` over [0, count) in contiguous pieces; bags are joined in order.
template <class Work>
void in_pieces(std::size_t count, unsigned threads, Bag& bag, const Work& work) {
    constexpr std::size_t kWorthAThread = 256;
    const std::size_t wanted = threads ? threads : std::max(1u, std::thread::hardware_concurrency());
    const std::size_t pieces = std::clamp<std::size_t>(std::min(wanted, count / kWorthAThread), 1, 16);
    std::vector<Bag> bags(pieces);
    in_parallel(pieces, [&](std::size_t i) { work(count * i / pieces, count * (i + 1) / pieces, bags[i]); });
    for (auto& b : bags) bag.append(std::move(b));
}

}  // namespace

/// Takes products the whole way, one at a time, into the compilation's lists.
class ProductWork final : public FiguresOnDemand {
public:
    ProductWork(Compilation& c, const CompileOptions& options) : c_(c), options_(options), table_(c.model) {}

    /// What keeps it from being whole, or cannot be right with its amounts, goes to the bag.
    Formula formula_of(ProductId id, bool keep, std::optional<BlendFigures>& own_blend, Bag& bag) const {
        const Product& p = c_.model.products[id];
        FormulaOptions formula_options;
        formula_options.units = options_.make;
        formula_options.for_sheet = keep;
        Bag said;  // what a blend lacks is said of the blend itself
        if (!p.lots.empty()) {
            own_blend = work_out(c_.model, with_lots(c_.model, p), said, keep);
        } else if (keep && options_.on_demand) {
            own_blend = work_out(c_.model, c_.model.blends[p.blend], said, true);
        }
        return work_out(c_.model, p, blend_of(p, own_blend), bag, formula_options);
    }

    /// Everything that is found goes to the bag; with `keep` the figures go to the lists.
    void run(ProductId id, bool keep, CautionsOf& cautions_of, Bag& bag) {
        const Product& p = c_.model.products[id];
        std::optional<BlendFigures> own_blend;
        Formula formula = formula_of(id, keep, own_blend, bag);
        const BlendFigures& blend = blend_of(p, own_blend);
        Judgement judgement = judge(c_.model, table_, p, blend, formula, options_.on, bag);
        report_outside(c_.model, p, formula, options_.on, bag);
        PeopleJudgement people = judge_people(c_.model, cautions_of, p, blend, formula, keep ? Care::all : Care::findings, bag);
        Cost cost = cost_of(c_.model, *c_.prices, p, formula, options_.make.value_or(p.units));
        report_cost(c_.model, *c_.prices, p, cost, options_.on, bag);
        if (keep) keep_figures(id, std::move(formula), std::move(judgement), std::move(people), std::move(cost));
    }

    /// From here on products are made when they are asked for.
    void open() {
        cautions_of_ = std::make_unique<CautionsOf>(c_.model);
        // Looked up now, since several threads will read them.
        for (MaterialId m = 0; m < c_.model.materials.size(); ++m) (*cautions_of_)[m];
    }
    void make(ProductId id, Wanted wanted) override {
        if (c_.model.products[id].header.broken) return;
        const Product& p = c_.model.products[id];
        Bag said;  // what keeps it from being whole was found before
        std::optional<BlendFigures> own_blend;
        Formula formula = formula_of(id, !wanted.briefly && (wanted.amounts || wanted.cost), own_blend, said);
        const BlendFigures& blend = blend_of(p, own_blend);
        Judgement judgement;
        PeopleJudgement people;
        Cost cost;
        if (wanted.judged || wanted.people) {
            judgement = judge(c_.model, table_, p, blend, formula, options_.on);
            const Care care = !wanted.people ? Care::findings : wanted.briefly ? Care::meant : Care::all;
            people = judge_people(c_.model, *cautions_of_, p, blend, formula, care, said);
        }
        if (wanted.cost) cost = cost_of(c_.model, *c_.prices, p, formula, options_.make.value_or(p.units));
        keep_figures(id, std::move(formula), std::move(judgement), std::move(people), std::move(cost));
    }
    std::vector<Assumption> taken_as_given(BlendId id) const override {
        Bag said;
        return work_out(c_.model, c_.model.blends[id], said, true).assumptions;
    }
    void forget(ProductId id) override {
        c_.formulas[id] = {};
        c_.formulas[id].product = id;
        c_.judgements[id] = {};
        c_.people[id] = {};
        c_.costs[id] = {};
    }

private:
    void keep_figures(ProductId id, Formula formula, Judgement judgement, PeopleJudgement people, Cost cost) {
        judgement.verdict = with_people(judgement.verdict, people);
        c_.formulas[id] = std::move(formula);
        c_.judgements[id] = std::move(judgement);
        c_.people[id] = std::move(people);
        c_.costs[id] = std::move(cost);
    }
    const BlendFigures& blend_of(const Product& p, const std::optional<BlendFigures>& own) const { return own ? *own : c_.blends[p.blend]; }

    Compilation& c_;
    CompileOptions options_;
    LimitTable table_;
    std::unique_ptr<CautionsOf> cautions_of_;
};

Compilation::Compilation() = default;
Compilation::~Compilation() = default;

namespace {

/// Gives what makes products when they are asked for, if that was wished.
std::unique_ptr<ProductWork> finish(Compilation& c, const ResourceLimits& limits, const CompileOptions& options, Bag& bag) {
    c.model = elaborate(c.collection, c.sources, limits, bag, options.keep_figures);
    const Model& model = c.model;
    const auto kept = [&](std::string_view name) {
        return options.keep_figures && (!options.figures_of || options.figures_of(name));
    };
    // A product's figures rest on those of its blend, whether or not the blend itself is asked for.
    std::vector<bool> blend_kept(model.blends.size()), product_kept(model.products.size());
    for (std::size_t i = 0; i < model.blends.size(); ++i) blend_kept[i] = kept(model.blends[i].header.name);
    for (std::size_t i = 0; i < model.products.size(); ++i) {
        const Product& p = model.products[i];
        product_kept[i] = kept(p.declared_name());
        if (p.blend < blend_kept.size() && product_kept[i]) blend_kept[p.blend] = true;
    }
    c.blends.resize(model.blends.size());
    in_pieces(model.blends.size(), options.threads, bag, [&](std::size_t begin, std::size_t end, Bag& own) {
        for (std::size_t i = begin; i < end; ++i) {
            if (model.blends[i].header.broken) continue;
            c.blends[i] = work_out(model, model.blends[i], own, blend_kept[i] && !options.on_demand);
            report_intent(model, model.blends[i], own);
        }
    });
    c.prices = std::make_unique<PriceBook>(model, options.on);
    if (options.keep_figures) {
        c.formulas.resize(model.products.size());
        for (std::size_t i = 0; i < model.products.size(); ++i) c.formulas[i].product = static_cast<ProductId>(i);
        c.judgements.resize(model.products.size());
        c.people.resize(model.products.size());
        c.allergens = std::make_unique<AllergenTable>(model, options.on);
        c.costs.resize(model.products.size());
        c.blend_costs.resize(model.blends.size());
        for (std::size_t i = 0; i < model.blends.size(); ++i) {
            if (blend_kept[i]) c.blend_costs[i] = cost_of(model, *c.prices, c.blends[i]);
        }
    }
    auto work = std::make_unique<ProductWork>(c, options);
    in_pieces(model.products.size(), options.threads, bag, [&](std::size_t begin, std::size_t end, Bag& own) {
        CautionsOf cautions_of(model);
        for (std::size_t i = begin; i < end; ++i) {
            const auto id = static_cast<ProductId>(i);
            const Product& p = model.products[i];
            if (p.header.broken) continue;
            const bool keep = product_kept[i];
            std::optional<BlendFigures> own_blend;
            if (options.on_demand) {
                work->formula_of(id, false, own_blend, own);
            } else {
                work->run(id, keep, cautions_of, own);
            }
        }
    });

    bag.sort_and_unique();
    std::vector<std::uint8_t> shown(c.sources.size(), 1);
    for (const auto& file : c.collection.files) {
        // What an import says of its own is heard only when it is an error.
        shown[static_cast<std::size_t>(file.id)] = file.scope != 0 ? 2 : file.selected ? 1 : 0;
    }
    for (const auto& d : bag.items()) {
        if (d.span.known()) {
            const auto how = shown[static_cast<std::size_t>(d.span.file)];
            if (how == 0 || (how == 2 && d.severity != Severity::error)) continue;
        }
        c.errors += d.severity == Severity::error;
        c.diagnostics.push_back(d);
    }
    if (!options.on_demand) return nullptr;
    work->open();
    return work;
}

}  // namespace

template <class OnBench, class OnBlend, class OnProduct>
void Compilation::each_shown(OnBench&& on_bench, OnBlend&& on_blend, OnProduct&& on_product) const {
    std::vector<bool> selected(sources.size(), false);
    for (const auto& file : collection.files) selected[static_cast<std::size_t>(file.id)] = file.selected && file.scope == 0;
    const auto shown = [&](const Span& span, std::string_view name) {
        return span.known() && selected[static_cast<std::size_t>(span.file)] && (!figures_of_ || figures_of_(name));
    };
    for (const BenchId b : model.own_benches) {
        if (shown(model.benches[b].header.span, model.benches[b].header.name)) on_bench(b);
    }
    for (const BlendId b : model.own_blends) {
        if (shown(model.blends[b].header.span, model.blends[b].header.name)) on_blend(b);
    }
    for (const ProductId p : model.own_products) {
        if (shown(model.products[p].header.span, model.products[p].declared_name())) on_product(p);
    }
}

Compilation::Counts Compilation::counts() const {
    Counts out;
    each_shown([&](BenchId) { ++out.benches; }, [&](BlendId) { ++out.blends; }, [&](ProductId) { ++out.products; });
    return out;
}

Document Compilation::document() const {
    Document d;
    d.model = &model;
    d.sources = &sources;
    d.collection = collection.name;
    each_shown([&](BenchId b) { d.benches.push_back(b); }, [&](BlendId b) { d.blends.push_back(b); },
               [&](ProductId p) { d.products.push_back(p); });
    // By name: where a recipe stands, and in which file, changes no byte of an output.
    const auto in_order = [](auto& ids, const auto& records) {
        const auto before = [&](auto a, auto b) { return std::pair(records[a].header.name, a) < std::pair(records[b].header.name, b); };
        if (!std::is_sorted(ids.begin(), ids.end(), before)) std::sort(ids.begin(), ids.end(), before);
    };
    in_order(d.benches, model.benches);
    in_order(d.blends, model.blends);
    in_order(d.products, model.products);
    d.blend_figures = &blends;
    d.formulas = &formulas;
    d.judgements = &judgements;
    d.people = &people;
    d.prices = prices.get();
    d.blend_costs = &blend_costs;
    d.costs = &costs;
    d.allergens = allergens.get();
    d.diagnostics = &diagnostics;
    d.on_demand = on_demand_.get();
    return d;
}

ReadCollection read_collection(const FileSystem& files, const CollectionPlan& plan, const ResourceLimits& limits) {
    ReadCollection out{std::make_unique<Compilation>(), {}};
    out.compilation->collection = load_collection(files, plan, limits, out.compilation->sources, out.said);
    return out;
}

std::unique_ptr<Compilation> compile(ReadCollection read, const ResourceLimits& limits, const CompileOptions& options) {
    auto c = std::move(read.compilation);
    c->figures_of_ = options.figures_of;
    c->on_demand_ = finish(*c, limits, options, read.said);
    return c;
}

std::unique_ptr<Compilation> compile(const FileSystem& files, const CollectionPlan& plan, const ResourceLimits& limits,
                                     const CompileOptions& options) {
    return compile(read_collection(files, plan, limits), limits, options);
}

std::unique_ptr<Compilation> compile_text(const std::string& path, std::string text, const ResourceLimits& limits,
                                          const CompileOptions& options) {
    MemoryFileSystem files;
    const std::string real = "/" + path;
    files.put(real, std::move(text));
    CollectionPlan plan;
    plan.root = path_parent(real);
    plan.alone.push_back(real);
    return compile(files, plan, limits, options);
}

}  // namespace scruple
