// What else a declaration of the library is called, read from its text without a parse.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "library/embedded.h"

namespace scruple {

/// "Ho wood" and "ho-wood" as names are spelled: lower case, words joined by underscores.
std::string as_name(std::string_view text);

/// Its title and the texts of its `also` row, each as a name; added to `out`.
void spellings(const EmbeddedDeclaration& decl, std::vector<std::string>& out);

}  // namespace scruple
