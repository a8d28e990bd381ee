// Runs another program and gives back what it said. No shell: the arguments reach the program as they are. What it may
// print and how long it may take is bounded, and it is gone when the call returns.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace scruple {

struct ProcessRequest {
    std::vector<std::string> arguments;  // the program first; looked for in PATH if its name holds no slash
    std::string folder;                  // where it runs; empty: here
    std::string_view input;              // what it can read, all at once
    std::vector<std::pair<std::string, std::string>> environment;  // set besides what is inherited
    std::uint64_t output_bytes = 256u << 20;  // most that it may print
    std::uint32_t seconds = 120;              // most that it may take
};

enum class ProcessEnd {
    exited,       // by itself; `status` says how
    not_found,    // there is no such program
    not_started,  // `error` has the system's own words
    killed,       // by a signal: its number is `status`
    too_long,     // stopped after `seconds`
    too_much,     // stopped after `output_bytes`
};

struct ProcessResult {
    ProcessEnd end = ProcessEnd::not_started;
    int status = 0;
    std::string output;
    std::string error;  // what it printed to its error stream, cut after 64 KiB

    bool good() const { return end == ProcessEnd::exited && status == 0; }
};

/// Never throws but for want of memory. A program that does not read its input is no error.
ProcessResult run_process(const ProcessRequest& request);

/// A variable of the environment; empty if it is not set. Only the command line and what talks to other programs ask.
std::string environment_variable(const char* name);

}  // namespace scruple
