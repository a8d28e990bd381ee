#include "emit/words.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

int decimals_for(double percent, int digits) {
    const double size = std::fabs(percent);
    int decimals = size >= 100 ? 1 : 2;
    double unit = 1;
    while (decimals < 6 && size > 0 &&
           size < unit * std::pow(10.0, digits - 1 - decimals) * 0.9999999)
        ++decimals;
    return decimals;
}

}  // namespace

std::string title_of(const Model& model, MaterialId material) {
    return material < model.materials.size() ? plain(model.materials[material].header.title) : "?";
}

std::string substance_title(const Model& model, SubstanceId substance) {
    return substance < model.substances.size() ? plain(model.substances[substance].header.title)
                                               : "?";
}

std::string percent_text(double fraction) {
    const double percent = fraction * 100;
    if (!std::isfinite(percent)) return "?";
    if (percent == 0) return "0";
    if (percent > 0 && percent < 0.0000005) return "under 0.000001";
    return format_fixed(percent, decimals_for(percent, 3));
}

std::string percent_apart(double fraction, double other, std::string_view other_text) {
    std::string text = percent_text(fraction);
    if (fraction == 0 || !std::isfinite(fraction) ||
        std::fabs(fraction - other) <= kLimitTolerance * std::fabs(other))
        return text;
    // Two figures that differ may not print alike: an "0.60 %" that fails an "0.60 %" helps nobody.
    const double there = std::fabs(other) * 100;
    for (int decimals = decimals_for(fraction * 100, 3); decimals <= 12; ++decimals) {
        text = format_fixed(fraction * 100, decimals);
        const std::string same = format_fixed(there, decimals);
        if (text != same && text != other_text) break;
    }
    return text;
}

std::string used_text(double used) {
    const double percent = used * 100;
    if (!std::isfinite(percent)) return "over";
    if (std::fabs(used - 1) <= kLimitTolerance) return "100";
    if (percent > 99 && percent < 101) {
        std::string text = format_fixed(percent, 1, used > 1 ? Rounding::up : Rounding::down);
        return text;
    }
    if (percent > 0 && percent < 0.5) return "under 1";
    return format_fixed(percent, 0);
}

std::string exact_percent(const Rational& fraction) {
    return format_exact(fraction * Rational(100));
}

std::string parts_text(const Blend& blend, const Rational& amount) {
    return blend.percent ? exact_percent(amount) : format_exact(amount);
}

std::string amount_text(double amount) {
    if (!std::isfinite(amount)) return "?";
    int decimals = 2;
    const double size = std::fabs(amount);
    if (size > 0 && size < 0.1) decimals = 3;
    if (size > 0 && size < 0.01) decimals = 5;
    return format_fixed(amount, decimals);
}

std::string weighed_text(std::int64_t divisions, double division_g) {
    if (!(division_g > 0)) return "?";
    int decimals = 0;
    double scaled = division_g;
    while (decimals < 9 && std::fabs(scaled - std::round(scaled)) > 1e-9 * std::max(1.0, scaled)) {
        scaled *= 10;
        ++decimals;
    }
    return format_fixed(static_cast<double>(divisions) * division_g, decimals);
}

std::string weighed_text(const Formula& formula, std::int64_t divisions, double mass_g) {
    return formula.batch_divisions > 0 ? weighed_text(divisions, formula.scale_division_g)
                                       : amount_text(mass_g);
}

std::string small_money(double value) {
    if (value == 0) return "0.00";
    return value < 0.1 ? format_significant(value, 2) : value < 1 ? format_fixed(value, 3) : format_fixed(value, 2);
}

std::string quantity_text(const Quantity& quantity) {
    std::string text = format_trimmed(quantity.value, 6);
    if (quantity.dimension == kMass) return text + " g";
    if (quantity.dimension == kVolume) return text + " ml";
    return text;
}

std::string_view basis_word(Basis basis) {
    switch (basis) {
        case Basis::ww: return "w/w";
        case Basis::vv: return "v/v";
        case Basis::wv: return "w/v";
    }
    return "w/w";
}

std::string_view of_word(Of of) {
    switch (of) {
        case Of::total: return "total";
        case Of::base: return "base";
        case Of::fats: return "fats";
        case Of::wax: return "wax";
    }
    return "total";
}

std::string basis_text(Basis basis, Of of) {
    if (basis == Basis::vv) return "by volume of the whole";
    if (basis == Basis::wv) return "as grams in 100 ml of the whole";
    switch (of) {
        case Of::total: return "by weight of the whole";
        case Of::base: return "by weight of the base";
        case Of::fats: return "by weight of the fats";
        case Of::wax: return "by weight of the wax";
    }
    return "by weight of the whole";
}

std::string basis_code(Basis basis, Of of) {
    if (basis == Basis::vv) return "v/v";
    if (basis == Basis::wv) return "w/v";
    return "of " + std::string(of_word(of));
}

std::string_view load_kind_word(LoadKind kind) {
    switch (kind) {
        case LoadKind::percent: return "percent";
        case LoadKind::neat: return "neat";
        case LoadKind::volume: return "volume";
        case LoadKind::mass: return "mass";
        case LoadKind::up_to_drops: return "up_to_drops";
        case LoadKind::between_drops: return "between_drops";
    }
    return "percent";
}

std::string load_text(const Load& load) {
    switch (load.kind) {
        case LoadKind::percent:
            return exact_percent(load.value) + " % " + basis_text(load.basis, load.of);
        case LoadKind::neat: return "neat: nothing but the blend";
        case LoadKind::volume: return format_exact(load.value) + " ml a unit";
        case LoadKind::mass: return format_exact(load.value) + " g a unit";
        case LoadKind::up_to_drops:
            return "up to " + count_text(load.most_drops, "drop", "drops") + " a unit";
        case LoadKind::between_drops:
            return "between " + std::to_string(load.least_drops) + " and " +
                   count_text(load.most_drops, "drop", "drops") + " a unit";
    }
    return "?";
}

OwnBasis own_basis(const Model& model, const Product& product) {
    if (product.load.kind == LoadKind::percent) return {product.load.basis, product.load.of};
    if (product.format < model.formats.size()) {
        const Format& format = model.formats[product.format];
        return {format.load_basis, format.load_of};
    }
    return {};
}

std::string_view contact_text(Contact contact) {
    switch (contact) {
        case Contact::none: return "not for the skin";
        case Contact::rinse_off: return "rinsed off the skin";
        case Contact::leave_on: return "stays on the skin";
    }
    return "";
}

std::string_view note_word(Note note) {
    switch (note) {
        case Note::unknown: return "";
        case Note::top: return "top";
        case Note::top_middle: return "top to middle";
        case Note::middle: return "middle";
        case Note::base: return "base";
    }
    return "";
}

std::string_view check_kind_word(CheckKind kind) {
    switch (kind) {
        case CheckKind::substance: return "substance";
        case CheckKind::oil: return "oil";
        case CheckKind::phototoxic: return "phototoxic_sum";
        case CheckKind::undiluted: return "undiluted_on_skin";
        case CheckKind::prohibited: return "prohibited";
        case CheckKind::harm: return "harm_sum";
    }
    return "substance";
}

std::string_view ceiling_state_word(Ceiling::State state) {
    switch (state) {
        case Ceiling::State::none_applies: return "none_applies";
        case Ceiling::State::bound: return "bound";
        case Ceiling::State::over_without_blend: return "over_without_blend";
        case Ceiling::State::not_known: return "not_known";
    }
    return "not_known";
}

std::string_view limit_kind_word(LimitKind kind) {
    switch (kind) {
        case LimitKind::ceiling: return "ceiling";
        case LimitKind::none: return "none";
        case LimitKind::unlimited: return "unlimited";
        case LimitKind::unstated: return "unstated";
        case LimitKind::purity: return "purity";
    }
    return "ceiling";
}

std::string subject_text(const Model& model, const Check& check) {
    switch (check.kind) {
        case CheckKind::phototoxic: return "Phototoxic oils together";
        case CheckKind::undiluted: return "Undiluted oil on skin";
        case CheckKind::harm: return "Together: " + plain(check.harm->header.title);
        default: break;
    }
    if (check.substance != kNone) return substance_title(model, check.substance);
    return title_of(model, check.material);
}

std::string_view subject_name(const Model& model, const Check& check) {
    if (check.substance < model.substances.size())
        return model.substances[check.substance].header.name;
    if (check.kind != CheckKind::phototoxic && check.kind != CheckKind::undiluted &&
        check.material < model.materials.size()) {
        return model.materials[check.material].header.name;
    }
    return check_kind_word(check.kind);
}

std::string limit_text(const Check& check) {
    if (check.kind == CheckKind::phototoxic || check.kind == CheckKind::harm) return "100 %";
    if (check.kind == CheckKind::undiluted) return "diluted";
    if (check.kind == CheckKind::prohibited || (check.row && check.row->kind == LimitKind::none))
        return "none";
    if (check.row && !check.row->max_text.empty()) return plain(check.row->max_text) + " %";
    return percent_text(check.limit) + " %";
}

std::string ratio_text(const std::vector<std::int64_t>& ratio) {
    std::string text;
    for (std::int64_t part : ratio) {
        if (!text.empty()) text += " : ";
        text += std::to_string(part);
    }
    return text;
}

std::string drop_plan_text(const DropPlan& plan) {
    const std::string drops = count_text(plan.total, "drop", "drops");
    if (plan.multiple > 0) {
        std::string text = drops + " a unit: ";
        text += plan.multiple == 1 ? "the" : std::to_string(plan.multiple) + " times the";
        text += " " + std::to_string(plan.total / plan.multiple) + "-part ratio";
        std::vector<std::int64_t> ratio = plan.drops;
        for (std::int64_t& part : ratio) part /= plan.multiple;
        return text + " " + ratio_text(ratio);
    }
    if (plan.drops.empty()) return "the ratio cannot be made in so many drops";
    std::string text = drops + " a unit, the nearest whole-drop ratio: " + ratio_text(plan.drops);
    text += "; a share is off by up to " + percent_text(plan.worst_error) + " %";
    if (plan.smallest_fit > 0) {
        text += "; " + count_text(plan.smallest_fit, "drop", "drops") +
                ", or a multiple of that, would keep it exactly";
    }
    return text;
}

std::string list_text(const std::vector<std::string>& items) {
    std::string text;
    for (std::size_t i = 0; i < items.size(); ++i) {
        if (i > 0) text += i + 1 == items.size() ? " and " : ", ";
        text += items[i];
    }
    return text;
}

std::string count_text(std::int64_t count, std::string_view one, std::string_view many) {
    return std::to_string(count) + " " + std::string(count == 1 ? one : many);
}

std::string plain(std::string_view text) {
    bool clean = true;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte < 0x20 || byte >= 0x7F) clean = false;
    }
    if (clean) return std::string(text);
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const CodePoint c = decode_utf8(text, at);
        const char32_t v = c.value;
        const bool turns = (v >= 0x202A && v <= 0x202E) || (v >= 0x2066 && v <= 0x2069);
        const bool breaks = v == 0x2028 || v == 0x2029;
        if (v == '\t' || v == '\n' || v == '\r' || breaks) {
            out += ' ';
        } else if (v < 0x20 || (v >= 0x7F && v < 0xA0) || v == 0xFFFD || turns) {
            out += "\xEF\xBF\xBD";  // U+FFFD: something was here
        } else {
            out += text.substr(at, c.length);
        }
        at += std::max<std::uint32_t>(c.length, 1);
    }
    return out;
}

}  // namespace scruple::emit
