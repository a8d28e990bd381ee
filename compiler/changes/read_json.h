// Reading formula documents that were saved. Part of changes/; included by its .cpp files only.
#pragma once

#include <string_view>

#include "base/function_ref.h"
#include "emit/values.h"

namespace scruple::changes {

/// Whether it is JSON from its beginning to its end.
bool is_json(std::string_view text);
/// What `text` holds; nothing where it is no JSON.
void read_values(std::string_view text, emit::Values& out);

/// Members of the object, elements of the array, that `text` holds: each value's own text. `text` must be JSON that was
/// found to be whole. Nothing is called where it is of another type.
void each_member(std::string_view text, FunctionRef<void(std::string_view key, std::string_view value)> call);
void each_element(std::string_view text, FunctionRef<void(std::string_view value)> call);

}  // namespace scruple::changes
