// Build-time tool: writes files into a C++ source as texts. Usage: scruple_resources OUTPUT NAME=FOLDER…
// Each file of FOLDER becomes the resource NAME/FILE. It stands alone, since everything else is built with what it makes.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <string>
#include <utility>
#include <vector>

int main(int argc, char** argv) {
    namespace fs = std::filesystem;
    if (argc < 3) {
        std::cerr << "usage: scruple_resources OUTPUT NAME=FOLDER...\n";
        return 2;
    }
    std::vector<std::pair<std::string, std::string>> texts;
    for (int i = 2; i < argc; ++i) {
        const std::string argument = argv[i];
        const auto equals = argument.find('=');
        if (equals == std::string::npos) {
            std::cerr << "scruple_resources: " << argument << " is not NAME=FOLDER\n";
            return 2;
        }
        std::error_code error;
        for (const auto& entry : fs::directory_iterator(argument.substr(equals + 1), error)) {
            if (!entry.is_regular_file()) continue;
            std::ifstream in(entry.path(), std::ios::binary);
            std::string text((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
            texts.emplace_back(argument.substr(0, equals) + "/" + entry.path().filename().string(), std::move(text));
        }
        if (error) {
            std::cerr << "scruple_resources: " << argument << ": " << error.message() << "\n";
            return 3;
        }
    }
    std::sort(texts.begin(), texts.end());
    std::string out =
        "// Made by scruple_resources. Do not edit.\n#include \"base/resources.h\"\n\nnamespace scruple {\nnamespace {\n\n"
        "constexpr Resource kResources[] = {\n";
    for (const auto& [path, text] : texts) out += "{\"" + path + "\", R\"~~(" + text + ")~~\"},\n";
    out += "};\n\n}  // namespace\n\nstd::span<const Resource> resources() { return kResources; }\n\n}  // namespace scruple\n";
    std::ofstream file(argv[1], std::ios::binary | std::ios::trunc);
    file << out;
    file.close();
    return file ? 0 : 3;
}
