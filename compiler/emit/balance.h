// The balance and the intent of a blend, for pages and for machines.
#pragma once

#include "emit/json_writer.h"
#include "emit/page.h"

namespace scruple::emit {

void add_balance(Page& page, const Document& document, BlendId blend);
void add_intent(Page& page, const Document& document, BlendId blend);
/// The object under `balance`, and the list under `intent_read`.
void write_balance(JsonWriter& json, const Document& document, BlendId blend);
void write_intent(JsonWriter& json, const Document& document, BlendId blend);

}  // namespace scruple::emit
