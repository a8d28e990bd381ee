// What writes a document's values one after the other, keys in the order given: as JSON text, or as values in memory for
// what looks at figures and not at text. Both hold the same.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace scruple::emit {

class JsonWriter {
public:
    virtual ~JsonWriter() = default;

    /// Objects and arrays spread over lines with two spaces a level; a `row` stands on one line.
    void open_object() { open(true, false); }
    void open_row() { open(true, true); }
    void close_object() { close(true); }
    void open_array() { open(false, false); }
    void open_list() { open(false, true); }
    void close_array() { close(false); }

    /// Inside an object: the name of what comes next. It outlives what is written; a literal does.
    virtual void key(std::string_view name) = 0;

    virtual void text(std::string_view value) = 0;
    virtual void number(double value) = 0;  // null where it is not finite
    virtual void decimal(std::string_view digits) = 0;  // a number that is already rounded
    virtual void whole(std::int64_t value) = 0;
    virtual void boolean(bool value) = 0;
    virtual void null() = 0;

    void number(std::optional<double> value) {
        if (value) {
            number(*value);
        } else {
            null();
        }
    }
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
    void text_or_null(std::string_view name, std::string_view value) {
        key(name);
        if (value.empty()) {
            null();
        } else {
            text(value);
        }
    }

    /// Whether that member, and what goes with it, is looked at: what takes long to make is not made in vain, and need not be
    /// written.
    virtual bool wants(std::string_view /*key*/) const { return true; }
    /// A good moment to hand on what was written, for a writer that does.
    virtual void pass_on() {}

protected:
    JsonWriter() = default;
    JsonWriter(const JsonWriter&) = default;
    JsonWriter(JsonWriter&&) = default;
    JsonWriter& operator=(const JsonWriter&) = default;
    JsonWriter& operator=(JsonWriter&&) = default;

private:
    virtual void open(bool object, bool one_line) = 0;
    virtual void close(bool object) = 0;
};

}  // namespace scruple::emit
