#include "library/bench.h"

#include <algorithm>

namespace scruple {

std::string_view act_word(BenchAct act) {
    switch (act) {
        case BenchAct::strip: return "strip";
        case BenchAct::add: return "add";
        case BenchAct::mark: return "mark";
        case BenchAct::after: return "after";
    }
    return "";
}

void Beaker::pour(const std::vector<BenchAmount>& more) {
    for (const BenchAmount& one : more) {
        const auto [at, fresh] = places_.try_emplace(one.material, amounts_.size());
        if (fresh) {
            amounts_.push_back(one);
        } else {
            amounts_[at->second].amount += one.amount;
        }
    }
}

Rational Beaker::of(MaterialId material) const {
    const auto at = places_.find(material);
    return at == places_.end() ? Rational() : amounts_[at->second].amount;
}

Rational Beaker::total() const {
    Rational sum;
    for (const BenchAmount& one : amounts_) sum += one.amount;
    return sum;
}

Beaker in_beaker(const Bench& bench, std::size_t rows) {
    Beaker beaker;
    beaker.pour(bench.start.amounts);
    for (std::size_t i = 0; i < std::min(rows, bench.rows.size()); ++i) {
        if (bench.rows[i].act != BenchAct::add) continue;
        for (const BenchEntry& entry : bench.rows[i].entries) beaker.pour(entry.amounts);
    }
    return beaker;
}

std::optional<std::size_t> row_of_mark(const Bench& bench, std::string_view mark) {
    for (std::size_t i = 0; i < bench.rows.size(); ++i) {
        if (bench.rows[i].act == BenchAct::mark && bench.rows[i].mark == mark) return i;
    }
    return std::nullopt;
}

}  // namespace scruple
