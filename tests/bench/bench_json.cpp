// What the same recipes cost a program that does next to nothing with them: reads JSON, parses it with nlohmann/json,
// sums the amounts. The whole process is what `scruple check` is timed against. With --pretty it writes them out again,
// as people keep JSON: what `scruple format` is timed against.
#include <cstdio>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

int main(int argc, char** argv) {
    const bool pretty = argc == 3 && std::string_view(argv[1]) == "--pretty";
    if (argc != 2 && !pretty) {
        std::fputs("bench_json [--pretty] FILE\n", stderr);
        return 2;
    }
    const char* name = argv[argc - 1];
    std::ifstream file(name, std::ios::binary | std::ios::ate);
    if (!file) {
        std::fprintf(stderr, "bench_json: cannot read %s\n", name);
        return 3;
    }
    std::string text(static_cast<std::size_t>(file.tellg()), '\0');
    file.seekg(0);
    file.read(text.data(), static_cast<std::streamsize>(text.size()));
    const auto recipes = nlohmann::json::parse(text);
    if (pretty) {
        const std::string out = recipes.dump(2);
        return std::fwrite(out.data(), 1, out.size(), stdout) == out.size() ? 0 : 3;
    }
    double amounts = 0;
    std::size_t lines = 0;
    long long units = 0;
    for (const auto& recipe : recipes) {
        for (const auto& line : recipe.at("lines")) {
            amounts += line.at("amount").get<double>();
            ++lines;
        }
        const auto products = recipe.find("products");
        if (products == recipe.end()) continue;
        for (const auto& product : *products) units += product.at("units").get<long long>();
    }
    std::printf("%zu recipes, %zu lines, %.2f parts, %lld units\n", recipes.size(), lines, amounts, units);
    return 0;
}
