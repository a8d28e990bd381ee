#include "advice/variation.h"

#include <algorithm>

#include "num/decimal.h"

namespace scruple {
namespace {

/// "2 parts", "12.5 %", "3 drops".
std::string written_amount(const Blend& blend, const Rational& amount) {
    const std::string figure = format_exact(amount);
    const bool one = amount == Rational(1);
    switch (blend.counted) {
        case Dim::drop: return figure + (one ? " drop" : " drops");
        case Dim::fraction: return figure + " %";
        case Dim::volume: return figure + " ml";
        case Dim::mass: return figure + " g";
        default: return figure + (one ? " part" : " parts");
    }
}

/// A line's amount as it is written: of a blend in per cent the per cents.
Rational amount_now(const Blend& blend, const BlendLine& line) {
    return blend.percent ? line.amount * Rational(100) : line.amount;
}

/// Whether every line stands as a row in the blend, so that an action can name it.
bool all_reachable(const Model& model, const SourceMap& sources, const Blend& blend) {
    return std::all_of(blend.lines.begin(), blend.lines.end(), [&](const BlendLine& line) {
        const auto text = sources.text(line.name_span);
        const auto name = model.materials[line.material].header.name;
        const auto dot = text.rfind('.');
        return (dot == std::string_view::npos ? text : text.substr(dot + 1)) == name;
    });
}

std::string row(std::string_view action, const std::string& rest) {
    std::string out = "    " + std::string(action);
    out.resize(std::max<std::size_t>(out.size() + 1, 15), ' ');
    return out + rest + "\n";
}

std::string whole_blend(const Blend& blend, const std::string& name, const std::vector<std::string>& names,
                        const std::vector<Rational>& amounts) {
    std::string out = "blend " + name + " {\n";
    const bool counts = blend.counted == Dim::fraction || blend.counted == Dim::part;
    if (counts && blend.measure == Measure::mass) out += "    by         weight\n";
    if (blend.counted == Dim::fraction && blend.measure == Measure::volume) out += "    by         volume\n";
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (amounts[i].sign() > 0) out += row(written_amount(blend, amounts[i]), names[i]);
    }
    return out + "}\n";
}

}  // namespace

std::string written_name(const Model& model, const SourceMap& sources, const BlendLine& line) {
    const auto text = sources.text(line.name_span);
    const auto name = model.materials[line.material].header.name;
    const auto dot = text.rfind('.');
    const bool same = (dot == std::string_view::npos ? text : text.substr(dot + 1)) == name;
    return std::string(same ? text : name);
}

std::string variation_text(const Model& model, const SourceMap& sources, const Blend& blend, const std::string& name,
                           const std::vector<Rational>& amounts) {
    std::vector<std::string> names;
    for (const auto& line : blend.lines) names.push_back(written_name(model, sources, line));
    if (!all_reachable(model, sources, blend)) return whole_blend(blend, name, names, amounts);
    std::string out = "variation " + name + " of " + std::string(blend.header.name) + " {\n";
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (amounts[i].sign() <= 0) {
            out += row("remove", names[i]);
        } else if (amounts[i] != amount_now(blend, blend.lines[i])) {
            out += row("set", written_amount(blend, amounts[i]) + " " + names[i]);
        }
    }
    return out + "}\n";
}

std::string swap_text(const Model& model, const SourceMap& sources, const Blend& blend, const std::string& name,
                      MaterialId out_of, MaterialId into) {
    std::vector<std::string> names;
    std::vector<Rational> amounts;
    std::string old;
    const std::string fresh(model.materials[into].header.name);
    for (const auto& line : blend.lines) {
        names.push_back(written_name(model, sources, line));
        if (line.material == out_of) {
            old = names.back();
            names.back() = fresh;
        }
        amounts.push_back(amount_now(blend, line));
    }
    if (!all_reachable(model, sources, blend)) return whole_blend(blend, name, names, amounts);
    return "variation " + name + " of " + std::string(blend.header.name) + " {\n" + row("replace", old + " with " + fresh) + "}\n";
}

std::string free_name(const Model& model, const std::string& stem) {
    const auto taken = [&](const std::string& name) {
        const auto has = [&](const auto& store) {
            return std::any_of(store.begin(), store.end(), [&](const auto& record) { return record.header.name == name; });
        };
        return has(model.materials) || has(model.blends) || has(model.bases) || has(model.products);
    };
    std::string name = stem.substr(0, 200);
    for (int i = 2; taken(name); ++i) name = stem.substr(0, 200) + "_" + std::to_string(i);
    return name;
}

}  // namespace scruple
