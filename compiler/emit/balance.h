// The balance and the intent of a blend, for pages and for machines.
#pragma once

#include "emit/json_writer.h"
#include "emit/page.h"
#include "formula/balance.h"

namespace scruple::emit {

/// Who sticks out, what would bring the leader down, and what may be masked: a sentence each.
std::vector<std::string> balance_words(const Model& model, const Balance& balance);
void add_balance(Page& page, const Document& document, BlendId blend);
void add_intent(Page& page, const Document& document, BlendId blend);
/// The object under `balance`, and the list under `intent_read`.
void write_balance(JsonWriter& json, const Document& document, BlendId blend);
void write_intent(JsonWriter& json, const Document& document, BlendId blend);

}  // namespace scruple::emit
