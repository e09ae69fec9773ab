#include "native.h"
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

enum { BUFFER = 1 << 18 };

static int64_t length(sl_file *f)
{
	struct stat st;
	return fstat(f->fd, &st) < 0 ? AVERROR(errno) : (int64_t)st.st_size;
}

static int on_read(void *opaque, uint8_t *buf, int n)
{
	sl_file *f = opaque;
	if (atomic_load_explicit(&f->stop, memory_order_relaxed))
		return AVERROR_EXIT;
	if (f->hollow) {
		int64_t left = length(f) - f->pos;
		if (left <= 0)
			return AVERROR_EOF;
		if (n > left)
			n = (int)left;
		f->pos += n;
		return n;
	}
	ssize_t got;
	do
		got = pread(f->fd, buf, n, f->pos);
	while (got < 0 && errno == EINTR);
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
		return length(f);
	case SEEK_CUR:
		offset += f->pos;
		break;
	case SEEK_END:
		offset += length(f);
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

int sl_file_open(sl_file **out, const char *path)
{
	sl_file *f = calloc(1, sizeof *f);
	uint8_t *buffer = av_malloc(BUFFER);
	if (!f || !buffer) {
		free(f);
		av_free(buffer);
		return AVERROR(ENOMEM);
	}
	f->fd = open(path, O_RDONLY | O_CLOEXEC);
	if (f->fd < 0) {
		int err = AVERROR(errno);
		free(f);
		av_free(buffer);
		return err;
	}
	f->io = avio_alloc_context(buffer, BUFFER, 0, f, on_read, NULL, on_seek);
	if (!f->io) {
		close(f->fd);
		free(f);
		av_free(buffer);
		return AVERROR(ENOMEM);
	}
	*out = f;
	return 0;
}

void sl_file_stop(sl_file *f) { atomic_store_explicit(&f->stop, 1, memory_order_relaxed); }

void sl_file_close(sl_file **p)
{
	sl_file *f = *p;
	if (!f)
		return;
	av_freep(&f->io->buffer);
	avio_context_free(&f->io);
	close(f->fd);
	free(f);
	*p = NULL;
}
