#include "base/process.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <system_error>
#include <thread>

extern char** environ;

namespace scruple {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::size_t kErrorBytes = 64u << 10;

/// One end of a pipe, closed whatever happens.
class PipeEnd {
public:
    PipeEnd() = default;
    PipeEnd(const PipeEnd&) = delete;
    PipeEnd& operator=(const PipeEnd&) = delete;
    ~PipeEnd() { close(); }
    void close() {
        if (fd >= 0) ::close(fd);
        fd = -1;
    }
    int fd = -1;
};

struct PipePair {
    PipeEnd reading;
    PipeEnd writing;

    /// Both ends above the three standard streams, or moving one onto a stream could close another.
    bool make() {
        std::array<int, 2> ends{};
        if (::pipe2(ends.data(), O_CLOEXEC) != 0) return false;
        reading.fd = lifted(ends[0]);
        writing.fd = lifted(ends[1]);
        return reading.fd >= 0 && writing.fd >= 0;
    }

private:
    static int lifted(int fd) {
        if (fd > 2) return fd;
        const int up = ::fcntl(fd, F_DUPFD_CLOEXEC, 3);
        ::close(fd);
        return up;
    }
};

/// Writing to a program that has gone must be an error of the call, not the end of this program. Other threads keep their
/// own masks.
class PipeSignalHeld {
public:
    PipeSignalHeld() {
        sigemptyset(&pipe_);
        sigaddset(&pipe_, SIGPIPE);
        sigset_t pending{};
        sigpending(&pending);
        was_pending_ = sigismember(&pending, SIGPIPE) == 1;
        ::pthread_sigmask(SIG_BLOCK, &pipe_, &before_);
    }
    PipeSignalHeld(const PipeSignalHeld&) = delete;
    PipeSignalHeld& operator=(const PipeSignalHeld&) = delete;
    ~PipeSignalHeld() {
        const timespec none{};
        if (!was_pending_) {
            while (::sigtimedwait(&pipe_, nullptr, &none) == -1 && errno == EINTR) {
            }
        }
        ::pthread_sigmask(SIG_SETMASK, &before_, nullptr);
    }
    const sigset_t& before() const { return before_; }

private:
    sigset_t pipe_{};
    sigset_t before_{};
    bool was_pending_ = false;
};

std::vector<std::string> environment_of(const ProcessRequest& request) {
    std::vector<std::string> out;
    for (char** at = environ; at && *at; ++at) {
        const std::string_view line = *at;
        bool replaced = false;
        for (const auto& [name, value] : request.environment) {
            replaced |= line.size() > name.size() && line.starts_with(name) && line[name.size()] == '=';
        }
        if (!replaced) out.emplace_back(line);
    }
    for (const auto& [name, value] : request.environment) out.push_back(name + "=" + value);
    return out;
}

std::vector<char*> pointers(std::vector<std::string>& texts) {
    std::vector<char*> out;
    out.reserve(texts.size() + 1);
    for (auto& t : texts) out.push_back(t.data());
    out.push_back(nullptr);
    return out;
}

/// Reads what is there; false at the end or on an error.
bool take(int fd, std::string& into) {
    std::array<char, 1u << 16> piece;
    const auto got = ::read(fd, piece.data(), piece.size());
    if (got > 0) into.append(piece.data(), static_cast<std::size_t>(got));
    return got > 0 || (got < 0 && (errno == EINTR || errno == EAGAIN));
}

class Conversation {
public:
    Conversation(const ProcessRequest& request, Clock::time_point last, PipeEnd& input, PipeEnd& output, PipeEnd& error, ProcessResult& result)
        : request_(request), last_(last), rest_(request.input), input_(input), output_(output), error_(error), result_(result) {}

    /// Feeds and listens until the program has closed its streams, or one of its bounds is reached.
    ProcessEnd run() {
        if (rest_.empty()) input_.close();
        while (output_.fd >= 0 || error_.fd >= 0) {
            const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(last_ - Clock::now()).count();
            if (left <= 0) return ProcessEnd::too_long;
            std::array<pollfd, 3> waiting{{{output_.fd, POLLIN, 0}, {error_.fd, POLLIN, 0}, {input_.fd, POLLOUT, 0}}};
            if (::poll(waiting.data(), waiting.size(), static_cast<int>(std::min<long long>(left, 1000000))) < 0) {
                if (errno == EINTR) continue;
                return ProcessEnd::not_started;
            }
            if (waiting[0].revents != 0 && !take(output_.fd, result_.output)) output_.close();
            if (waiting[1].revents != 0 && !take(error_.fd, result_.error)) error_.close();
            if (result_.error.size() > kErrorBytes) result_.error.resize(kErrorBytes);
            if (waiting[2].revents != 0) feed();
            if (result_.output.size() > request_.output_bytes) return ProcessEnd::too_much;
        }
        return ProcessEnd::exited;
    }

private:
    void feed() {
        const auto done = ::write(input_.fd, rest_.data(), rest_.size());
        if (done > 0) rest_.remove_prefix(static_cast<std::size_t>(done));
        if (rest_.empty() || (done < 0 && errno != EINTR && errno != EAGAIN)) input_.close();
    }

    const ProcessRequest& request_;
    Clock::time_point last_;
    std::string_view rest_;
    PipeEnd& input_;
    PipeEnd& output_;
    PipeEnd& error_;
    ProcessResult& result_;
};

}  // namespace

ProcessResult run_process(const ProcessRequest& request) {
    ProcessResult result;
    const auto refused = [&](int code) {
        result.end = code == ENOENT ? ProcessEnd::not_found : ProcessEnd::not_started;
        result.error = std::generic_category().message(code);
        return result;
    };
    if (request.arguments.empty()) return refused(ENOENT);
    for (const auto& a : request.arguments) {
        if (a.find('\0') != std::string::npos) return refused(EINVAL);
    }
    PipePair input;
    PipePair output;
    PipePair error;
    PipePair failure;  // says why the program could not be started; closed by its start
    if (!input.make() || !output.make() || !error.make() || !failure.make()) return refused(errno);

    // All that allocates is done before the fork: between it and the start of the program only plain calls are allowed.
    auto arguments = request.arguments;
    auto environment = environment_of(request);
    const auto argument_pointers = pointers(arguments);
    const auto environment_pointers = pointers(environment);
    const PipeSignalHeld held;
    const auto last = Clock::now() + std::chrono::seconds(request.seconds);
    const pid_t child = ::fork();
    if (child < 0) return refused(errno);
    if (child == 0) {
        ::pthread_sigmask(SIG_SETMASK, &held.before(), nullptr);
        ::signal(SIGPIPE, SIG_DFL);
        const bool placed = (request.folder.empty() || ::chdir(request.folder.c_str()) == 0) &&
                            ::dup2(input.reading.fd, 0) == 0 && ::dup2(output.writing.fd, 1) == 1 &&
                            ::dup2(error.writing.fd, 2) == 2;
        if (placed) ::execvpe(argument_pointers[0], argument_pointers.data(), environment_pointers.data());
        const std::array<int, 2> why{errno, placed};
        [[maybe_unused]] const auto told = ::write(failure.writing.fd, why.data(), sizeof why);
        ::_exit(127);
    }
    input.reading.close();
    output.writing.close();
    error.writing.close();
    failure.writing.close();
    ::fcntl(input.writing.fd, F_SETFL, O_NONBLOCK);

    std::array<int, 2> why{EIO, 0};
    auto got = ::read(failure.reading.fd, why.data(), sizeof why);
    while (got < 0 && errno == EINTR) got = ::read(failure.reading.fd, why.data(), sizeof why);
    const bool started = got == 0;
    if (started) {
        result.end = Conversation(request, last, input.writing, output.reading, error.reading, result).run();
        if (result.end != ProcessEnd::exited) ::kill(child, SIGKILL);
    }
    int status = 0;
    // It may have closed its streams and still run on: that is bounded too.
    for (auto pause = std::chrono::microseconds(50); started && result.end == ProcessEnd::exited;) {
        const pid_t ended = ::waitpid(child, &status, WNOHANG);
        if (ended != 0 && !(ended < 0 && errno == EINTR)) break;
        if (Clock::now() >= last) {
            result.end = ProcessEnd::too_long;
            ::kill(child, SIGKILL);
        }
        std::this_thread::sleep_for(pause);
        pause = std::min(pause * 2, std::chrono::microseconds(20000));
    }
    if (!started || result.end != ProcessEnd::exited) {
        while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
        }
    }
    if (!started) {
        refused(why[0]);
        if (why[1] == 0) result.end = ProcessEnd::not_started;  // what is missing is the folder, not the program
        return result;
    }
    if (result.end != ProcessEnd::exited) return result;
    if (WIFSIGNALED(status)) {
        result.end = ProcessEnd::killed;
        result.status = WTERMSIG(status);
    } else {
        result.status = WEXITSTATUS(status);
    }
    return result;
}

std::string environment_variable(const char* name) {
    const char* const value = std::getenv(name);
    return value ? value : "";
}

}  // namespace scruple
