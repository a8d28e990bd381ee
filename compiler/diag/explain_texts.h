// The explain texts, a file a section of codes.def. Private to diag; read them through explanation().
#pragma once

#include <span>

#include "diag/explain.h"

namespace scruple::explain {

struct Entry {
    Code code;
    Explanation explanation;
};

std::span<const Entry> text_and_tokens();
std::span<const Entry> shape();
std::span<const Entry> names();
std::span<const Entry> units();
std::span<const Entry> blends();
std::span<const Entry> products();
std::span<const Entry> safety();
std::span<const Entry> collections();

}  // namespace scruple::explain
