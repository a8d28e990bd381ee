// A bench: a trial as its maker wrote it down, row by row. The order of the rows is what happened. A log only adds, so what is
// in the beaker after a row is the start plus all that was added up to it, and exact.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "library/records.h"

namespace scruple {

using BenchId = std::uint32_t;

/// So much of one oil, in the bench's unit (drops, parts, ml or g).
struct BenchAmount {
    MaterialId material = kNone;
    Rational amount;
};

/// What was written after `add`, or smelled on a strip: an oil, or an accord of several.
struct BenchEntry {
    std::string_view name;             // as the row calls it
    std::string text;                  // the amount as written: "2 drops"; empty on a strip
    std::string remark;                // on this entry alone
    std::vector<BenchAmount> amounts;  // an accord's oils in their ratio; without amounts on a strip
    Span span;
};

enum class BenchAct : std::uint8_t { strip, add, mark, after };
/// As the language spells it: "add".
std::string_view act_word(BenchAct act);

struct BenchRow {
    BenchAct act = BenchAct::add;
    std::vector<BenchEntry> entries;   // of `add` and `strip`
    std::string_view mark;             // of `mark`: its name
    Rational hours;                    // of `after`
    std::string hours_text;            // as written: "24 h"
    std::string remark;
    std::string on;                    // the day that holds here, as written; empty where none was said
    Span span;
};

/// How much of another bench's beaker a bench starts with.
struct BenchStart {
    BenchId bench = kNone;             // kNone: an empty beaker
    std::string_view mark;
    std::size_t rows = 0;              // of the other bench, up to and with the mark
    Rational share = 1;                // of what was in it
    std::string taking;                // as written: "1/2", "10 drops"; empty where all of it
    Dim unit = Dim::none;              // of `taking`; none for a share
    Span span;
    std::vector<BenchAmount> amounts;  // what that comes to
};

struct Bench {
    Header header;
    std::string on;                    // the first day, as written; empty where none was said
    Dim unit = Dim::none;              // drop, part, volume or mass; none while nothing was added
    BenchStart start;
    std::vector<BenchRow> rows;
};

/// What has been poured together: one amount a material, in order of first appearance.
class Beaker {
public:
    void pour(const std::vector<BenchAmount>& more);
    const std::vector<BenchAmount>& amounts() const { return amounts_; }
    bool empty() const { return amounts_.empty(); }
    /// What is there of a material; nothing where it is not in.
    Rational of(MaterialId material) const;
    Rational total() const;

private:
    std::vector<BenchAmount> amounts_;
    std::unordered_map<MaterialId, std::size_t> places_;
};

/// What is in the beaker after the first `rows` rows (all of them, if there are fewer): exact, in the bench's unit.
/// A sum that is too fine to count comes back as an overflowed amount.
Beaker in_beaker(const Bench& bench, std::size_t rows);

/// The row that holds a mark; nothing where no row does.
std::optional<std::size_t> row_of_mark(const Bench& bench, std::string_view mark);

}  // namespace scruple
