#include "diag/explain_texts.h"

namespace scruple::explain {

std::span<const Entry> names() { return {}; }

}  // namespace scruple::explain
