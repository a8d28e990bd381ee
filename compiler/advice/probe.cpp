#include "advice/probe.h"

#include <algorithm>
#include <map>

#include "base/source.h"
#include "diag/diagnostic.h"
#include "library/embedded.h"
#include "num/decimal.h"
#include "sema/elaborate.h"

namespace scruple {
namespace {

std::string size_of(const Format& format) {
    for (const Quantity& size : format.sizes) {
        const bool fits = size.dimension == kMass || size.dimension == kVolume;
        if (!fits || (format.sold_by && size.dimension.top != *format.sold_by)) continue;
        return format_exact(size.value) + (size.dimension == kMass ? " g" : " ml");
    }
    return format.sold_by == Dim::mass ? "100 g" : "100 ml";
}

}  // namespace

std::vector<ProbeFormat> probe_formats(const Model& own) {
    std::map<std::string, std::string> all;
    SourceMap sources;
    Bag said;
    const Model library = elaborate_library(sources, ResourceLimits{}, said);
    for (const Format& f : library.formats) all[std::string(f.header.name)] = size_of(f);
    for (const Format& f : own.formats) {
        if (!f.header.from_library && !f.header.broken) all[std::string(f.header.name)] = size_of(f);
    }
    std::vector<ProbeFormat> out;
    for (auto& [name, size] : all) out.push_back({name, size});
    return out;
}

std::string probe_stem(const Model& own) {
    const auto starts = [&](const std::string& stem) {
        const auto has = [&](const auto& store) {
            return std::any_of(store.begin(), store.end(), [&](const auto& r) { return r.header.name.starts_with(stem); });
        };
        return has(own.blends) || has(own.products) || has(own.materials) || has(own.bases) || has(own.formats);
    };
    std::string stem = "advice_probe";
    for (int i = 2; starts(stem); ++i) stem = "advice_probe_" + std::to_string(i);
    return stem;
}

std::string probe_text(const ProbeText& p) {
    std::string out = "blend " + p.stem + "_shelf {\n";
    for (const auto& d : embedded_declarations()) {
        if (d.kind == Kind::oil) out += "    1 part " + std::string(d.name) + "\n";
    }
    out += "}\n";
    if (!p.formats.empty()) {
        out += "line " + p.stem + "_line of " + p.blend + " {\n";
        for (const auto& f : p.formats) out += "    1 " + f.name + " of " + f.size + " as " + p.stem + "_in_" + f.name + "\n";
        out += "}\n";
    }
    if (!p.wanted_format.empty()) {
        out += "product " + p.stem + "_wanted {\n    blend " + p.blend + " " + p.wanted_load + "\n    format " + p.wanted_format +
               " of " + p.wanted_size + "\n}\n";
    }
    return out;
}

}  // namespace scruple
