#include "diag/explain_texts.h"

namespace scruple::explain {

std::span<const Entry> products() { return {}; }

}  // namespace scruple::explain
