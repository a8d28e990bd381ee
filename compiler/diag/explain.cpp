#include "diag/explain.h"

#include <string>
#include <vector>

#include "base/resources.h"

namespace scruple {
namespace {

/// The fenced recipe below a heading, or nothing.
std::string_view fenced(std::string_view page, std::string_view heading) {
    const auto at = page.find(heading);
    if (at == std::string_view::npos) return {};
    constexpr std::string_view kOpen = "```scruple\n";
    const auto open = page.find(kOpen, at);
    if (open == std::string_view::npos) return {};
    const auto begin = open + kOpen.size();
    const auto close = page.find("\n```\n", begin);
    return close == std::string_view::npos ? std::string_view{} : page.substr(begin, close + 1 - begin);
}

/// A page of grammar/explain: `# code`, what it means, and the two recipes.
Explanation read_page(std::string_view page) {
    Explanation e;
    const auto title = page.find("\n\n");
    if (title == std::string_view::npos) return e;
    auto why = page.substr(title + 2);
    why = why.substr(0, why.find("\n## "));
    while (why.ends_with('\n')) why.remove_suffix(1);
    e.why = why;
    e.wrong = fenced(page, "\n## Refused\n");
    e.right = fenced(page, "\n## Right\n");
    return e;
}

}  // namespace

const Explanation& explanation(Code code) {
    static const auto table = [] {
        std::vector<Explanation> made;
        for (const Code c : all_codes()) {
            made.push_back(read_page(resource("explain/" + std::string(code_info(c).name) + ".md")));
        }
        return made;
    }();
    const auto index = static_cast<std::size_t>(code);
    return table[index < table.size() ? index : 0];
}

}  // namespace scruple
