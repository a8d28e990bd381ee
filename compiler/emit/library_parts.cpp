// Small words that the forms of the library share.
#include <algorithm>
#include <cmath>
#include <map>

#include "emit/library.h"
#include "emit/words.h"
#include "num/decimal.h"

namespace scruple::emit {

std::string joined(const std::vector<std::string>& texts, std::string_view between) {
    std::string out;
    for (const auto& text : texts) {
        if (!out.empty()) out += between;
        out += text;
    }
    return out;
}

std::string unit_text(const Detail& unit) {
    const auto& atoms = unit.declaration.items.front();
    if (atoms.size() > 3 && atoms[2].text == "of") return "a unit of " + atoms[3].text;
    std::string out;
    for (std::size_t i = 3; i < atoms.size(); ++i) {
        if (atoms[i].text == "also" || atoms[i].text == "by") break;
        append_written(out, atoms[i].text);
    }
    return out;
}

std::vector<std::string> unit_spellings(const Detail& unit) {
    std::vector<std::string> out;
    bool on = false;
    for (const auto& item : unit.declaration.items) {
        for (const auto& atom : item) {
            if (on && atom.text == "by") return out;
            if (on) out.push_back(atom.text);
            on = on || atom.text == "also";
        }
    }
    return out;
}

std::string share_text(const Range& r) {
    const auto f = [](double v) { return format_significant(v * 100, 4); };
    if (r.low == r.high) return f(r.high) + " %";
    if (!r.stated_typical) return f(r.low) + " to " + f(r.high) + " %";
    return f(r.typical) + " % (" + f(r.low) + " to " + f(r.high) + ")";
}

std::int64_t share_rank(const Range& fraction) {
    return std::llround(fraction.typical * 1e12);
}

std::string_view price_tier_word(std::string_view tier) {
    if (tier == "1") return "cheap";
    if (tier == "2") return "fairly cheap";
    if (tier == "3") return "moderate";
    if (tier == "4") return "dear";
    return tier == "5" ? "very dear" : "";
}

std::vector<std::pair<std::string, std::string>> folded_sources(const Model& model,
                                                                const std::vector<SourceId>& ids) {
    std::map<Standing, std::vector<std::string>> by_standing;
    for (const auto id : ids) {
        const Source* s = model.source(id);
        if (!s) continue;
        auto& texts = by_standing[s->standing];
        const auto text = plain(s->text);
        if (std::find(texts.begin(), texts.end(), text) == texts.end()) texts.push_back(text);
    }
    std::vector<std::pair<std::string, std::string>> out;
    for (const auto& [standing, texts] : by_standing) {
        bool first = true;
        for (const auto& text : texts) {
            out.emplace_back(first ? standing_word(standing) : std::string_view(), text);
            first = false;
        }
    }
    return out;
}

}  // namespace scruple::emit
