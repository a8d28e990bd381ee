// Writes JSON (RFC 8259) straight into one text: no tree in between, numbers in plain notation. Large collections make
// large documents, and every figure must print the same on every machine.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/function_ref.h"
#include "emit/json_writer.h"

namespace scruple::emit {

class JsonText final : public JsonWriter {
public:
    /// With a `sink` the text goes there a piece at a time, and `take` gives the rest.
    explicit JsonText(FunctionRef<void(std::string_view)> sink = nullptr) : sink_(sink) {}

    using JsonWriter::boolean;
    using JsonWriter::null;
    using JsonWriter::number;
    using JsonWriter::text;
    using JsonWriter::whole;
    void key(std::string_view name) override;
    void text(std::string_view value) override;
    void number(double value) override;  // ten significant digits
    void decimal(std::string_view digits) override;
    void whole(std::int64_t value) override;
    void boolean(bool value) override;
    void null() override;

    /// Hands what is written so far to the sink, if it is worth a call.
    void pass_on() override {
        if (!sink_ || out_.size() < kPiece) return;
        sink_(out_);
        out_.clear();
    }

    std::string take() {
        out_ += '\n';
        return std::move(out_);
    }

private:
    struct Level {
        bool one_line = false;
        bool empty = true;
    };
    void open(bool object, bool one_line) override;
    void close(bool object) override;
    void before_value();
    void new_line();
    void quoted(std::string_view value);

    static constexpr std::size_t kPiece = 1u << 20;

    FunctionRef<void(std::string_view)> sink_;
    std::string out_;
    std::vector<Level> levels_;
    bool after_key_ = false;
};

}  // namespace scruple::emit
