#include "cli/commands.h"

#ifdef __GLIBC__
#include <malloc.h>
#endif

int main(int argc, char** argv) {
#ifdef __GLIBC__
    // A run only grows: memory that is handed back to the system is asked for again at once, a page fault at a time.
    mallopt(M_TRIM_THRESHOLD, 1 << 30);
    mallopt(M_MMAP_THRESHOLD, 1 << 30);
    mallopt(M_TOP_PAD, 4 << 20);
#endif
    return scruple::run_program(argc, argv);
}
