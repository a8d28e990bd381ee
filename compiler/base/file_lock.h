// Keeps a second program off something while a first one works on it. The system lets go of a lock when its holder ends,
// however it ends.
#pragma once

#include <memory>
#include <string>

#include "base/file_system.h"

namespace scruple {

class FileLock {
public:
    FileLock(std::string path, int handle) : path_(std::move(path)), handle_(handle) {}
    FileLock(const FileLock&) = delete;
    FileLock& operator=(const FileLock&) = delete;
    /// Lets go, and takes the lock's file away.
    ~FileLock();

private:
    std::string path_;
    int handle_;
};

/// Takes the lock whose file is `path`, made if need be. Null with `none` where another holds it, null with the reason where
/// it cannot be taken at all. Nobody waits.
std::unique_ptr<FileLock> take_lock(const std::string& path, IoError& error);

}  // namespace scruple
