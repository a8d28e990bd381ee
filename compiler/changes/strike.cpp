#include "changes/strike.h"

#include <algorithm>
#include <array>
#include <span>
#include <string_view>
#include <vector>

namespace scruple::changes {
namespace {

using emit::Value;
using emit::Values;

/// A member of a unit that facts of its own are made of: where it is the same on both sides, it can be left out. What else
/// a fact takes from several members stays.
struct Own {
    std::string_view key;
    bool rows = false;                          // a list of which each row is a fact
    std::span<const std::string_view> lists{};  // members that are such lists
};

constexpr std::array<std::string_view, 5> kSafetyLists = {"checks", "unknown", "unstated", "cautions", "lots"};
constexpr std::array<std::string_view, 3> kLabelLists = {"lists", "allergens", "under_threshold"};
constexpr std::array kOfProduct = {
    Own{"load"},          Own{"content"},     Own{"phases"},          Own{"lines", true},        Own{"premixes", true},
    Own{"drop_plan"},     Own{"steps"},       Own{"warnings"},        Own{"safety", false, kSafetyLists},
    Own{"label", false, kLabelLists},         Own{"conservation", true}, Own{"cost"},            Own{"assumptions", true},
    Own{"accepted", true}, Own{"assessed", true},
};
constexpr std::array kOfBlend = {Own{"intent"}, Own{"intent_read", true}, Own{"assumptions", true}};

void strike_both(Values& before, Value a, Values& after, Value b) {
    before.strike(a);
    after.strike(b);
}

/// Rows at the beginning and at the end that are the same, and those between that stand beside their like.
void strike_rows(Values& before, Value a, Values& after, Value b) {
    if (!a.is_array() || !b.is_array()) return;
    std::vector<Value> old, fresh;
    for (const Value row : a) old.push_back(row);
    for (const Value row : b) fresh.push_back(row);
    const std::size_t shorter = std::min(old.size(), fresh.size());
    std::size_t head = 0, tail = 0;
    while (head < shorter && old[head].same(fresh[head])) ++head;
    while (tail < shorter - head && old[old.size() - 1 - tail].same(fresh[fresh.size() - 1 - tail])) ++tail;
    for (std::size_t i = 0; i < head; ++i) strike_both(before, old[i], after, fresh[i]);
    for (std::size_t i = 0; i < tail; ++i) strike_both(before, old[old.size() - 1 - i], after, fresh[fresh.size() - 1 - i]);
    if (old.size() != fresh.size()) return;
    for (std::size_t i = head; i < old.size() - tail; ++i) {
        if (old[i].same(fresh[i])) strike_both(before, old[i], after, fresh[i]);
    }
}

}  // namespace

bool strike_same(Values& before, Values& after, UnitKind kind) {
    const Value old = before.root(), fresh = after.root();
    if (old.same(fresh)) return false;
    const std::span<const Own> members = kind == UnitKind::product ? std::span<const Own>(kOfProduct)
                                         : kind == UnitKind::blend ? std::span<const Own>(kOfBlend)
                                                                   : std::span<const Own>();  // its log is one fact
    for (const Own& own : members) {
        const Value a = old[own.key], b = fresh[own.key];
        if (!a.is_object() && !a.is_array()) continue;
        if (a.same(b)) {
            strike_both(before, a, after, b);
            continue;
        }
        if (own.rows) strike_rows(before, a, after, b);
        for (const std::string_view list : own.lists) strike_rows(before, a[list], after, b[list]);
    }
    return true;
}

}  // namespace scruple::changes
