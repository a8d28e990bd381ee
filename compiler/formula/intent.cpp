#include "formula/intent.h"

#include <algorithm>

#include "base/resources.h"
#include "formula/wording.h"
#include "schema/schema.h"

namespace scruple {
namespace {

/// Moods that pull apart, as the library has them: `calming focusing`, a pair a line.
std::vector<std::pair<std::string_view, std::string_view>> read_opposites() {
    std::vector<std::pair<std::string_view, std::string_view>> out;
    std::string_view text = resource("moods/opposites.txt");
    while (!text.empty()) {
        const auto line = text.substr(0, text.find('\n'));
        text.remove_prefix(std::min(text.size(), line.size() + 1));
        const auto gap = line.find(' ');
        if (line.empty() || line[0] == '#' || gap == std::string_view::npos) continue;
        out.emplace_back(line.substr(0, gap), line.substr(gap + 1));
    }
    return out;
}

bool has_mood(const Material& material, std::string_view mood) {
    return std::find(material.moods.begin(), material.moods.end(), mood) != material.moods.end();
}

bool is_usual_mood(std::string_view mood) {
    const FieldSpec* field = find_field(kind_spec(Kind::blend), "intent");
    return field && std::find(field->choices.begin(), field->choices.end(), mood) != field->choices.end();
}

}  // namespace

std::vector<IntentReading> read_intent(const Model& model, const Blend& blend) {
    static const auto opposites = read_opposites();
    std::vector<IntentReading> out;
    for (const auto mood : blend.intent) {
        IntentReading reading;
        reading.mood = mood;
        for (const auto& line : blend.lines) {
            if (line.material == kNone) continue;
            const Material& material = model.materials[line.material];
            if (has_mood(material, mood)) {
                reading.carried_by.push_back(line.material);
                continue;
            }
            for (const auto& [one, other] : opposites) {
                const auto opposite = one == mood ? other : other == mood ? one : std::string_view();
                if (opposite.empty() || !has_mood(material, opposite)) continue;
                reading.against.emplace_back(line.material, opposite);
                break;
            }
        }
        out.push_back(std::move(reading));
    }
    return out;
}

void report_intent(const Model& model, const Blend& blend, Bag& bag) {
    if (blend.header.broken || blend.intent.empty()) return;
    for (const auto& reading : read_intent(model, blend)) {
        // A maker's own word, or a slip that was said already: the library cannot be asked for it.
        if (!reading.carried_by.empty() || !is_usual_mood(reading.mood)) continue;
        const std::string mood(reading.mood);
        auto found = bag.add(Code::intent_not_carried, blend.header.name_span,
                             "meant to be " + mood + ", and no oil of it is known for that");
        std::vector<std::string> against;
        for (const auto& [material, opposite] : reading.against) {
            against.push_back(material_name(model, material) + " (" + std::string(opposite) + ")");
        }
        if (!against.empty()) found.note("pulling the other way: " + list_text(against));
        found.note("`scruple library " + mood + "` lists oils that are, by tradition; moods are no medical claim");
    }
}

}  // namespace scruple
