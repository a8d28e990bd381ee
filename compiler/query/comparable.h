// The formula document of a collection as it is compared with another: without what would say the same twice.
#pragma once

#include <string>
#include <string_view>

#include "query/session.h"

namespace scruple {

/// Of the findings only errors that keep something from being whole: what warns, or breaks a limit, stands in the figures.
std::string comparable_document(const Compilation& compiled, std::string_view on);

}  // namespace scruple
