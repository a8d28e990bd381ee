#include "cli/sides.h"

#include <fmt/core.h>

#include <optional>
#include <utility>

namespace scruple {
namespace {

/// What was asked for on one side, before anything is read.
struct SideWish {
    enum class From { path, revision, index, working_tree } from = From::path;
    std::string name;       // as it was asked for
    std::string revision;
    std::optional<std::string> path;  // for a revision: below the top, or below here if it starts with `./`
};

class SideFinder {
public:
    SideFinder(const FileSystem& files, bool staged) : files_(files), staged_(staged) {}

    Sides find(const std::vector<std::string>& arguments) {
        SideWish before{SideWish::From::revision, "HEAD", "HEAD", std::nullopt};
        SideWish after = current();
        if (arguments.size() == 1) {
            one(arguments[0], before, after);
        } else if (arguments.size() > 1) {
            if (staged_) fail("--staged compares with the index, so one side at most is named beside it");
            before = wish(arguments[0]);
            after = wish(arguments[1]);
        }
        // A revision beside a recipe or folder means that recipe or folder in it.
        if (before.from == SideWish::From::path && after.from != SideWish::From::path) share(before, after);
        if (after.from == SideWish::From::path && before.from != SideWish::From::path) share(after, before);
        open(arguments, before, after);
        make(before, sides_.old_side);
        make(after, sides_.new_side);
        return std::move(sides_);
    }

private:
    void fail(std::string fault, bool unreadable = false) {
        if (!sides_.fault.empty()) return;
        sides_.fault = std::move(fault);
        sides_.unreadable = unreadable;
    }

    SideWish current() const {
        if (staged_) return {SideWish::From::index, "the index", {}, std::nullopt};
        return {SideWish::From::working_tree, "the working tree", {}, std::nullopt};
    }

    bool exists(const std::string& path) const { return files_.kind(path) != EntryKind::missing; }

    SideWish wish(const std::string& text) const {
        if (exists(text) || is_document_path(text)) {
            // A document of a revision is named with it: `HEAD:formulas.json`.
            const auto colon = text.find(':');
            if (exists(text) || colon == std::string::npos) return {SideWish::From::path, text, {}, std::nullopt};
        }
        // What looks like a path is meant as one, and missed as one.
        if (text.ends_with(".scruple") && text.find(':') == std::string::npos) {
            return {SideWish::From::path, text, {}, std::nullopt};
        }
        SideWish out{SideWish::From::revision, text, text, std::nullopt};
        const auto colon = text.find(':');
        if (colon != std::string::npos && colon > 0) {
            out.revision = text.substr(0, colon);
            out.path = text.substr(colon + 1);
        }
        return out;
    }

    void one(const std::string& text, SideWish& before, SideWish& after) {
        if (!exists(text)) {
            const auto dots = text.find("...");
            const auto two = text.find("..");
            if (two != std::string::npos) {
                if (staged_) fail("--staged compares with the index, and a range names both sides");
                const std::string left = text.substr(0, two);
                const std::string right = text.substr(two + (dots == two ? 3 : 2));
                before = wish(left.empty() ? "HEAD" : left);
                after = wish(right.empty() ? "HEAD" : right);
                if (dots == two) base_of_ = {before.revision, after.revision};
                return;
            }
        }
        const SideWish named = wish(text);
        if (named.from != SideWish::From::path) {
            before = named;
            // A saved document is compared with the recipes, not with the file that it is now.
            if (!named.path || !is_document_path(*named.path)) after.path = named.path;
            return;
        }
        if (is_document_path(text)) {
            before = named;
            return;
        }
        if (staged_) {
            share(named, after);
            share(named, before);
            return;
        }
        after = named;
    }

    /// `to` stands for the path of `from`, if it names none itself.
    void share(const SideWish& from, SideWish& to) {
        if (to.path || is_document_path(from.name)) return;
        to.path = from.name;
        shared_ = true;
    }

    void open(const std::vector<std::string>& arguments, const SideWish& before, const SideWish& after) {
        const auto of_git = [](const SideWish& w) { return w.from == SideWish::From::revision || w.from == SideWish::From::index; };
        if (!of_git(before) && !of_git(after)) return;
        std::string from = ".";
        if (shared_) from = before.from == SideWish::From::path ? before.name : after.from == SideWish::From::path ? after.name : *after.path;
        auto opened = GitRepository::open(from);
        if (!opened.fault.empty()) {
            // Somebody who only mistyped a path should not hear of revisions alone.
            for (const auto& text : arguments) {
                if (!exists(text)) return fail(fmt::format("there is no file or folder `{}`, and {}", text, opened.fault), true);
            }
            if (arguments.empty()) return fail(opened.fault + "; `scruple diff OLD NEW` compares two folders, recipes or saved documents", true);
            return fail(std::move(opened.fault), true);
        }
        sides_.repository = std::move(opened.repository);
        top_ = files_.canonical(sides_.repository->top());
        if (top_.empty()) top_ = sides_.repository->top();
    }

    /// A path as the repository has it: below the top, which is ".".
    std::optional<std::string> inner(const std::string& path) {
        std::string real = files_.canonical(path);
        // What a revision has need not be here any more: its folder tells where it would stand.
        if (real.empty()) {
            const std::string folder = files_.canonical(path_parent(path));
            if (folder.empty()) return std::nullopt;
            real = path_join(folder, path_name(path));
        }
        if (!path_is_below(real, top_)) return std::nullopt;
        return real == top_ ? "." : real.substr(top_ == "/" ? 1 : top_.size() + 1);
    }

    void make(const SideWish& wish, Side& side) {
        if (!sides_.fault.empty()) return;
        side.name = wish.name;
        side.files = &files_;
        switch (wish.from) {
            case SideWish::From::path:
                side.kind = is_document_path(wish.name) ? "document" : "recipes";
                side.path = wish.name;
                return;
            case SideWish::From::working_tree:
                side.kind = "working_tree";
                if (sides_.repository && sides_.repository->bare()) {
                    return fail("this repository is bare, and has no working tree: name two revisions");
                }
                side.path = wish.path ? here(*wish.path) : ".";
                side.stands_alone = false;
                side.nothing = !exists(side.path);
                return;
            case SideWish::From::revision:
            case SideWish::From::index: break;
        }
        const bool index = wish.from == SideWish::From::index;
        side.kind = index ? "index" : "revision";
        GitRepository& repository = *sides_.repository;
        GitSnapshot snapshot;
        if (index) {
            if (repository.bare()) return fail("this repository is bare, and has no index to speak of");
            snapshot = git_index_snapshot(repository);
        } else {
            std::string revision = wish.revision;
            if (!base_of_.first.empty() && &side == &sides_.old_side) revision = merge_base();
            if (!sides_.fault.empty()) return;
            snapshot = git_snapshot(repository, revision);
        }
        if (!snapshot.fault.empty()) {
            // Before the first commit, everything is new.
            std::string unused;
            if (!index && wish.revision == "HEAD" && !repository.commit("HEAD", unused).empty() && snapshot.fault == "there is no commit yet") {
                side.nothing = true;
                return;
            }
            // What is neither may be a slip in a path as well as in a revision.
            const bool neither = !index && wish.name == wish.revision && snapshot.fault.find("names no commit") != std::string::npos;
            if (neither && base_of_.first.empty()) return fail(fmt::format("there is no file or folder `{}`, and {}", wish.name, snapshot.fault), true);
            return fail(std::move(snapshot.fault), true);
        }
        side.commit = snapshot.commit;
        side.submodules = std::move(snapshot.submodules);
        sides_.snapshots.push_back(std::move(snapshot.files));
        side.files = sides_.snapshots.back().get();
        std::string path = ".";
        if (!wish.path) {
            side.stands_alone = false;
            path = repository.bare() ? "." : inner(".").value_or(".");
        } else if (shared_ || wish.path->starts_with("./") || wish.path->starts_with("../")) {
            side.stands_alone = !shared_;
            const auto below = inner(*wish.path);
            if (!below) return fail(fmt::format("{} lies outside the repository at {}", *wish.path, top_));
            path = *below;
        } else if (!wish.path->empty()) {
            path = path_normal(*wish.path);
        }
        side.path = path;
        if (is_document_path(path) && side.files->kind(path) == EntryKind::file) side.kind = "document";
        if (side.files->kind(path) != EntryKind::missing) return;
        if (side.stands_alone) return fail(fmt::format("{} holds no `{}`", index ? "the index" : wish.revision, path));
        side.nothing = true;
    }

    /// Where a path below the top stands for the working tree.
    std::string here(const std::string& path) const {
        if (shared_ || path.starts_with("./") || path.starts_with("../")) return path;
        return path.empty() ? top_ : path_join(top_, path);
    }

    std::string merge_base() {
        std::string ids[2];
        std::string output;
        const std::string* names[2] = {&base_of_.first, &base_of_.second};
        for (int i = 0; i < 2; ++i) {
            if (auto fault = sides_.repository->commit(*names[i], ids[i]); !fault.empty()) {
                fail(std::move(fault), true);
                return {};
            }
        }
        if (!sides_.repository->run({"merge-base", ids[0], ids[1]}, {}, output).empty() || output.empty()) {
            fail(fmt::format("{} and {} have no commit in common", base_of_.first, base_of_.second));
            return {};
        }
        return output.substr(0, output.find('\n'));
    }

    const FileSystem& files_;
    bool staged_;
    bool shared_ = false;    // the path of a revision is that of the other side
    std::string top_;
    std::pair<std::string, std::string> base_of_;
    Sides sides_;
};

}  // namespace

bool is_document_path(const std::string& path) { return path.size() > 5 && path.ends_with(".json"); }

Sides find_sides(const FileSystem& files, const std::vector<std::string>& arguments, bool staged) {
    return SideFinder(files, staged).find(arguments);
}

}  // namespace scruple
