// Words and keys about people and plants that several emitters share.
#pragma once

#include <string>
#include <string_view>

#include "emit/document.h"
#include "emit/json_writer.h"

namespace scruple::emit {

/// "II" for `ii`.
std::string appendix_text(std::string_view word);

/// The keys `audience`, `usual_dilution` and `cautions` of a product's `safety`.
void write_people(JsonWriter& json, const Document& document, ProductId product);
/// The array `conservation` of a product.
void write_conservation(JsonWriter& json, const Model& model, const Formula& formula);

}  // namespace scruple::emit
