#include "diag/explain_texts.h"

namespace scruple::explain {

std::span<const Entry> collections() { return {}; }

}  // namespace scruple::explain
