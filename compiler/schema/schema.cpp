#include "schema/schema.h"

#include <algorithm>
#include <array>

namespace scruple {
namespace {

using SV = std::string_view;

constexpr SV kNotes[] = {"top", "top_middle", "middle", "base"};
constexpr SV kContacts[] = {"leave_on", "rinse_off", "none"};
constexpr SV kSoldBy[] = {"mass", "volume"};
constexpr SV kEffects[] = {"sensitisation", "phototoxic", "systemic", "irritation", "prohibited", "purity", "label", "none"};
constexpr SV kMarkets[] = {"ch", "eu", "uk", "us"};
constexpr SV kAdvice[] = {"avoid", "care"};
constexpr SV kAppendices[] = {"i", "ii", "iii"};
constexpr SV kStandings[] = {"law",      "standard", "handbook", "supplier", "paper",   "practice",
                             "recalled", "vague",    "derived",  "estimate", "disputed"};
constexpr SV kStates[] = {"liquid", "soft_fat", "solid_wax", "crystal", "melted_50", "melted_60", "part"};
constexpr SV kApplies[] = {"bench", "leave_on", "rinse_off", "no_skin"};
// What the compiler goes by, so no other word passes. A material that is none of these has no role.
constexpr SV kRoles[] = {"acid",     "antioxidant",  "butter", "emulsifier", "fixed_oil", "hydrosol",
                         "lye",      "powder",       "preservative", "salt", "solubiliser", "solvent",
                         "sugar",    "surfactant_base", "thickener", "water", "wax",      "wick"};
// Usual words, as the library writes them. Makers have words of their own.
constexpr SV kProcesses[] = {"absolute",   "acetylated", "balsam",   "co2",      "dry_distilled",
                             "expressed", "extracted",  "rectified", "resinoid", "steam_distilled"};
constexpr SV kOdours[] = {"camphoraceous", "citrus", "earthy", "floral",   "green",
                          "herbal",        "minty",  "resinous", "spicy",  "woody"};
constexpr SV kMoods[] = {"calming",  "clearing",   "comforting", "focusing", "grounding",
                         "refreshing", "romantic", "uplifting",  "warming"};
constexpr SV kBys[] = {"weight", "volume"};
constexpr SV kHarms[] = {"apart", "summed"};
constexpr SV kReplaced[] = {"phototoxic_sum"};

constexpr Dimension kTemperature{Dim::temperature, Dim::none};
constexpr Dimension kClock{Dim::clock, Dim::none};
constexpr Dimension kDropPerVolume{Dim::drop, Dim::volume};
constexpr Dimension kMassPerMass{Dim::mass, Dim::mass};
constexpr Dimension kAmountPerVolume{Dim::amount, Dim::volume};
constexpr Dimension kMoneyPerHour{Dim::money, Dim::clock};

constexpr FieldSpec kSource{.field = Field::source, .word = "source", .shape = Shape::source,
                            .doc = "where the figures come from, and how sure they are", .repeatable = true};
constexpr FieldSpec kRemark{.field = Field::remark, .word = "remark", .shape = Shape::texts,
                            .doc = "anything worth knowing", .repeatable = true};
constexpr FieldSpec kAlso{.field = Field::also, .word = "also", .shape = Shape::texts,
                          .doc = "other names, for finding it"};
constexpr FieldSpec kCas{.field = Field::cas, .word = "cas", .shape = Shape::text, .doc = "CAS number"};
constexpr FieldSpec kInci{.field = Field::inci, .word = "inci", .shape = Shape::text,
                          .doc = "name for ingredient lists (INCI)"};
constexpr FieldSpec kDensityField{.field = Field::density, .word = "density", .shape = Shape::figure,
                                  .doc = "weight of a millilitre, with its temperature", .dimension = kDensity,
                                  .least = 0.0001, .most = 25};
constexpr FieldSpec kFlash{.field = Field::flash, .word = "flash", .shape = Shape::figure, .doc = "flash point",
                           .dimension = kTemperature};
constexpr FieldSpec kKeeps{.field = Field::keeps, .word = "keeps", .shape = Shape::special,
                           .doc = "keeping time: `24 months sealed, 12 months opened`"};
constexpr FieldSpec kContains{.field = Field::contains, .word = "contains", .shape = Shape::block,
                              .doc = "substances in it, in per cent of its weight; or `unknown`"};
constexpr FieldSpec kDropper{.field = Field::dropper, .word = "dropper", .shape = Shape::quantity,
                             .doc = "drops to the millilitre", .dimension = kDropPerVolume, .least = 1, .most = 200};
constexpr FieldSpec kSteps{.field = Field::steps, .word = "steps", .shape = Shape::texts,
                           .doc = "how it is made, a text a step"};
constexpr FieldSpec kWarnings{.field = Field::warnings, .word = "warnings", .shape = Shape::texts,
                              .doc = "what its users must be told"};
constexpr FieldSpec kIntent{.field = Field::intent, .word = "intent", .shape = Shape::words,
                            .doc = "moods that the blend is meant to carry (traditional, no claim)",
                            .choices = kMoods, .open = true};

constexpr FieldSpec kAudience{.field = Field::audience, .word = "audience", .shape = Shape::names,
                              .doc = "whom it is for", .refers = NameSpace::audiences};
constexpr FieldSpec kOils{.field = Field::oils, .word = "oils", .shape = Shape::names,
                          .doc = "oils and ingredients that it speaks of", .refers = NameSpace::materials};

constexpr FieldSpec kAudienceFields[] = {
    {.field = Field::members, .word = "members", .shape = Shape::names, .doc = "narrower audiences that it takes in",
     .refers = NameSpace::audiences},
    {.field = Field::assumed, .word = "assumed", .shape = Shape::yes_no,
     .doc = "sheets of products that name nobody are read for these"},
    kAlso, kSource, kRemark,
};
constexpr FieldSpec kGuideFields[] = {
    kAudience,
    {.field = Field::categories, .word = "categories", .shape = Shape::names,
     .doc = "product categories that it holds for; all if neither these nor formats are said",
     .refers = NameSpace::categories},
    {.field = Field::formats, .word = "formats", .shape = Shape::names, .doc = "formats that it holds for",
     .refers = NameSpace::formats},
    kOils, kSource, kRemark,
};
constexpr FieldSpec kCiteFields[] = {
    {.field = Field::standing, .word = "standing", .shape = Shape::word, .doc = "how sure the source is",
     .choices = kStandings, .required = true},
    {.field = Field::text, .word = "text", .shape = Shape::text, .doc = "the source in words"},
    kRemark,
};
constexpr FieldSpec kCategoryFields[] = {
    {.field = Field::code, .word = "code", .shape = Shape::text, .doc = "the code that limit tables print"},
    {.field = Field::within, .word = "within", .shape = Shape::names, .doc = "scopes that hold it",
     .refers = NameSpace::categories},
    kSource, kRemark,
};
constexpr FieldSpec kSubstanceFields[] = {kCas, kAlso, kSource, kRemark};
constexpr FieldSpec kGroupFields[] = {
    kCas,
    {.field = Field::members, .word = "members", .shape = Shape::names, .doc = "substances that one rule sums",
     .refers = NameSpace::substances},
    kAlso, kSource, kRemark,
};
constexpr FieldSpec kOilFields[] = {
    {.field = Field::botanical, .word = "botanical", .shape = Shape::text, .doc = "botanical name"},
    {.field = Field::family, .word = "family", .shape = Shape::text, .doc = "botanical family"},
    {.field = Field::part, .word = "part", .shape = Shape::text, .doc = "part of the plant"},
    {.field = Field::process, .word = "process", .shape = Shape::word, .doc = "how it was won from the plant",
     .choices = kProcesses, .open = true},
    kInci, kCas, kDensityField, kFlash,
    {.field = Field::note, .word = "note", .shape = Shape::word, .doc = "place in the evaporation", .choices = kNotes},
    {.field = Field::odour, .word = "odour", .shape = Shape::word, .doc = "odour family", .choices = kOdours,
     .open = true},
    {.field = Field::impact, .word = "impact", .shape = Shape::number, .doc = "strength in a blend, 1 to 10",
     .least = 1, .most = 10},
    {.field = Field::tenacity, .word = "tenacity", .shape = Shape::quantity, .doc = "hours on a smelling strip",
     .dimension = kClock, .least = 0},
    kKeeps,
    {.field = Field::phototoxic, .word = "phototoxic", .shape = Shape::yes_no, .doc = "burns skin in sun"},
    {.field = Field::moods, .word = "moods", .shape = Shape::words, .doc = "traditional use, no claim",
     .choices = kMoods, .open = true},
    {.field = Field::cost_tier, .word = "cost_tier", .shape = Shape::number, .doc = "1 cheap to 5 very dear",
     .least = 1, .most = 5},
    {.field = Field::price, .word = "price", .shape = Shape::special, .doc = "an example price"},
    {.field = Field::conservation, .word = "conservation", .shape = Shape::text, .doc = "whether the plant is threatened"},
    {.field = Field::cites_appendix, .word = "cites_appendix", .shape = Shape::word,
     .doc = "appendix of CITES, the convention on trade in endangered species, that lists the plant", .choices = kAppendices},
    {.field = Field::diluted, .word = "diluted", .shape = Shape::special,
     .doc = "bought or kept dissolved: so much of it, by weight, in what"},
    kDropper, kAlso, kContains, kSource, kRemark,
};
constexpr FieldSpec kHarmFields[] = {
    {.field = Field::substances, .word = "substances", .shape = Shape::names,
     .doc = "substances and groups that do it: each one's share of its own limit is added up",
     .refers = NameSpace::substances, .required = true},
    kSource, kRemark,
};
constexpr FieldSpec kIngredientFields[] = {
    {.field = Field::role, .word = "role", .shape = Shape::word,
     .doc = "what it is for: decides what `of wax` and `of fats` count, and what a premix is made with",
     .choices = kRoles},
    kInci, kCas, kDensityField,
    {.field = Field::state, .word = "state", .shape = Shape::word, .doc = "the form that the density speaks of",
     .choices = kStates},
    {.field = Field::bulk, .word = "bulk", .shape = Shape::figure, .doc = "weight of a millilitre as poured powder",
     .dimension = kDensity, .least = 0.0001, .most = 25},
    {.field = Field::melts, .word = "melts", .shape = Shape::figure, .doc = "melting point", .dimension = kTemperature},
    kFlash, kKeeps,
    {.field = Field::saponification, .word = "saponification", .shape = Shape::figure,
     .doc = "saponification value, mg of potassium hydroxide to a gram", .dimension = kMassPerMass, .least = 0},
    {.field = Field::iodine, .word = "iodine", .shape = Shape::figure, .doc = "iodine value, g to 100 g",
     .dimension = kNumber, .least = 0},
    kDropper, kAlso, kContains, kSource, kRemark,
};
constexpr FieldSpec kAllergenFields[] = {
    {.field = Field::label, .word = "label", .shape = Shape::text, .doc = "the name that the law wants on the label",
     .required = true},
    {.field = Field::substances, .word = "substances", .shape = Shape::names,
     .doc = "substances and groups that it stands for, added up; its own name if not said", .refers = NameSpace::substances},
    {.field = Field::oils, .word = "oils", .shape = Shape::names,
     .doc = "oils and ingredients that are, as a whole, what it stands for", .refers = NameSpace::materials},
    {.field = Field::cas, .word = "cas", .shape = Shape::texts, .doc = "CAS numbers that the list gives"},
    {.field = Field::leave_on, .word = "leave_on", .shape = Shape::percent,
     .doc = "named over this share of the finished product, where that stays on skin", .least = 0, .most = 1},
    {.field = Field::rinse_off, .word = "rinse_off", .shape = Shape::percent,
     .doc = "named over this share of the finished product, where that is rinsed off", .least = 0, .most = 1},
    kSource, kRemark,
};
constexpr FieldSpec kAssessedFields[] = {
    {.field = Field::fingerprint, .word = "fingerprint", .shape = Shape::text,
     .doc = "of the blend as it was assessed, as its sheet prints it", .required = true},
    {.field = Field::assessor, .word = "assessor", .shape = Shape::text, .doc = "who assessed it, with the qualification"},
    {.field = Field::dated, .word = "dated", .shape = Shape::date, .doc = "date of the report"},
    {.field = Field::until, .word = "until", .shape = Shape::date, .doc = "last day that the report is good for"},
    kRemark,
};
constexpr FieldSpec kRulesFields[] = {
    {.field = Field::markets, .word = "markets", .shape = Shape::words, .doc = "markets where it holds",
     .choices = kMarkets},
    {.field = Field::dated, .word = "dated", .shape = Shape::date, .doc = "date of the edition"},
    {.field = Field::publisher, .word = "publisher", .shape = Shape::text, .doc = "who published it"},
    {.field = Field::continues, .word = "continues", .shape = Shape::name,
     .doc = "an older list of allergens whose entries this one keeps", .refers = NameSpace::rule_sets},
    {.field = Field::in_force, .word = "in_force", .shape = Shape::date, .doc = "from when a list of allergens can be followed"},
    {.field = Field::placed_until, .word = "placed_until", .shape = Shape::date,
     .doc = "until when what follows the older list may still be placed on the market"},
    {.field = Field::sold_until, .word = "sold_until", .shape = Shape::date,
     .doc = "until when what was placed by the older list may be sold"},
    kSource, kRemark,
};
constexpr FieldSpec kLimitFields[] = {
    {.field = Field::effect, .word = "effect", .shape = Shape::word, .doc = "the harm that the limit guards against",
     .choices = kEffects},
    {.field = Field::replaces, .word = "replaces", .shape = Shape::word,
     .doc = "in its place where lots state this for every phototoxic oil; else only for oils that it leaves out", .choices = kReplaced},
    {.field = Field::oils, .word = "oils", .shape = Shape::names,
     .doc = "the phototoxic oils that it may be measured for, where it replaces their sum", .refers = NameSpace::materials},
    kSource, kRemark,
};
constexpr FieldSpec kFormatFields[] = {
    {.field = Field::contact, .word = "contact", .shape = Shape::word, .doc = "whether it stays on skin",
     .choices = kContacts, .required = true},
    {.field = Field::category, .word = "category", .shape = Shape::name, .doc = "category of the limit tables",
     .refers = NameSpace::categories, .required = true},
    {.field = Field::load, .word = "load", .shape = Shape::load, .doc = "usual share of blend, and of what"},
    {.field = Field::sold_by, .word = "sold_by", .shape = Shape::word, .doc = "whether the label states mass or volume",
     .choices = kSoldBy},
    {.field = Field::sizes, .word = "sizes", .shape = Shape::special, .doc = "usual sizes"},
    {.field = Field::fill, .word = "fill", .shape = Shape::percent, .doc = "usual fill of the container to the brim",
     .least = 0, .most = 1},
    {.field = Field::extra, .word = "extra", .shape = Shape::percent, .doc = "usual loss in making, added to the batch",
     .least = 0, .most = 1},
    kKeeps,
    {.field = Field::usual_base, .word = "usual_base", .shape = Shape::name, .doc = "a base to start from",
     .refers = NameSpace::materials},
    {.field = Field::example, .word = "example", .shape = Shape::text, .doc = "an example base in words"},
    {.field = Field::mixing, .word = "mixing", .shape = Shape::text, .doc = "temperatures and flash points"},
    kSteps, kWarnings, kSource, kRemark,
};
constexpr FieldSpec kLotFields[] = {
    kDensityField, kDropper,
    {.field = Field::opened, .word = "opened", .shape = Shape::date, .doc = "when the bottle was opened: keeping time counts from it"},
    {.field = Field::best_before, .word = "best_before", .shape = Shape::date, .doc = "until when its supplier stands by it"},
    {.field = Field::certificate, .word = "certificate", .shape = Shape::text, .doc = "the certificate that came with it, in words"},
    {.field = Field::peroxide, .word = "peroxide", .shape = Shape::figure, .doc = "peroxide value, in mmol/l",
     .dimension = kAmountPerVolume, .least = 0},
    {.field = Field::contains, .word = "contains", .shape = Shape::block,
     .doc = "what its analysis found, in per cent of the oil's weight"},
    kSource, kRemark,
};
constexpr FieldSpec kBaseFields[] = {
    {.field = Field::phase, .word = "phase", .shape = Shape::block, .doc = "rows that go together", .repeatable = true},
    {.field = Field::blend, .word = "blend", .shape = Shape::special, .doc = "where the blend goes in"},
    kSteps, kSource, kRemark,
};
constexpr FieldSpec kBlendFields[] = {
    {.field = Field::by, .word = "by", .shape = Shape::word, .doc = "what parts and percentages count",
     .choices = kBys},
    kIntent, kRemark,
};
constexpr FieldSpec kBenchFields[] = {
    {.field = Field::on, .word = "on", .shape = Shape::date, .doc = "the day of the rows that follow", .repeatable = true},
    {.field = Field::strip, .word = "strip", .shape = Shape::special, .doc = "oils smelled together on paper, with a remark",
     .refers = NameSpace::materials, .repeatable = true},
    {.field = Field::add, .word = "add", .shape = Shape::special, .doc = "oils that went into the beaker, with a remark",
     .repeatable = true},
    {.field = Field::mark, .word = "mark", .shape = Shape::special, .doc = "a name for what is in the beaker now",
     .repeatable = true},
    {.field = Field::after, .word = "after", .shape = Shape::special,
     .doc = "how it smells so long after it was mixed: `after 24 h \"greener\"`", .dimension = kClock, .repeatable = true},
};
constexpr FieldSpec kVariationFields[] = {
    {.field = Field::set, .word = "set", .shape = Shape::special, .doc = "a new amount for an oil that is there",
     .repeatable = true},
    {.field = Field::add, .word = "add", .shape = Shape::special, .doc = "an oil that is not there yet",
     .repeatable = true},
    {.field = Field::remove, .word = "remove", .shape = Shape::special, .doc = "take an oil out", .repeatable = true},
    {.field = Field::replace, .word = "replace", .shape = Shape::special, .doc = "put one oil in another's place",
     .repeatable = true},
    kIntent, kRemark,
};
constexpr FieldSpec kContainerFields[] = {
    {.field = Field::brim, .word = "brim", .shape = Shape::quantity, .doc = "what it holds, filled to the brim",
     .dimension = kVolume},
    kRemark,
};
constexpr FieldSpec kPricesFields[] = {kRemark};
constexpr FieldSpec kProductFields[] = {
    {.field = Field::blend, .word = "blend", .shape = Shape::special, .doc = "the blend and how much of it",
     .required = true},
    {.field = Field::format, .word = "format", .shape = Shape::special, .doc = "what it becomes, and the net content",
     .required = true},
    {.field = Field::in, .word = "in", .shape = Shape::special, .doc = "what the blend goes into"},
    {.field = Field::make, .word = "make", .shape = Shape::whole, .doc = "how many to make", .least = 1, .most = 1e6},
    {.field = Field::container, .word = "container", .shape = Shape::special,
     .doc = "what each is filled into: a `container` by name, or what it holds to the brim"},
    {.field = Field::packaging, .word = "packaging", .shape = Shape::names,
     .doc = "what else goes with each: label, box, seal", .refers = NameSpace::containers},
    {.field = Field::work, .word = "work", .shape = Shape::special,
     .doc = "time that making takes: for the batch, for each, or both: `45 min, 2 min/each`"},
    {.field = Field::budget, .word = "budget", .shape = Shape::quantity, .doc = "what one may cost at most",
     .dimension = kMoney},
    {.field = Field::extra, .word = "extra", .shape = Shape::percent, .doc = "loss in making, added to the batch",
     .least = 0, .most = 1},
    {.field = Field::accept, .word = "accept", .shape = Shape::special,
     .doc = "a limit that this product may exceed: the finding, of what, under which rules, up to how much, and why",
     .repeatable = true},
    {.field = Field::lots, .word = "lots", .shape = Shape::texts, .doc = "the bottles that it is made from"},
    kAudience, kSteps, kWarnings, kRemark,
};
constexpr FieldSpec kLineFields[] = {
    {.field = Field::extra, .word = "extra", .shape = Shape::percent,
     .doc = "loss in making, added to every batch of the line", .least = 0, .most = 1},
    kAudience, kRemark,
};
constexpr FieldSpec kWorkshopFields[] = {
    {.field = Field::market, .word = "market", .shape = Shape::word, .doc = "where the products are sold",
     .choices = kMarkets},
    {.field = Field::currency, .word = "currency", .shape = Shape::special, .doc = "three letters, as EUR"},
    {.field = Field::weighs_to, .word = "weighs_to", .shape = Shape::special,
     .doc = "divisions of your scales and up to what weight"},
    kDropper,
    {.field = Field::audience, .word = "audience", .shape = Shape::names,
     .doc = "whom the products are for, where they do not say it themselves", .refers = NameSpace::audiences},
    {.field = Field::extra, .word = "extra", .shape = Shape::percent, .doc = "loss in making, added to every batch",
     .least = 0, .most = 1},
    {.field = Field::labour, .word = "labour", .shape = Shape::quantity, .doc = "cost of an hour's work",
     .dimension = kMoneyPerHour, .least = 0},
    {.field = Field::overhead, .word = "overhead", .shape = Shape::percent,
     .doc = "rent, fees and the like, as a share of materials, packaging and labour", .least = 0, .most = 10},
    {.field = Field::wholesale, .word = "wholesale", .shape = Shape::number,
     .doc = "times what one costs, for the price to shops", .least = 0.01, .most = 1000},
    {.field = Field::retail, .word = "retail", .shape = Shape::number,
     .doc = "times the wholesale price, or times the cost where there is none, for the price to people", .least = 0.01,
     .most = 1000},
    {.field = Field::prices_keep, .word = "prices_keep", .shape = Shape::quantity,
     .doc = "after how long a price counts as old; 12 months if not said", .dimension = kCalendarTime, .least = 0},
    {.field = Field::rules, .word = "rules", .shape = Shape::names, .doc = "rule sets to judge by; all if not said",
     .refers = NameSpace::rule_sets},
    {.field = Field::harms, .word = "harms", .shape = Shape::word,
     .doc = "whether constituents that do the same harm are also judged together: apart, or summed to be careful",
     .choices = kHarms},
    {.field = Field::address, .word = "address", .shape = Shape::texts, .doc = "address for labels"},
    kRemark,
};
constexpr FieldSpec kCautionFields[] = {
    {.field = Field::applies, .word = "applies", .shape = Shape::words,
     .doc = "sheets that carry it: of blends (bench), of products by contact; all if not said", .choices = kApplies},
    {.field = Field::text, .word = "text", .shape = Shape::texts, .doc = "the caution in words"},
    {.field = Field::audience, .word = "audience", .shape = Shape::names,
     .doc = "whom it warns of or for; everybody if not said", .refers = NameSpace::audiences},
    kOils,
    {.field = Field::substances, .word = "substances", .shape = Shape::names,
     .doc = "substances and groups that make an oil one of those that it speaks of", .refers = NameSpace::substances},
    {.field = Field::from, .word = "from", .shape = Shape::percent,
     .doc = "share of an oil from which its substances count", .least = 0, .most = 1},
    {.field = Field::advice, .word = "advice", .shape = Shape::word,
     .doc = "`avoid`: not at all for these people; `care` if not said", .choices = kAdvice},
    {.field = Field::rules, .word = "rules", .shape = Shape::name,
     .doc = "rule set whose rule it is: where that does not hold, it is advice", .refers = NameSpace::rule_sets},
    {.field = Field::rank, .word = "rank", .shape = Shape::number,
     .doc = "its place on a sheet: 1 for what can hurt most, to 5", .least = 1, .most = 5},
    kSource, kRemark,
};

// In the order of the enumeration, which is alphabetical.
constexpr KindSpec kKinds[kKindCount] = {
    {Kind::allergen, "allergen", NameSpace::allergens, "what a rule set wants named on the label", kAllergenFields,
     Rows::none, true, false, false},
    {Kind::assessed, "assessed", NameSpace::assessments, "what a qualified assessor covered of a blend", kAssessedFields,
     Rows::assessed},
    {Kind::audience, "audience", NameSpace::audiences, "people, or homes, that a product can be for", kAudienceFields,
     Rows::none, true, false, false},
    {Kind::base, "base", NameSpace::materials, "what a blend goes into", kBaseFields, Rows::base, true, true},
    {Kind::bench, "bench", NameSpace::benches, "a trial, row by row as it happened", kBenchFields, Rows::bench},
    {Kind::blend, "blend", NameSpace::materials, "a ratio of oils", kBlendFields, Rows::blend},
    {Kind::category, "category", NameSpace::categories, "a product category of limit tables", kCategoryFields,
     Rows::none, true, false, false},
    {Kind::caution, "caution", NameSpace::cautions, "words of care that sheets carry", kCautionFields, Rows::none, true,
     false, false},
    {Kind::cite, "cite", NameSpace::cites, "a source to refer to with `by`", kCiteFields},
    {Kind::container, "container", NameSpace::containers, "what one is sold in or with: bottle, jar, label, box",
     kContainerFields},
    {Kind::format, "format", NameSpace::formats, "a product format", kFormatFields, Rows::none, true, true},
    {Kind::group, "group", NameSpace::substances, "substances that one rule sums", kGroupFields, Rows::none, true, false,
     false},
    {Kind::guide, "guide", NameSpace::guides, "how strong an oil or a blend usually is, for people and purposes",
     kGuideFields, Rows::guide, true, false, false},
    {Kind::harm, "harm", NameSpace::harms, "substances that do the same harm", kHarmFields, Rows::none, true, false, false},
    {Kind::ingredient, "ingredient", NameSpace::materials, "anything that goes in and is not an aromatic oil",
     kIngredientFields, Rows::none, true, true},
    {Kind::let, "let", NameSpace::units, "a named quantity", {}, Rows::none, false},
    {Kind::limit, "limit", NameSpace::limits, "how much of something a rule set allows", kLimitFields, Rows::limit},
    {Kind::line, "line", NameSpace::products, "one blend in many formats", kLineFields, Rows::line},
    {Kind::lot, "lot", NameSpace::lots, "a bottle with its certificate", kLotFields},
    {Kind::oil, "oil", NameSpace::materials, "an aromatic material", kOilFields, Rows::none, true, true},
    {Kind::prices, "prices", NameSpace::none, "what a supplier asks, on one day", kPricesFields, Rows::prices},
    {Kind::product, "product", NameSpace::products, "one blend in one format", kProductFields},
    {Kind::rate, "rate", NameSpace::none, "what one currency is worth in another, on one day", {}, Rows::none, false},
    {Kind::rules, "rules", NameSpace::rule_sets, "a named edition of a rule set", kRulesFields, Rows::none, true, false,
     false},
    {Kind::substance, "substance", NameSpace::substances, "a chemical constituent", kSubstanceFields},
    {Kind::unit, "unit", NameSpace::units, "a unit of measure", {}, Rows::none, false},
    {Kind::use, "use", NameSpace::none, "another collection", {}, Rows::none, false},
    {Kind::variation, "variation", NameSpace::materials, "a blend that is derived from another", kVariationFields},
    {Kind::workshop, "workshop", NameSpace::none, "the maker's own facts", kWorkshopFields},
};

constexpr std::array kReserved = {
    SV{"and"},  SV{"as"},   SV{"at"},    SV{"base"},   SV{"because"}, SV{"between"}, SV{"blend"}, SV{"by"},
    SV{"container"}, SV{"fats"}, SV{"for"}, SV{"from"}, SV{"in"},     SV{"like"},    SV{"lye"},   SV{"none"},
    SV{"of"},   SV{"on"},   SV{"only"},  SV{"rest"},   SV{"taking"},  SV{"to"},      SV{"total"}, SV{"until"},
    SV{"up"},   SV{"wax"},  SV{"with"}};

}  // namespace

std::span<const KindSpec> all_kinds() { return kKinds; }

const KindSpec& kind_spec(Kind kind) { return kKinds[static_cast<std::size_t>(kind)]; }

const KindSpec* find_kind(std::string_view word) {
    for (const auto& k : kKinds) {
        if (k.word == word) return &k;
    }
    return nullptr;
}

const FieldSpec* find_field(const KindSpec& kind, std::string_view word) {
    for (const auto& f : kind.fields) {
        if (f.word == word) return &f;
    }
    return nullptr;
}

std::string_view field_word(Field field) {
    for (const auto& k : kKinds) {
        for (const auto& f : k.fields) {
            if (f.field == field) return f.word;
        }
    }
    return "";
}

std::string_view kind_phrase(Kind kind) {
    switch (kind) {
        case Kind::allergen: return "an allergen";
        case Kind::assessed: return "an assessment";
        case Kind::audience: return "an audience";
        case Kind::base: return "a base";
        case Kind::bench: return "a bench";
        case Kind::blend: return "a blend";
        case Kind::category: return "a category";
        case Kind::caution: return "a caution";
        case Kind::cite: return "a cited source";
        case Kind::container: return "a container";
        case Kind::format: return "a format";
        case Kind::group: return "a group";
        case Kind::guide: return "a guide";
        case Kind::harm: return "a harm";
        case Kind::ingredient: return "an ingredient";
        case Kind::let: return "a named quantity";
        case Kind::limit: return "a limit";
        case Kind::line: return "a line";
        case Kind::lot: return "a lot";
        case Kind::oil: return "an oil";
        case Kind::prices: return "a price list";
        case Kind::product: return "a product";
        case Kind::rate: return "a rate";
        case Kind::rules: return "a rule set";
        case Kind::substance: return "a substance";
        case Kind::unit: return "a unit";
        case Kind::use: return "an import";
        case Kind::variation: return "a variation";
        case Kind::workshop: return "a workshop";
    }
    return "";
}

std::string_view name_space_phrase(NameSpace space) {
    switch (space) {
        case NameSpace::materials: return "oil, ingredient, blend or base";
        case NameSpace::substances: return "substance";
        case NameSpace::categories: return "category";
        case NameSpace::rule_sets: return "rule set";
        case NameSpace::formats: return "format";
        case NameSpace::products: return "product";
        case NameSpace::lots: return "lot";
        case NameSpace::containers: return "container";
        case NameSpace::units: return "unit";
        case NameSpace::cites: return "cited source";
        case NameSpace::cautions: return "caution";
        case NameSpace::audiences: return "audience";
        case NameSpace::guides: return "guide";
        case NameSpace::limits: return "limit";
        case NameSpace::allergens: return "allergen";
        case NameSpace::assessments: return "assessment";
        case NameSpace::harms: return "harm";
        case NameSpace::benches: return "bench";
        case NameSpace::none: return "name";
    }
    return "";
}

bool is_reserved(std::string_view word) { return std::binary_search(kReserved.begin(), kReserved.end(), word); }

}  // namespace scruple
