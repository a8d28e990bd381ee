// What the program's exit status says.
#pragma once

namespace scruple {

inline constexpr int kClean = 0;        // nothing wrong; warnings may have been printed
inline constexpr int kRecipeErrors = 1; // errors in the recipes
inline constexpr int kWrongUse = 2;     // an option or argument that makes no sense
inline constexpr int kIoFailed = 3;     // a file that can't be read or written
inline constexpr int kDiffers = 10;     // of `format --check` and `diff --exit-code`: something would change, or differs
inline constexpr int kFailOn = 11;      // of `diff --fail-on`: what it asks for is so
inline constexpr int kOurFault = 70;    // a fault of the program itself

}  // namespace scruple
