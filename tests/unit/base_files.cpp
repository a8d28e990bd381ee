#include <catch2/catch.hpp>

#include <fcntl.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <thread>

#include "base/file_system.h"

using namespace scruple;
namespace stdfs = std::filesystem;

namespace {

constexpr std::uint64_t kMost = 1u << 20;

// A folder of its own, gone at the end.
struct Folder {
    Folder() {
        std::string name = (stdfs::temp_directory_path() / "scruple-test-XXXXXX").string();
        REQUIRE(::mkdtemp(name.data()) != nullptr);
        path = stdfs::canonical(name).string();
    }
    ~Folder() {
        std::error_code ignored;
        stdfs::remove_all(path, ignored);
    }
    std::string operator/(const std::string& name) const { return path + "/" + name; }
    std::size_t entries() const {
        std::size_t count = 0;
        for ([[maybe_unused]] const auto& entry : stdfs::directory_iterator(path)) ++count;
        return count;
    }
    std::string path;
};

void spill(const std::string& path, const std::string& text) { std::ofstream(path, std::ios::binary) << text; }

std::string slurp(const std::string& path) {
    std::ostringstream out;
    out << std::ifstream(path, std::ios::binary).rdbuf();
    return out.str();
}

mode_t mode_of(const std::string& path) {
    struct stat state {};
    REQUIRE(::lstat(path.c_str(), &state) == 0);
    return state.st_mode & 07777;
}

// Runs `work` in a child that is nobody, since root may do anything; gives what `work` returns.
template <class Work>
int as_nobody(Work work) {
    if (::geteuid() != 0) return work();
    const pid_t child = ::fork();
    if (child == 0) {
        if (::setgid(65534) != 0 || ::setuid(65534) != 0) ::_exit(98);
        ::_exit(work());
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 99;
}

}  // namespace

TEST_CASE("only regular files are read, and only up to the limit", "[base][files]") {
    const Folder folder;
    const auto files = real_file_system();
    spill(folder / "a", std::string("one\0two\r\n", 9));
    CHECK(files->read(folder / "a", kMost).text == std::string("one\0two\r\n", 9));
    CHECK(files->read(folder / "a", 9).error == IoError::none);
    CHECK(files->read(folder / "a", 8).error == IoError::too_large);
    CHECK(files->read(folder / "a", 8).text.empty());
    spill(folder / "empty", "");
    CHECK(files->read(folder / "empty", 0).error == IoError::none);
    CHECK(files->read(folder / "none", kMost).error == IoError::not_found);
    CHECK(files->read(folder / "a/b", kMost).error == IoError::not_found);
    CHECK(files->read(folder.path, kMost).error == IoError::is_folder);
    CHECK(files->read("", kMost).error == IoError::not_found);
    CHECK(files->read(std::string("a\0b", 3), kMost).error == IoError::not_found);
    CHECK(files->read(folder.path + "/a" + std::string("\0", 1), kMost).error == IoError::not_found);
    const auto long_name = files->read(folder / std::string(300, 'x'), kMost);
    CHECK(long_name.error == IoError::other);
    CHECK_FALSE(long_name.detail.empty());

    CHECK(files->read("/dev/zero", kMost).error == IoError::not_a_file);
    CHECK(files->read("/dev/null", kMost).error == IoError::not_a_file);
    stdfs::create_symlink("/dev/zero", folder / "zero");
    CHECK(files->read(folder / "zero", kMost).error == IoError::not_a_file);
    stdfs::create_symlink("turn", folder / "turn");
    CHECK(files->read(folder / "turn", kMost).error == IoError::link_loop);
    // A pipe that nobody writes to must not be waited for.
    REQUIRE(::mkfifo((folder / "pipe").c_str(), 0600) == 0);
    const auto before = std::chrono::steady_clock::now();
    CHECK(files->read(folder / "pipe", kMost).error == IoError::not_a_file);
    CHECK(std::chrono::steady_clock::now() - before < std::chrono::seconds(5));
    const int socket = ::socket(AF_UNIX, SOCK_STREAM, 0);
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    std::strncpy(address.sun_path, (folder / "socket").c_str(), sizeof address.sun_path - 1);
    REQUIRE(::bind(socket, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0);
    CHECK(files->read(folder / "socket", kMost).error == IoError::not_a_file);
    ::close(socket);
}

TEST_CASE("a file that hides its size is read to its end or to the limit", "[base][files]") {
    // proc(5): these are regular files of size 0 with text in them.
    if (!stdfs::exists("/proc/self/status")) return;
    const auto files = real_file_system();
    const auto status = files->read("/proc/self/status", kMost);
    CHECK(status.error == IoError::none);
    CHECK(status.text.find("Name:") == 0);
    CHECK(files->read("/proc/self/status", 10).error == IoError::too_large);
    const auto memory = files->read("/proc/self/mem", kMost);  // address 0 cannot be read
    CHECK(memory.error == IoError::other);
    CHECK(memory.text.empty());
}

TEST_CASE("reading below a root follows no way out", "[base][files]") {
    const Folder folder;
    const auto files = real_file_system();
    stdfs::create_directories(folder / "root/sub");
    spill(folder / "root/sub/in", "in");
    spill(folder / "out", "out");
    const std::string root = folder / "root";
    CHECK(files->read_below(root, folder / "root/sub/in", kMost).text == "in");
    CHECK(files->read_below(root + "/", folder / "root/./sub/../sub/in", kMost).text == "in");
    CHECK(files->read_below(root, folder / "root/../out", kMost).error == IoError::outside_root);
    CHECK(files->read_below(root, folder / "out", kMost).error == IoError::outside_root);
    CHECK(files->read_below(root, "/etc/passwd", kMost).error == IoError::outside_root);
    stdfs::create_symlink("../out", folder / "root/link");
    CHECK(files->read_below(root, folder / "root/link", kMost).error == IoError::outside_root);
    stdfs::create_symlink("..", folder / "root/up");
    CHECK(files->read_below(root, folder / "root/up/out", kMost).error == IoError::outside_root);
    stdfs::create_symlink("sub", folder / "root/inside");
    CHECK(files->read_below(root, folder / "root/inside/in", kMost).text == "in");
    spill(folder / "root_twin", "out");  // a name that only begins like the root
    CHECK(files->read_below(root, folder / "root_twin", kMost).error == IoError::outside_root);
    CHECK(files->read_below(folder / "none", folder / "out", kMost).error == IoError::outside_root);
    CHECK(files->read_below(root, folder / "root/none", kMost).error == IoError::not_found);
}

TEST_CASE("a link that is turned while reading never leads out", "[base][files]") {
    const Folder folder;
    const auto files = real_file_system();
    stdfs::create_directories(folder / "root");
    spill(folder / "root/in", "in");
    spill(folder / "out", "out");
    std::atomic<bool> stop{false};
    std::thread turner([&] {
        for (int i = 0; !stop; ++i) {
            const auto spare = folder / "root/spare";
            ::symlink(i % 2 == 0 ? "in" : "../out", spare.c_str());
            ::rename(spare.c_str(), (folder / "root/link").c_str());
        }
    });
    int leaks = 0;
    int reads = 0;
    for (int i = 0; i < 20000; ++i) {
        const auto read = files->read_below(folder / "root", folder / "root/link", kMost);
        if (read.text == "out") ++leaks;
        if (read.text == "in") ++reads;
    }
    stop = true;
    turner.join();
    CHECK(leaks == 0);
    CHECK(reads > 0);
}

TEST_CASE("folders are listed in order, with what links lead to", "[base][files]") {
    const Folder folder;
    const auto files = real_file_system();
    spill(folder / "b", "");
    spill(folder / "A", "");
    spill(folder / "\xC3\xA9", "");
    spill(folder / ".hidden", "");
    stdfs::create_directory(folder / "c");
    stdfs::create_symlink("c", folder / "to_folder");
    stdfs::create_symlink("b", folder / "to_file");
    stdfs::create_symlink("none", folder / "to_none");
    REQUIRE(::mkfifo((folder / "pipe").c_str(), 0600) == 0);
    const auto listed = files->list(folder.path);
    REQUIRE(listed.error == IoError::none);
    std::string names;
    for (const auto& e : listed.entries) names += e.name + (e.is_link ? "@ " : " ");
    CHECK(names == ".hidden A b c pipe to_file@ to_folder@ to_none@ \xC3\xA9 ");
    const auto kind = [&](const std::string& name) {
        for (const auto& e : listed.entries) {
            if (e.name == name) return e.kind;
        }
        return EntryKind::missing;
    };
    CHECK(kind("A") == EntryKind::file);
    CHECK(kind("c") == EntryKind::folder);
    CHECK(kind("pipe") == EntryKind::other);
    CHECK(kind("to_folder") == EntryKind::folder);
    CHECK(kind("to_file") == EntryKind::file);
    CHECK(kind("to_none") == EntryKind::missing);
    CHECK(files->list(folder / "b").error == IoError::not_found);
    CHECK(files->list(folder / "none").error == IoError::not_found);
    CHECK(files->kind(folder / "to_folder") == EntryKind::folder);
    CHECK(files->kind(folder / "to_none") == EntryKind::missing);
    CHECK(files->canonical(folder / "c/../to_file") == folder / "b");
    CHECK(files->canonical(folder / "none").empty());
    CHECK(files->canonical(std::string("/\0x", 3)).empty());
}

TEST_CASE("a write replaces the file whole", "[base][files]") {
    const Folder folder;
    const auto files = real_file_system();
    CHECK(files->write_atomically(folder / "new", "first").error == IoError::none);
    CHECK(slurp(folder / "new") == "first");
    const mode_t mask = ::umask(0);
    ::umask(mask);
    CHECK(mode_of(folder / "new") == (0666 & ~mask));
    ::chmod((folder / "new").c_str(), 0640);
    const std::string large(3u << 20, 'x');
    CHECK(files->write_atomically(folder / "new", large).error == IoError::none);
    CHECK(slurp(folder / "new") == large);
    CHECK(mode_of(folder / "new") == 0640);
    CHECK(files->write_atomically(folder / "new", "").error == IoError::none);
    CHECK(slurp(folder / "new").empty());
    CHECK(folder.entries() == 1);
    // A name as long as the system allows: the draft's own name must not be longer.
    CHECK(files->write_atomically(folder / std::string(255, 'n'), "x").error == IoError::none);
    // Relative paths, too.
    const auto here = stdfs::current_path();
    stdfs::current_path(folder.path);
    CHECK(files->write_atomically("new", "relative").error == IoError::none);
    stdfs::current_path(here);
    CHECK(slurp(folder / "new") == "relative");
}

TEST_CASE("a reader sees the old text or the new, never a part", "[base][files]") {
    const Folder folder;
    const auto files = real_file_system();
    const std::string a(300000, 'a');
    const std::string b(200000, 'b');
    REQUIRE(files->write_atomically(folder / "f", a).error == IoError::none);
    std::atomic<bool> stop{false};
    std::thread writer([&] {
        const auto mine = real_file_system();
        for (int i = 0; !stop; ++i) (void)mine->write_atomically(folder / "f", i % 2 == 0 ? b : a);
    });
    int torn = 0;
    for (int i = 0; i < 300; ++i) {
        const auto read = files->read(folder / "f", kMost);
        if (read.text != a && read.text != b) ++torn;
    }
    stop = true;
    writer.join();
    CHECK(torn == 0);
    CHECK(folder.entries() == 1);
}

TEST_CASE("writing through links", "[base][files]") {
    const Folder folder;
    const auto files = real_file_system();
    stdfs::create_directory(folder / "real");
    spill(folder / "real/f", "old");
    stdfs::create_symlink("real/f", folder / "link");
    CHECK(files->write_atomically(folder / "link", "new").error == IoError::none);
    CHECK(slurp(folder / "real/f") == "new");
    CHECK(stdfs::is_symlink(folder / "link"));
    stdfs::create_symlink("nowhere", folder / "dangling");
    CHECK(files->write_atomically(folder / "dangling", "new").error == IoError::not_found);
    CHECK_FALSE(stdfs::exists(folder / "nowhere"));
    stdfs::create_symlink("turn", folder / "turn");
    CHECK(files->write_atomically(folder / "turn", "new").error == IoError::link_loop);
    stdfs::create_symlink("/dev/null", folder / "null");
    CHECK(files->write_atomically(folder / "null", "new").error == IoError::not_a_file);
    CHECK(stdfs::is_symlink(folder / "null"));
    CHECK(stdfs::is_character_file("/dev/null"));
    CHECK(files->write_atomically("/dev/full", "new").error == IoError::not_a_file);
    REQUIRE(::mkfifo((folder / "pipe").c_str(), 0600) == 0);
    CHECK(files->write_atomically(folder / "pipe", "new").error == IoError::not_a_file);
    CHECK(files->write_atomically(folder / "real", "new").error == IoError::is_folder);
    CHECK(files->write_atomically(folder / "real/", "new").error == IoError::is_folder);
    CHECK(files->write_atomically(folder / "fresh/", "new").error == IoError::is_folder);
    CHECK(files->write_atomically(folder / "none/f", "new").error == IoError::not_found);
    CHECK(files->write_atomically(folder / "real/f/g", "new").error == IoError::not_found);
    CHECK(files->write_atomically("", "new").error == IoError::not_found);
    CHECK(files->write_atomically((folder / "x") + std::string("\0y", 2), "new").error == IoError::not_found);
    CHECK(folder.entries() == 6);
}

TEST_CASE("folders and files that may not be written stay as they are", "[base][files]") {
    const Folder folder;
    ::chmod(folder.path.c_str(), 0777);
    stdfs::create_directory(folder / "locked");
    spill(folder / "locked/f", "old");
    ::chmod((folder / "locked/f").c_str(), 0666);
    ::chmod((folder / "locked").c_str(), 0555);
    spill(folder / "kept", "old");
    ::chmod((folder / "kept").c_str(), 0444);
    spill(folder / "secret", "old");
    ::chmod((folder / "secret").c_str(), 0000);
    const int failed = as_nobody([&] {
        const auto files = real_file_system();
        if (files->write_atomically(folder / "locked/f", "new").error != IoError::not_permitted) return 1;
        if (files->write_atomically(folder / "locked/g", "new").error != IoError::not_permitted) return 2;
        if (files->write_atomically(folder / "kept", "new").error != IoError::not_permitted) return 3;
        if (files->read(folder / "secret", kMost).error != IoError::not_permitted) return 4;
        if (files->make_folders(folder / "locked/sub").error != IoError::not_permitted) return 5;
        if (files->read(folder / "kept", kMost).text != "old") return 6;
        return 0;
    });
    CHECK(failed == 0);
    CHECK(slurp(folder / "locked/f") == "old");
    CHECK(slurp(folder / "kept") == "old");
    ::chmod((folder / "locked").c_str(), 0755);
    CHECK(stdfs::exists(folder / "locked/f"));
    CHECK(folder.entries() == 3);
}

TEST_CASE("a full disk leaves the old file and no draft", "[base][files]") {
    const Folder folder;
    stdfs::create_directory(folder / "disk");
    if (::mount("tmpfs", (folder / "disk").c_str(), "tmpfs", 0, "size=64k") != 0) {
        WARN("no right to mount a small disk here: a full disk was not tried (the file size limit below was)");
        return;
    }
    const auto files = real_file_system();
    CHECK(files->write_atomically(folder / "disk/f", "old").error == IoError::none);
    const auto full = files->write_atomically(folder / "disk/f", std::string(200000, 'x'));
    CHECK(full.error == IoError::no_space);
    CHECK(slurp(folder / "disk/f") == "old");
    CHECK(std::distance(stdfs::directory_iterator(folder / "disk"), stdfs::directory_iterator()) == 1);
    CHECK(files->write_atomically(folder / "disk/g", std::string(200000, 'x')).error == IoError::no_space);
    CHECK_FALSE(stdfs::exists(folder / "disk/g"));
    CHECK(::umount((folder / "disk").c_str()) == 0);
}

TEST_CASE("a write that the system cuts short leaves the old file and no draft", "[base][files]") {
    const Folder folder;
    spill(folder / "f", "old");
    const pid_t child = ::fork();
    if (child == 0) {
        // setrlimit(2): beyond the limit write fails with EFBIG once the signal is ignored.
        ::signal(SIGXFSZ, SIG_IGN);
        const rlimit limit{4096, 4096};
        ::setrlimit(RLIMIT_FSIZE, &limit);
        const auto result = real_file_system()->write_atomically(folder / "f", std::string(100000, 'x'));
        ::_exit(result.error == IoError::other && !result.detail.empty() ? 0 : 1);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    CHECK((WIFEXITED(status) && WEXITSTATUS(status) == 0));
    CHECK(slurp(folder / "f") == "old");
    CHECK(folder.entries() == 1);
}

TEST_CASE("folders are made as needed", "[base][files]") {
    const Folder folder;
    const auto files = real_file_system();
    CHECK(files->make_folders(folder / "a/b//c/").error == IoError::none);
    CHECK(stdfs::is_directory(folder / "a/b/c"));
    CHECK(files->make_folders(folder / "a/b/c").error == IoError::none);
    spill(folder / "a/f", "");
    CHECK(files->make_folders(folder / "a/f").error == IoError::exists);
    CHECK(files->make_folders(folder / "a/f/g").error == IoError::exists);
    CHECK(files->make_folders("").error == IoError::none);
    CHECK(files->make_folders("/").error == IoError::none);
}

TEST_CASE("the file system in memory behaves like the real one", "[base][files]") {
    const Folder folder;
    const auto real = real_file_system();
    MemoryFileSystem memory;
    stdfs::create_directories(folder / "root/sub");
    spill(folder / "root/sub/in", "in");
    spill(folder / "out", "out");
    memory.put(folder / "root/sub/in", "in");
    memory.put(folder / "out", "out");
    for (FileSystem* files : {real.get(), static_cast<FileSystem*>(&memory)}) {
        INFO((files == &memory ? "memory" : "real"));
        CHECK(files->kind(folder / "root") == EntryKind::folder);
        CHECK(files->kind(folder / "out") == EntryKind::file);
        CHECK(files->kind(folder / "none") == EntryKind::missing);
        CHECK(files->canonical(folder / "root/../out") == folder / "out");
        CHECK(files->canonical(folder / "none").empty());
        CHECK(files->read(folder / "out", 3).text == "out");
        CHECK(files->read(folder / "out", 2).error == IoError::too_large);
        CHECK(files->read(folder / "root", 9).error == IoError::is_folder);
        CHECK(files->read(folder / "none", 9).error == IoError::not_found);
        CHECK(files->read_below(folder / "root", folder / "root/../out", 9).error == IoError::outside_root);
        CHECK(files->read_below(folder / "root", folder / "root/sub/in", 9).text == "in");
        CHECK(files->write_atomically(folder / "root", "x").error == IoError::is_folder);
        CHECK(files->write_atomically(folder / "new/f", "x").error == IoError::not_found);
        CHECK(files->make_folders(folder / "new/deep").error == IoError::none);
        CHECK(files->make_folders(folder / "out/deep").error == IoError::exists);
        CHECK(files->write_atomically(folder / "new/f", "x").error == IoError::none);
        CHECK(files->read(folder / "new/f", 9).text == "x");
        const auto listed = files->list(folder.path);
        REQUIRE(listed.entries.size() == 3);
        CHECK(listed.entries[0].name == "new");
        CHECK(listed.entries[0].kind == EntryKind::folder);
        CHECK(listed.entries[1].name == "out");
        CHECK(listed.entries[1].kind == EntryKind::file);
        CHECK(listed.entries[2].name == "root");
        CHECK(files->list(folder / "new").entries.size() == 2);
        CHECK(files->list(folder / "out").error == IoError::not_found);
        CHECK(files->list(folder / "none").error == IoError::not_found);
    }
    memory.refuse(folder / "out", IoError::not_permitted);
    CHECK(memory.read(folder / "out", 9).error == IoError::not_permitted);
    CHECK(memory.write_atomically(folder / "out", "x").error == IoError::not_permitted);
    CHECK(memory.files().at(folder / "out") == "out");
    MemoryFileSystem relative;
    CHECK(relative.write_atomically("a", "x").error == IoError::none);
    CHECK(relative.list(".").entries.size() == 1);
}

TEST_CASE("paths by their letters", "[base][files]") {
    CHECK(path_join("a", "b") == "a/b");
    CHECK(path_join("a/", "b") == "a/b");
    CHECK(path_join("/", "b") == "/b");
    CHECK(path_join("", "b") == "b");
    CHECK(path_join(".", "b") == "b");
    CHECK(path_join("a", "/b") == "/b");
    CHECK(path_join("a", "../b") == "a/../b");
    // dirname and basename of POSIX, except that the name of "/" and "" is empty.
    CHECK(path_parent("a/b") == "a");
    CHECK(path_parent("a//b//") == "a");
    CHECK(path_parent("a") == ".");
    CHECK(path_parent("") == ".");
    CHECK(path_parent("/a") == "/");
    CHECK(path_parent("//a") == "/");
    CHECK(path_parent("/") == "/");
    CHECK(path_name("a/b") == "b");
    CHECK(path_name("a/b/") == "b");
    CHECK(path_name("a") == "a");
    CHECK(path_name("/").empty());
    CHECK(path_name("").empty());
    CHECK(path_normal("a/./b//../c/") == "a/c");
    CHECK(path_normal("../a/..") == "..");
    CHECK(path_normal("a/../../b") == "../b");
    CHECK(path_normal("/../a") == "/a");
    CHECK(path_normal("") == ".");
    CHECK(path_normal("//") == "/");
    CHECK(path_is_below("/a/b", "/a"));
    CHECK(path_is_below("/a", "/a"));
    CHECK(path_is_below("/a", "/"));
    CHECK(path_is_below("/", "/"));
    CHECK_FALSE(path_is_below("/ab", "/a"));
    CHECK_FALSE(path_is_below("/a", "/a/b"));
    CHECK(path_is_below("a", "."));
    CHECK_FALSE(path_is_below("../a", "."));
    CHECK_FALSE(path_is_below("/a", "."));
    CHECK_FALSE(path_is_below("a", "/"));
    for (int i = 0; i <= static_cast<int>(IoError::other); ++i) CHECK_FALSE(describe(static_cast<IoError>(i)).empty());
}
