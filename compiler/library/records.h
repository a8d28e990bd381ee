// The typed records that declarations become, from the embedded library and from a maker's files alike. Records are
// values; they refer to each other by index into the Model's stores. Texts are views of the source files.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/span.h"
#include "num/quantity.h"
#include "num/rational.h"

namespace scruple {

inline constexpr std::uint32_t kNone = 0xFFFFFFFF;
using MaterialId = std::uint32_t;   // oil or ingredient
using SubstanceId = std::uint32_t;  // substance or group: one name space, one index
using CategoryId = std::uint32_t;
using RuleSetId = std::uint32_t;
using FormatId = std::uint32_t;
using BaseId = std::uint32_t;
using BlendId = std::uint32_t;
using ProductId = std::uint32_t;
using SourceId = std::uint32_t;
using AudienceId = std::uint32_t;
using LotId = std::uint32_t;
using ContainerId = std::uint32_t;

/// How sure a figure is, from law down to our own estimate.
enum class Standing : std::uint8_t {
    law, standard, handbook, supplier, paper, practice,  // read
    recalled,                                            // from memory of a named document
    vague,                                               // from memory of data sheets only
    derived, estimate,                                   // worked out, not published
    disputed,                                            // sources disagree
    maker,                                               // the maker's own figure, no source given
};
std::string_view standing_word(Standing standing);
std::optional<Standing> standing_from_word(std::string_view word);
/// Derived figures and estimates warn; all others can fail a product.
inline bool is_soft(Standing s) { return s == Standing::derived || s == Standing::estimate; }

/// A source: a `cite`, or a `source` field.
struct Source {
    std::string_view name;  // of the cite; empty for a field
    Standing standing = Standing::maker;
    std::string_view text;
    Span span;
};

/// Name, title and place that every declaration has.
struct Header {
    std::string_view name;
    std::string title;      // the title string, or the name in plain letters
    std::string doc;        // the `##` lines
    Span name_span;
    Span span;              // the head of the declaration
    bool from_library = false;
    bool broken = false;    // an error was reported inside: what depends on it stays silent
};

/// Lowest, typical and highest of a measured figure. Without a stated typical, `typical` is the highest.
struct Range {
    double low = 0;
    double typical = 0;
    double high = 0;
    bool stated_typical = false;
};

struct Density {
    Range g_per_ml;
    std::optional<double> at_c;
    SourceId source = kNone;
    Span span;
};

/// One substance in an oil, as a mass fraction (0 to 1).
struct Constituent {
    SubstanceId substance = kNone;
    Range fraction;
    SourceId source = kNone;
    Span span;
    bool analysed = false;      // stated by a lot's certificate
};

enum class MaterialKind : std::uint8_t { oil, ingredient };
enum class Note : std::uint8_t { unknown, top, top_middle, middle, base };

/// That one material counts as so much of another when limits are judged: a maker's own bottle of an oil as all of it, a
/// dilution as the share that is dissolved in it.
struct CountsAs {
    MaterialId material = kNone;
    double share = 1;
};

/// An oil kept dissolved.
struct Dilution {
    MaterialId in = kNone;
    Rational share;             // of the dilution, w/w
    Span span;
};

struct Material {
    Header header;
    MaterialKind kind = MaterialKind::oil;
    std::string_view role;      // an ingredient's role word (wax, butter, fixed_oil, …)
    std::string inci;
    std::string cas;
    std::string botanical;
    std::optional<Density> density;
    std::optional<double> bulk_g_per_ml;
    std::optional<Rational> drops_per_ml;  // the material's own dropper
    std::optional<double> flash_c;
    std::optional<Rational> keeps_months;  // the shortest that is stated
    std::optional<Rational> keeps_opened_months;
    Note note = Note::unknown;
    std::string_view odour;
    std::optional<int> impact;
    std::vector<std::string_view> moods;
    std::vector<Constituent> contains;     // rows, and for each group the larger of its own row and its parts' sum
    bool composition_known = false;        // any `contains` at all
    double known_typical = 0;              // sum of typical fractions of the rows, and what an oil is dissolved in; at most 1
    std::vector<CountsAs> counts_as;       // materials whose own limits this one counts towards, besides its own
    std::optional<Dilution> dilution;
    LotId lot = kNone;                     // of which lot it is; kNone for the material itself
    std::uint32_t like_depth = 0;          // how many `like` lie between it and one that is like nothing
    std::string_view state;                // liquid, solid_wax, crystal, part …
    std::string conservation;              // whether the plant is threatened, in words
    std::string_view cites_appendix;       // i, ii, iii, or empty
    SourceId cites_source = kNone;
    std::vector<SourceId> sources;
};

/// A bottle with its certificate. What it says differs from its oil is a material of its own, which stands in the oil's
/// place where a product names the lot.
struct Lot {
    Header header;                  // the name is its number
    MaterialId of = kNone;          // the oil or ingredient
    MaterialId material = kNone;    // the lot as a material; named and titled as the oil
    std::string certificate;
    std::string opened;             // dates as written, empty where nothing is said
    std::string best_before;
    std::optional<double> peroxide_mmol_per_l;
    std::string peroxide_text;      // as written, e.g. "4"
    Span peroxide_span;
    bool only = false;              // the certificate's rows are all that is taken as known
    std::vector<SourceId> sources;
};

struct Substance {
    Header header;
    std::string cas;
    bool is_group = false;
    std::vector<SubstanceId> members;   // of a group
    std::vector<SubstanceId> groups;    // that this one belongs to
};

/// A product category of limit tables, or a scope that holds several.
struct Category {
    Header header;
    std::string code;                  // as printed in the tables, e.g. "5A"
    std::vector<CategoryId> within;    // closed: every scope above it, itself included
};

struct RuleSet {
    Header header;
    std::vector<std::string_view> markets;  // empty: all
    std::string dated;                      // ISO date or empty
    // Of a list of allergens; the dates are as written, and empty where nothing is said.
    RuleSetId continues = kNone;            // the older list whose entries this one keeps
    std::string in_force;                   // from when it can be followed
    std::string placed_until;               // last day for placing on the market by the older list
    std::string sold_until;                 // last day for selling what was placed by the older list
    std::vector<SourceId> sources;
};

enum class Effect : std::uint8_t { unstated, sensitisation, phototoxic, systemic, irritation, prohibited, purity, label, none };
std::string_view effect_word(Effect effect);

enum class LimitKind : std::uint8_t {
    ceiling,    // a largest share
    none,       // may not be there at all
    unlimited,  // the source says that there is no limit
    unstated,   // the source has a limit but the figure is not known here
    purity,     // a rule on the lot, not on the recipe
};

/// One row of a limit. `max_fraction` is w/w of the finished product.
struct LimitRow {
    LimitKind kind = LimitKind::ceiling;
    double max_fraction = 0;
    std::string max_text;                // the percentage as written, e.g. "0.6"
    std::optional<double> max_peroxide;  // of a rule on the lot, in mmol/l
    std::string max_peroxide_text;       // as written, e.g. "20"
    std::vector<CategoryId> in;
    Effect effect = Effect::unstated;
    SourceId source = kNone;
    std::string remark;
    Span span;
};

struct Limit {
    Header header;                 // the name is the subject's
    SubstanceId substance = kNone; // one of the two is set
    MaterialId material = kNone;
    RuleSetId rules = kNone;
    bool replaces_sum = false;     // in place of the phototoxic sum, where every phototoxic oil is analysed for it
    std::vector<std::string_view> sum_oils;  // and is one of these
    std::vector<LimitRow> rows;
};

/// Substances that do the same harm: with `harms summed` their shares of their own limits are added up.
struct Harm {
    Header header;
    std::vector<SubstanceId> substances;  // groups among them
    SourceId source = kNone;
};

/// What a rule set wants named on the label: a constituent, several under one name, or a whole extract.
struct Allergen {
    Header header;
    std::string label;                       // as the law spells it
    RuleSetId rules = kNone;
    std::vector<SubstanceId> substances;     // whose shares add up; groups among them
    std::vector<MaterialId> oils;            // that count as a whole
    // Named over this share of the finished product, w/w; nothing where the list says nothing of that contact.
    std::optional<double> leave_on, rinse_off;
    std::string leave_on_text, rinse_off_text;  // the percentages as written, e.g. "0.001"
    SourceId source = kNone;
};

enum class Contact : std::uint8_t { none, rinse_off, leave_on };
/// As the language spells it: "leave_on".
std::string_view contact_word(Contact contact);
enum class Of : std::uint8_t { total, base, fats, wax };            // mass of what
enum class Basis : std::uint8_t { ww, vv, wv };

struct Format {
    Header header;
    Contact contact = Contact::none;
    CategoryId category = kNone;
    std::optional<Rational> load_low, load_typical, load_high;  // fractions
    Basis load_basis = Basis::ww;
    Of load_of = Of::total;
    bool load_neat = false;
    std::optional<Dim> sold_by;              // mass or volume
    std::vector<Quantity> sizes;
    std::optional<Rational> fill;            // usual fill of the brim, fraction
    std::optional<Rational> extra;           // usual overage, fraction
    std::optional<Rational> keeps_months;
    BaseId usual_base = kNone;
    std::vector<std::string> steps;
    std::vector<std::string> warnings;
    std::string mixing;
    std::string example;
    std::vector<SourceId> sources;
};

/// One row of a base: a material or another base.
struct BaseRow {
    MaterialId material = kNone;
    BaseId base = kNone;
    bool rest = false;
    Rational fraction;          // of `of`
    Of of = Of::base;           // base or total
    Span span;                  // the row
    Span name_span;
};

struct BasePhase {
    std::string_view name;      // empty for rows outside any phase
    std::string title;
    std::optional<Rational> at_c;
    std::vector<BaseRow> rows;
    bool blend_here = false;
};

struct Base {
    Header header;
    std::vector<BasePhase> phases;
    std::vector<std::string> steps;
    std::vector<SourceId> sources;
};

/// What the numbers of a blend count.
enum class Measure : std::uint8_t { volume, mass, drops };

/// A line of a blend with accords and variations worked in. `amount` is exact, in the blend's measure.
struct BlendLine {
    Rational amount;
    MaterialId material = kNone;
    Span span;                  // the row that brought it
    Span name_span;
};

struct Blend {
    Header header;
    BlendId variation_of = kNone;
    std::uint32_t from_bench = kNone;  // a BenchId: its ratio is that of `from_mark`
    std::string_view from_mark;
    Measure measure = Measure::volume;
    bool percent = false;           // written as percentages
    Dim counted = Dim::part;        // what its rows are written in: parts, drops, fraction (per cent), volume or mass
    std::vector<BlendLine> lines;   // one a material, in the order of writing
    Rational total;                 // sum of the amounts
    std::vector<std::string_view> intent;
};

/// A finding that a waiver can speak of.
enum class Waivable : std::uint8_t { limit, maximum, derived };

/// `accept over_limit OIL under RULES to 0.7 % because "…" until 2027-06`: that a product may exceed one limit, up
/// to a ceiling. Whether it does anything, and whether it may, safety/ says.
struct Waiver {
    Waivable finding = Waivable::limit;
    std::string_view code;          // of the finding, as written
    SubstanceId substance = kNone;  // one of the two is set
    MaterialId material = kNone;
    RuleSetId rules = kNone;
    double ceiling = 0;             // w/w fraction of the finished product
    std::string ceiling_text;       // the percentage as written, e.g. "0.7"
    std::string reason;
    std::string until;              // last day, as written; empty: no end
    Span span;
};

enum class LoadKind : std::uint8_t { percent, neat, volume, mass, up_to_drops, between_drops };

struct Load {
    LoadKind kind = LoadKind::percent;
    Rational value;                 // fraction, ml, g
    std::int64_t least_drops = 0;
    std::int64_t most_drops = 0;
    Basis basis = Basis::ww;
    Of of = Of::total;
    bool from_format = false;       // the product said nothing: the format's typical load
    Span span;
};

/// An amount of money as the maker wrote it.
struct Money {
    Rational value;
    std::string_view currency;  // three letters of ISO 4217
    Span span;
};

/// A lot that a product names.
struct LotUse {
    LotId lot = kNone;
    Span span;                      // where the product names it
};

struct Product {
    Header header;
    BlendId blend = kNone;
    FormatId format = kNone;
    std::string_view line;          // the line that it belongs to, or empty
    /// Of the declaration that makes it: its own, or its line's.
    std::string_view declared_name() const { return line.empty() ? header.name : line; }
    Quantity content;               // per unit, mass or volume
    Span content_span;
    Load load;
    BaseId base_id = kNone;         // the named base, if one
    bool base_usual = false;        // the recipe named nothing: it is the format's usual one
    std::vector<BasePhase> own_base;  // else the list that stands in the product; empty for neat products
    Span base_span;
    std::int64_t units = 1;
    bool units_stated = false;
    std::optional<Rational> extra;  // fraction; workshop's or format's where the product says nothing
    std::string extra_source;       // "product", "workshop" or "format"
    std::optional<Rational> brim_ml;       // container to the brim
    Span brim_span;
    ContainerId container = kNone;         // where it is named
    std::vector<ContainerId> packaging;    // what else goes with each
    std::optional<Rational> batch_hours;   // work on the batch, and on each
    std::optional<Rational> unit_hours;
    std::optional<Money> budget;           // for each
    std::vector<std::string> steps;
    std::vector<std::string> warnings;
    std::vector<std::string> remarks;
    std::vector<Waiver> waivers;
    std::vector<AudienceId> audience;      // whom it is for: its own, else its line's, else the workshop's
    Span audience_span;                    // where that is said; unknown where nobody is named
    std::vector<LotUse> lots;       // of one material at most one
};

/// What a qualified assessor covered of a blend, as the maker records it.
struct Assessment {
    struct Load {
        double most = 0;                // w/w fraction of the finished product
        std::string text;               // the percentage as written
        std::vector<FormatId> formats;
    };
    Header header;
    BlendId blend = kNone;
    std::string fingerprint;            // of the blend as it was assessed
    std::vector<Load> loads;
    std::string assessor;
    std::string dated, until;           // as written, or empty
};

/// What one is sold in or with: a bottle, a jar, a label, a box.
struct Container {
    Header header;
    std::optional<Rational> brim_ml;
};

/// `30 ml OIL for 11.40 EUR`: one row of a price list. One of the three is set.
struct PriceRow {
    MaterialId material = kNone;
    BaseId base = kNone;
    ContainerId container = kNone;
    Rational pack;              // in g, ml or pieces, more than nothing
    Dim measure = Dim::mass;    // mass, volume or count
    std::string pack_text;      // as written, e.g. "30 ml"
    Money money;                // for the whole pack
    std::uint32_t list = 0;     // index into Model::price_lists
    Span span;
};

/// What one supplier asks, on one day.
struct PriceList {
    std::string supplier;
    std::string dated;          // as written
    Span span;
};

/// `rate 1 USD = 0.92 EUR on 2026-04-01`: one of `from` is worth `value` of `to`.
struct ExchangeRate {
    std::string_view from, to;
    Rational value;
    std::string dated;
    Span span;
};

/// A balance: readable to `division_g` up to `capacity_g`.
struct Scale {
    Rational division_g;
    std::optional<Rational> capacity_g;
};

struct Workshop {
    Header header;
    bool stated = false;            // false: no workshop in the collection, all assumptions
    std::string_view market;
    std::string_view currency;
    std::vector<Scale> scales;      // finest first
    std::optional<Rational> drops_per_ml;
    Span dropper_span;
    std::optional<Rational> extra;
    std::vector<AudienceId> audience;
    Span audience_span;
    std::vector<RuleSetId> rules;   // empty: all of the library
    bool harms_summed = false;
    std::optional<Money> labour;            // for an hour
    std::optional<Rational> overhead;       // share of materials, packaging and labour
    std::optional<Rational> wholesale;      // times the cost
    std::optional<Rational> retail;         // times the wholesale price, or the cost where there is none
    std::optional<Rational> prices_keep;    // in months
    std::vector<std::string> address;
};

/// People, or homes, that a product can be for.
struct Audience {
    Header header;
    std::vector<AudienceId> leaves;  // the narrowest audiences that it takes in; itself where it has no members
    bool assumed = false;            // read for these where nobody is named
    std::vector<SourceId> sources;
};

/// Words of care. The order in the library is the order on a sheet: what can hurt most stands first.
struct Caution {
    Header header;
    std::string text;
    bool bench = true;              // on the sheet of a blend
    bool leave_on = true;           // on products by their contact with skin
    bool rinse_off = true;
    bool no_skin = true;
    std::vector<SourceId> sources;
    std::vector<AudienceId> audience;        // whom it warns of or for; empty: everybody
    bool of_oils = false;                    // it speaks of oils; the lists hold those that the run has read
    std::vector<MaterialId> oils;
    std::vector<SubstanceId> substances;     // each oil that holds as much as `from` of one, at the top of its range
    double from = 0;
    bool avoid = false;                      // not at all for these people
    RuleSetId rules = kNone;                 // whose rule it is; where that does not hold, it is advice
    int rank = 3;                            // 1: can hurt most, to 5

    /// One of those that every sheet of its kind carries, whatever is in it and whoever it is for.
    bool usual() const { return !of_oils && audience.empty(); }
};

/// One source's figure: at most so much, by weight of the finished product.
struct GuideRow {
    bool none = false;                       // not at all
    Rational low, typical, high;             // fractions; equal where one figure is given
    SourceId source = kNone;
    std::string remark;
    Span span;
};

/// How strong products usually are, for people and purposes. Practice, no law. The rows are sources that may disagree:
/// the lowest counts.
struct Guide {
    Header header;
    std::vector<AudienceId> audience;        // empty: everybody
    bool of_purpose = false;                 // it names categories or formats; the lists hold those that the run has read
    std::vector<CategoryId> categories;
    std::vector<FormatId> formats;
    bool of_oils = false;                    // it speaks of these oils, not of the whole blend
    std::vector<MaterialId> oils;
    std::vector<GuideRow> rows;
};

}  // namespace scruple
