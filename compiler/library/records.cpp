#include "library/records.h"

namespace scruple {
namespace {

struct StandingWord {
    Standing standing;
    std::string_view word;
};
constexpr StandingWord kStandings[] = {
    {Standing::law, "law"},           {Standing::standard, "standard"}, {Standing::handbook, "handbook"},
    {Standing::supplier, "supplier"}, {Standing::paper, "paper"},       {Standing::practice, "practice"},
    {Standing::recalled, "recalled"}, {Standing::vague, "vague"},       {Standing::derived, "derived"},
    {Standing::estimate, "estimate"}, {Standing::disputed, "disputed"}, {Standing::maker, "maker"},
};

}  // namespace

std::string_view standing_word(Standing standing) {
    return kStandings[static_cast<std::size_t>(standing)].word;
}

std::optional<Standing> standing_from_word(std::string_view word) {
    for (const auto& s : kStandings) {
        if (s.word == word && s.standing != Standing::maker) return s.standing;
    }
    return std::nullopt;
}

std::string_view effect_word(Effect effect) {
    switch (effect) {
        case Effect::unstated: return "unstated";
        case Effect::sensitisation: return "sensitisation";
        case Effect::phototoxic: return "phototoxic";
        case Effect::systemic: return "systemic";
        case Effect::irritation: return "irritation";
        case Effect::prohibited: return "prohibited";
        case Effect::purity: return "purity";
        case Effect::label: return "label";
        case Effect::none: return "none";
    }
    return "unstated";
}

std::string_view contact_word(Contact contact) {
    switch (contact) {
        case Contact::leave_on: return "leave_on";
        case Contact::rinse_off: return "rinse_off";
        case Contact::none: break;
    }
    return "none";
}

}  // namespace scruple
