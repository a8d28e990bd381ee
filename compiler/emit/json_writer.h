// Writes JSON (RFC 8259) straight into one text: no tree in between, keys in the order given,
// numbers in plain notation. Large collections make large documents, and every figure must print
// the same on every machine.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/function_ref.h"

namespace scruple::emit {

class JsonWriter {
public:
    /// With a `sink` the text goes there a piece at a time, and `take` gives the rest.
    explicit JsonWriter(FunctionRef<void(std::string_view)> sink = nullptr) : sink_(sink) {}

    /// Objects and arrays spread over lines with two spaces a level; a `row` stands on one line.
    void open_object() { open('{', false); }
    void open_row() { open('{', true); }
    void close_object() { close('}'); }
    void open_array() { open('[', false); }
    void open_list() { open('[', true); }
    void close_array() { close(']'); }

    /// Inside an object: the name of what comes next.
    void key(std::string_view name);

    void text(std::string_view value);
    void number(double value);  // ten significant digits; null where it is not finite
    void number(std::optional<double> value);
    void decimal(std::string_view digits);  // a number that is already rounded
    void whole(std::int64_t value);
    void boolean(bool value);
    void null();

    void text(std::string_view name, std::string_view value) {
        key(name);
        text(value);
    }
    void number(std::string_view name, double value) {
        key(name);
        number(value);
    }
    void number(std::string_view name, std::optional<double> value) {
        key(name);
        number(value);
    }
    void whole(std::string_view name, std::int64_t value) {
        key(name);
        whole(value);
    }
    void boolean(std::string_view name, bool value) {
        key(name);
        boolean(value);
    }
    void null(std::string_view name) {
        key(name);
        null();
    }
    void object(std::string_view name) {
        key(name);
        open_object();
    }
    void row(std::string_view name) {
        key(name);
        open_row();
    }
    void array(std::string_view name) {
        key(name);
        open_array();
    }
    void list(std::string_view name) {
        key(name);
        open_list();
    }
    /// Null for an empty text.
    void text_or_null(std::string_view name, std::string_view value);

    /// Hands what is written so far to the sink, if it is worth a call.
    void pass_on() {
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
    void open(char bracket, bool one_line);
    void close(char bracket);
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
