// Builds facts out of the values of a document. Part of changes/; included by its .cpp files only.
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "changes/facts.h"
#include "emit/values.h"

namespace scruple::changes {

using emit::Value;

inline std::string text_of(Value object, std::string_view key) { return std::string(object[key].text()); }
/// The texts of a list; what is none is passed over.
std::vector<std::string> texts_of(Value list);
Scalar scalar_of(Value value);
/// The list of that name; none where there is something else.
Value items_of(Value object, std::string_view key);

/// Adds facts to a list.
class FactMaker {
public:
    explicit FactMaker(std::vector<Fact>& out) : out_(out) {}

    /// A fact of the named members; those that are not there stay, as nothing. Good until the next is added.
    Fact& add(What what, std::string subject, Value object, std::initializer_list<std::string_view> keys);
    /// Members that are shown beside the others and not compared.
    static void carry(Fact& fact, Value object, std::initializer_list<std::string_view> keys);
    /// Lists whose order says nothing.
    static void sort_list(Fact& fact, std::string_view name);
    /// Assumptions, each told from the others by its words without the figures: "NAME weighs # g/ml".
    void add_assumptions(Value unit);

private:
    std::vector<Fact>& out_;
};

/// Facts in order of kind, subject and values; of several with one kind and subject each has a subject of its own.
void put_in_order(std::vector<Fact>& facts);

}  // namespace scruple::changes
