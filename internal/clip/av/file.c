#include "native.h"
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif

// The GNU library gives threads heaps of their own and each keeps what it has
// freed; with some twenty threads of decoders that is a tenth of the process.
void sl_share_memory(void)
{
#ifdef __GLIBC__
	mallopt(M_ARENA_MAX, 2);
#endif
}

enum { BUFFER = 1 << 18 };

static long long now(void)
{
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec * 1000000000LL + t.tv_nsec;
}

void sl_pass(int gate)
{
	struct pollfd p = { .fd = gate, .events = POLLIN };
	while (gate >= 0 && poll(&p, 1, -1) < 0 && errno == EINTR)
		;
}

// A drive that hangs shows as a call that was begun and never left.
static void begin(sl_file *f)
{
	atomic_store(&f->begun, now());
	sl_pass(f->gate);
}

static void leave(sl_file *f) { atomic_store(&f->begun, 0); }

int64_t sl_file_waiting(sl_file *f)
{
	long long begun = atomic_load(&f->begun);
	return begun ? now() - begun : 0;
}

int64_t sl_file_length(sl_file *f)
{
	struct stat st;
	begin(f); // a drive on a network may have to be asked for that too
	int err = fstat(f->fd, &st) < 0 ? AVERROR(errno) : 0;
	leave(f);
	if (err < 0)
		return err;
	int64_t end = atomic_load(&f->end);
	return end && end < st.st_size ? end : st.st_size;
}

// How far behind the end of a file that was cut off a header's list is followed: it
// tells where the pictures that are missing would have been shown.
enum { BEYOND = 1 << 26 };

static int on_read(void *opaque, uint8_t *buf, int n)
{
	sl_file *f = opaque;
	if (atomic_load_explicit(&f->stop, memory_order_relaxed))
		return AVERROR_EXIT;
	if (f->hollow) {
		int64_t left = f->hollow + BEYOND - f->pos;
		if (left <= 0)
			return AVERROR_EOF;
		if (n > left)
			n = (int)left;
		f->pos += n;
		return n;
	}
	int64_t end = atomic_load(&f->end);
	if (end && n > end - f->pos)
		n = (int)(end > f->pos ? end - f->pos : 0);
	if (!n)
		return AVERROR_EOF;
	ssize_t got;
	begin(f);
	do
		got = pread(f->fd, buf, n, f->pos);
	while (got < 0 && errno == EINTR);
	leave(f);
	if (got < 0)
		return AVERROR(errno);
	if (got == 0)
		return AVERROR_EOF;
	f->pos += got;
	return (int)got;
}

static int64_t on_seek(void *opaque, int64_t offset, int whence)
{
	sl_file *f = opaque;
	switch (whence & ~AVSEEK_FORCE) {
	case AVSEEK_SIZE:
		return sl_file_length(f);
	case SEEK_CUR:
		offset += f->pos;
		break;
	case SEEK_END:
		offset += sl_file_length(f);
		break;
	case SEEK_SET:
		break;
	default:
		return AVERROR(EINVAL);
	}
	if (offset < 0)
		return AVERROR(EINVAL);
	return f->pos = offset;
}

sl_file *sl_file_new(int gate)
{
	sl_file *f = calloc(1, sizeof *f);
	if (f) {
		f->fd = -1;
		f->gate = gate;
	}
	return f;
}

int sl_file_open(sl_file *f, const char *path)
{
	begin(f);
	f->fd = open(path, O_RDONLY | O_CLOEXEC);
	int err = f->fd < 0 ? AVERROR(errno) : 0;
	leave(f);
	if (err < 0)
		return err;
	uint8_t *buffer = av_malloc(BUFFER);
	f->io = buffer ? avio_alloc_context(buffer, BUFFER, 0, f, on_read, NULL, on_seek) : NULL;
	if (!f->io) {
		av_free(buffer);
		return AVERROR(ENOMEM);
	}
	return 0;
}

int sl_file_rewind(sl_file *f)
{
	f->io->error = f->io->eof_reached = 0;
	int64_t at = avio_seek(f->io, 0, SEEK_SET);
	return at < 0 ? (int)at : 0;
}

void sl_file_end(sl_file *f, int64_t at) { atomic_store(&f->end, at); }

void sl_file_stop(sl_file *f) { atomic_store_explicit(&f->stop, 1, memory_order_relaxed); }

void sl_file_close(sl_file **p)
{
	sl_file *f = *p;
	if (!f)
		return;
	if (f->io)
		av_freep(&f->io->buffer);
	avio_context_free(&f->io);
	if (f->fd >= 0)
		close(f->fd);
	free(f);
	*p = NULL;
}
