#include <fmt/core.h>

#include <algorithm>

#include "advice/advice.h"
#include "advice/render.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"
#include "cli/terminal.h"
#include "diag/render.h"
#include "sema/names.h"

namespace scruple {
namespace {

/// Names that advice can be asked for.
std::vector<std::string> names_of(const Model& model) {
    std::vector<std::string> out;
    for (const BlendId b : model.own_blends) out.emplace_back(model.blends[b].header.name);
    for (const ProductId p : model.own_products) {
        out.emplace_back(model.products[p].header.name);
        if (!model.products[p].line.empty()) out.emplace_back(model.products[p].line);
    }
    return out;
}

}  // namespace

int run_advise(FileSystem& files, const AdviseOptions& options) {
    std::vector<std::string> paths = options.paths;
    if (paths.empty()) paths.emplace_back(".");
    Bag bag;
    const auto plans = find_collections(files, paths, options.alone, {}, bag);
    bag.sort_and_unique();
    if (!bag.items().empty()) {
        TextOptions text;
        text.color = wants_color(options.common.color, Stream::err);
        text.width = terminal_width(Stream::err);
        if (!write_err(render_text(bag.items(), SourceMap{}, text))) return kIoFailed;
        return kIoFailed;
    }
    AdviceQuestion question;
    question.name = options.name;
    question.format = options.format;
    question.load = options.load;
    question.typical = options.typical;
    question.on = options.on;
    std::vector<std::string> known;
    for (const auto& plan : plans) {
        CompileOptions only_names;
        only_names.keep_figures = false;
        const auto own = compile(files, plan, {}, only_names);
        for (const auto& d : own->diagnostics) {
            // What could not be read may hold the name, or what it stands on.
            if (d.code != Code::cannot_read && d.code != Code::file_too_large && d.code != Code::run_too_large && d.code != Code::too_many_files) continue;
            say(fmt::format("scruple: {}\n", d.message));
            return kIoFailed;
        }
        const auto names = names_of(own->model);
        known.insert(known.end(), names.begin(), names.end());
        if (std::find(names.begin(), names.end(), options.name) == names.end()) continue;
        const auto answer = advise(files, plan, question);
        if (!answer.advice) {
            say(answer.trouble.empty() ? fmt::format("scruple: there is no advice on `{}`\n", options.name) : answer.trouble);
            return answer.recipe ? kRecipeErrors : kWrongUse;
        }
        if (options.to == "json") return write_out(advice_json(*answer.advice)) ? kClean : kIoFailed;
        SheetOptions sheet;
        sheet.color = wants_color(options.common.color, Stream::out);
        sheet.width = std::min<std::size_t>(terminal_width(Stream::out), 80);
        return write_out(advice_text(*answer.advice, sheet)) ? kClean : kIoFailed;
    }
    const auto near = options.name.size() > 80 ? std::string() : nearest(options.name, known);
    say(fmt::format("scruple: no blend, product or line is called `{}`{}\n", options.name,
                    near.empty() ? "" : fmt::format("; did you mean `{}`?", near)));
    return kWrongUse;
}

}  // namespace scruple
