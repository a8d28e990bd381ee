// Builds facts out of a JSON value; included by the .cpp files of changes/ only, after nlohmann/json.
#pragma once

#include <algorithm>
#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "changes/facts.h"

namespace scruple::changes {

/// Takes the facts of one object. `Json` is nlohmann::json; every getter gives nothing where the type is another.
template <class Json>
class FactMaker {
public:
    explicit FactMaker(std::vector<Fact>& out) : out_(out) {}

    static const Json& at(const Json& j, const char* key) {
        static const Json none;
        if (!j.is_object()) return none;
        const auto found = j.find(key);
        return found == j.end() ? none : *found;
    }
    static std::string text(const Json& j, const char* key) {
        const Json& v = at(j, key);
        return v.is_string() ? v.template get<std::string>() : std::string();
    }
    static std::vector<std::string> texts(const Json& v) {
        std::vector<std::string> out;
        if (v.is_array()) {
            for (const Json& item : v) {
                if (item.is_string()) out.push_back(item.template get<std::string>());
            }
        }
        return out;
    }
    static Scalar scalar(const Json& v) {
        if (v.is_string()) return v.template get<std::string>();
        if (v.is_boolean()) return v.template get<bool>();
        if (v.is_number()) return v.template get<double>();
        if (v.is_array()) return texts(v);
        return {};
    }
    static const Json& items(const Json& j, const char* key) {
        static const Json none = Json::array();
        const Json& v = at(j, key);
        return v.is_array() ? v : none;
    }

    /// A fact of the named members of `j`; null members stay, as nothing.
    Fact& add(What what, std::string subject, const Json& j, std::initializer_list<const char*> keys) {
        Fact fact;
        fact.what = what;
        fact.subject = std::move(subject);
        for (const char* key : keys) fact.fields.push_back({key, scalar(at(j, key)), false});
        out_.push_back(std::move(fact));
        return out_.back();
    }
    /// Members that are shown beside the others and not compared.
    static void carry(Fact& fact, const Json& j, std::initializer_list<const char*> keys) {
        for (const char* key : keys) fact.fields.push_back({key, scalar(at(j, key)), true});
    }
    /// Lists whose order says nothing.
    static void sort_list(Fact& fact, std::string_view name) {
        for (Field& f : fact.fields) {
            if (f.name != name) continue;
            if (auto* list = std::get_if<std::vector<std::string>>(&f.value)) std::sort(list->begin(), list->end());
        }
    }

private:
    std::vector<Fact>& out_;
};

/// Assumptions, each told from the others by its words without the figures: "NAME weighs # g/ml".
void add_assumptions(std::vector<Fact>& out, const std::vector<std::pair<std::string, std::string>>& what_and_source);
template <class Json>
std::vector<std::pair<std::string, std::string>> assumptions_of(const Json& unit) {
    std::vector<std::pair<std::string, std::string>> out;
    for (const Json& a : FactMaker<Json>::items(unit, "assumptions")) {
        out.emplace_back(FactMaker<Json>::text(a, "what"), FactMaker<Json>::text(a, "source"));
    }
    return out;
}

/// Facts in order of kind, subject and values; of several with one kind and subject each has a subject of its own.
void put_in_order(std::vector<Fact>& facts);

}  // namespace scruple::changes
