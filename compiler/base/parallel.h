// Work in pieces on several threads. What a piece throws is thrown again by the caller, and a machine that gives no
// further thread does the work with those it has.
#pragma once

#include <cstddef>
#include <exception>
#include <thread>
#include <vector>

namespace scruple {

/// Calls `work(i)` for each i below `pieces`, the first on this thread.
template <class Work>
void in_parallel(std::size_t pieces, const Work& work) {
    std::vector<std::exception_ptr> failed(pieces);
    const auto guarded = [&](std::size_t i) {
        try {
            work(i);
        } catch (...) {
            failed[i] = std::current_exception();
        }
    };
    std::vector<std::thread> pool;
    pool.reserve(pieces);
    std::size_t started = 1;
    try {
        for (; started < pieces; ++started) pool.emplace_back(guarded, started);
    } catch (...) {
        // No further thread to be had: the rest is done here.
    }
    guarded(0);
    for (std::size_t i = started; i < pieces; ++i) guarded(i);
    for (auto& thread : pool) thread.join();
    for (const auto& f : failed) {
        if (f) std::rethrow_exception(f);
    }
}

}  // namespace scruple
