// jpeg.c by itself: reads three planes of 4:2:0 from standard input, encodes them
// with the best quality, lets a second run break off near its end, and encodes them
// once more. What came out first goes to standard output. Built with an address
// sanitizer, it fails where memory is kept.
#include "../jpeg.c"
#include <string.h>

enum { SIDE = 256 };

static void break_off(j_common_ptr c)
{
	if (((j_compress_ptr)c)->next_scanline > SIDE - 32)
		c->err->error_exit(c);
}

int main(void)
{
	static uint8_t in[SIDE * SIDE * 3 / 2];
	uint8_t *plane[3] = { in, in + SIDE * SIDE, in + SIDE * SIDE * 5 / 4 };
	int stride[3] = { SIDE, SIDE / 2, SIDE / 2 };
	if (fread(in, 1, sizeof in, stdin) != sizeof in)
		return 2;
	sl_jpeg *j = sl_jpeg_new();
	const uint8_t *out;
	unsigned long size, whole;
	if (sl_jpeg_encode(j, plane, stride, SIDE, SIDE, 100, &out, &whole) || fwrite(out, 1, whole, stdout) != whole)
		return 3;
	uint8_t *kept = malloc(whole);
	memcpy(kept, out, whole);
	sl_jpeg_free(&j);
	j = sl_jpeg_new();
	struct jpeg_progress_mgr progress = { .progress_monitor = break_off };
	j->c.progress = &progress;
	if (sl_jpeg_encode(j, plane, stride, SIDE, SIDE, 100, &out, &size) != AVERROR_EXTERNAL)
		return 4;
	j->c.progress = NULL;
	if (sl_jpeg_encode(j, plane, stride, SIDE, SIDE, 100, &out, &size) || size != whole || memcmp(kept, out, size))
		return 5;
	free(kept);
	sl_jpeg_free(&j);
	return 0;
}
