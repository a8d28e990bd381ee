#include "git/log.h"

#include <fmt/core.h>

#include <algorithm>
#include <string_view>

namespace scruple {
namespace {

/// Nothing that a maker's settings, attributes or replacements say may change what is read.
const std::vector<std::string> kLogArguments = {
    "-c", "log.showRoot=true", "log", "--topo-order", "--reverse", "--no-color", "--no-show-signature", "--no-notes",
    "--no-decorate", "--no-ext-diff", "--no-textconv", "--no-renames", "--raw", "-z", "--no-abbrev",
    "--diff-merges=first-parent", "--encoding=UTF-8", "--format=tformat:%x02%H%x00%P%x00%as%x00%an%x00%s"};

std::string_view next_token(std::string_view& rest) {
    const auto at = std::min(rest.find('\0'), rest.size());
    const auto token = rest.substr(0, at);
    rest.remove_prefix(std::min(rest.size(), at + 1));
    return token;
}

/// The piece of `:OLDMODE MODE OLDID ID STATUS` with this number.
std::string_view raw_piece(std::string_view raw, int number) {
    for (; number > 0; --number) raw.remove_prefix(std::min(raw.size(), raw.find(' ') + 1));
    return raw.substr(0, raw.find(' '));
}

}  // namespace

GitFault git_log(const GitRepository& repository, const std::string& revisions, std::vector<GitCommit>& out) {
    out.clear();
    if (revisions.empty() || revisions.starts_with('-')) return fmt::format("`{}` names no commits", revisions);
    auto arguments = kLogArguments;
    arguments.push_back("--end-of-options");
    arguments.push_back(revisions);
    arguments.push_back("--");
    std::string output;
    if (auto fault = repository.run(arguments, {}, output); !fault.empty()) {
        const bool unknown = fault.find("bad revision") != std::string::npos || fault.find("unknown revision") != std::string::npos;
        return unknown ? fmt::format("`{}` names no commits of this repository", revisions) : fault;
    }
    for (std::string_view rest = output; !rest.empty();) {
        auto token = next_token(rest);
        if (token.starts_with('\n')) token.remove_prefix(1);  // between a message and the files
        if (token.starts_with('\x02')) {
            GitCommit& commit = out.emplace_back();
            commit.id = token.substr(1);
            for (auto parents = next_token(rest); !parents.empty();) {
                const auto parent = parents.substr(0, parents.find(' '));
                commit.parents.emplace_back(parent);
                parents.remove_prefix(std::min(parents.size(), parent.size() + 1));
            }
            commit.date = next_token(rest);
            commit.author = next_token(rest);
            commit.subject = next_token(rest);
            continue;
        }
        if (!token.starts_with(':') || out.empty()) continue;
        GitCommit::Change change;
        const auto mode = raw_piece(token, 1);
        change.kind = mode == "120000" ? GitEntryKind::link : mode == "160000" ? GitEntryKind::submodule : GitEntryKind::file;
        if (mode != "000000") change.id = raw_piece(token, 3);
        change.path = next_token(rest);
        out.back().changes.push_back(std::move(change));
    }
    return {};
}

}  // namespace scruple
