// The commands of the program, a file each. Each gets its options as data and gives an exit status.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/file_system.h"

namespace scruple {

/// Options that every command understands.
struct CommonOptions {
    std::string color = "auto";        // auto, always, never
    std::string diagnostics = "text";  // text, json, sarif
};

struct CheckOptions {
    CommonOptions common;
    std::vector<std::string> paths;
    bool alone = false;
    std::string on;                    // empty: today
};
int run_check(FileSystem& files, const CheckOptions& options);

struct BuildOptions {
    CommonOptions common;
    std::vector<std::string> paths;
    bool alone = false;
    std::string on;
    std::string to = "sheet";          // sheet, markdown, json, csv
    std::vector<std::string> only;
    std::optional<std::int64_t> make;
    std::string out;
    bool all_cautions = false;
};
int run_build(FileSystem& files, const BuildOptions& options);

struct BenchOptions {
    std::string name;
    std::string file;                  // empty: where the bench is, else NAME.scruple in this folder
    std::optional<std::string> title;  // of a new bench
    std::string on;                    // empty: today
};
int run_bench(FileSystem& files, const BenchOptions& options);

struct AdviseOptions {
    CommonOptions common;
    std::string name;                  // a blend, product or line
    std::vector<std::string> paths;
    bool alone = false;
    std::string format;                // empty: as the products say
    std::string load;
    bool typical = false;
    std::string on;
    std::string to;                    // json; empty: for people
};
int run_advise(FileSystem& files, const AdviseOptions& options);

struct DiffOptions {
    CommonOptions common;
    std::vector<std::string> sides;    // none, one or two: paths, saved documents (.json), revisions
    bool staged = false;               // against the index
    std::vector<std::string> only;
    std::string to = "terminal";       // terminal, markdown, json, html, sarif
    bool exit_code = false;
    std::vector<std::string> fail_on;
    std::string on;
};
int run_diff(FileSystem& files, const DiffOptions& options);

struct HistoryOptions {
    CommonOptions common;
    std::string name;                  // empty: every blend, with `fingerprint`
    std::string revisions;             // empty: HEAD
    std::string folder = ".";          // in the collection and its repository
    std::string at;                    // a revision: the formula as it was
    std::string between;               // A..B: what differs
    std::string fingerprint;
    std::size_t most = 0;              // versions to show; 0: all
    std::string to = "terminal";       // terminal, json
    std::string on;
};
int run_history(FileSystem& files, const HistoryOptions& options);

struct GitSetupOptions {
    bool global = false;               // for every repository of the maker
    bool remove = false;
};
int run_git_setup(FileSystem& files, const GitSetupOptions& options);

struct GitMergeOptions {
    CommonOptions common;
    std::string base, ours, theirs;    // files; the result goes into `ours`
    std::uint32_t marker_size = 7;
    std::string path;                  // of the recipe in the working tree; empty: what follows is not looked at
    std::string base_label = "base", ours_label = "ours", theirs_label = "theirs";
};
int run_git_merge(FileSystem& files, const GitMergeOptions& options);

struct GitTextconvOptions {
    std::string file;
};
int run_git_textconv(FileSystem& files, const GitTextconvOptions& options);

struct GitDiffOptions {
    CommonOptions common;
    std::vector<std::string> arguments;  // as git gives them
};
int run_git_diff(FileSystem& files, const GitDiffOptions& options);

struct ExplainOptions {
    CommonOptions common;
    std::string word;
};
int run_explain(const ExplainOptions& options);

struct LibraryOptions {
    CommonOptions common;
    std::vector<std::string> words;
    bool doubts = false;
    std::string format;                // only oils and ingredients, with how much of each this format takes
    std::string to;                    // json, csv; empty: for people
    std::string out;
};
int run_library(FileSystem& files, const LibraryOptions& options);

struct FormatOptions {
    CommonOptions common;
    std::vector<std::string> paths;    // `-`: standard input
    bool check = false;
    bool diff = false;
    std::vector<std::string> lines;    // "3:7"
};
int run_format(FileSystem& files, const FormatOptions& options);

struct NewOptions {
    CommonOptions common;
    std::string folder;
};
int run_new(FileSystem& files, const NewOptions& options);

/// Parses the command line and runs what it says. Never throws.
int run_program(int argc, char** argv);

}  // namespace scruple
