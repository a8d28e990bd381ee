// The formula document in parts: what it is of, its blends and products, and what of those is long enough for a file of
// its own. Each part can be written by itself.
#pragma once

#include <string>

#include "emit/document.h"
#include "emit/json_writer.h"

namespace scruple::emit {

/// Members that stand before all others: the schema, the compiler, the library, the rules that hold, the collection, the date.
void write_head(JsonWriter& json, const Document& document);
/// An element of `blends` and of `products`.
void write_blend(JsonWriter& json, const Document& document, BlendId blend);
void write_product(JsonWriter& json, const Document& document, ProductId product);
/// "RULES:SUBJECT:CATEGORY", or the kind of a rule that no rule set holds.
std::string rule_id(const Model& model, const Check& check);
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
