// Build-time tool: reads the standard library's folder and writes a C++ source with its texts and the index of its
// names. Usage: scruple_embed STDLIB_FOLDER OUTPUT.
#include <fmt/core.h>

#include <algorithm>
#include <cstdint>
#include <memory>
#include <string>
#include <tuple>
#include <vector>

#include "base/file_system.h"
#include "base/source.h"
#include "diag/diagnostic.h"
#include "diag/render.h"
#include "library/embedded.h"
#include "syntax/parser.h"

namespace {

using namespace scruple;

struct Entry {
    std::string name;
    std::string kind;
    std::size_t file = 0;
    std::uint32_t begin = 0;
    std::uint32_t end = 0;
};

struct Text {
    std::string path;
    std::string text;
};

bool collect(const FileSystem& disk, const std::string& folder, const std::string& shown, std::vector<Text>& out) {
    const auto listed = disk.list(folder);
    if (listed.error != IoError::none) {
        fmt::print(stderr, "scruple_embed: {}: {}\n", folder, describe(listed.error));
        return false;
    }
    for (const auto& entry : listed.entries) {
        const auto path = path_join(folder, entry.name);
        const auto name = path_join(shown, entry.name);
        if (entry.kind == EntryKind::folder) {
            if (!collect(disk, path, name, out)) return false;
        } else if (name.ends_with(".scruple")) {
            auto read = disk.read(path, 16u << 20);
            if (read.error != IoError::none) {
                fmt::print(stderr, "scruple_embed: {}: {}\n", path, describe(read.error));
                return false;
            }
            out.push_back({name, std::move(read.text)});
        }
    }
    return true;
}

/// Index entries of one file. Names stand after the kind; a unit's `also` words are spellings too.
void index(const SyntaxTree& tree, std::size_t file, std::vector<Entry>& out) {
    std::uint32_t doc_begin = 0;
    bool doc_open = false;
    for (std::uint32_t r = 0; r < tree.rows.size(); r = tree.rows[r].next) {
        const Row& row = tree.rows[r];
        if (row.kind == RowKind::doc) {
            if (!doc_open) doc_begin = row.begin;
            doc_open = true;
            continue;
        }
        const std::uint32_t begin = doc_open ? doc_begin : row.begin;
        doc_open = false;
        if (row.kind != RowKind::entry || row.item_count == 0) continue;
        const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
        if (atoms.size() < 2) continue;
        const std::string kind(tree.view(atoms[0]));
        out.push_back({std::string(tree.view(atoms[1])), kind, file, begin, row.end});
        if (kind != "unit") continue;
        bool also = false;
        for (const Item& item : tree.items_of(row)) {
            for (const Atom& atom : tree.atoms_of(item)) {
                const auto word = tree.view(atom);
                if (word == "by") also = false;
                if (also && atom.kind == AtomKind::word) out.push_back({std::string(word), kind, file, begin, row.end});
                if (word == "also") also = true;
            }
        }
    }
}

/// See embedded_slots(). At most a quarter full, so that a name that isn't there is known at a glance.
std::vector<std::size_t> slots_of(const std::vector<Entry>& entries) {
    std::size_t size = 1024;
    while (size < entries.size() * 4) size *= 2;
    std::vector<std::size_t> slots(size, 0);
    for (std::size_t i = 0; i < entries.size(); ++i) {
        if (i > 0 && entries[i].name == entries[i - 1].name) continue;
        std::size_t at = embedded_hash(entries[i].name) & (size - 1);
        while (slots[at] != 0) at = (at + 1) & (size - 1);
        slots[at] = i + 1;
    }
    return slots;
}

/// Raw string literals in chunks: long ones are slow to compile, and no compiler must take more than 64 KiB at once.
std::string literal(const std::string& text) {
    std::string out;
    for (std::size_t at = 0; at < text.size() || at == 0; at += 12000) {
        out += "R\"~~(";
        out += text.substr(at, 12000);
        out += ")~~\"\n";
    }
    return out;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 3) {
        fmt::print(stderr, "usage: scruple_embed STDLIB_FOLDER OUTPUT\n");
        return 2;
    }
    const auto disk = real_file_system();
    std::vector<Text> texts;
    if (!collect(*disk, argv[1], "stdlib", texts)) return 3;

    SourceMap sources;
    Bag bag;
    std::vector<Entry> entries;
    for (std::size_t i = 0; i < texts.size(); ++i) {
        const auto id = sources.add(texts[i].path, texts[i].text);
        index(parse(id, sources.file(id).text(), ResourceLimits{}, bag), i, entries);
    }
    bag.sort_and_unique();
    if (!bag.empty()) {
        fmt::print(stderr, "{}", render_text(bag.items(), sources, TextOptions{}));
        return 1;
    }
    std::sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
        return std::tie(a.name, a.kind, a.file, a.begin) < std::tie(b.name, b.kind, b.file, b.begin);
    });

    std::string out =
        "// Made by scruple_embed from stdlib/. Do not edit.\n"
        "#include \"library/embedded.h\"\n\nnamespace scruple {\nnamespace {\n\n";
    for (std::size_t i = 0; i < texts.size(); ++i) {
        out += fmt::format("constexpr char kText{}[] =\n{};\n", i, literal(texts[i].text));
    }
    out += "constexpr EmbeddedFile kFiles[] = {\n";
    for (std::size_t i = 0; i < texts.size(); ++i) {
        out += fmt::format("    {{\"{}\", {{kText{}, sizeof(kText{}) - 1}}}},\n", texts[i].path, i, i);
    }
    out += "};\n\nconstexpr EmbeddedDeclaration kDeclarations[] = {\n";
    for (const Entry& e : entries) {
        out += fmt::format("    {{\"{}\", Kind::{}, {}, {}, {}}},\n", e.name, e.kind, e.file, e.begin, e.end);
    }
    out += "};\n\nconstexpr std::uint16_t kSlots[] = {";
    for (const std::size_t slot : slots_of(entries)) out += fmt::format("{},", slot);
    out +=
        "};\n\n}  // namespace\n\n"
        "std::span<const std::uint16_t> embedded_slots() { return kSlots; }\n"
        "std::span<const EmbeddedFile> embedded_files() { return kFiles; }\n"
        "std::span<const EmbeddedDeclaration> embedded_declarations() { return kDeclarations; }\n\n"
        "}  // namespace scruple\n";

    // Written only when it changes, so that an unchanged library costs no recompilation.
    const auto old = disk->read(argv[2], 256u << 20);
    if (old.error == IoError::none && old.text == out) return 0;
    disk->make_folders(path_parent(argv[2]));
    const auto written = disk->write_atomically(argv[2], out);
    if (written.error != IoError::none) {
        fmt::print(stderr, "scruple_embed: {}: {}\n", argv[2], describe(written.error));
        return 3;
    }
    return 0;
}
