#include "diag/explain.h"

#include "diag/explain_texts.h"

namespace scruple {

const Explanation& explanation(Code code) {
    static const auto table = [] {
        std::vector<Explanation> made(all_codes().size());
        for (const auto section : {explain::text_and_tokens(), explain::shape(), explain::names(), explain::units(),
                                   explain::blends(), explain::products(), explain::safety(), explain::collections()}) {
            for (const auto& entry : section) made[static_cast<std::size_t>(entry.code)] = entry.explanation;
        }
        return made;
    }();
    const auto index = static_cast<std::size_t>(code);
    return table[index < table.size() ? index : 0];
}

}  // namespace scruple
