#include "emit/values.h"

#include <charconv>
#include <cmath>
#include <cstring>
#include <string>
#include <utility>

#include "base/text.h"
#include "num/decimal.h"

namespace scruple::emit {
namespace {

/// What is no UTF-8 stands in the text of a document as U+FFFD, byte by byte.
std::string as_written(std::string_view value) {
    std::string out;
    for (std::size_t at = 0; at < value.size();) {
        const CodePoint c = decode_utf8(value, at);
        if (c.value == 0xFFFD && c.length <= 1) {
            out += "\xEF\xBF\xBD";
            ++at;
            continue;
        }
        out += value.substr(at, c.length);
        at += c.length;
    }
    return out;
}

}  // namespace

double Value::number() const { return is_number() ? round_to_ten_digits(node_->number) : 0; }

bool Value::same(Value other) const {
    if (node_->extent != other.node_->extent) return false;
    for (std::uint32_t i = 0; i < node_->extent; ++i) {
        const ValueNode& a = node_[i];
        const ValueNode& b = other.node_[i];
        if (a.kind != b.kind || a.extent != b.extent || a.number != b.number || a.text != b.text) return false;
        if (i > 0 && a.key != b.key) return false;
    }
    return true;
}

void Values::clear(std::vector<std::string_view> unwanted) {
    unwanted_ = std::move(unwanted);
    nodes_.clear();
    open_.clear();
    key_ = {};
    room_.release();
}

std::string_view Values::keep(std::string_view text) {
    if (text.empty()) return {};
    char* room = static_cast<char*>(room_.allocate(text.size(), 1));
    std::memcpy(room, text.data(), text.size());
    return {room, text.size()};
}

void Values::text(std::string_view value) {
    // The node comes first: what it is of is named before anything else is written.
    ValueNode& node = add(ValueKind::text);
    const bool valid = find_invalid_utf8(value) >= value.size();
    node.text = valid ? keep(value) : keep(as_written(value));
}

void Values::number(double value) {
    if (!std::isfinite(value)) return null();
    add(ValueKind::number).number = value;
}

void Values::decimal(std::string_view digits) {
    double value = 0;
    std::from_chars(digits.data(), digits.data() + digits.size(), value);
    add(ValueKind::number).number = value;
}

void Values::open(bool object, bool /*one_line*/) {
    open_.push_back(nodes_.size());
    add(object ? ValueKind::object : ValueKind::array);
}

void Values::close(bool /*object*/) {
    nodes_[open_.back()].extent = static_cast<std::uint32_t>(nodes_.size() - open_.back());
    open_.pop_back();
}

}  // namespace scruple::emit
