#include "advice/program.h"

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wshadow"
#include <coin/ClpSimplex.hpp>
#pragma GCC diagnostic pop
#include <algorithm>

namespace scruple {

int LinearProgram::column(double cost_of_one, double at_most) {
    cost.push_back(cost_of_one);
    most.push_back(at_most);
    return static_cast<int>(cost.size()) - 1;
}

Solution solve(const LinearProgram& program) {
    ClpSimplex model;
    model.setLogLevel(0);
    model.setPrimalTolerance(1e-10);
    model.setDualTolerance(1e-10);
    const int count = static_cast<int>(program.cost.size());
    model.resize(0, count);
    for (int i = 0; i < count; ++i) {
        const auto at = static_cast<std::size_t>(i);
        model.setColumnBounds(i, 0, program.most[at] >= LinearProgram::kUnbounded ? COIN_DBL_MAX : program.most[at]);
        model.setObjectiveCoefficient(i, program.cost[at]);
    }
    std::vector<int> columns;
    std::vector<double> values;
    for (const auto& row : program.rows) {
        columns.clear();
        values.clear();
        for (const auto& entry : row.entries) {
            if (entry.value == 0) continue;
            columns.push_back(entry.column);
            values.push_back(entry.value);
        }
        model.addRow(static_cast<int>(columns.size()), columns.data(), values.data(),
                     row.least <= -LinearProgram::kUnbounded ? -COIN_DBL_MAX : row.least,
                     row.most >= LinearProgram::kUnbounded ? COIN_DBL_MAX : row.most);
    }
    model.primal();
    Solution out;
    out.found = model.status() == 0;
    if (!out.found) return out;
    const double* at = model.getColSolution();
    out.columns.assign(at, at + count);
    for (double& x : out.columns) x = std::max(x, 0.0);
    for (std::size_t i = 0; i < out.columns.size(); ++i) out.cost += out.columns[i] * program.cost[i];
    return out;
}

}  // namespace scruple
