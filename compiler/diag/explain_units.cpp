#include "diag/explain_texts.h"

namespace scruple::explain {

std::span<const Entry> units() { return {}; }

}  // namespace scruple::explain
