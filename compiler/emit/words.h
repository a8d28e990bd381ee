// Figures and names in the words of a sheet. Every emitter says a thing with the same words.
#pragma once

#include <string>
#include <string_view>

#include "emit/document.h"

namespace scruple::emit {

/// Titles of records; "?" for an index that leads nowhere.
std::string title_of(const Model& model, MaterialId material);
std::string substance_title(const Model& model, SubstanceId substance);

/// A fraction as a percentage: three significant digits, at least two decimals below 100, no more
/// than six.
std::string percent_text(double fraction);
/// The same, with as many digits more as it takes to be told from `other_text`, which is not equal
/// to it.
std::string percent_apart(double fraction, double other, std::string_view other_text);
/// How much of a limit is used. Never reads as 100 what is not, on either side.
std::string used_text(double used);
/// A blend line's amount as it was counted, exact: "6", "2/3"; of a blend in per cent the
/// percentage, "12.5".
std::string parts_text(const Blend& blend, const Rational& amount);
/// A fraction exactly as written: 0.03 -> "3", 1/3 -> "100/3".
std::string exact_percent(const Rational& fraction);

/// Grams or millilitres where no scale rounds them: two decimals, more where the amount is small.
std::string amount_text(double amount);
/// Whole divisions of the scale in grams, with the decimals of the division.
std::string weighed_text(std::int64_t divisions, double division_g);
/// What to weigh of a line; its exact grams where the scale cannot show the batch at all.
std::string weighed_text(const Formula& formula, std::int64_t divisions, double mass_g);
std::string quantity_text(const Quantity& quantity);
/// Small sums of money with the digits that show them: 0.0043, 0.57, 12.30.
std::string small_money(double value);

std::string_view basis_word(Basis basis);  // "w/w"
std::string_view of_word(Of of);           // "total"
/// "w/w of the whole", "v/v", "w/w of the wax".
std::string basis_text(Basis basis, Of of);
/// What a maker types after the percentage where the format does not say so: "", "v/v", "of wax".
std::string basis_code(Basis basis, Of of);

std::string_view load_kind_word(LoadKind kind);
/// The load as the recipe states it: "3 % w/w of the whole", "up to 60 drops a unit".
std::string load_text(const Load& load);
/// The basis in which the product's ceiling is given: its own where it states a percentage, else
/// its format's.
struct OwnBasis {
    Basis basis = Basis::ww;
    Of of = Of::total;
};
OwnBasis own_basis(const Model& model, const Product& product);

std::string_view contact_text(Contact contact);  // "stays on the skin"
std::string_view note_word(Note note);           // "top", "" for unknown
std::string_view check_kind_word(CheckKind kind);
std::string_view ceiling_state_word(Ceiling::State state);
std::string_view limit_kind_word(LimitKind kind);

/// Who or what a check is about: "Citral", "Bergamot, expressed", "Phototoxic oils together".
std::string subject_text(const Model& model, const Check& check);
/// The machine's name for it: the substance's or material's, or the kind of check.
std::string_view subject_name(const Model& model, const Check& check);
/// The limit as its source writes it: "0.6 %", "none allowed".
std::string limit_text(const Check& check);

/// "6 : 3 : 2 : 1"; empty where the ratio cannot be counted.
std::string ratio_text(const std::vector<std::int64_t>& ratio);
/// What the drop plan comes to, e.g. "56 drops: 4 times the ratio 6 : 3 : 2 : 2 : 1".
std::string drop_plan_text(const DropPlan& plan);

/// "a", "a and b", "a, b and c".
std::string list_text(const std::vector<std::string>& items);
/// "1 unit", "2 units".
std::string count_text(std::int64_t count, std::string_view one, std::string_view many);

/// One line without control characters, so that no text of a recipe can steer a terminal.
std::string plain(std::string_view text);

}  // namespace scruple::emit
