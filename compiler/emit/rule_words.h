// A rule in words, for every page that says what binds.
#pragma once

#include <string>

#include "emit/document.h"

namespace scruple::emit {

/// "Citral, at most 0.6 % (IFRA Standards, 51st amendment; Fine fragrance)".
std::string check_rule_text(const Model& model, const Check& check);

}  // namespace scruple::emit
