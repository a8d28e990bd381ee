#include "base/file_lock.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>

namespace scruple {

FileLock::~FileLock() {
    ::unlink(path_.c_str());  // before it is let go: what another takes is never taken away
    ::close(handle_);
}

std::unique_ptr<FileLock> take_lock(const std::string& path, IoError& error) {
    error = IoError::none;
    for (int tries = 0; tries < 100; ++tries) {
        const int handle = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
        if (handle < 0) {
            error = errno == EACCES || errno == EROFS || errno == EPERM ? IoError::not_permitted
                    : errno == ENOENT ? IoError::not_found : errno == ENOSPC ? IoError::no_space
                    : errno == ELOOP ? IoError::link_loop : IoError::other;
            return nullptr;
        }
        if (::flock(handle, LOCK_EX | LOCK_NB) != 0) {
            const bool held = errno == EWOULDBLOCK;
            ::close(handle);
            if (!held) error = IoError::other;
            return nullptr;
        }
        // Its last holder may have taken the file away between the two calls: then this locks nothing that others see.
        struct stat here {}, there {};
        if (::fstat(handle, &here) == 0 && ::stat(path.c_str(), &there) == 0 && here.st_ino == there.st_ino && here.st_dev == there.st_dev) {
            return std::make_unique<FileLock>(path, handle);
        }
        ::close(handle);
    }
    error = IoError::other;
    return nullptr;
}

}  // namespace scruple
