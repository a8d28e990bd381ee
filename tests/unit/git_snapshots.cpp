// Against git's own program, in repositories that it makes here.
#include <catch2/catch.hpp>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

#include "base/process.h"
#include "git/tree_file_system.h"

using namespace scruple;

namespace {

/// A folder of its own with a repository, gone at the end.
class TemporaryRepository {
public:
    explicit TemporaryRepository(bool with_commit = true) {
        std::string pattern = (std::filesystem::temp_directory_path() / "scruple-git-XXXXXX").string();
        REQUIRE(::mkdtemp(pattern.data()) != nullptr);
        base = std::filesystem::canonical(pattern).string();
        folder = base + "/stillroom";
        std::filesystem::create_directories(folder);
        git({"init", "-q", "-b", "main"});
        if (!with_commit) return;
        put("collection.scruple", "# the stillroom\n");
        put("night/dusk.scruple", "blend dusk {\n    2 lavender\n}\n");
        commit("first");
    }
    TemporaryRepository(const TemporaryRepository&) = delete;
    TemporaryRepository& operator=(const TemporaryRepository&) = delete;
    ~TemporaryRepository() { std::filesystem::remove_all(base); }

    ProcessResult git_in(const std::string& where, std::vector<std::string> arguments) const {
        ProcessRequest request;
        request.arguments = {"git", "-c", "user.name=Ada", "-c", "user.email=ada@stillroom.invalid",
                             "-c", "protocol.file.allow=always"};
        request.arguments.insert(request.arguments.end(), arguments.begin(), arguments.end());
        request.folder = where;
        request.environment = {{"GIT_CONFIG_GLOBAL", "/dev/null"}, {"GIT_CONFIG_SYSTEM", "/dev/null"}};
        return run_process(request);
    }
    void git(std::vector<std::string> arguments) const {
        const auto done = git_in(folder, std::move(arguments));
        INFO(done.error);
        REQUIRE(done.good());
    }
    void put(const std::string& path, const std::string& text) const {
        const auto whole = std::filesystem::path(folder) / path;
        std::filesystem::create_directories(whole.parent_path());
        std::ofstream(whole, std::ios::binary) << text;
    }
    void commit(const std::string& message) const {
        git({"add", "-A"});
        git({"commit", "-q", "-m", message});
    }
    std::unique_ptr<GitRepository> open(const std::string& path) const {
        auto opened = GitRepository::open(path);
        INFO(opened.fault);
        REQUIRE(opened.repository);
        return std::move(opened.repository);
    }

    std::string base;
    std::string folder;
};

std::string text_at(const GitSnapshot& snapshot, const std::string& path) {
    INFO(snapshot.fault);
    REQUIRE(snapshot.files);
    const auto read = snapshot.files->read(path, 1u << 20);
    INFO(path << ": " << describe(read.error) << " " << read.detail);
    REQUIRE(read.error == IoError::none);
    return read.text;
}

}  // namespace

TEST_CASE("a program gets its arguments and input as they are, and its output comes back") {
    ProcessRequest request;
    request.arguments = {"cat", "-"};
    const std::string large(3u << 20, 'x');  // more than a pipe holds
    request.input = large;
    auto done = run_process(request);
    CHECK(done.good());
    CHECK(done.output == large);

    request.arguments = {"printf", "%s|", "a b", "$HOME", "*", ""};
    request.input = {};
    CHECK(run_process(request).output == "a b|$HOME|*||");

    request.arguments = {"sh", "-c", "pwd; echo \"$SCRUPLE_TEST_WORD\"; echo lost >&2; exit 3"};
    request.folder = "/";
    request.environment = {{"SCRUPLE_TEST_WORD", "a=b c"}};
    done = run_process(request);
    CHECK(done.end == ProcessEnd::exited);
    CHECK(done.status == 3);
    CHECK(done.output == "/\na=b c\n");
    CHECK(done.error == "lost\n");
}

TEST_CASE("a program that misbehaves ends the call, and not this program") {
    ProcessRequest request;
    request.arguments = {"scruple-no-such-program"};
    CHECK(run_process(request).end == ProcessEnd::not_found);
    request.arguments = {"/"};
    CHECK(run_process(request).end == ProcessEnd::not_started);
    request.arguments = {std::string("ca\0t", 4)};
    CHECK(run_process(request).end == ProcessEnd::not_started);
    request.arguments = {};
    CHECK(run_process(request).end == ProcessEnd::not_found);
    request.arguments = {"true"};
    request.folder = "/no such folder";
    CHECK(run_process(request).end == ProcessEnd::not_started);
    request.folder = {};

    request.arguments = {"sleep", "60"};
    request.seconds = 1;
    CHECK(run_process(request).end == ProcessEnd::too_long);
    request.arguments = {"sh", "-c", "exec >&- 2>&-; exec sleep 60"};
    CHECK(run_process(request).end == ProcessEnd::too_long);
    request.arguments = {"yes"};
    request.seconds = 60;
    request.output_bytes = 1000;
    CHECK(run_process(request).end == ProcessEnd::too_much);
    request.arguments = {"sh", "-c", "kill -9 $$"};
    const auto killed = run_process(request);
    CHECK(killed.end == ProcessEnd::killed);
    CHECK(killed.status == 9);

    const std::string large(3u << 20, 'x');
    request.arguments = {"true"};  // reads nothing
    request.input = large;
    CHECK(run_process(request).good());
}

TEST_CASE("a revision, the index and the working tree are three states of the same paths") {
    TemporaryRepository made;
    made.put("night/dusk.scruple", "staged\n");
    made.git({"add", "-A"});
    made.put("night/dusk.scruple", "not yet\n");
    const auto repository = made.open(made.folder + "/night");
    CHECK(repository->top() == made.folder);
    CHECK_FALSE(repository->bare());
    const std::string dusk = made.folder + "/night/dusk.scruple";
    const auto head = git_snapshot(*repository, "HEAD");
    CHECK(head.commit.size() >= 40);
    CHECK(text_at(head, dusk) == "blend dusk {\n    2 lavender\n}\n");
    CHECK(text_at(git_index_snapshot(*repository), dusk) == "staged\n");

    CHECK(head.files->kind(made.folder) == EntryKind::folder);
    CHECK(head.files->kind(made.folder + "/.git") == EntryKind::folder);
    CHECK(head.files->kind(made.folder + "/night") == EntryKind::folder);
    CHECK(head.files->kind(made.base) == EntryKind::folder);
    CHECK(head.files->kind(made.folder + "/none") == EntryKind::missing);
    CHECK(head.files->canonical(made.folder + "/night/../night/./dusk.scruple") == dusk);
    CHECK(head.files->canonical(dusk + "/x").empty());
    const auto listed = head.files->list(made.folder);
    REQUIRE(listed.entries.size() == 2);
    CHECK(listed.entries[0].name == "collection.scruple");
    CHECK(listed.entries[1].kind == EntryKind::folder);
    CHECK(head.files->read(dusk, 5).error == IoError::too_large);
    CHECK(head.files->read(dusk, 1000).error == IoError::none);
    CHECK(head.files->read(made.folder, 5).error == IoError::is_folder);
    CHECK(head.files->read_below(made.folder + "/day", dusk, 1000).error == IoError::outside_root);
    CHECK(head.files->write_atomically(dusk, "x").error == IoError::not_permitted);
}

TEST_CASE("what names no commit is said") {
    TemporaryRepository made;
    const auto repository = made.open(made.folder);
    for (const std::string bad : {"nowhere", "", "--all", "HEAD~1", "HEAD:night"}) {
        const auto got = git_snapshot(*repository, bad);
        CHECK(got.fault == "`" + bad + "` names no commit of this repository");
        CHECK_FALSE(got.files);
    }
    CHECK(GitRepository::open(made.base).fault == made.base + " lies in no git repository that revisions could be read from");
    TemporaryRepository empty(false);
    CHECK(git_snapshot(*empty.open(empty.folder), "HEAD").fault == "there is no commit yet");
    CHECK(git_index_snapshot(*empty.open(empty.folder)).fault.empty());
}

TEST_CASE("odd paths, links and submodules of a revision") {
    TemporaryRepository made;
    TemporaryRepository other;
    made.put("a \"b\"\n\t\xff/\xc3\xa9.scruple", "odd\n");
    made.put("large.bin", std::string(2u << 20, '\0'));
    std::filesystem::create_symlink("night/dusk.scruple", made.folder + "/link.scruple");
    std::filesystem::create_symlink("night", made.folder + "/evening");
    std::filesystem::create_symlink("../outside.scruple", made.folder + "/out.scruple");
    std::filesystem::create_symlink("turn.scruple", made.folder + "/turn.scruple");
    made.git({"submodule", "--quiet", "add", other.folder, "guest"});
    made.commit("odd");
    const auto repository = made.open(made.folder);
    const auto head = git_snapshot(*repository, "HEAD");
    CHECK(text_at(head, made.folder + "/a \"b\"\n\t\xff/\xc3\xa9.scruple") == "odd\n");
    CHECK(text_at(head, made.folder + "/link.scruple") == "blend dusk {\n    2 lavender\n}\n");
    CHECK(text_at(head, made.folder + "/evening/dusk.scruple") == "blend dusk {\n    2 lavender\n}\n");
    CHECK(head.files->canonical(made.folder + "/evening/../link.scruple") == made.folder + "/night/dusk.scruple");
    CHECK(head.files->canonical(made.folder + "/out.scruple") == made.base + "/outside.scruple");
    CHECK(head.files->read(made.folder + "/out.scruple", 10).error == IoError::outside_root);
    CHECK(head.files->read(made.folder + "/turn.scruple", 10).error == IoError::link_loop);
    CHECK(head.files->read(made.folder + "/large.bin", 1u << 20).error == IoError::too_large);
    CHECK(head.files->kind(made.folder + "/guest") == EntryKind::other);
    CHECK(head.submodules == std::vector<std::string>{"guest"});
}

TEST_CASE("bare and shallow clones, worktrees and sparse ones") {
    TemporaryRepository made;
    made.put("night/dusk.scruple", "second\n");
    made.commit("second");
    const auto text = [&](const std::string& where) {
        const auto repository = made.open(where);
        return text_at(git_snapshot(*repository, "HEAD"), repository->top() + "/night/dusk.scruple");
    };
    REQUIRE(made.git_in(made.base, {"clone", "-q", "--bare", made.folder, "bare.git"}).good());
    CHECK(made.open(made.base + "/bare.git")->bare());
    CHECK(text(made.base + "/bare.git") == "second\n");

    REQUIRE(made.git_in(made.base, {"clone", "-q", "--depth", "1", "file://" + made.folder, "shallow"}).good());
    CHECK(text(made.base + "/shallow") == "second\n");
    CHECK(git_snapshot(*made.open(made.base + "/shallow"), "HEAD~1").fault ==
          "`HEAD~1` names no commit of this repository, which is shallow: `git fetch --unshallow` brings the commits before");

    made.git({"worktree", "add", "-q", "--detach", made.base + "/beside", "HEAD~1"});
    CHECK(text(made.base + "/beside") == "blend dusk {\n    2 lavender\n}\n");
    CHECK(made.open(made.base + "/beside")->top() == made.base + "/beside");

    made.git({"sparse-checkout", "set", "--no-cone", "/collection.scruple"});
    CHECK_FALSE(std::filesystem::exists(made.folder + "/night/dusk.scruple"));
    CHECK(text(made.folder) == "second\n");
    const auto repository = made.open(made.folder);
    CHECK(text_at(git_index_snapshot(*repository), made.folder + "/night/dusk.scruple") == "second\n");
}

TEST_CASE("in the middle of a merge the index has no one text") {
    TemporaryRepository made;
    made.git({"checkout", "-q", "-b", "side"});
    made.put("night/dusk.scruple", "side\n");
    made.commit("side");
    made.git({"checkout", "-q", "main"});
    made.put("night/dusk.scruple", "main\n");
    made.commit("main");
    CHECK(made.git_in(made.folder, {"merge", "-q", "side"}).status == 1);
    CHECK(git_index_snapshot(*made.open(made.folder)).fault ==
          "night/dusk.scruple is in the middle of a merge, and the index has no one text of it");
}
