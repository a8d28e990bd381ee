// Comma-separated values after RFC 4180: CRLF line ends, quotes only where they are needed, quotes
// doubled inside.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "num/decimal.h"

namespace scruple::emit {

/// Cells one after the other; a row ends by itself when it has a cell for every column.
class CsvWriter {
public:
    explicit CsvWriter(std::span<const std::string_view> columns) : columns_(columns.size()) {
        for (const auto column : columns) text(column);
    }
    void text(std::string_view value) {
        if (cells_++ > 0) out_ += ',';
        if (value.find_first_of(",\"\r\n") == std::string_view::npos) {
            out_ += value;
        } else {
            out_ += '"';
            for (char c : value) {
                if (c == '"') out_ += '"';
                out_ += c;
            }
            out_ += '"';
        }
        if (cells_ == columns_) {
            out_ += "\r\n";
            cells_ = 0;
        }
    }
    void nothing(std::size_t count = 1) {
        for (std::size_t i = 0; i < count; ++i) text("");
    }
    void number(double value) { text(format_significant(value, 10)); }
    void number(std::optional<double> value) { value ? number(*value) : nothing(); }
    std::string take() { return std::move(out_); }

private:
    std::size_t columns_;
    std::string out_;
    std::size_t cells_ = 0;
};

}  // namespace scruple::emit
