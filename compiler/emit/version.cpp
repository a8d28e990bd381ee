#include "emit/emit.h"

namespace scruple {

const char* const kVersion = "0.1.0";
const char* const kLibraryEdition = "2026.1";

}  // namespace scruple
