// Reading formula documents with care: whatever a file holds, a reader gets a value of the type that it asks for, or
// nothing. Part of changes/; included by .cpp files only.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/function_ref.h"

namespace scruple::changes {

/// Members of the object, elements of the array, that `text` holds: each value's own text. `text` must be JSON that was
/// found to be whole. Nothing is called where it is of another type.
void each_member(std::string_view text, FunctionRef<void(std::string_view key, std::string_view value)> call);
void each_element(std::string_view text, FunctionRef<void(std::string_view value)> call);

}  // namespace scruple::changes
