/* Faults of a drive under the ledger, for tests: loaded before the C library
   (LD_PRELOAD), it counts what SQLite writes to files whose path holds
   FAULT_PATH and lets the operation with the number FAULT_AT go wrong:

     eio, enospc   it fails; FAULT_STICKS=1: and so do all that follow
     short         half of it is written, then the disk is full
     torn          half of it is written, then the program ends
     power         the program ends, and what was not synced is not there

   FAULT_COUNT names a file that is told how many operations there were. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static long seen;

/* What a write that is not synced yet has replaced. */
struct old {
	struct old *before;
	char path[4096];
	off_t at, size;
	size_t n;
	char bytes[];
};
static struct old *unsynced;

static int path_of(int fd, char path[4096]) {
	char link[64];
	snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
	ssize_t n = readlink(link, path, 4095);
	const char *want = getenv("FAULT_PATH");
	if (n < 0 || !want) return 0;
	path[n] = 0;
	return strstr(path, want) != NULL;
}

static int is(const char *kind) {
	const char *want = getenv("FAULT_KIND");
	return want && strcmp(want, kind) == 0;
}

static void keep(int fd, const char *path, off_t at, size_t n) {
	struct stat st;
	struct old *o = malloc(sizeof *o + n);
	if (!o || fstat(fd, &st) != 0) abort();
	strcpy(o->path, path);
	o->at = at, o->size = st.st_size;
	ssize_t got = syscall(SYS_pread64, fd, o->bytes, n, at);
	o->n = got > 0 ? (size_t)got : 0;
	o->before = unsynced, unsynced = o;
}

static void synced(const char *path) {
	for (struct old **p = &unsynced; *p;)
		if (strcmp((*p)->path, path) == 0) {
			struct old *o = *p;
			*p = o->before;
			free(o);
		} else p = &(*p)->before;
}

static void power_cut(void) {
	for (struct old *o = unsynced; o; o = o->before) {
		int fd = syscall(SYS_openat, AT_FDCWD, o->path, O_WRONLY, 0);
		if (fd < 0) continue; /* deleted since */
		if (syscall(SYS_pwrite64, fd, o->bytes, o->n, o->at) < 0) abort();
		if (syscall(SYS_ftruncate, fd, o->size) != 0) abort();
		syscall(SYS_close, fd);
	}
	syscall(SYS_exit_group, 137);
}

/* Says whether this operation goes wrong. */
static int strikes(void) {
	long at = atol(getenv("FAULT_AT") ? getenv("FAULT_AT") : "0");
	seen++;
	const char *count = getenv("FAULT_COUNT");
	if (count) {
		FILE *f = fopen(count, "w");
		if (f) fprintf(f, "%ld", seen), fclose(f);
	}
	return at > 0 && (seen == at || (seen > at && getenv("FAULT_STICKS")));
}

static int fails(void) {
	if (is("power")) power_cut();
	errno = is("eio") ? EIO : ENOSPC;
	return -1;
}

static ssize_t put(int fd, const void *data, size_t n, off_t at, int placed) {
	char path[4096];
	pthread_mutex_lock(&lock);
	ssize_t out = -1;
	if (path_of(fd, path)) {
		if (!placed) at = lseek(fd, 0, SEEK_CUR);
		if (is("power")) keep(fd, path, at, n);
		if (strikes()) {
			if (is("short") || is("torn")) out = syscall(SYS_pwrite64, fd, data, n / 2, at);
			if (is("torn")) syscall(SYS_exit_group, 137);
			if (!is("short")) fails();
			pthread_mutex_unlock(&lock);
			return out;
		}
	}
	pthread_mutex_unlock(&lock);
	return placed ? syscall(SYS_pwrite64, fd, data, n, at) : syscall(SYS_write, fd, data, n);
}

ssize_t pwrite(int fd, const void *data, size_t n, off_t at) { return put(fd, data, n, at, 1); }
ssize_t pwrite64(int fd, const void *data, size_t n, off_t at) { return put(fd, data, n, at, 1); }
ssize_t write(int fd, const void *data, size_t n) { return put(fd, data, n, 0, 0); }

static int sync_it(int fd, long call) {
	char path[4096];
	pthread_mutex_lock(&lock);
	int wrong = 0;
	if (path_of(fd, path) && (wrong = strikes()) != 0) fails();
	else synced(path);
	pthread_mutex_unlock(&lock);
	return wrong ? -1 : (int)syscall(call, fd);
}
int fsync(int fd) { return sync_it(fd, SYS_fsync); }
int fdatasync(int fd) { return sync_it(fd, SYS_fdatasync); }

static int cut(int fd, off_t size) {
	char path[4096];
	struct stat st;
	pthread_mutex_lock(&lock);
	int wrong = 0;
	if (path_of(fd, path)) {
		if (is("power") && fstat(fd, &st) == 0 && st.st_size > size) keep(fd, path, size, st.st_size - size);
		if ((wrong = strikes()) != 0) fails();
	}
	pthread_mutex_unlock(&lock);
	return wrong ? -1 : (int)syscall(SYS_ftruncate, fd, size);
}
int ftruncate(int fd, off_t size) { return cut(fd, size); }
int ftruncate64(int fd, off_t size) { return cut(fd, size); }
