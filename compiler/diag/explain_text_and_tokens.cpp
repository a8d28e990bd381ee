#include "diag/explain_texts.h"

namespace scruple::explain {

std::span<const Entry> text_and_tokens() { return {}; }

}  // namespace scruple::explain
