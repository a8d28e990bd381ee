// Linear programs, and the one place that knows the library that solves them: COIN-OR's Clp (Eclipse Public License).
#pragma once

#include <vector>

namespace scruple {

/// Minimise `cost` over the columns, each between 0 and its `most`, with every row between its bounds.
struct LinearProgram {
    struct Entry {
        int column;
        double value;
    };
    struct Row {
        double least;  // -kUnbounded: none
        double most;
        std::vector<Entry> entries;
    };
    static constexpr double kUnbounded = 1e300;

    std::vector<double> cost;
    std::vector<double> most;
    std::vector<Row> rows;

    /// Gives the column.
    int column(double cost_of_one, double at_most);
};

struct Solution {
    bool found = false;  // false: no point keeps all rows
    double cost = 0;
    std::vector<double> columns;
};

/// Exact to about 1e-10 in rows whose figures are near 1. The same program gives the same point.
Solution solve(const LinearProgram& program);

}  // namespace scruple
