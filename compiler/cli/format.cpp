#include <fmt/core.h>

#include <algorithm>
#include <cstdio>
#include <optional>
#include <set>

#include "cli/commands.h"
#include "cli/exit_codes.h"
#include "cli/findings.h"
#include "cli/terminal.h"
#include "layout/format.h"
#include "sema/recipes.h"

namespace scruple {
namespace {

struct Recipe {
    std::string path;   // for the file system
    std::string shown;  // as the maker named it
};

/// Everything below a path, under the names that it has from where the maker stands.
void recipes_of(const FileSystem& files, const std::string& given, const ResourceLimits& limits, Bag& bag,
                std::set<std::string>& seen, std::vector<Recipe>& out) {
    const auto real = files.canonical(given);
    for (const auto& plan : find_collections(files, {given}, false, limits, bag)) {
        for (const auto& path : recipes_in(files, plan, limits, bag)) {
            if (!seen.insert(files.canonical(path)).second) continue;
            std::string shown = given;
            if (path != real && path_is_below(path, real)) {
                shown = path_normal(path_join(given, path.substr(real == "/" ? 1 : real.size() + 1)));
            }
            out.push_back({path, shown});
        }
    }
}

std::optional<LineRange> line_range(const std::string& text) {
    const auto colon = text.find(':');
    if (colon == std::string::npos) return std::nullopt;
    LineRange out;
    const auto number = [](const std::string& digits, std::uint32_t& into) {
        if (digits.empty() || digits.size() > 9 || digits.find_first_not_of("0123456789") != std::string::npos) {
            return false;
        }
        into = static_cast<std::uint32_t>(std::stoul(digits));
        return into > 0;
    };
    if (!number(text.substr(0, colon), out.first) || !number(text.substr(colon + 1), out.last)) return std::nullopt;
    if (out.first > out.last) return std::nullopt;
    return out;
}

/// Standard input up to a bound.
ReadResult read_input(std::uint64_t most) {
    ReadResult out;
    char buffer[65536];
    while (const std::size_t got = std::fread(buffer, 1, sizeof buffer, stdin)) {
        out.text.append(buffer, got);
        if (out.text.size() > most) {
            out.error = IoError::too_large;
            return out;
        }
    }
    if (std::ferror(stdin) != 0) out.error = IoError::other;
    return out;
}

class Formatter {
public:
    Formatter(FileSystem& files, const FormatOptions& options, std::vector<LineRange> ranges)
        : files_(files), options_(options), ranges_(std::move(ranges)) {
        found_.collections.push_back(std::make_unique<Compilation>());
    }

    void take(const Recipe& recipe) {
        const auto read = files_.read(recipe.path, limits_.file_bytes);
        if (!readable(read, recipe.shown)) return;
        const Formatted done = format(read.text, recipe.shown);
        ++count_;
        if (!done.changed) return;
        ++changed_;
        if (options_.diff) {
            put_recipe(unified_diff(read.text, done.layout.text, plain_text(recipe.shown), done.layout.pieces));
        } else if (options_.check) {
            put(fmt::format("{} is not in the layout\n", recipe.shown));
        } else {
            const auto written = files_.write_atomically(recipe.path, done.layout.text);
            if (written.error == IoError::none) {
                put(fmt::format("{} written\n", recipe.shown));
                return;
            }
            --changed_;
            failed_ = true;
            say(fmt::format("scruple: cannot write {}: {}\n", recipe.shown, describe(written.error)));
        }
    }

    void take_input() {
        const auto read = read_input(limits_.file_bytes);
        if (!readable(read, kInput)) return;
        const Formatted done = format(read.text, kInput);
        changed_ += done.changed ? 1 : 0;
        if (options_.diff) {
            put_recipe(unified_diff(read.text, done.layout.text, kInput, done.layout.pieces));
        } else if (options_.check) {
            if (done.changed) put(fmt::format("{} is not in the layout\n", kInput));
        } else {
            put_recipe(done.layout.text);
        }
        quiet_ = true;
    }

    int finish(const Bag& bag) {
        found_.lost = bag.items();
        found_.collections[0]->errors = found_.collections[0]->diagnostics.size();
        if (!options_.diff && !quiet_ && count_ > 0) {
            put(fmt::format("{} {}, {}\n", count_, count_ == 1 ? "recipe" : "recipes", summary()));
        }
        if (!print_findings(found_, options_.common, Stream::err)) failed_ = true;
        for (const auto& said : left_) say(said);
        if (failed_) return kIoFailed;
        if (fault_) return kOurFault;
        if (const int status = exit_status(found_); status != kClean) return status;
        return options_.check && changed_ > 0 ? kDiffers : kClean;
    }

private:
    static constexpr const char* kInput = "standard input";

    std::string summary() const {
        if (changed_ == 0 && failed_) return options_.check ? "none to change in what could be read" : "none written";
        if (changed_ == 0) return options_.check || !left_.empty() ? "none to change" : "all in the layout already";
        if (options_.check) return fmt::format("{} not in the layout", changed_);
        return fmt::format("{} written", changed_);
    }

    bool readable(const ReadResult& read, const std::string& shown) {
        if (read.error == IoError::none) return true;
        failed_ = true;
        if (read.error == IoError::too_large) {
            say(fmt::format("scruple: {} is larger than {} bytes, and that is the limit of one file\n", shown,
                            limits_.file_bytes));
        } else {
            const bool other = read.error == IoError::other && !read.detail.empty();
            say(fmt::format("scruple: cannot read {}: {}\n", shown, other ? read.detail : describe(read.error)));
        }
        return false;
    }

    Formatted format(const std::string& text, const std::string& shown) {
        auto& kept = *found_.collections[0];
        Formatted done = format_text(FileId{static_cast<std::uint32_t>(kept.sources.size())}, text, limits_, ranges_);
        if (!done.mistakes.empty()) {
            kept.sources.add(shown, text);
            for (auto& d : done.mistakes) kept.diagnostics.push_back(d);
        }
        using Untouched = Formatted::Untouched;
        if (done.untouched == Untouched::mistakes) {
            left_.push_back(fmt::format("{}: left as it is, since it has mistakes\n", shown));
        } else if (done.untouched == Untouched::too_long) {
            left_.push_back(fmt::format("{}: left as it is, since it would get larger than {} bytes, which is the limit "
                                        "of one file\n", shown, limits_.file_bytes));
        } else if (done.untouched == Untouched::fault) {
            fault_ = true;
            left_.push_back(fmt::format("scruple: {}: left as it is, since its layout would not say the same: a fault of "
                                        "the program. Please report it with the recipe.\n", shown));
        } else if (done.layout.kept > 0) {
            left_.push_back(fmt::format("{}: {} with mistakes left as {}\n", shown,
                                        done.layout.kept == 1 ? "a declaration"
                                                              : fmt::format("{} declarations", done.layout.kept),
                                        done.layout.kept == 1 ? "it is" : "they are"));
        }
        return done;
    }

    /// Recipe text, or a diff of it. A program gets the recipe's own bytes, or a diff could not be applied; in front of
    /// people they must not act as commands, and a line's CR LF is no news.
    void put_recipe(const std::string& text) {
        if (!is_terminal(Stream::out)) {
            if (!write_out(text)) failed_ = true;
            return;
        }
        std::string shown;
        for (std::size_t at = 0; at < text.size(); ++at) {
            if (text.compare(at, 2, "\r\n") != 0) shown += text[at];
        }
        put(shown);
    }

    void put(const std::string& text) {
        if (!write_out(plain_text(text))) failed_ = true;
    }

    FileSystem& files_;
    const FormatOptions& options_;
    std::vector<LineRange> ranges_;
    ResourceLimits limits_;
    Compiled found_;                  // the mistakes, and the texts that they stand in
    std::vector<std::string> left_;   // what was left as it is
    std::size_t count_ = 0;
    std::size_t changed_ = 0;
    bool failed_ = false;
    bool fault_ = false;
    bool quiet_ = false;
};

}  // namespace

int run_format(FileSystem& files, const FormatOptions& options) {
    std::vector<LineRange> ranges;
    for (const auto& text : options.lines) {
        const auto range = line_range(text);
        if (!range) {
            say(fmt::format("scruple: `{}` is no range of lines: --lines takes one written 3:7, the first line being 1\n",
                            text));
            return kWrongUse;
        }
        ranges.push_back(*range);
    }
    auto paths = options.paths;
    if (paths.empty()) paths.emplace_back(".");
    const bool input = std::find(paths.begin(), paths.end(), "-") != paths.end();
    if (input && paths.size() > 1) {
        say("scruple: `-` is standard input, and stands alone\n");
        return kWrongUse;
    }
    Formatter formatter(files, options, ranges);
    Bag bag;
    if (input) {
        formatter.take_input();
        return formatter.finish(bag);
    }
    const ResourceLimits limits;
    std::set<std::string> seen;
    std::vector<Recipe> recipes;
    for (const auto& path : paths) recipes_of(files, path, limits, bag, seen, recipes);
    if (!ranges.empty() && recipes.size() > 1) {
        say("scruple: --lines speaks of one recipe, and there are several\n");
        return kWrongUse;
    }
    for (const auto& recipe : recipes) formatter.take(recipe);
    bag.sort_and_unique();
    return formatter.finish(bag);
}

}  // namespace scruple
