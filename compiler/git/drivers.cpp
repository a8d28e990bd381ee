#include "git/drivers.h"

#include <algorithm>
#include <string_view>

namespace scruple {

std::vector<std::pair<std::string, std::string>> driver_settings(const std::string& program) {
    return {
        // What a hunk's header names: the declaration around it, without its brace.
        {"diff.scruple.xfuncname", "^([a-z][a-z_]*[ \t]+[^{]*[^ \t{])[ \t]*(\\{.*)?$"},
        {"diff.scruple.textconv", program + " git textconv --"},
        {"diff.scruple.command", program + " git diff --"},
        {"merge.scruple.name", "recipes by declaration and row"},
        {"merge.scruple.driver", program + " git merge --marker-size=%L --path=%P %O %A %B"},
    };
}

std::string shell_word(const std::string& word) {
    constexpr std::string_view kSafe = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/._-+@%";
    if (!word.empty() && word.find_first_not_of(kSafe) == std::string::npos) return word;
    std::string out = "'";
    for (const char c : word) {
        if (c == '\'') out += "'\\''";
        else out += c;
    }
    return out + "'";
}

std::string with_recipe_attributes(const std::string& text) {
    for (std::string_view rest = text; !rest.empty();) {
        auto line = rest.substr(0, rest.find('\n'));
        rest.remove_prefix(std::min(rest.size(), line.size() + 1));
        while (line.ends_with('\r') || line.ends_with(' ')) line.remove_suffix(1);
        if (line == kRecipeAttributes) return text;
    }
    std::string out = text;
    if (!out.empty() && !out.ends_with('\n')) out += '\n';
    return out + kRecipeAttributes + "\n";
}

}  // namespace scruple
