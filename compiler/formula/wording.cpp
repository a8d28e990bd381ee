#include "formula/wording.h"

#include <algorithm>
#include <cmath>

#include "num/decimal.h"

namespace scruple {

std::string source_words(const Model& model, SourceId id) {
    const Source* source = model.source(id);
    if (!source) return "the maker's own figure";
    const std::string text(source->text);
    switch (source->standing) {
        case Standing::law:
        case Standing::standard:
        case Standing::handbook:
        case Standing::paper:
        case Standing::supplier: return std::string(standing_word(source->standing)) + ": " + text;
        case Standing::practice:
            if (text.empty() || text == "common practice") return "common practice, no source";
            return text.find("no source") != std::string::npos ? text : "common practice, no source: " + text;
        case Standing::recalled:
            if (text.find("from memory") != std::string::npos) return text;
            // What was read, but only where others quote it, is no memory of ours.
            return (text.find("second-hand") != std::string::npos ? "recalled: " : "from memory of ") + text;
        case Standing::vague:
            return text.find("from memory") != std::string::npos
                       ? text
                       : "from memory of data sheets: " + text;
        case Standing::derived: return "worked out, not published: " + text;
        case Standing::estimate: return "an estimate: " + text;
        case Standing::disputed: return "sources disagree: " + text;
        case Standing::maker:
            return text.empty() ? "the maker's own figure" : "the maker's own figure: " + text;
    }
    return text;
}

std::string material_name(const Model& model, MaterialId material) {
    if (material >= model.materials.size()) return "something";
    return std::string(model.materials[material].header.name);
}

std::string percent_text(double fraction, int digits) {
    return format_significant(fraction * 100, digits) + " %";
}

std::string amount_text(double value, std::string_view unit, int digits) {
    const double size = std::abs(value);
    int whole = 1;
    for (double limit = 10; size >= limit && whole < 15; limit *= 10) ++whole;
    return format_significant(value, std::max(digits, whole)) + " " + std::string(unit);
}

std::string load_text(const std::string& percent, Basis basis, Of of) {
    std::string text = percent;
    if (basis == Basis::vv) text += " v/v";
    if (basis == Basis::wv) text += " w/v";
    switch (of) {
        case Of::total: return basis == Basis::ww ? text + " of total" : text;
        case Of::base: return text + " of base";
        case Of::fats: return text + " of fats";
        case Of::wax: return text + " of wax";
    }
    return text;
}

std::string list_text(const std::vector<std::string>& items, std::size_t most) {
    std::string text;
    const std::size_t shown = items.size() > most ? most : items.size();
    for (std::size_t i = 0; i < shown; ++i) {
        if (i > 0) text += i + 1 == items.size() ? " and " : ", ";
        text += items[i];
    }
    if (shown < items.size()) text += " and " + std::to_string(items.size() - shown) + " more";
    return text;
}

Span load_place(const Product& product) {
    if (!product.load.from_format && product.load.span.known()) return product.load.span;
    if (product.content_span.known()) return product.content_span;
    return product.header.name_span.known() ? product.header.name_span : product.header.span;
}

void assume(std::vector<Assumption>& list, std::string what, std::string source) {
    Assumption made{std::move(what), std::move(source)};
    if (std::find(list.begin(), list.end(), made) == list.end()) list.push_back(std::move(made));
}

}  // namespace scruple
