#include "changes/fact_maker.h"

#include <algorithm>

namespace scruple::changes {

std::vector<std::string> texts_of(Value list) {
    std::vector<std::string> out;
    if (!list.is_array()) return out;
    for (const Value item : list) {
        if (item.is_text()) out.emplace_back(item.text());
    }
    return out;
}

Scalar scalar_of(Value value) {
    if (value.is_text()) return std::string(value.text());
    if (value.is_boolean()) return value.is_true();
    if (value.is_number()) return value.number();
    if (value.is_array()) return texts_of(value);
    return {};
}

Value items_of(Value object, std::string_view key) {
    const Value value = object[key];
    return value.is_array() ? value : Value();
}

Fact& FactMaker::add(What what, std::string subject, Value object, std::initializer_list<std::string_view> keys) {
    Fact& fact = out_.emplace_back();
    fact.what = what;
    fact.subject = std::move(subject);
    fact.fields.reserve(keys.size());
    for (const std::string_view key : keys) fact.fields.push_back({key, scalar_of(object[key]), false});
    return fact;
}

void FactMaker::carry(Fact& fact, Value object, std::initializer_list<std::string_view> keys) {
    for (const std::string_view key : keys) fact.fields.push_back({key, scalar_of(object[key]), true});
}

void FactMaker::sort_list(Fact& fact, std::string_view name) {
    for (Field& f : fact.fields) {
        if (f.name != name) continue;
        if (auto* list = std::get_if<std::vector<std::string>>(&f.value)) std::sort(list->begin(), list->end());
    }
}

void FactMaker::add_assumptions(Value unit) {
    for (const Value assumption : items_of(unit, "assumptions")) {
        std::string subject;
        for (const char c : assumption["what"].text()) {
            const bool digit = (c >= '0' && c <= '9') || (c == '.' && !subject.empty() && subject.back() == '#');
            // Digits within a word are part of a name.
            const bool word = !subject.empty() && subject.back() != '#' && subject.back() != ' ';
            if (!digit || word) subject += c;
            else if (subject.empty() || subject.back() != '#') subject += '#';
        }
        Fact& fact = out_.emplace_back();
        fact.what = What::assumption;
        fact.subject = std::move(subject);
        for (const std::string_view key : {"what", "source"}) fact.fields.push_back({key, text_of(assumption, key), false});
    }
}

void put_in_order(std::vector<Fact>& facts) {
    const auto key = [](const Fact& f) { return std::pair(f.what, std::string_view(f.subject)); };
    std::stable_sort(facts.begin(), facts.end(), [&](const Fact& a, const Fact& b) {
        if (key(a) != key(b)) return key(a) < key(b);
        for (std::size_t i = 0; i < a.fields.size() && i < b.fields.size(); ++i) {
            if (a.fields[i].value != b.fields[i].value) return a.fields[i].value < b.fields[i].value;
        }
        return a.fields.size() < b.fields.size();
    });
    for (std::size_t first = 0; first < facts.size();) {
        std::size_t end = first + 1;
        while (end < facts.size() && key(facts[end]) == key(facts[first])) ++end;
        if (end == first + 1) {
            first = end;
            continue;
        }
        const std::string subject = facts[first].subject;
        for (std::size_t i = first + 1; i < end; ++i) facts[i].subject = subject + " (" + std::to_string(i - first + 1) + ")";
        first = end;
    }
}

}  // namespace scruple::changes
