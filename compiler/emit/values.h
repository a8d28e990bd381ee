// A piece of a document as values in memory, written by the same calls as its text and holding the same. One list of nodes
// in reading order and one room for their texts, both kept when the next piece is written.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <memory_resource>
#include <string_view>
#include <vector>

#include "emit/json_writer.h"

namespace scruple::emit {

enum class ValueKind : std::uint8_t { nothing, boolean, number, text, array, object, struck };

/// A value, and in the `extent - 1` nodes after it all that is in it.
struct ValueNode {
    std::string_view key;    // of a member
    std::string_view text;
    double number = 0;       // of a boolean 0 or 1
    std::uint32_t extent = 1;
    ValueKind kind = ValueKind::nothing;
};

/// Looks at a value of `Values`, and is good until that is written to. Whatever is asked for that is not there, was struck,
/// or is of another type, is nothing.
class Value {
public:
    Value() = default;
    explicit Value(const ValueNode* node) : node_(node) {}

    bool is_object() const { return node_->kind == ValueKind::object; }
    bool is_array() const { return node_->kind == ValueKind::array; }
    bool is_text() const { return node_->kind == ValueKind::text; }
    bool is_number() const { return node_->kind == ValueKind::number; }
    bool is_boolean() const { return node_->kind == ValueKind::boolean; }
    bool is_true() const { return is_boolean() && node_->number != 0; }
    std::string_view text() const { return is_text() ? node_->text : std::string_view(); }
    /// As the text says it: to ten digits.
    double number() const;
    std::string_view key() const { return node_->key; }

    /// Members of an object, elements of an array, in their order, without those that were struck; none of what is neither.
    class Iterator {
    public:
        Iterator(const ValueNode* node, const ValueNode* end) : node_(node), end_(end) { skip(); }
        Value operator*() const { return Value(node_); }
        Iterator& operator++() {
            node_ += node_->extent;
            skip();
            return *this;
        }
        bool operator==(const Iterator& other) const { return node_ == other.node_; }

    private:
        void skip() {
            while (node_ != end_ && node_->kind == ValueKind::struck) node_ += node_->extent;
        }
        const ValueNode* node_;
        const ValueNode* end_;
    };
    Iterator begin() const { return is_object() || is_array() ? Iterator(node_ + 1, node_ + node_->extent) : end(); }
    Iterator end() const { return Iterator(node_ + node_->extent, node_ + node_->extent); }
    bool empty() const { return begin() == end(); }

    /// The first member of that name.
    Value operator[](std::string_view key) const {
        if (!is_object()) return {};
        for (const Value member : *this) {
            if (member.key() == key) return member;
        }
        return {};
    }

    /// In the same order and to the last digit, also where the text rounds; keys of the two themselves aside.
    bool same(Value other) const;

private:
    friend class Values;
    static constexpr ValueNode kNothing{};
    const ValueNode* node_ = &kNothing;
};

class Values final : public JsonWriter {
public:
    Values() : first_(std::make_unique_for_overwrite<std::byte[]>(kFirstRoom)), room_(first_.get(), kFirstRoom) {}
    Values(const Values&) = delete;
    Values& operator=(const Values&) = delete;

    /// Forgets what was written and keeps the room. `unwanted`: members that nobody will look at in what is written next.
    void clear(std::vector<std::string_view> unwanted = {});
    /// What was written first; nothing before that.
    Value root() const { return nodes_.empty() ? Value() : Value(nodes_.data()); }
    /// Takes a value out, with all that is in it. It is one of these.
    void strike(Value value) { nodes_[static_cast<std::size_t>(value.node_ - nodes_.data())].kind = ValueKind::struck; }
    /// A copy that lives as long as what was written.
    std::string_view keep(std::string_view text);

    using JsonWriter::boolean;
    using JsonWriter::null;
    using JsonWriter::number;
    using JsonWriter::text;
    using JsonWriter::whole;
    void key(std::string_view name) override { key_ = name; }
    void text(std::string_view value) override;
    void number(double value) override;
    void decimal(std::string_view digits) override;
    void whole(std::int64_t value) override { add(ValueKind::number).number = static_cast<double>(value); }
    void boolean(bool value) override { add(ValueKind::boolean).number = value ? 1 : 0; }
    void null() override { add(ValueKind::nothing); }
    bool wants(std::string_view key) const override { return std::find(unwanted_.begin(), unwanted_.end(), key) == unwanted_.end(); }

private:
    void open(bool object, bool one_line) override;
    void close(bool object) override;
    ValueNode& add(ValueKind kind) {
        ValueNode& node = nodes_.emplace_back();
        node.key = key_;
        node.kind = kind;
        key_ = {};
        return node;
    }

    static constexpr std::size_t kFirstRoom = 1u << 16;

    std::vector<std::string_view> unwanted_;
    std::vector<ValueNode> nodes_;
    std::vector<std::size_t> open_;
    std::string_view key_;
    std::unique_ptr<std::byte[]> first_;
    std::pmr::monotonic_buffer_resource room_;
};

}  // namespace scruple::emit
