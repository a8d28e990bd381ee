// What git must be told so that it speaks recipe: the lines of its settings and of its attributes file.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace scruple {

/// The line of a `.gitattributes` file that hands recipes to the drivers.
inline constexpr const char* kRecipeAttributes = "*.scruple diff=scruple merge=scruple";

/// Settings by name, for `git config`. `program`: how git's shell finds this program, quoted as it needs.
std::vector<std::pair<std::string, std::string>> driver_settings(const std::string& program);

/// A word for a POSIX shell: as it is where that is safe, else in single quotes.
std::string shell_word(const std::string& word);

/// An attributes file with the line in it; the same text where it has it already.
std::string with_recipe_attributes(const std::string& text);

}  // namespace scruple
