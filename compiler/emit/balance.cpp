#include "emit/balance.h"

#include <algorithm>
#include <cmath>

#include "emit/words.h"
#include "formula/intent.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

std::string tenths(const Rational& share) { return format_fixed(share * Rational(100), 1) + " %"; }

/// `#` as far as the odour goes, `|` at the share of the parts.
std::string picture(const Balance::Oil& oil) {
    constexpr int kCells = 28;
    const auto cells = [](const Rational& share) {
        return static_cast<int>(std::lround(std::clamp(share.to_double(), 0.0, 1.0) * kCells));
    };
    const int odour = oil.odour ? cells(*oil.odour) : 0;
    const int mark = std::min(cells(oil.share), kCells - 1);
    std::string out(static_cast<std::size_t>(std::max(odour, mark + 1)), ' ');
    for (int i = 0; i < odour; ++i) out[static_cast<std::size_t>(i)] = '#';
    out[static_cast<std::size_t>(mark)] = '|';
    return out;
}

std::string why(const Balance::Oil& oil) {
    if (oil.over_half && oil.over_share) return "over half of the odour, and over three times its share";
    return oil.over_half ? "over half of the odour" : "over three times its share";
}

void add_notes_row(Table& table, const std::string& name, const Rational& parts, const Rational* odour) {
    table.line({name, tenths(parts), odour ? tenths(*odour) : "?"});
}

void write_notes(JsonWriter& json, std::string_view key, const Balance::Notes& notes) {
    json.row(key);
    json.number("top_percent", notes.top.to_double() * 100);
    json.number("middle_percent", notes.middle.to_double() * 100);
    json.number("base_percent", notes.base.to_double() * 100);
    json.number("unknown_percent", notes.unknown.to_double() * 100);
    json.close_object();
}

std::string_view name_of_material(const Model& model, MaterialId material) { return model.materials[material].header.name; }

}  // namespace

std::vector<std::string> balance_words(const Model& model, const Balance& balance) {
    std::vector<std::string> unknown;
    for (const auto& oil : balance.oils) {
        if (!oil.impact) unknown.push_back(title_of(model, oil.material));
    }
    std::vector<std::string> said;
    if (!unknown.empty()) {
        said.push_back("No impact is known of " + list_text(unknown) +
                       ": the odour is shared out among the others only, and who sticks out is not known.");
    }
    for (const auto& oil : balance.oils) {
        if (oil.sticks_out()) said.push_back(title_of(model, oil.material) + " sticks out: " + why(oil) + ".");
    }
    if (balance.leader) {
        const std::string leader = title_of(model, balance.oils[*balance.leader].material);
        if (balance.raise) {
            const auto& r = *balance.raise;
            said.push_back("To bring " + leader + " down without taking anything out: " +
                           count_text(r.drops, "drop", "drops") + " more of " +
                           title_of(model, balance.oils[r.oil].material) + " to a beaker of " +
                           count_text(r.beaker, "drop", "drops") + " bring it from " + tenths(r.before) + " to " +
                           tenths(r.after) + " of the odour. No other oil alone does it with fewer.");
        } else {
            said.push_back("No single oil brings " + leader +
                           " down without sticking out itself: raise several, a few drops at a time.");
        }
    }
    for (const auto& m : balance.masks) {
        said.push_back(title_of(model, balance.oils[m.strong].material) + " may mask " +
                       title_of(model, balance.oils[m.weak].material) + ": same odour family, same note, and " +
                       format_fixed(m.times, 1) + " times the odour (a rule of thumb of ours).");
    }
    return said;
}

void add_balance(Page& page, const Document& document, BlendId id) {
    const Model& model = *document.model;
    const Balance balance = balance_of(model, (*document.blend_figures)[id]);
    if (balance.oils.size() < 2) return;
    page.heading("Balance, by parts and by odour");
    Table table;
    table.columns = {{"", Align::left, true}, {"parts", Align::right, false}, {"impact", Align::right, false},
                     {"odour", Align::right, false}, {"# odour, | parts", Align::left, false}};
    for (const auto& oil : balance.oils) {
        table.line({title_of(model, oil.material), tenths(oil.share), oil.impact ? std::to_string(*oil.impact) : "?",
                    oil.odour ? tenths(*oil.odour) : "?", picture(oil)});
    }
    page.table(std::move(table));
    Table notes;
    notes.columns = {{"", Align::left, false}, {"parts", Align::right, false}, {"odour", Align::right, false}};
    const auto* odour = balance.by_odour ? &*balance.by_odour : nullptr;
    add_notes_row(notes, "top", balance.by_parts.top, odour ? &odour->top : nullptr);
    add_notes_row(notes, "middle", balance.by_parts.middle, odour ? &odour->middle : nullptr);
    add_notes_row(notes, "base", balance.by_parts.base, odour ? &odour->base : nullptr);
    if (balance.by_parts.unknown.sign() > 0) {
        add_notes_row(notes, "not known", balance.by_parts.unknown, odour ? &odour->unknown : nullptr);
    }
    page.table(std::move(notes));

    page.items(balance_words(model, balance));
    page.paragraph(
        "Odour is share times impact (1 to 10), made up to 100 %; over half, or over three times its share, sticks out. "
        "Common practice, no source: the nose decides.");
}

void add_intent(Page& page, const Document& document, BlendId id) {
    const Model& model = *document.model;
    const Blend& blend = model.blends[id];
    if (blend.intent.empty()) return;
    page.heading("Intent");
    std::vector<std::string> said;
    for (const auto& reading : read_intent(model, blend)) {
        std::vector<std::string> with, against;
        for (const auto m : reading.carried_by) with.push_back(title_of(model, m));
        for (const auto& [m, mood] : reading.against) against.push_back(title_of(model, m) + " (" + std::string(mood) + ")");
        std::string text = plain(reading.mood) + ": " +
                           (with.empty() ? "no oil here is known for it" : "carried by " + list_text(with));
        if (!against.empty()) text += "; against it " + list_text(against);
        said.push_back(text + ".");
    }
    page.items(std::move(said));
    page.paragraph("Moods are traditional use, never a medical claim; which of them pull apart is common practice, no source.");
}

void write_balance(JsonWriter& json, const Document& document, BlendId id) {
    const Model& model = *document.model;
    const Balance balance = balance_of(model, (*document.blend_figures)[id]);
    if (balance.oils.empty()) {
        json.null("balance");
        return;
    }
    json.object("balance");
    write_notes(json, "by_parts", balance.by_parts);
    if (balance.by_odour) {
        write_notes(json, "by_odour", *balance.by_odour);
    } else {
        json.null("by_odour");
    }
    json.boolean("impacts_known", balance.all_known);
    json.array("oils");
    for (const auto& oil : balance.oils) {
        json.open_row();
        json.text("material", name_of_material(model, oil.material));
        json.number("parts_percent", oil.share.to_double() * 100);
        if (oil.impact) {
            json.whole("impact", *oil.impact);
            json.number("odour_percent", oil.odour->to_double() * 100);
        } else {
            json.null("impact");
            json.null("odour_percent");
        }
        json.boolean("over_half", oil.over_half);
        json.boolean("over_three_times_its_share", oil.over_share);
        json.close_object();
    }
    json.close_array();
    if (balance.raise) {
        const auto& r = *balance.raise;
        json.row("raise");
        json.text("leader", name_of_material(model, balance.oils[r.leader].material));
        json.text("material", name_of_material(model, balance.oils[r.oil].material));
        json.whole("drops", r.drops);
        json.whole("beaker_drops", r.beaker);
        json.number("leader_odour_percent", r.before.to_double() * 100);
        json.number("leader_odour_percent_after", r.after.to_double() * 100);
        json.close_object();
    } else {
        json.null("raise");
    }
    json.array("masks");
    for (const auto& m : balance.masks) {
        json.open_row();
        json.text("strong", name_of_material(model, balance.oils[m.strong].material));
        json.text("weak", name_of_material(model, balance.oils[m.weak].material));
        json.number("times", m.times.to_double());
        json.close_object();
    }
    json.close_array();
    json.close_object();
}

void write_intent(JsonWriter& json, const Document& document, BlendId id) {
    const Model& model = *document.model;
    json.array("intent_read");
    for (const auto& reading : read_intent(model, model.blends[id])) {
        json.open_row();
        json.text("mood", reading.mood);
        json.list("carried_by");
        for (const auto m : reading.carried_by) json.text(name_of_material(model, m));
        json.close_array();
        json.list("against");
        for (const auto& [m, mood] : reading.against) json.text(name_of_material(model, m));
        json.close_array();
        json.close_object();
    }
    json.close_array();
}

}  // namespace scruple::emit
