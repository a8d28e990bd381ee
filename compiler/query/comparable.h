// The formula document of a collection as it is compared with another: without what would say the same twice.
#pragma once

#include <memory>
#include <string_view>

#include "query/session.h"

namespace scruple {

/// Of the findings only errors that keep something from being whole: what warns, or breaks a limit, stands in the figures.
/// The compilation and `on` must outlive it.
std::shared_ptr<const Document> comparable_document(const Compilation& compiled, std::string_view on);

}  // namespace scruple
