// Parts of the formula document that are long enough for a file of their own.
#pragma once

#include "emit/document.h"
#include "emit/json_writer.h"

namespace scruple::emit {

/// The `safety` object of a product.
void write_safety(JsonWriter& json, const Document& document, ProductId product);
/// The `accepted` array: waivers that took effect.
void write_accepted(JsonWriter& json, const Document& document, ProductId product);
/// The `assessed` array: assessments of its blend, and whether they cover it as it is.
void write_assessed(JsonWriter& json, const Document& document, ProductId product);
/// The `cost` of a blend and of a product; null where nobody asks.
void write_blend_cost(JsonWriter& json, const Document& document, BlendId blend);
void write_cost(JsonWriter& json, const Document& document, ProductId product);
/// The `diagnostics` array: zero-based lines and characters as the Language Server Protocol counts
/// them.
void write_diagnostics(JsonWriter& json, const Document& document);

}  // namespace scruple::emit
