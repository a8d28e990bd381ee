#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "base/text.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"
#include "emit/emit.h"
#include "sema/names.h"

namespace scruple {
namespace {

/// Writes every file that a document comes to, a file at a time: a large collection is never held as text. Names of files
/// are safe: letters, digits, underscores. Stops where `write` says so.
bool each_output(const Document& d, const BuildOptions& options,
                 FunctionRef<bool(const std::string& name, TextMaker make)> write) {
    const auto whole = [&](std::string_view stem, std::string_view ending, auto&& text) {
        return write(fmt::format("{}.{}", stem, ending), TextMaker([&](TextSink sink) { sink(text()); }));
    };
    if (options.to == "json") {
        return write(fmt::format("{}.json", d.collection), TextMaker([&](TextSink sink) { emit_json(d, sink); }));
    }
    if (options.to == "csv") return whole(d.collection, "csv", [&] { return emit_csv(d); });
    const bool markdown = options.to == "markdown";
    const std::string_view ending = markdown ? "md" : "txt";
    for (const BenchId b : d.benches) {
        const auto text = [&] { return markdown ? emit_bench_markdown(d, b) : emit_bench_sheet(d, b, SheetOptions{}); };
        if (!whole(d.model->benches[b].header.name, ending, text)) return false;
    }
    for (const BlendId b : d.blends) {
        const auto text = [&] { return markdown ? emit_blend_markdown(d, b) : emit_blend_sheet(d, b, SheetOptions{}); };
        if (!whole(d.model->blends[b].header.name, ending, text)) return false;
    }
    for (const ProductId p : d.products) {
        const auto text = [&] { return markdown ? emit_product_markdown(d, p) : emit_product_sheet(d, p, SheetOptions{}); };
        if (!whole(d.model->products[p].header.name, ending, text)) return false;
    }
    return true;
}

bool print(const Document& d, const BuildOptions& options) {
    if (options.to == "json") {
        bool good = true;
        emit_json(d, [&](std::string_view piece) { good = good && write_out(piece); });
        return good;
    }
    if (d.benches.empty() && d.blends.empty() && d.products.empty()) return true;
    if (options.to == "csv") return write_out(emit_csv(d));
    if (options.to == "markdown") return write_out(emit_markdown(d));
    SheetOptions sheet;
    sheet.color = wants_color(options.common.color, Stream::out);
    sheet.width = std::min<std::size_t>(terminal_width(Stream::out), 80);
    return write_out(emit_sheet(d, sheet));
}

/// Keeps what `--only` names: benches, blends, products, or a line's products. Names that nothing has go to `missing`.
void keep_only(Document& d, const std::vector<std::string>& only, std::set<std::string>& found) {
    if (only.empty()) return;
    const auto wanted = [&](std::string_view name) {
        const bool hit = std::find(only.begin(), only.end(), name) != only.end();
        if (hit) found.emplace(name);
        return hit;
    };
    const Model& m = *d.model;
    std::erase_if(d.benches, [&](BenchId b) { return !wanted(m.benches[b].header.name); });
    std::erase_if(d.blends, [&](BlendId b) { return !wanted(m.blends[b].header.name); });
    std::erase_if(d.products, [&](ProductId p) {
        const bool own = wanted(m.products[p].header.name);
        const bool line = !m.products[p].line.empty() && wanted(m.products[p].line);
        return !own && !line;
    });
}

}  // namespace

int run_build(FileSystem& files, const BuildOptions& options) {
    CompileOptions compile_options;
    compile_options.make = options.make;
    compile_options.on = options.on;
    const auto& compiled = compile_paths(files, options.paths, options.alone, compile_options);
    if (!print_findings(compiled, options.common, Stream::err)) return kIoFailed;
    int status = exit_status(compiled);

    std::vector<Document> documents;
    std::set<std::string> found;
    for (const auto& c : compiled.collections) {
        documents.push_back(c->document());
        documents.back().on = options.on;
        documents.back().all_cautions = options.all_cautions;
        keep_only(documents.back(), options.only, found);
    }
    for (const auto& name : options.only) {
        if (found.contains(name)) continue;
        std::vector<std::string> names;
        for (const auto& c : compiled.collections) {
            for (const BenchId b : c->model.own_benches) names.emplace_back(c->model.benches[b].header.name);
            for (const BlendId b : c->model.own_blends) names.emplace_back(c->model.blends[b].header.name);
            for (const ProductId p : c->model.own_products) names.emplace_back(c->model.products[p].header.name);
        }
        const auto near = nearest(name, names);
        say(fmt::format("scruple: no bench, blend, product or line is called `{}`{}\n", name,
                              near.empty() ? "" : fmt::format("; did you mean `{}`?", near)));
        return kWrongUse;
    }
    // Machine-readable findings are enough for a machine: nothing is written where there are errors, so that an old
    // good sheet is never replaced by half of a new one.
    if (options.out.empty()) {
        for (const auto& d : documents) {
            if (!print(d, options)) return kIoFailed;
        }
        return status;
    }
    if (status != kClean) {
        say("scruple: nothing was written, since there are errors\n");
        return status;
    }
    if (const auto made = files.make_folders(options.out); made.error != IoError::none) {
        say(fmt::format("scruple: cannot make the folder {}: {}\n", options.out, describe(made.error)));
        return kIoFailed;
    }
    std::set<std::string> recipes;
    for (const auto& c : compiled.collections) {
        for (const auto& f : c->collection.files) recipes.insert(files.canonical(f.path));
    }
    std::set<std::string> names;
    std::size_t count = 0;
    for (const auto& d : documents) {
        const bool done = each_output(d, options, [&](const std::string& own_name, TextMaker make) {
            std::string name = own_name;
            if (!names.insert(name).second) {
                name = fmt::format("{}_{}", d.collection, own_name);
                names.insert(name);
            }
            const auto path = path_join(options.out, name);
            const auto real = files.canonical(path);
            if (!real.empty() && recipes.contains(real)) {
                say(fmt::format("scruple: {} is a recipe, and outputs never overwrite recipes\n", path));
                return false;
            }
            const auto written = files.write_atomically(path, make);
            if (written.error != IoError::none) {
                say(fmt::format("scruple: cannot write {}: {}\n", path,
                                written.detail.empty() ? describe(written.error) : written.detail));
                return false;
            }
            ++count;
            return true;
        });
        if (!done) return kIoFailed;
    }
    if (!write_out(plain_text(fmt::format("wrote {} {} to {}\n", count, count == 1 ? "file" : "files", options.out)))) {
        return kIoFailed;
    }
    return status;
}

}  // namespace scruple
