#include <fmt/core.h>

#include "base/text.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/terminal.h"
#include "diag/explain.h"
#include "num/quantity.h"
#include "schema/schema.h"
#include "sema/names.h"

namespace scruple {
namespace {

std::string indent(std::string_view text) {
    std::string out;
    while (!text.empty()) {
        const auto line = text.substr(0, text.find('\n'));
        out += line.empty() ? "\n" : fmt::format("    {}\n", line);
        text.remove_prefix(std::min(text.size(), line.size() + 1));
    }
    return out;
}

std::string wrapped(std::string_view text) {
    std::string out;
    std::string paragraph;
    const auto flush = [&] {
        if (paragraph.empty()) return;
        if (!out.empty()) out += '\n';
        for (const auto& line : wrap(paragraph, 80)) out += line + "\n";
        paragraph.clear();
    };
    while (!text.empty()) {
        auto line = text.substr(0, text.find('\n'));
        text.remove_prefix(std::min(text.size(), line.size() + 1));
        if (line.empty()) {
            flush();
            continue;
        }
        if (!paragraph.empty()) paragraph += ' ';
        paragraph += line;
    }
    flush();
    return out;
}

std::string explain_code(Code code) {
    const auto& info = code_info(code);
    const auto& e = explanation(code);
    std::string out = fmt::format("{}: {} ({})\n\n{}", info.name, info.title,
                                  info.severity == Severity::error ? "an error" : "a warning", wrapped(e.why));
    if (!e.wrong.empty()) out += "\nThis is refused:\n\n" + indent(e.wrong);
    if (!e.right.empty()) out += "\nThis is right:\n\n" + indent(e.right);
    return out;
}

std::string_view shape_words(const FieldSpec& f) {
    switch (f.shape) {
        case Shape::text: return "a text in quotes";
        case Shape::texts: return "texts in quotes, joined by commas";
        case Shape::word: return "a word";
        case Shape::words: return "words joined by commas";
        case Shape::name: return "a name";
        case Shape::names: return "names joined by commas";
        case Shape::yes_no: return "yes or no";
        case Shape::number: return "a bare number";
        case Shape::whole: return "a whole number";
        case Shape::quantity: return "a quantity";
        case Shape::quantities: return "quantities joined by commas";
        case Shape::figure: return "a quantity or a range, with its source";
        case Shape::percent: return "a percentage";
        case Shape::load: return "a percentage or range with its basis, or `neat`";
        case Shape::date: return "a date";
        case Shape::source: return "a standing and a text";
        case Shape::special: return "see the language reference";
        case Shape::block: return "a block of rows";
    }
    return "";
}

std::string field_line(const FieldSpec& f) {
    std::string value(shape_words(f));
    if (!f.choices.empty()) {
        value = f.open ? "usual words: " : "one of ";
        for (std::size_t i = 0; i < f.choices.size(); ++i) value += (i ? ", " : "") + std::string(f.choices[i]);
    } else if (f.dimension != Dimension{}) {
        value = dimension_name(f.dimension);
    }
    std::string out = fmt::format("    {} {}{}\n", pad_right(f.word, 14), f.doc, f.required ? " (must be there)" : "");
    for (const auto& line : wrap(value, 60)) out += fmt::format("    {} {}\n", pad_right("", 14), line);
    return out;
}

std::string explain_kind(const KindSpec& k) {
    std::string out = fmt::format("{}: {}\n\nIts fields:\n\n", k.word, k.doc);
    if (k.fields.empty()) return fmt::format("{}: {}\n", k.word, k.doc);
    for (const auto& f : k.fields) out += field_line(f);
    return out;
}

}  // namespace

int run_explain(const ExplainOptions& options) {
    if (options.word.empty()) {
        std::string out = "Codes of findings (`scruple explain over_limit` tells more):\n\n";
        for (const Code code : all_codes()) {
            out += fmt::format("  {} {}\n", pad_right(code_info(code).name, 24), code_info(code).title);
        }
        out += "\nKinds of declarations (`scruple explain blend` lists the fields):\n\n";
        for (const auto& k : all_kinds()) out += fmt::format("  {} {}\n", pad_right(k.word, 24), k.doc);
        return write_out(out) ? kClean : kIoFailed;
    }
    std::string out;
    if (const auto code = code_from_name(options.word)) out += explain_code(*code);
    if (const KindSpec* kind = find_kind(options.word)) out += (out.empty() ? "" : "\n") + explain_kind(*kind);
    std::string fields;
    for (const auto& k : all_kinds()) {
        if (const FieldSpec* f = find_field(k, options.word)) fields += fmt::format("  in {}\n{}", k.word, field_line(*f));
    }
    if (!fields.empty()) out += fmt::format("{}{}: a field\n\n{}", out.empty() ? "" : "\n", options.word, fields);
    if (!out.empty()) return write_out(out) ? kClean : kIoFailed;
    std::vector<std::string> names;
    for (const Code code : all_codes()) names.emplace_back(code_info(code).name);
    for (const auto& k : all_kinds()) {
        names.emplace_back(k.word);
        for (const auto& f : k.fields) names.emplace_back(f.word);
    }
    const auto near = nearest(options.word, names);
    say(fmt::format("scruple: nothing to explain is called `{}`{}\n", options.word,
                          near.empty() ? "; `scruple explain` lists what is"
                                       : fmt::format("; did you mean `{}`?", near)));
    return kWrongUse;
}

}  // namespace scruple
