#include "git/repository.h"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <set>
#include <utility>

#include "base/file_system.h"
#include "base/process.h"

namespace scruple {
namespace {

constexpr std::uint64_t kTextAtOnce = 128u << 20;  // of texts in one run of git

std::string_view first_line(std::string_view text) {
    text = text.substr(0, text.find('\n'));
    for (const std::string_view prefix : {"fatal: ", "error: "}) {
        if (text.starts_with(prefix)) text.remove_prefix(prefix.size());
    }
    return text;
}

GitFault fault_of(const ProcessResult& done, std::string_view what) {
    switch (done.end) {
        case ProcessEnd::not_found:
            return "git's program is not to be found in PATH, and revisions are read through it";
        case ProcessEnd::not_started: return fmt::format("git could not be started: {}", done.error);
        case ProcessEnd::killed: return fmt::format("git {} was stopped by signal {}", what, done.status);
        case ProcessEnd::too_long: return fmt::format("git {} took too long and was stopped", what);
        case ProcessEnd::too_much: return fmt::format("git {} gave more than can be read at once", what);
        case ProcessEnd::exited: break;
    }
    if (done.status == 0) return {};
    const auto said = first_line(done.error);
    return said.empty() ? fmt::format("git {} failed with status {}", what, done.status) : fmt::format("git {}: {}", what, said);
}

ProcessResult ask(std::vector<std::string> arguments, const std::string& folder, std::string_view input) {
    ProcessRequest request;
    request.arguments = std::move(arguments);
    request.arguments.insert(request.arguments.begin(), "git");
    request.folder = folder;
    request.input = input;
    // Its words in one language, no questions, and no lock taken for the sake of reading.
    request.environment = {{"LC_ALL", "C"}, {"GIT_TERMINAL_PROMPT", "0"}, {"GIT_OPTIONAL_LOCKS", "0"}, {"GIT_PAGER", "cat"}};
    return run_process(request);
}

/// The next piece up to `end`, which is taken off with it.
std::string_view cut(std::string_view& rest, char end) {
    const auto at = std::min(rest.find(end), rest.size());
    const auto out = rest.substr(0, at);
    rest.remove_prefix(std::min(rest.size(), at + 1));
    return out;
}

GitEntryKind kind_of_mode(std::string_view mode) {
    return mode == "120000" ? GitEntryKind::link : mode == "160000" ? GitEntryKind::submodule : GitEntryKind::file;
}

void by_path(std::vector<GitEntry>& entries) {
    std::sort(entries.begin(), entries.end(), [](const GitEntry& a, const GitEntry& b) { return a.path < b.path; });
}

}  // namespace

GitRepository::Opened GitRepository::open(const std::string& path) {
    const auto files = real_file_system();
    // A relative GIT_DIR is meant from here, and git would take it from where it runs.
    std::string folder;
    if (environment_variable("GIT_DIR").empty()) {
        folder = path.empty() ? "." : path;
        if (files->kind(folder) != EntryKind::folder) folder = path_parent(folder);
    }
    const auto asked = [&](std::vector<std::string> what, std::string& line) -> GitFault {
        what.insert(what.begin(), "rev-parse");
        auto done = ask(std::move(what), folder, {});
        if (auto fault = fault_of(done, "rev-parse"); !fault.empty()) return fault;
        if (done.output.ends_with('\n')) done.output.pop_back();
        line = std::move(done.output);
        return {};
    };
    auto repository = std::make_unique<GitRepository>();
    std::string bare;
    std::string shallow;
    if (auto fault = asked({"--absolute-git-dir"}, repository->folder_); !fault.empty()) {
        if (fault.find("not a git repository") != std::string::npos) {
            fault = fmt::format("{} lies in no git repository that revisions could be read from", path.empty() ? "." : path);
        }
        return {std::move(fault), nullptr};
    }
    if (auto fault = asked({"--is-bare-repository"}, bare); !fault.empty()) return {std::move(fault), nullptr};
    if (auto fault = asked({"--is-shallow-repository"}, shallow); !fault.empty()) return {std::move(fault), nullptr};
    repository->bare_ = bare == "true";
    repository->shallow_ = shallow == "true";
    // Inside the folder of a repository there is no working tree to speak of: its own folder stands for it.
    if (repository->bare_ || !asked({"--show-toplevel"}, repository->top_).empty()) repository->top_ = repository->folder_;
    return {{}, std::move(repository)};
}

GitFault GitRepository::run(const std::vector<std::string>& arguments, std::string_view input, std::string& output) const {
    std::vector<std::string> all = {"--git-dir=" + folder_};
    all.insert(all.end(), arguments.begin(), arguments.end());
    auto done = ask(std::move(all), {}, input);
    output = std::move(done.output);
    return fault_of(done, arguments.empty() ? "" : arguments.front());
}

GitFault GitRepository::commit(std::string_view revision, std::string& id) const {
    const bool odd = revision.empty() || revision.starts_with('-') || revision.find('\0') != std::string_view::npos;
    std::string output;
    if (!odd) {
        const auto fault = run({"rev-parse", "--verify", "--quiet", std::string(revision) + "^{commit}"}, {}, output);
        if (fault.empty()) {
            std::string_view rest = output;
            id = cut(rest, '\n');
            return {};
        }
        if (!fault.ends_with("failed with status 1")) return fault;
    }
    if (revision == "HEAD") return "there is no commit yet";
    return fmt::format("`{}` names no commit of this repository{}", revision,
                       shallow_ ? ", which is shallow: `git fetch --unshallow` brings the commits before" : "");
}

GitFault GitRepository::files(const std::string& id, std::vector<GitEntry>& entries) const {
    entries.clear();
    std::string output;
    if (auto fault = run({"ls-tree", "-r", "-z", "--full-tree", id}, {}, output); !fault.empty()) return fault;
    for (std::string_view rest = output; !rest.empty();) {  // MODE TYPE ID<tab>PATH
        auto line = cut(rest, '\0');
        auto head = cut(line, '\t');
        const auto mode = cut(head, ' ');
        cut(head, ' ');
        entries.push_back({std::string(line), std::string(head), kind_of_mode(mode)});
    }
    by_path(entries);
    return {};
}

GitFault GitRepository::index(std::vector<GitEntry>& entries) const {
    entries.clear();
    std::string output;
    if (auto fault = run({"ls-files", "-s", "-z", "--full-name", "--", ":/"}, {}, output); !fault.empty()) return fault;
    for (std::string_view rest = output; !rest.empty();) {  // MODE ID STAGE<tab>PATH
        auto line = cut(rest, '\0');
        auto head = cut(line, '\t');
        const auto mode = cut(head, ' ');
        const auto blob = cut(head, ' ');
        if (head != "0") return fmt::format("{} is in the middle of a merge, and the index has no one text of it", line);
        entries.push_back({std::string(line), std::string(blob), kind_of_mode(mode)});
    }
    by_path(entries);
    return {};
}

GitFault GitRepository::blobs(const std::vector<std::string>& ids, std::uint64_t most, std::map<std::string, Blob>& out) {
    std::set<std::string> wanted;
    for (const auto& id : ids) {
        const auto found = known_.find(id);
        if (found == known_.end() || (found->second.found && !found->second.text && found->second.bytes <= most)) wanted.insert(id);
    }
    // How large each is comes first: a text that is too large must not be read to be thrown away.
    std::string question;
    for (const auto& id : wanted) question += id + "\n";
    std::string answer;
    if (!wanted.empty()) {
        if (auto fault = run({"cat-file", "--batch-check"}, question, answer); !fault.empty()) return fault;
    }
    std::vector<std::pair<std::string, std::uint64_t>> to_read;
    for (std::string_view rest = answer; !rest.empty();) {  // ID TYPE SIZE, or ID missing
        auto line = cut(rest, '\n');
        const std::string id(cut(line, ' '));
        const auto type = cut(line, ' ');
        Blob& blob = known_[id];
        std::from_chars(line.data(), line.data() + line.size(), blob.bytes);
        blob.found = type == "blob";
        if (blob.found && blob.bytes <= most) to_read.emplace_back(id, blob.bytes);
    }
    for (std::size_t at = 0; at < to_read.size();) {
        question.clear();
        std::uint64_t together = 0;
        for (; at < to_read.size() && (together == 0 || together + to_read[at].second <= kTextAtOnce); ++at) {
            together += to_read[at].second + 1;
            question += to_read[at].first + "\n";
        }
        if (auto fault = run({"cat-file", "--batch"}, question, answer); !fault.empty()) return fault;
        for (std::string_view rest = answer; !rest.empty();) {  // ID TYPE SIZE, the text, a line break
            auto line = cut(rest, '\n');
            Blob& blob = known_[std::string(cut(line, ' '))];
            if (!blob.found || rest.size() < blob.bytes) return "git cat-file gave less than it said";
            blob.text = std::make_shared<const std::string>(rest.substr(0, blob.bytes));
            rest.remove_prefix(std::min<std::size_t>(rest.size(), blob.bytes + 1));
        }
    }
    for (const auto& id : ids) out[id] = known_[id];
    return {};
}

}  // namespace scruple
