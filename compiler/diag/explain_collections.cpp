#include "diag/explain_texts.h"

// These are about the disk around the recipes, so no recipe can be their example.

namespace scruple::explain {
namespace {

constexpr Entry kEntries[] = {
    {Code::cannot_read,
     {R"(The file or folder is not there, you may not read it, or it is no plain file. Recipes are files whose names end in
`.scruple`. Pipes, devices and links out of the collection are not read.

What could not be read was not checked, and the run ends with status 3 so that no script takes it for a clean one.)",
      "", ""}},

    {Code::cannot_write,
     {R"(An output could not be written: the disk is full, the folder is not there, or you may not write there. Outputs are written
beside the old file and put in its place at the end, so the old one is whole and no half-written file is left.)",
      "", ""}},

    {Code::over_a_recipe,
     {R"(An output would have replaced a recipe. Recipes are never written over by their own outputs: choose another folder with
`--out`.)",
      "", ""}},

    {Code::file_too_large,
     {R"(A recipe file may have 16 megabytes, which is more than three hundred thousand rows. A larger one is probably something
else with the wrong name. If it is not, cut it into several files: files of one folder see each other's names.)",
      "", ""}},

    {Code::run_too_large,
     {R"(All files of a run together may have 256 megabytes, so that every run ends in bounded time and memory. Check a folder at
a time.)",
      "", ""}},

    {Code::too_many_files,
     {R"(A collection may have twenty thousand files. Beyond that, the folder given is probably not the collection: look at the
path, and at what marks the root, which is a file `collection.scruple` or the folder of the repository.)",
      "", ""}},

    {Code::folder_loop,
     {R"(A link leads from a folder back into one above it, so the walk through the folders would never end. Take the link away,
or put it outside of the collection.)",
      "", ""}},

    {Code::outside_root,
     {R"(An import, or a link, leads out of the repository. What lies outside is not under version control with the recipes, so
the same recipe could mean something else tomorrow or on another machine. Bring the folder into the repository.)",
      "", ""}},

    {Code::import_not_found,
     {R"(The path after `use` leads to no folder. It is read from the folder of the file that it stands in: `use "../shelf" as
shelf` means a folder `shelf` beside the one that holds this file.)",
      "", ""}},

    {Code::import_cycle,
     {R"(Two collections import each other, directly or through others, so neither can be read first. Move what both need into a
third one that imports neither.)",
      "", ""}},

    {Code::import_too_deep,
     {R"(A collection may import others, and those again others, up to 64 deep. Nobody can follow more. Import what you need
directly from where it is declared.)",
      "", ""}},

    {Code::nothing_found,
     {R"(There is no recipe below the folder that was given. Recipes are files whose names end in `.scruple`; folders that start
with a dot, and output folders, are passed over.)",
      "", ""}},
};

}  // namespace

std::span<const Entry> collections() { return kEntries; }

}  // namespace scruple::explain
