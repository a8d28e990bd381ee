#include "diag/explain_texts.h"

namespace scruple::explain {

std::span<const Entry> blends() { return {}; }

}  // namespace scruple::explain
