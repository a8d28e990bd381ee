#include "merge/weave.h"

#include <algorithm>
#include <unordered_map>

namespace scruple::merging {
namespace {

class Weaver {
public:
    explicit Weaver(const WeaveInput& input) : input_(input) {}

    Woven run() {
        match();
        find_order();
        if (out_.disordered) return std::move(out_);
        for (const std::size_t side : {kOurs, kTheirs}) hang_runs(side);
        put_runs(0);
        for (std::size_t i = 0; i < shared_.size(); ++i) {
            out_.strands.push_back({slots_[shared_[i]], false, {}, {}});
            put_runs(shared_[i] + 1);
        }
        return std::move(out_);
    }

private:
    void match() {
        std::unordered_map<std::string_view, std::size_t> known;
        for (std::size_t side = 0; side < 3; ++side) {
            const auto& names = input_.names[side];
            slot_at_[side].resize(names.size());
            for (std::size_t i = 0; i < names.size(); ++i) {
                const auto [at, fresh] = known.try_emplace(names[i], slots_.size());
                if (fresh) slots_.emplace_back();
                slots_[at->second].at[side] = static_cast<std::int32_t>(i);
                slot_at_[side][i] = at->second;
            }
        }
    }

    bool shared(std::size_t slot) const { return slots_[slot].in(kOurs) && slots_[slot].in(kTheirs); }

    /// The slots of a side that both sides have, in its order.
    std::vector<std::size_t> shared_in(std::size_t side) const {
        std::vector<std::size_t> out;
        for (const std::size_t slot : slot_at_[side]) {
            if (shared(slot)) out.push_back(slot);
        }
        return out;
    }

    /// Whether a side has what the base has in the base's order.
    bool kept_order(const std::vector<std::size_t>& order) const {
        std::int32_t last = -1;
        for (const std::size_t slot : order) {
            const std::int32_t at = slots_[slot].at[kBase];
            if (at < 0) continue;
            if (at < last) return false;
            last = at;
        }
        return true;
    }

    bool place_is_meaning(std::size_t slot) const {
        for (std::size_t side = 0; side < 3; ++side) {
            const std::int32_t at = slots_[slot].at[side];
            if (at >= 0 && input_.ordered[side][static_cast<std::size_t>(at)]) return true;
        }
        return false;
    }

    void find_order() {
        const auto ours = shared_in(kOurs);
        const auto theirs = shared_in(kTheirs);
        shared_ = ours;
        if (ours == theirs) return;
        const bool ours_kept = kept_order(ours), theirs_kept = kept_order(theirs);
        if (ours_kept != theirs_kept) {
            if (ours_kept) shared_ = theirs;
            return;
        }
        // Both changed it, or put what is new to both into different places.
        const auto matters = [&](const std::vector<std::size_t>& order) {
            std::vector<std::size_t> out;
            for (const std::size_t slot : order) {
                if (place_is_meaning(slot)) out.push_back(slot);
            }
            return out;
        };
        if (matters(ours) != matters(theirs)) {
            out_.disordered = true;
            return;
        }
        const auto names = [&](std::size_t side, const std::vector<std::size_t>& order) {
            std::vector<std::string_view> out;
            for (const std::size_t slot : order)
                out.push_back(input_.names[side][static_cast<std::size_t>(slots_[slot].at[side])]);
            return out;
        };
        if (names(kTheirs, theirs) < names(kOurs, ours)) shared_ = theirs;
    }

    /// What one side alone has hangs behind what both have: 0 is the start, else the slot and one.
    void hang_runs(std::size_t side) {
        std::size_t behind = 0;
        for (const std::size_t slot : slot_at_[side]) {
            if (shared(slot)) {
                behind = slot + 1;
            } else if (!slots_[slot].in(kBase) || !input_.gone(slots_[slot])) {
                runs_[side][behind].push_back(slots_[slot]);
            }
        }
    }

    bool adds_where_order_is_meaning(std::size_t side, const std::vector<Slot>& run) const {
        return std::any_of(run.begin(), run.end(), [&](const Slot& slot) {
            return !slot.in(kBase) && input_.ordered[side][static_cast<std::size_t>(slot.at[side])];
        });
    }

    void put_runs(std::size_t behind) {
        const auto find = [&](std::size_t side) {
            const auto at = runs_[side].find(behind);
            return at == runs_[side].end() ? std::vector<Slot>{} : at->second;
        };
        auto ours = find(kOurs), theirs = find(kTheirs);
        if (!ours.empty() && !theirs.empty()) {
            if (adds_where_order_is_meaning(kOurs, ours) && adds_where_order_is_meaning(kTheirs, theirs)) {
                out_.strands.push_back({{}, true, std::move(ours), std::move(theirs)});
                return;
            }
            if (input_.text(kTheirs, theirs) < input_.text(kOurs, ours)) std::swap(ours, theirs);
        }
        for (const auto* run : {&ours, &theirs}) {
            for (const Slot& slot : *run) out_.strands.push_back({slot, false, {}, {}});
        }
    }

    const WeaveInput& input_;
    std::vector<Slot> slots_;
    std::array<std::vector<std::size_t>, 3> slot_at_;
    std::vector<std::size_t> shared_;
    std::array<std::unordered_map<std::size_t, std::vector<Slot>>, 3> runs_;
    Woven out_;
};

}  // namespace

Woven weave(const WeaveInput& input) { return Weaver(input).run(); }

}  // namespace scruple::merging
