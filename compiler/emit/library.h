// What `scruple library` shows: cards of single records, the list of doubts, and all of the library
// for machines. The same library gives the same bytes.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/function_ref.h"
#include "emit/page.h"
#include "emit/table.h"
#include "library/catalogue.h"
#include "library/survey.h"

namespace scruple::emit {

/// All of the library, schema `scruple.library/1`.
void library_json(const Catalogue& catalogue, FunctionRef<void(std::string_view)> sink);
/// The tables of the CSV form, by name: one a kind.
std::span<const std::string_view> library_tables();
/// One of them (RFC 4180).
std::string library_csv(const Catalogue& catalogue, std::string_view table);

/// What rests on memory or on working out, counts first; schema `scruple.doubts/1`.
std::string doubts_json(const std::vector<Doubt>& doubts);
std::string doubts_csv(const std::vector<Doubt>& doubts);
Page doubts_page(const std::vector<Doubt>& doubts);

Page material_card(const Catalogue& catalogue, MaterialId material);
Page substance_card(const Catalogue& catalogue, SubstanceId substance);
Page format_card(const Catalogue& catalogue, FormatId format);
Page base_card(const Catalogue& catalogue, BaseId base);
Page rules_card(const Catalogue& catalogue, RuleSetId rules);
Page category_card(const Catalogue& catalogue, CategoryId category);
Page source_card(const Catalogue& catalogue, const Source& source);
/// A unit, or what is said of people: few words, as they are written.
Page unit_card(const Detail& unit);
Page caution_card(const Catalogue& catalogue, const Caution& caution);
Page audience_card(const Catalogue& catalogue, AudienceId audience);
Page guide_card(const Catalogue& catalogue, const Guide& guide);
/// The names of audiences, oils and the like, as they are written.
std::vector<std::string> audience_names(const Model& model, const std::vector<AudienceId>& audiences);
std::vector<std::string> material_names(const Model& model, const std::vector<MaterialId>& materials);
std::vector<std::string> substance_names(const Model& model, const std::vector<SubstanceId>& substances);
/// "none" or "2 %", "1 to 3 %, typically 2 %".
std::string guide_figure(const GuideRow& row);

/// Every limit of a list as a table: figure, where, against what, standing, remark.
Table limits_table(const Catalogue& catalogue, const std::vector<std::uint32_t>& limits);

/// A unit in words: "29.5735295625 ml", "a unit of mass".
std::string unit_text(const Detail& unit);
/// Its other spellings.
std::vector<std::string> unit_spellings(const Detail& unit);
/// "0.1 to 0.3 %, typical 0.2 %" of a fraction.
std::string share_text(const Range& fraction);
/// Larger for a larger typical share; equal where only the last bits of a sum differ.
std::int64_t share_rank(const Range& fraction);
/// "cheap" to "very dear"; empty where it is not stated.
std::string_view price_tier_word(std::string_view tier);
/// Every source once, by standing: the best first.
std::vector<std::pair<std::string, std::string>> folded_sources(const Model& model,
                                                                const std::vector<SourceId>& ids);
std::string joined(const std::vector<std::string>& texts, std::string_view between = ", ");

/// The most of one oil or ingredient in a format, if nothing else brings the same, by the limits of all rule sets.
struct FormatBound {
    std::string at_most;   // by published limits at typical composition: "0.7 %", "none", "no limit"
    std::string careful;   // at the tops of its ranges, and by derived figures
    std::string because;   // what binds the careful one; empty where nothing does
    double order = 1;      // the careful one as a fraction of the product, for sorting
    std::vector<std::string> unknown;  // what is not known of it there
};
FormatBound format_bound(const Model& model, const LimitTable& limits, const Format& format, MaterialId material);

}  // namespace scruple::emit
