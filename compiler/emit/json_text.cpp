#include "emit/json_text.h"

#include <cmath>
#include <utility>

#include "base/text.h"
#include "num/decimal.h"

namespace scruple::emit {

void JsonText::new_line() {
    out_ += '\n';
    out_.append(levels_.size() * 2, ' ');
}

void JsonText::before_value() {
    if (after_key_) {
        after_key_ = false;
        return;
    }
    if (levels_.empty()) return;
    Level& level = levels_.back();
    if (!level.empty) out_ += ',';
    if (!level.one_line) {
        new_line();
    } else if (!level.empty) {
        out_ += ' ';
    }
    level.empty = false;
}

void JsonText::open(bool object, bool one_line) {
    before_value();
    out_ += object ? '{' : '[';
    if (!levels_.empty() && levels_.back().one_line) one_line = true;
    levels_.push_back({one_line, true});
}

void JsonText::close(bool object) {
    const Level level = levels_.back();
    levels_.pop_back();
    if (!level.empty && !level.one_line) new_line();
    out_ += object ? '}' : ']';
}

void JsonText::key(std::string_view name) {
    before_value();
    quoted(name);
    out_ += ": ";
    after_key_ = true;
}

void JsonText::text(std::string_view value) {
    before_value();
    quoted(value);
}

void JsonText::number(double value) {
    before_value();
    if (!std::isfinite(value)) {
        out_ += "null";
    } else if (value == 0) {
        out_ += '0';
    } else {
        out_ += format_significant(value, 10);
    }
}

void JsonText::decimal(std::string_view digits) {
    before_value();
    out_ += digits;
}

void JsonText::whole(std::int64_t value) {
    before_value();
    out_ += std::to_string(value);
}

void JsonText::boolean(bool value) {
    before_value();
    out_ += value ? "true" : "false";
}

void JsonText::null() {
    before_value();
    out_ += "null";
}

void JsonText::quoted(std::string_view value) {
    static constexpr char kHex[] = "0123456789abcdef";
    out_ += '"';
    std::size_t kept = 0;
    auto keep_to = [&](std::size_t end) { out_ += value.substr(kept, end - kept); };
    for (std::size_t at = 0; at < value.size();) {
        const auto byte = static_cast<unsigned char>(value[at]);
        if (byte >= 0x20 && byte < 0x7F && byte != '"' && byte != '\\') {
            ++at;
            continue;
        }
        if (byte >= 0x80) {
            const CodePoint c = decode_utf8(value, at);
            if (c.value != 0xFFFD || c.length > 1) {
                at += c.length;
                continue;
            }
            // A byte that is no UTF-8 would make the whole document unreadable.
            keep_to(at);
            out_ += "\\ufffd";
        } else {
            keep_to(at);
            switch (byte) {
                case '"': out_ += "\\\""; break;
                case '\\': out_ += "\\\\"; break;
                case '\n': out_ += "\\n"; break;
                case '\r': out_ += "\\r"; break;
                case '\t': out_ += "\\t"; break;
                default:
                    out_ += "\\u00";
                    out_ += kHex[byte >> 4];
                    out_ += kHex[byte & 0xF];
            }
        }
        kept = ++at;
    }
    keep_to(value.size());
    out_ += '"';
}

}  // namespace scruple::emit
