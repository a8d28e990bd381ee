// Limits applied to a product: every rule's use of its limit, the verdict, and the largest load that passes.
// Each finding carries the row and the source that it rests on.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "diag/diagnostic.h"
#include "formula/formula.h"
#include "library/model.h"

namespace scruple {

/// A relative difference below this counts as equal: published limits are often hit exactly.
inline constexpr double kLimitTolerance = 1e-9;

/// `accepted`: over a limit, and a waiver of the recipe accepts that.
enum class Verdict : std::uint8_t { passes, accepted, unknown, warns, fails };
std::string_view verdict_word(Verdict verdict);

/// An oil on skin of whose composition more than this is not known leaves the verdict open: a convention of this project,
/// no source. What is not known is printed however little it is.
inline constexpr double kMuchUnknown = 0.25;

enum class CheckKind : std::uint8_t { substance, oil, phototoxic, undiluted, prohibited, harm };

struct PhototoxicPart {
    MaterialId material = kNone;
    double fraction = 0;          // w/w of the finished product
    double limit = 0;
    const LimitRow* row = nullptr;
    const Limit* from = nullptr;
};

/// The materials that bring most of a substance, largest first: at most six, kept in place since every check has them.
class Bringers {
public:
    static constexpr std::size_t kMost = 6;
    const MaterialId* begin() const { return items_; }
    const MaterialId* end() const { return items_ + count_; }
    std::size_t size() const { return count_; }
    bool empty() const { return count_ == 0; }
    MaterialId operator[](std::size_t i) const { return items_[i]; }
    void push_back(MaterialId material) {
        if (count_ < kMost) items_[count_++] = material;
    }

private:
    MaterialId items_[kMost] = {};
    std::uint32_t count_ = 0;
};

/// A substance in the sum over one harm.
struct HarmPart {
    SubstanceId substance = kNone;
    double limit = 0;  // its own tightest published one, as a fraction
    double used = 0;   // of that
};

/// Which figures of a composition decided: the typical ones, the tops of the ranges, or the analysis of a lot, where all that
/// counts was analysed or the verdict would be another without it. None where a rule is not on the composition.
enum class DecidedBy : std::uint8_t { none, typical, maximum, lot };
std::string_view decided_word(DecidedBy by);

/// A lot that a product is made from, against the rules on lots and against a date.
struct LotState {
    enum class Peroxide : std::uint8_t { no_rule, not_stated, within, over };
    LotUse use;
    Peroxide peroxide = Peroxide::no_rule;
    const Limit* from = nullptr;          // the peroxide rule that holds: the tightest
    const LimitRow* row = nullptr;
    bool past_best_before = false;        // false where no date was given
    bool past_opened = false;
    std::string keeps_until;              // opening and keeping time; empty where one is not known
    Verdict verdict = Verdict::passes;
};

/// One rule on one product.
struct Check {
    CheckKind kind = CheckKind::substance;
    SubstanceId substance = kNone;
    MaterialId material = kNone;
    const Harm* harm = nullptr;           // of the sum over one harm
    const Limit* from = nullptr;          // null for the phototoxic sum and for `undiluted`
    const LimitRow* row = nullptr;
    CategoryId category = kNone;          // the entry of `row->in` that caught the product
    double actual = 0;                    // w/w fraction at typical composition
    double actual_at_maximum = 0;         // at the top of every range
    double limit = 0;                     // fraction; for the phototoxic sum 1; 0 where nothing is allowed
    double used = 0;                      // actual / limit; stays 0 where nothing is allowed
    double used_at_maximum = 0;
    Affine use;                           // used = at_zero + slope * w
    Affine use_at_maximum;
    bool soft = false;                    // derived or estimated: warns only
    Verdict verdict = Verdict::passes;
    DecidedBy decided_by = DecidedBy::none;
    Verdict without_lots = Verdict::passes;  // what the verdict would be by the oils' own compositions
    std::vector<PhototoxicPart> parts;    // of the phototoxic sum
    std::vector<HarmPart> harm_parts;     // of the sum over one harm, largest first
    Bringers bringers;                    // who brings the substance, largest first
    const Waiver* waiver = nullptr;       // that accepts it, or would if its ceiling were not exceeded
};

/// What became of one waiver.
struct WaiverUse {
    enum class State : std::uint8_t {
        accepts,
        exceeded,      // the finding speaks up again
        expired,
        law, prohibited, burns,  // what can't be waived
        not_there,     // the subject is not in the product
        no_limit,      // those rules limit nothing of it here
        not_compared,  // the workshop goes by other rules
        other_finding, // what is found has another code
        within,        // nothing is found
    };
    const Waiver* waiver = nullptr;
    State state = State::within;
    double actual = 0;                    // w/w fraction: what the ceiling was compared with
    double limit = 0;                     // fraction
    std::string_view limit_text;          // the percentage as the rule writes it, e.g. "0.6"
    Waivable found = Waivable::limit;     // with other_finding
};

/// Largest load at which no check fails (or none even warns), in the product's own basis.
struct Ceiling {
    enum class State : std::uint8_t { none_applies, bound, over_without_blend, not_known };
    State state = State::not_known;
    double load_ww = 0;                   // fraction, before rounding
    double in_basis = 0;                  // fraction, rounded down to what is printed
    int decimals = 2;                     // of the printed percentage
    std::string text;                     // "2.91"
    Basis basis = Basis::ww;              // what the percentage is of
    Of of = Of::total;
    std::int32_t bound_by = -1;           // index into Judgement::checks
    std::int32_t runner_up = -1;
    double runner_up_ww = 0;
};

struct Unknown {
    MaterialId material = kNone;
    double share_of_blend = 0;            // w/w; 0 for an oil that the base brings
    double share_of_product = 0;          // w/w
    double unknown_fraction = 1;          // of the oil: what its composition does not cover at typical
    bool leaves_open = false;             // too much for a verdict
};

/// A limit that exists but whose figure is not known here, with what there is of its subject (w/w fractions).
struct UnstatedLimit {
    const Limit* from = nullptr;
    const LimitRow* row = nullptr;
    double actual = 0;
    double actual_at_maximum = 0;
};

struct Judgement {
    Verdict verdict = Verdict::unknown;
    DecidedBy decided_by = DecidedBy::none;  // what decided the verdict
    std::vector<LotState> lots;           // in the order in which the product names them
    SubstanceId sum_replaced_by = kNone;  // the substance whose analyses take the phototoxic sum's place
    std::vector<Check> checks;            // tightest first
    Ceiling ceiling;                      // above it a published rule fails
    Ceiling careful;                      // above it something warns: derived figures, tops of ranges
    std::vector<Unknown> unknowns;        // oils without composition, and uncovered shares
    std::vector<WaiverUse> waivers;       // in the recipe's order
    std::vector<UnstatedLimit> unstated;  // largest first

    /// The check at an index that a ceiling holds; none for -1.
    const Check* check(std::int32_t index) const {
        return index >= 0 && static_cast<std::size_t>(index) < checks.size() ? &checks[static_cast<std::size_t>(index)]
                                                                             : nullptr;
    }
};

/// Whether the workshop is judged by these rules: those it names, else all that hold in its market.
bool rules_hold(const Model& model, RuleSetId rules);

/// Limits prepared for lookup by category: the tightest firm and the tightest derived row of each subject.
/// Build once a run; const and safe to share between threads afterwards.
class LimitTable {
public:
    explicit LimitTable(const Model& model);
    ~LimitTable();
    LimitTable(const LimitTable&) = delete;
    LimitTable& operator=(const LimitTable&) = delete;

    struct Impl;
    const Impl& impl() const { return *impl_; }

private:
    std::unique_ptr<Impl> impl_;
};

/// Judges a complete formula; an incomplete one gives verdict `unknown` and no checks. Findings go to the bag.
/// `on`: the day for which it is judged, as 2026-05-02; empty: no waiver's end and no date of a lot is looked at.
Judgement judge(const Model& model, const LimitTable& limits, const Product& product, const BlendFigures& blend,
                const Formula& formula, std::string_view on, Bag& bag);
/// The same without the findings, whose words take longer than the judging.
Judgement judge(const Model& model, const LimitTable& limits, const Product& product, const BlendFigures& blend,
                const Formula& formula, std::string_view on);

}  // namespace scruple
