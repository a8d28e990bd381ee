// SHA-256 as FIPS 180-4 describes it, for fingerprints that anyone can work out again with a common
// tool.
#pragma once

#include <string>
#include <string_view>

namespace scruple {

/// The digest of `bytes` as 64 lower-case hexadecimal digits. Source: FIPS 180-4, sections 5
/// and 6.2.
std::string sha256_hex(std::string_view bytes);

}  // namespace scruple
