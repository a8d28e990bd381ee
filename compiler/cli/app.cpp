#include <fmt/core.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <exception>
#include <sstream>

#include "base/resources.h"
#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"
#include "cli/terminal.h"
#include "emit/emit.h"

namespace scruple {
namespace {

constexpr const char* kStart =
    "Start here:\n"
    "  scruple new my_collection        a fresh collection with this first blend\n"
    "  scruple check my_collection      is everything right and within limits?\n"
    "  scruple build my_collection      batch sheets to weigh by\n"
    "  scruple bench first_trial        write down a trial, drop by drop, as you smell it\n"
    "  scruple library citrus           look for something in the library\n"
    "  scruple explain over_limit       what a finding means and how to mend it\n";

/// The help shows the recipe that `new` writes.
std::string about() {
    std::string out =
        "Scruple works out recipes for aromatic blends and the products made from them.\n"
        "\n"
        "A recipe is a text file whose name ends in .scruple:\n"
        "\n";
    auto text = resource("first/first_light.scruple");
    while (!text.empty()) {
        const auto line = text.substr(0, text.find('\n'));
        out += line.empty() ? "\n" : "  " + std::string(line) + "\n";
        text.remove_prefix(std::min(text.size(), line.size() + 1));
    }
    return out + "\n" + kStart;
}

constexpr const char* kAfter =
    "Exit status: 0 nothing wrong, 1 errors in recipes, 2 wrong use, 3 a file that can't be\n"
    "read or written, or is too large, 10 `format --check` or `diff --exit-code` found something,\n"
    "11 a `--fail-on` of `diff` was met, 70 a fault of scruple itself.\n"
    "\n"
    "Scruple supports, and does not replace, a qualified safety assessor, the local rules and\n"
    "the supplier's own documents.";

void add_common(CLI::App* command, CommonOptions& options, bool findings) {
    command->add_option("--color", options.color, "colour on the terminal: auto, always or never")
        ->check(CLI::IsMember({"auto", "always", "never"}))
        ->type_name("WHEN");
    if (findings) {
        command->add_option("--diagnostics", options.diagnostics, "form of the findings: text, json or sarif")
            ->check(CLI::IsMember({"text", "json", "sarif"}))
            ->type_name("FORM");
    }
}

void add_paths(CLI::App* command, std::vector<std::string>& paths, bool& alone) {
    command->add_option("PATH", paths,
                        "folders or recipes; the collection around each is read, and the path says what is reported\n"
                        "(the current folder if none is given)");
    command->add_flag("--alone", alone, "read just the given files, without the collection around them");
}

bool date_good(const std::string& on) {
    if (on.empty() || is_date(on)) return true;
    say(fmt::format("scruple: `{}` is no date: --on takes one written 2026-05-02\n", on));
    return false;
}

int run(int argc, char** argv) {
    CLI::App app{about(), "scruple"};
    app.footer(kAfter);
    app.set_version_flag("--version", fmt::format("scruple {}, library {}", kVersion, kLibraryEdition));
    app.require_subcommand(0, 1);
    const auto files = real_file_system();

    CheckOptions check;
    auto* check_cmd = app.add_subcommand("check", "look for mistakes and limits that are broken; writes nothing");
    add_paths(check_cmd, check.paths, check.alone);
    check_cmd->add_option("--on", check.on, "the day for which it is judged whether the time of what is accepted, or of a lot, is over, as\n"
                          "2026-05-02; today if not given, and then the day is said")
        ->type_name("DATE");
    add_common(check_cmd, check.common, true);

    BuildOptions build;
    auto* build_cmd = app.add_subcommand("build", "work out batch sheets, or the same as Markdown, JSON or CSV");
    add_paths(build_cmd, build.paths, build.alone);
    build_cmd->add_option("--on", build.on, "the date that the sheets and the data carry, and for which they are judged, as\n2026-05-02; none if not given")
        ->type_name("DATE");
    build_cmd->add_option("--to", build.to, "what to make: sheet, markdown, json or csv")
        ->check(CLI::IsMember({"sheet", "markdown", "json", "csv"}))
        ->type_name("FORM");
    build_cmd->add_option("--only", build.only, "just these blends, products or lines")->type_name("NAME");
    build_cmd->add_option("--make", build.make, "how many units of each product, instead of what the recipe says")
        ->check(CLI::Range(1, 1000000))
        ->type_name("N");
    build_cmd->add_flag("--all-cautions", build.all_cautions, "print every caution on sheets, not only the gravest");
    build_cmd->add_option("--out", build.out, "write files into this folder instead of the screen")->type_name("DIR");
    add_common(build_cmd, build.common, true);

    BenchOptions bench;
    auto* bench_cmd = app.add_subcommand("bench", "record a trial as it happens, row by row");
    bench_cmd->add_option("NAME", bench.name, "the bench: it goes on where it stopped, or begins")->required();
    bench_cmd->add_option("--file", bench.file, "the recipe that holds it, or will; NAME.scruple in this folder if not given")->type_name("FILE");
    bench_cmd->add_option("--title", bench.title, "title of a new bench, so that nothing is asked")->type_name("TEXT");
    bench_cmd->add_option("--on", bench.on, "the day of the rows, as 2026-05-02; today if not given")->type_name("DATE");
    bench_cmd->footer("It reads a line at a time, from a person or a pipe; `help` lists what can be entered.\n\n" + std::string(kAfter));

    AdviseOptions advise;
    auto* advise_cmd = app.add_subcommand("advise", "the most of a blend in each format, the nearest ratio that keeps within limits, and\n"
                                          "cheaper and smaller ones; nothing is applied");
    advise_cmd->add_option("NAME", advise.name, "a blend, a variation, a product or a line")->required();
    add_paths(advise_cmd, advise.paths, advise.alone);
    advise_cmd->add_option("--format", advise.format, "for this format, in its usual base, instead of the blend's own products")->type_name("FORMAT");
    advise_cmd->add_option("--load", advise.load, "how much of the blend is wanted, as after `at`: \"2 %\", \"6 % of wax\", \"3 % v/v\"")
        ->type_name("LOAD");
    advise_cmd->add_flag("--typical", advise.typical,
                         "keep within published limits at typical composition only, and let what then warns stand");
    advise_cmd->add_option("--on", advise.on, "the date for which it is judged, as 2026-05-02")->type_name("DATE");
    advise_cmd->add_option("--to", advise.to, "for machines: json")->check(CLI::IsMember({"json"}))->type_name("FORM");
    add_common(advise_cmd, advise.common, false);

    DiffOptions diff;
    auto* diff_cmd = app.add_subcommand("diff", "what differs in meaning between two versions: oils, limits, labels, cost, smell");
    std::string diff_old, diff_new;
    diff_cmd->add_option("OLD", diff_old,
                         "a version: a folder, a recipe, a document that `build --to json` wrote, a revision of the\n"
                         "repository (HEAD~3, v1.2), a path in one (main:blends/night.scruple); or both versions as A..B,\n"
                         "or as A...B, which starts where the two parted. Left out: the last commit");
    diff_cmd->add_option("NEW", diff_new, "the same. Left out: the working tree");
    diff_cmd->add_flag("--staged", diff.staged, "compare with what is staged for the next commit, not with the working tree");
    diff_cmd->add_option("--only", diff.only, "just these blends, products or lines")->type_name("NAME");
    diff_cmd->add_option("--to", diff.to, "what to make: terminal, markdown (a comment on a change), json, html, or sarif (on the lines that changed)")
        ->check(CLI::IsMember({"terminal", "markdown", "json", "html", "sarif"}))
        ->type_name("FORM");
    diff_cmd->add_flag("--exit-code", diff.exit_code, "exit status 10 where anything differs in meaning");
    diff_cmd->add_option("--fail-on", diff.fail_on,
                         "exit status 11 where something could hurt more or is known less (safety), where the\n"
                         "label must change (label), where one costs over 5 % more (cost:5%), or where anything\n"
                         "differs (any); a NEW side with errors is such a case always; may be given again")
        ->type_name("WHAT");
    diff_cmd->add_option("--on", diff.on, "the date for which recipes are judged, as 2026-05-02; none if not given")->type_name("DATE");
    add_common(diff_cmd, diff.common, false);

    HistoryOptions past;
    auto* history_cmd = app.add_subcommand("history", "a blend or product through the commits of its repository");
    history_cmd->add_option("NAME", past.name, "a blend, variation, product or line, as it is called now");
    history_cmd->add_option("REVISIONS", past.revisions, "only these commits (v1.0..main); HEAD and all before it if not given");
    history_cmd->add_option("--at", past.at, "the formula as it was at a revision")->type_name("REVISION");
    history_cmd->add_option("--diff", past.between, "what differs between two points, as A..B")->type_name("A..B");
    history_cmd->add_option("--fingerprint", past.fingerprint,
                            "which commits had the ratio whose fingerprint begins with these digits, as on a sheet")
        ->type_name("DIGITS");
    history_cmd->add_option("--max", past.most, "show this many versions, the newest")->check(CLI::Range(1, 1000000))->type_name("N");
    history_cmd->add_option("--in", past.folder, "a folder in the collection; this one if not given")->type_name("FOLDER");
    history_cmd->add_option("--to", past.to, "what to make: terminal or json")->check(CLI::IsMember({"terminal", "json"}))->type_name("FORM");
    history_cmd->add_option("--on", past.on, "the date for which versions are judged, as 2026-05-02; none if not given")->type_name("DATE");
    add_common(history_cmd, past.common, false);

    auto* git_cmd = app.add_subcommand("git", "lets git compare and merge recipes by what they mean");
    git_cmd->require_subcommand(1);
    GitSetupOptions git_setup;
    auto* git_setup_cmd = git_cmd->add_subcommand("setup", "tells git of this repository to hand recipes to scruple");
    git_setup_cmd->add_flag("--global", git_setup.global, "every repository of yours");
    git_setup_cmd->add_flag("--remove", git_setup.remove, "take the settings away again");
    git_setup_cmd->footer("Sets diff.scruple and merge.scruple in git's settings, and adds a line to .gitattributes. Then `git diff`\n"
                          "says what a change does, `git log -p` and `git show` compare recipes without layout and order, their\n"
                          "hunks name the blend, and `git merge` joins edits of different oils. `git diff --no-ext-diff` compares\n"
                          "as `git log -p` does, `git diff --no-ext-diff --no-textconv` line by line.");
    GitMergeOptions git_merge;
    auto* git_merge_cmd = git_cmd->add_subcommand("merge", "called by git: two edits of a recipe made one");
    git_merge_cmd->add_option("BASE", git_merge.base, "the recipe before both edits")->required();
    git_merge_cmd->add_option("OURS", git_merge.ours, "our edit; the result goes into this file")->required();
    git_merge_cmd->add_option("THEIRS", git_merge.theirs, "their edit")->required();
    git_merge_cmd->add_option("--marker-size", git_merge.marker_size, "length of the marks around a conflict")->check(CLI::Range(1, 1000))->type_name("N");
    git_merge_cmd->add_option("--path", git_merge.path, "where the recipe stands, so that what follows from the merge is looked at")->type_name("PATH");
    git_merge_cmd->add_option("--base-label", git_merge.base_label, "what the base is called at a conflict")->type_name("TEXT");
    git_merge_cmd->add_option("--ours-label", git_merge.ours_label, "the same of our side")->type_name("TEXT");
    git_merge_cmd->add_option("--theirs-label", git_merge.theirs_label, "the same of their side")->type_name("TEXT");
    git_merge_cmd->footer("Exit status, as git takes it: 0 merged, 1 somebody must look (a conflict, or a merge that does not compile,\n"
                          "or could hurt more than either side), 129 nothing was done.");
    GitTextconvOptions git_textconv;
    auto* git_textconv_cmd = git_cmd->add_subcommand("textconv", "called by git: a recipe as plain lines to compare");
    git_textconv_cmd->add_option("FILE", git_textconv.file, "the recipe")->required();
    GitDiffOptions git_diff;
    auto* git_diff_cmd = git_cmd->add_subcommand("diff", "called by git: what differs between two texts of a recipe");
    git_diff_cmd->add_option("ARGUMENTS", git_diff.arguments, "as git gives them to an external diff driver")->required()->type_name("");
    add_common(git_diff_cmd, git_diff.common, false);

    ExplainOptions explain;
    auto* explain_cmd = app.add_subcommand("explain", "the long answer to a finding's code, a field or a kind");
    explain_cmd->add_option("WORD", explain.word, "for example over_limit, density or blend; none lists all");
    add_common(explain_cmd, explain.common, false);

    LibraryOptions library;
    auto* library_cmd = app.add_subcommand("library", "look into the oils, ingredients, formats, limits and sources");
    library_cmd->add_option("WORDS", library.words, "a name for all about it, or words to search for, several at once: calming base;\n"
                            "contains SUBSTANCE; limit NAME; with --to csv the name of a table");
    library_cmd->add_option("--for", library.format, "of what the words find, how much of each oil this format takes, and what is not known")
        ->type_name("FORMAT");
    library_cmd->add_flag("--doubts", library.doubts, "what rests on memory or on working out, so that it can be worked off");
    library_cmd->add_option("--to", library.to, "all of the library for machines: json or csv")
        ->check(CLI::IsMember({"json", "csv"}))
        ->type_name("FORM");
    library_cmd->add_option("--out", library.out, "write files into this folder instead of the screen")->type_name("DIR");
    add_common(library_cmd, library.common, false);

    FormatOptions format;
    auto* format_cmd = app.add_subcommand("format", "write recipes in the one layout; what they say stays as it is");
    format_cmd->add_option("PATH", format.paths,
                           "folders or recipes (the current folder if none is given); - takes a recipe from standard\n"
                           "input and writes it to standard output");
    format_cmd->add_flag("--check", format.check, "write nothing; exit status 10 if a recipe is not in the layout");
    format_cmd->add_flag("--diff", format.diff, "write nothing; print what would change, as a unified diff");
    format_cmd->add_option("--lines", format.lines,
                           "only rows that reach into lines A to B, counted from 1, of one recipe; may be given again")
        ->allow_extra_args(false)
        ->type_name("A:B");
    format_cmd->footer("What can't be read stays as it is, byte for byte, and is reported; the rest of the file is laid out\n"
                       "around it. A recipe is replaced as a whole or not at all, and only if something changes.");
    add_common(format_cmd, format.common, false);

    NewOptions fresh;
    auto* new_cmd = app.add_subcommand("new", "make a folder with a first collection");
    new_cmd->add_option("DIR", fresh.folder, "the folder to make")->required();
    add_common(new_cmd, fresh.common, false);

    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& e) {
        if (e.get_exit_code() == 0) {
            std::ostringstream out;
            app.exit(e, out, out);
            return write_out(out.str()) ? kClean : kIoFailed;
        }
        say(fmt::format("scruple: {}\n", e.what()));
        say("`scruple --help` shows the commands, `scruple build --help` those of one.\n");
        return kWrongUse;
    }
    if (check_cmd->parsed()) return date_good(check.on) ? run_check(*files, check) : kWrongUse;
    if (build_cmd->parsed()) return date_good(build.on) ? run_build(*files, build) : kWrongUse;
    if (bench_cmd->parsed()) return date_good(bench.on) ? run_bench(*files, bench) : kWrongUse;
    if (advise_cmd->parsed()) return date_good(advise.on) ? run_advise(*files, advise) : kWrongUse;
    for (const auto& side : {diff_old, diff_new}) {
        if (!side.empty()) diff.sides.push_back(side);
    }
    if (diff_cmd->parsed()) return date_good(diff.on) ? run_diff(*files, diff) : kWrongUse;
    if (history_cmd->parsed()) return date_good(past.on) ? run_history(*files, past) : kWrongUse;
    if (git_setup_cmd->parsed()) return run_git_setup(*files, git_setup);
    if (git_merge_cmd->parsed()) return run_git_merge(*files, git_merge);
    if (git_textconv_cmd->parsed()) return run_git_textconv(*files, git_textconv);
    if (git_diff_cmd->parsed()) return run_git_diff(*files, git_diff);
    if (explain_cmd->parsed()) return run_explain(explain);
    if (library_cmd->parsed()) return run_library(*files, library);
    if (format_cmd->parsed()) return run_format(*files, format);
    if (new_cmd->parsed()) return run_new(*files, fresh);
    return write_out(app.help()) ? kClean : kIoFailed;
}

}  // namespace

int run_program(int argc, char** argv) {
    try {
        return run(argc, argv);
    } catch (const std::exception& e) {
        say(fmt::format("scruple: a fault of the program itself, not of the recipe: {}\n"
                              "Please report it with the recipe that shows it; no file was half-written.\n",
                              e.what()));
    } catch (...) {
        say("scruple: a fault of the program itself, not of the recipe\n");
    }
    return kOurFault;
}

}  // namespace scruple
