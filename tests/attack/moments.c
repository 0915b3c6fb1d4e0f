/* Moments: stands before the C library's calls that change a disk, counts those below one folder, and strikes at one.

   kill: half of what is to be written is written, then the process ends. full: from there on nothing grows any more.
   once: that one call fails with EIO, all later ones work. slow: each call waits up to 20 ms, so that runs at once meet
   between any two of them; the moment is the seed. The Python side forks and calls arm() in the child. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/sendfile.h>
#include <sys/stat.h>
#include <sys/uio.h>
#include <unistd.h>

enum { COUNT, KILL, FULL, ONCE, SLOW };
enum { GROWS, SHRINKS };
static char folder[4096];
static int armed, how;
static long moment, count;

void arm(const char *below, int what, long at) {
    strncpy(folder, below, sizeof folder - 1);
    how = what, moment = at, count = 0, armed = 1;
}

long counted(void) { return __atomic_load_n(&count, __ATOMIC_SEQ_CST); }

static int below(const char *path) { return armed && path && strncmp(path, folder, strlen(folder)) == 0; }

static int ours(int handle) {
    char link[64], path[4096];
    if (!armed) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", handle);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0) return 0;
    path[length] = 0;
    return below(path);
}

/* Whether the call must fail; a kill first does half of what it was asked for, where it can. */
static int strike(int kind, int handle, const void *data, size_t bytes) {
    long at = __atomic_fetch_add(&count, 1, __ATOMIC_SEQ_CST);
    if (how == SLOW) return usleep((moment * 7919 + at * 104729) * 2654435761UL % 20000), 0;
    if (how == COUNT || at < moment) return 0;
    if (how == KILL && at == moment) {
        ssize_t (*real)(int, const void *, size_t) = dlsym(RTLD_NEXT, "write");
        if (data && bytes > 1 && real(handle, data, bytes / 2) < 0) errno = 0;
        kill(getpid(), SIGKILL);
    }
    if (how == FULL && kind == GROWS) return errno = ENOSPC, 1;
    if (how == ONCE && at == moment) return errno = EIO, 1;
    return 0;
}

#define PATH(name, kind, type, args, call) \
    type name args { \
        type (*real) args = dlsym(RTLD_NEXT, #name); \
        if (below(path) && strike(kind, -1, NULL, 0)) return -1; \
        return real call; \
    }
#define HANDLE(name, kind, type, args, call, data, bytes) \
    type name args { \
        type (*real) args = dlsym(RTLD_NEXT, #name); \
        if (ours(handle) && strike(kind, handle, data, bytes)) return -1; \
        return real call; \
    }
#define OPEN(name) \
    int name(const char *path, int flags, ...) { \
        va_list more; \
        va_start(more, flags); \
        mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(more, mode_t) : 0; \
        va_end(more); \
        int (*real)(const char *, int, ...) = dlsym(RTLD_NEXT, #name); \
        if ((flags & O_CREAT) && below(path) && strike(GROWS, -1, NULL, 0)) return -1; \
        return real(path, flags, mode); \
    }

OPEN(open)
OPEN(open64)
PATH(rename, GROWS, int, (const char *path, const char *to), (path, to))
PATH(mkdir, GROWS, int, (const char *path, mode_t mode), (path, mode))
PATH(link, GROWS, int, (const char *path, const char *to), (path, to))
PATH(unlink, SHRINKS, int, (const char *path), (path))
PATH(rmdir, SHRINKS, int, (const char *path), (path))
HANDLE(write, GROWS, ssize_t, (int handle, const void *data, size_t bytes), (handle, data, bytes), data, bytes)
HANDLE(pwrite64, GROWS, ssize_t, (int handle, const void *data, size_t bytes, off_t at), (handle, data, bytes, at), NULL, 0)
HANDLE(writev, GROWS, ssize_t, (int handle, const struct iovec *parts, int many), (handle, parts, many), NULL, 0)
HANDLE(ftruncate64, GROWS, int, (int handle, off_t bytes), (handle, bytes), NULL, 0)
HANDLE(sendfile64, GROWS, ssize_t, (int handle, int from, off_t *at, size_t bytes), (handle, from, at, bytes), NULL, 0)
HANDLE(copy_file_range, GROWS, ssize_t, (int from, off_t *at, int handle, off_t *to, size_t bytes, unsigned flags),
       (from, at, handle, to, bytes, flags), NULL, 0)
HANDLE(unlinkat, SHRINKS, int, (int handle, const char *path, int flags), (handle, path, flags), NULL, 0)
HANDLE(fsync, GROWS, int, (int handle), (handle), NULL, 0)
