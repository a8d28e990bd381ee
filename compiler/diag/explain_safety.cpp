#include "diag/explain_texts.h"

namespace scruple::explain {

std::span<const Entry> safety() { return {}; }

}  // namespace scruple::explain
