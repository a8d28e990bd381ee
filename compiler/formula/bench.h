// The running table of a bench: what is in the beaker after each row, and who leads the smell. All of it exact, and worked out
// from the log alone, so that a row that is only tried (`what if`) is a log with one row more.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "formula/balance.h"
#include "formula/formula.h"
#include "library/bench.h"

namespace scruple {

/// One oil in the beaker after a row.
struct BeakerLine {
    MaterialId material = kNone;
    Rational amount;                  // so far, in the bench's unit
    Rational added;                   // by this row; 0 for oils that it leaves alone
    Rational share;                   // of all in the beaker, 0 to 1
    Rational share_before;            // before this row; 0 for what is new
    std::optional<Rational> odour;    // share of the odour that is known; none without an impact
};

/// An amount that this row added, as drops through the oil's own dropper.
struct AddedDrops {
    MaterialId material = kNone;
    Rational amount;                  // in the bench's unit
    std::optional<Rational> drops;    // none where parts have no size, or a weight has no density
    Rational drops_per_ml;            // of its dropper
};

/// The one with most of the odour. Nobody leads where an oil has no impact (`odour_known` is false), or where two share the lead.
struct Lead {
    MaterialId material = kNone;
    Rational odour;                   // 0 to 1
    bool sticks_out = false;          // as a blend's balance has it
};

struct BenchStep {
    std::size_t row = 0;              // into Bench::rows; kStart for what the beaker starts with
    std::vector<BeakerLine> lines;    // in order of first appearance
    std::vector<AddedDrops> added;    // in order of the row
    Rational total;                   // in the bench's unit
    std::vector<std::int64_t> whole_ratio;  // smallest whole numbers, line by line; empty where it can't be counted
    bool odour_known = false;         // every oil has an impact
    std::optional<Lead> lead;
};

inline constexpr std::size_t kStart = static_cast<std::size_t>(-1);

struct BenchTable {
    std::vector<BenchStep> steps;     // the start, if the bench has one, and a step for each row that adds
    std::vector<Assumption> assumptions;  // droppers and densities that the drops, or what was taken, rest on
    /// The step that tells what is in the beaker after a row; null while it is empty.
    const BenchStep* at(std::size_t row) const;
    const BenchStep* last() const { return steps.empty() ? nullptr : &steps.back(); }
};

/// Works out the log as far as it goes. A broken bench, or one whose sums are too fine to count, gives no steps: never a table
/// that leaves something out.
BenchTable run_bench(const Model& model, const Bench& bench);

/// The beaker at a mark as a blend has it, for balance and fingerprint. Its header is empty.
Blend blend_at(const Bench& bench, std::size_t row);

}  // namespace scruple
