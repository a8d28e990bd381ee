// Reads one question a line on standard input and answers it on standard output, for rational_reference.py,
// currencies.py, units.py and widths.py.
// Values are written `a`, `-a` or `a/b`; an overflow answers `overflow`, a refusal `error`.
#include <charconv>
#include <cstdlib>
#include <iostream>
#include <sstream>
#include <string>
#include <vector>

#include "base/text.h"
#include "num/apportion.h"
#include "num/decimal.h"
#include "num/quantity.h"

using namespace scruple;

namespace {

/// A value as the reference writes it; anything else is a fault of the reference.
Rational read(const std::string& text) {
    const auto parsed = parse_number(text);
    if (parsed.error != NumberError::none) {
        std::cerr << "num_probe: cannot read " << text << "\n";
        std::exit(2);
    }
    return parsed.value;
}

Rounding rounding(const std::string& word) {
    return word == "down" ? Rounding::down : word == "up" ? Rounding::up : Rounding::nearest;
}

std::string list(const std::vector<std::int64_t>& numbers) {
    std::string out;
    for (const auto n : numbers) out += (out.empty() ? "" : " ") + std::to_string(n);
    return out.empty() ? "none" : out;
}

std::string hex(double value) {
    std::ostringstream out;
    out << std::hexfloat << value;
    return out.str();
}

std::string answer(const std::vector<std::string>& words) {
    const auto& what = words[0];
    const auto number = [&](std::size_t i) { return read(words[i]); };
    const auto real = [&](std::size_t i) { return std::strtod(words[i].c_str(), nullptr); };
    const auto whole = [&](std::size_t i) { return std::strtoll(words[i].c_str(), nullptr, 10); };
    const auto rest = [&](std::size_t first) {
        std::vector<Rational> out;
        for (std::size_t i = first; i < words.size(); ++i) out.push_back(number(i));
        return out;
    };
    if (what == "add") return (number(1) + number(2)).to_string();
    if (what == "sub") return (number(1) - number(2)).to_string();
    if (what == "mul") return (number(1) * number(2)).to_string();
    if (what == "div") return (number(1) / number(2)).to_string();
    if (what == "cmp") return number(1) < number(2) ? "-1" : number(1) == number(2) ? "0" : "1";
    if (what == "floor") return to_string(number(1).floor());
    if (what == "ceil") return to_string(number(1).ceil());
    if (what == "round") return to_string(number(1).round());
    if (what == "double") return hex(number(1).to_double());
    if (what == "parse") {
        const auto parsed = parse_number(words.size() > 1 ? words[1] : "");
        if (parsed.error == NumberError::overflow) return "overflow";
        return parsed.error == NumberError::none ? parsed.value.to_string() : "error";
    }
    if (what == "fixed") return format_fixed(number(1), static_cast<int>(whole(2)), rounding(words[3]));
    if (what == "fixed_double") return format_fixed(real(1), static_cast<int>(whole(2)), rounding(words[3]));
    if (what == "significant") return format_significant(real(1), static_cast<int>(whole(2)), rounding(words[3]));
    if (what == "shortest") return format_shortest(real(1));
    if (what == "exact") return format_exact(number(1));
    if (what == "ratio") return list(smallest_whole_ratio(rest(1)));
    if (what == "apportion") return list(apportion(rest(3), whole(1), words[2] == "each"));
    if (what == "between") {
        const auto fit = fit_between(rest(3), whole(1), whole(2));
        return list(fit.drops) + " of " + std::to_string(fit.multiple) + " error " + fit.worst_error.to_string();
    }
    if (what == "lines") {
        std::vector<double> amounts;
        for (std::size_t i = 2; i < words.size(); ++i) amounts.push_back(real(i));
        return list(round_lines(amounts, real(1)));
    }
    if (what == "width") {
        // Code points from the first to the last word, one digit each.
        std::string out;
        for (auto c = static_cast<unsigned>(std::strtoul(words[1].c_str(), nullptr, 16));
             c <= std::strtoul(words[2].c_str(), nullptr, 16); ++c) {
            std::string text;
            const auto put = [&](unsigned byte) { text += static_cast<char>(byte); };
            if (c < 0x80) {
                put(c);
            } else if (c < 0x800) {
                put(0xC0 | (c >> 6)), put(0x80 | (c & 0x3F));
            } else if (c < 0x10000) {
                put(0xE0 | (c >> 12)), put(0x80 | ((c >> 6) & 0x3F)), put(0x80 | (c & 0x3F));
            } else {
                put(0xF0 | (c >> 18)), put(0x80 | ((c >> 12) & 0x3F)), put(0x80 | ((c >> 6) & 0x3F));
                put(0x80 | (c & 0x3F));
            }
            out += std::to_string(display_width(text));
        }
        return out;
    }
    if (what == "currency") return is_currency(words[1]) ? "yes" : "no";
    return "error";
}

}  // namespace

int main() {
    std::ios::sync_with_stdio(false);
    std::string line;
    while (std::getline(std::cin, line)) {
        std::istringstream in(line);
        std::vector<std::string> words;
        for (std::string word; in >> word;) words.push_back(word);
        if (!words.empty()) std::cout << answer(words) << "\n";
    }
    return 0;
}
