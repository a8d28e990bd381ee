// What of a label both the sheet and the data say: which lists of allergens hold, and from when.
#pragma once

#include <string>
#include <string_view>

#include "emit/document.h"
#include "emit/json_writer.h"

namespace scruple::emit {

std::string_view label_state_word(LabelNames::State state);
std::string_view list_state_word(AllergenList::State state);

/// The `label` object of a product; null where labels were not asked for.
void write_label(JsonWriter& json, const Document& document, ProductId product);

}  // namespace scruple::emit
