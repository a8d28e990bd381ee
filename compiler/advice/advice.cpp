#include "advice/advice.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "advice/probe.h"
#include "advice/variation.h"
#include "base/overlay_file_system.h"
#include "library/details.h"
#include "num/decimal.h"
#include "sema/names.h"
#include "trade/prices.h"

namespace scruple {
namespace {

constexpr std::size_t kMostLoadText = 60;

/// What follows the blend in a product's row; empty where the words can't be a load.
std::string load_row(const std::string& given) {
    std::string text = given;
    while (!text.empty() && text.back() == ' ') text.pop_back();
    while (text.starts_with(' ')) text.erase(0, 1);
    if (text.starts_with("at ")) text.erase(0, 3);
    const auto allowed = [](char c) {
        return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || c == ' ' || c == '.' || c == '/' || c == '%' || c == '_';
    };
    if (text.empty() || text.size() > kMostLoadText || !std::all_of(text.begin(), text.end(), allowed)) return "";
    for (const auto start : {"using ", "up to ", "between "}) {
        if (text.starts_with(start)) return text;
    }
    const bool bare = std::all_of(text.begin(), text.end(), [](char c) { return (c >= '0' && c <= '9') || c == '.' || c == '/'; });
    return "at " + text + (bare ? " %" : "");
}

bool is_name(const std::string& text) {
    return !text.empty() && text.size() <= 255 && std::all_of(text.begin(), text.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
    });
}

template <class Store>
std::uint32_t find_named(const Store& store, std::string_view name) {
    for (std::uint32_t i = 0; i < store.size(); ++i) {
        if (store[i].header.name == name && !store[i].header.from_library) return i;
    }
    return kNone;
}

class Advising {
public:
    Advising(const FileSystem& files, const CollectionPlan& plan, const AdviceQuestion& question)
        : files_(files), plan_(plan), question_(question) {}

    AdviceAnswer run() {
        CompileOptions options;
        options.keep_figures = false;
        options.on = question_.on;
        const auto own = compile(files_, plan_, {}, options);
        if (!find_subject(own->model)) return std::move(answer_);
        if (!ask(own->model)) return std::move(answer_);
        Advice& out = *answer_.advice;
        const Model& model = out.compilation->model;
        out.limits = std::make_unique<LimitTable>(model);
        out.typical = question_.typical;
        add_formats();
        add_products();
        if (!answer_.advice) return std::move(answer_);
        add_packs_and_swaps();
        return std::move(answer_);
    }

private:
    bool fail(std::string trouble, bool recipe = false) {
        answer_.trouble = std::move(trouble);
        answer_.recipe = recipe;
        answer_.advice.reset();
        return false;
    }

    /// The blend that the name leads to, and the product or the line's products where it names one.
    bool find_subject(const Model& own) {
        const auto own_blend = [&](std::string_view name) {
            for (const BlendId b : own.own_blends) {
                if (own.blends[b].header.name == name) return b;
            }
            return static_cast<BlendId>(kNone);
        };
        BlendId blend = own_blend(question_.name);
        for (const ProductId p : own.own_products) {
            const Product& product = own.products[p];
            const bool by_name = product.header.name == question_.name || product.line == question_.name;
            const bool by_blend = blend != kNone && product.blend == blend;
            if (!by_name && !by_blend) continue;
            if (by_name && product.header.broken) {
                return fail(fmt::format("scruple: {} has errors; `scruple check` tells which, and advice needs them mended first\n",
                                        question_.name), true);
            }
            if (product.header.broken) continue;
            if (by_name && blend == kNone) blend_of_product_ = product.blend;
            one_ = one_ || product.header.name == question_.name;
            products_.emplace_back(product.header.name);
        }
        if (blend == kNone) blend = blend_of_product_;
        if (blend == kNone) return fail("");
        if (own.blends[blend].header.broken) {
            return fail(fmt::format("scruple: {} has errors; `scruple check` tells which, and advice needs them mended first\n",
                                    own.blends[blend].header.name), true);
        }
        if (own_blend(own.blends[blend].header.name) == kNone) {
            return fail(fmt::format("scruple: {} belongs to another collection; ask for advice on it there\n", own.blends[blend].header.name));
        }
        blend_name_ = own.blends[blend].header.name;
        return true;
    }

    /// Compiles the collection with the question laid over it.
    bool ask(const Model& own) {
        ProbeText probe;
        probe.stem = stem_ = probe_stem(own);
        probe.blend = blend_name_;
        const auto formats = probe_formats(own);
        if (!one_ && question_.format.empty()) probe.formats = formats;
        std::string format = question_.format;
        if (!format.empty()) {
            const auto at = std::find_if(formats.begin(), formats.end(), [&](const ProbeFormat& f) { return f.name == format; });
            if (!is_name(format) || at == formats.end()) {
                std::vector<std::string> names;
                for (const auto& f : formats) names.push_back(f.name);
                const auto near = format.size() > 80 ? std::string() : nearest(format, names);
                return fail(fmt::format("scruple: no format is called `{}`{}\n", format,
                                        near.empty() ? "; `scruple library formats` lists them" : fmt::format("; did you mean `{}`?", near)));
            }
            probe.wanted_format = format;
            probe.wanted_size = at->size;
        }
        if (!question_.load.empty()) {
            probe.wanted_load = load_row(question_.load);
            if (probe.wanted_load.empty()) {
                return fail(fmt::format("scruple: `{}` is no load: `--load` takes one as after `at`, such as \"2 %\" or \"3 % v/v\"\n",
                                        question_.load));
            }
            if (format.empty() && !one_) {
                return fail(fmt::format("scruple: a load needs to know where: say `--format FORMAT` too, or name a product of {}\n",
                                        blend_name_));
            }
            if (format.empty()) {
                for (const Product& p : own.products) {
                    if (p.header.name != question_.name) continue;
                    probe.wanted_format = own.formats[p.format].header.name;
                    const bool mass = p.content.dimension == kMass;
                    probe.wanted_size = "100" + std::string(mass ? " g" : " ml");
                }
            }
        }
        const std::string folder = plan_.alone.empty() ? plan_.root : path_parent(plan_.alone.front());
        const std::string path = path_join(folder, stem_ + ".scruple");
        const OverlayFileSystem files(files_, path, probe_text(probe));
        CollectionPlan plan = plan_;
        plan.selected.clear();
        if (!plan.alone.empty()) plan.alone.push_back(path);
        CompileOptions options;
        options.on = question_.on;
        answer_.advice = std::make_unique<Advice>();
        answer_.advice->compilation = compile(files, plan, {}, options);
        const Compilation& c = *answer_.advice->compilation;
        answer_.advice->blend = find_named(c.model.blends, blend_name_);
        if (answer_.advice->blend == kNone || c.model.blends[answer_.advice->blend].header.broken) {
            return fail(fmt::format("scruple: {} could not be read together with the question\n", blend_name_), true);
        }
        if (probe.wanted_format.empty()) return true;
        wanted_ = find_named(c.model.products, stem_ + "_wanted");
        if (wanted_ != kNone && !c.model.products[wanted_].header.broken) return true;
        return fail(load_trouble(c));
    }

    /// What the compiler says of the wanted load.
    std::string load_trouble(const Compilation& c) const {
        for (const auto& d : c.diagnostics) {
            if (d.severity != Severity::error || !d.span.known()) continue;
            if (c.sources.file(d.span.file).path().find(stem_) == std::string::npos) continue;
            return fmt::format("scruple: `{}` as a load: {}\n", question_.load, d.message);
        }
        return fmt::format("scruple: `{}` is no load that this product can have\n", question_.load);
    }

    void add_formats() {
        Advice& out = *answer_.advice;
        const Model& model = out.compilation->model;
        const std::string start = stem_ + "_in_";
        for (ProductId p = 0; p < model.products.size(); ++p) {
            if (!model.products[p].header.name.starts_with(start)) continue;
            out.formats.push_back({model.products[p].format, p});
        }
        const auto place = [&](const FormatAdvice& f) {
            const Format& format = model.formats[f.format];
            return std::pair(format.contact == Contact::leave_on ? 0 : format.contact == Contact::rinse_off ? 1 : 2, format.header.name);
        };
        std::sort(out.formats.begin(), out.formats.end(), [&](const auto& a, const auto& b) { return place(a) < place(b); });
    }

    void add_products() {
        Advice& out = *answer_.advice;
        const Model& model = out.compilation->model;
        if (!question_.format.empty()) {
            add_product(model.products[wanted_], nullptr);
            return;
        }
        for (const auto& name : products_) {
            if (one_ && name != question_.name) continue;
            const ProductId id = find_named(model.products, name);
            if (id == kNone) continue;
            if (out.products.size() == kMostProducts) {
                ++out.products_left;
                continue;
            }
            Product product = model.products[id];
            if (wanted_ != kNone) product.load = model.products[wanted_].load;
            add_product(product, &model.products[id]);
            if (!answer_.advice) return;
        }
    }

    void add_product(const Product& wanted, const Product* own) {
        Advice& out = *answer_.advice;
        const Model& model = out.compilation->model;
        ProductAdvice a;
        a.product = own;
        a.asked_load = !question_.load.empty();
        a.waived = own && !own->waivers.empty();
        a.task = advice_task(model, *out.limits, wanted, question_.typical);
        a.task.on = question_.on;
        a.now = try_blend(a.task, a.task.blend);
        if (!a.now.formula.complete && a.asked_load) {
            // The findings of the wanted load, for the message.
            Bag said;
            const BlendFigures blend = work_out(model, a.task.blend, said, false);
            work_out(model, a.task.product, blend, said);
            said.sort_and_unique();
            for (const auto& d : said.items()) {
                if (d.severity != Severity::error) continue;
                fail(fmt::format("scruple: `{}` as a load: {}\n", question_.load, d.message));
                return;
            }
        }
        a.rows = share_rows(a.task);
        if (a.rows.state == ShareRows::State::linear && !a.now.within(a.task)) mend(a);
        if (a.now.within(a.task)) {
            a.nearest.state = Nearest::State::there;
            a.nearest.shares = a.rows.now;
        }
        out.products.push_back(std::move(a));
    }

    void mend(ProductAdvice& a) {
        Advice& out = *answer_.advice;
        const Model& model = out.compilation->model;
        a.nearest = nearest_shares(a.rows);
        // Fewer drops are less of the product, so a ratio may do where none does at the load as it is now.
        const bool none = a.nearest.state == Nearest::State::impossible;
        const std::vector<double>& near = none ? a.rows.now : a.nearest.shares;
        if (none && in_drops(a.task.product.load)) a.parts = nearest_parts(a.task, a.rows, near);
        if (none && !a.parts.found) {
            a.most = most_load(a.rows);
            if (!a.most.found) return;
            // As a blend by weight: the shares are by weight.
            Blend blend = a.task.blend;
            blend.measure = Measure::mass;
            for (std::size_t i = 0; i < blend.lines.size(); ++i) {
                const auto exact = rational_from_double(std::floor(a.most.shares[i] * 1e9) / 1e9);
                blend.lines[i].amount = exact ? *exact : Rational();
            }
            std::erase_if(blend.lines, [](const BlendLine& line) { return line.amount.sign() <= 0; });
            a.most_trial = try_blend(a.task, blend);
            return;
        }
        const std::string stem = fmt::format("{}_for_{}", blend_name_, model.formats[a.task.product.format].header.name);
        if (!none) a.parts = nearest_parts(a.task, a.rows, near);
        const Blend& blend = model.blends[out.blend];
        const auto text = [&](const WholeParts& parts, const std::string& name) {
            std::vector<Rational> amounts(parts.parts.begin(), parts.parts.end());
            return variation_text(model, out.compilation->sources, blend, free_name(model, name), amounts);
        };
        bool lost = !a.parts.found;
        for (std::size_t i = 0; i < a.parts.parts.size(); ++i) lost = lost || (a.parts.parts[i] == 0 && near[i] > kSameShare);
        if (lost) a.all_kept = parts_that_keep_all(a.task, a.rows, near);
        if (a.parts.found) a.variation = text(a.parts, stem);
        if (a.all_kept.found) a.variation_all_kept = text(a.all_kept, a.parts.found ? stem + "_all_kept" : stem);
    }

    void add_packs_and_swaps() {
        Advice& out = *answer_.advice;
        const Model& model = out.compilation->model;
        const Blend& blend = model.blends[out.blend];
        AdviceTask task;
        if (!out.products.empty()) {
            task = out.products.front().task;
        } else if (!out.formats.empty()) {
            task = advice_task(model, *out.limits, model.products[out.formats.front().product], question_.typical);
        } else {
            return;
        }
        out.packs = smaller_packs(task, out.compilation->blends[out.blend]);
        const OilPrices costs = prices(out);
        out.currency = costs.currency;
        out.swaps = cheaper_swaps(task, out.compilation->allergens.get(), costs);
        for (auto& swap : out.swaps) {
            const std::string name = fmt::format("{}_with_{}", blend.header.name, model.materials[swap.in].header.name);
            swap.variation = swap_text(model, out.compilation->sources, blend, free_name(model, name), swap.out, swap.in);
        }
    }

    OilPrices prices(const Advice& advice) const {
        OilPrices out;
        const Model& model = advice.compilation->model;
        const Details details;
        const PriceBook book(model, question_.on);
        out.currency = book.currency();
        for (const Material& m : model.materials) {
            const Detail* detail = m.header.from_library ? details.find(NameSpace::materials, m.header.name) : nullptr;
            const Price price = m.lot == kNone ? book.of_material(static_cast<MaterialId>(out.tier.size())) : Price{};
            out.per_gram.push_back(price.money);
            out.stale.push_back(price.stale);
            out.tier.push_back(detail ? std::atoi(detail->figure("cost_tier").c_str()) : 0);
        }
        return out;
    }

    const FileSystem& files_;
    const CollectionPlan& plan_;
    const AdviceQuestion& question_;
    AdviceAnswer answer_;
    std::string blend_name_, stem_;
    BlendId blend_of_product_ = kNone;
    bool one_ = false;                   // the name is a product's
    std::vector<std::string> products_;  // by name: numbers differ from one compilation to the next
    ProductId wanted_ = kNone;
};

}  // namespace

AdviceAnswer advise(const FileSystem& files, const CollectionPlan& plan, const AdviceQuestion& question) {
    return Advising(files, plan, question).run();
}

}  // namespace scruple
