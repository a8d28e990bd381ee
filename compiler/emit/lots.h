// The lots that a product is made from, as the sheet and the data say them.
#pragma once

#include <string>

#include "emit/document.h"
#include "emit/json_writer.h"
#include "emit/page.h"

namespace scruple::emit {

/// A material's title with the number of its lot, if it is one.
std::string title_and_lot(const Model& model, MaterialId material);

/// The number of the lot that a material is; empty for none.
std::string_view lot_number(const Model& model, MaterialId material);

/// What the bottles' labels and certificates say, and what of it is against them; nothing where the product names no lot.
void add_lots(Page& page, const Document& document, ProductId product);

/// The `lots` array of a product's safety.
void write_lots(JsonWriter& json, const Document& document, ProductId product);

}  // namespace scruple::emit
