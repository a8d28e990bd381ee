#include "formula/fingerprint.h"

#include <map>
#include <string_view>
#include <vector>

#include "base/sha256.h"
#include "num/apportion.h"

namespace scruple {

namespace {

std::string_view measure_word(Measure measure) {
    switch (measure) {
        case Measure::volume: return "volume";
        case Measure::mass: return "mass";
        case Measure::drops: return "drops";
    }
    return "volume";
}

}  // namespace

std::string normalised_ratio(const Model& model, const Blend& blend) {
    std::map<std::string_view, Rational> amounts;
    for (const BlendLine& line : blend.lines) {
        if (line.material >= model.materials.size()) continue;
        auto [at, fresh] =
            amounts.try_emplace(model.materials[line.material].header.name, line.amount);
        if (!fresh) at->second += line.amount;
    }
    std::vector<Rational> parts;
    Rational total;
    for (const auto& [name, amount] : amounts) {
        parts.push_back(amount);
        total += amount;
    }
    const std::vector<std::int64_t> whole = smallest_whole_ratio(parts);
    std::string text = "scruple.blend/1\n";
    text += measure_word(blend.measure);
    text += '\n';
    std::size_t i = 0;
    for (const auto& [name, amount] : amounts) {
        text += name;
        text += ' ';
        text +=
            whole.size() == parts.size() ? std::to_string(whole[i]) : (amount / total).to_string();
        text += '\n';
        ++i;
    }
    return text;
}

std::string fingerprint(const Model& model, const Blend& blend) {
    return sha256_hex(normalised_ratio(model, blend)).substr(0, 16);
}

}  // namespace scruple
