// JPEG through libjpeg-turbo's raw interface: the planes are already 4:2:0 in
// BT.601 full range, which is what a JPEG file means by its numbers.
#include "native.h"
#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>
#include <jpeglib.h>

enum { FIRST = 1 << 16 }; // bytes of the buffer before any picture

struct sl_jpeg {
	struct jpeg_compress_struct c;
	struct jpeg_error_mgr err;
	struct jpeg_destination_mgr dest;
	jmp_buf out;
	unsigned char *buf; // kept for the next picture
	size_t size;        // of buf
};

static void on_error(j_common_ptr c) { longjmp(((sl_jpeg *)c->client_data)->out, 1); }
static void on_message(j_common_ptr c) { (void)c; }

// The library's own destination in memory keeps what it has grown to itself until
// the picture is whole: after an error nothing could free it.
static void begin(j_compress_ptr c)
{
	sl_jpeg *j = c->client_data;
	j->dest.next_output_byte = j->buf;
	j->dest.free_in_buffer = j->size;
}

// Called when the buffer is full to its end.
static boolean grow(j_compress_ptr c)
{
	sl_jpeg *j = c->client_data;
	unsigned char *larger = realloc(j->buf, 2 * j->size);
	if (!larger)
		on_error((j_common_ptr)c);
	j->buf = larger;
	j->dest.next_output_byte = larger + j->size;
	j->dest.free_in_buffer = j->size;
	j->size *= 2;
	return TRUE;
}

static void end(j_compress_ptr c) { (void)c; }

sl_jpeg *sl_jpeg_new(void)
{
	sl_jpeg *j = calloc(1, sizeof *j);
	if (!j || !(j->buf = malloc(FIRST))) {
		free(j);
		return NULL;
	}
	j->size = FIRST;
	j->dest = (struct jpeg_destination_mgr){ .init_destination = begin, .empty_output_buffer = grow, .term_destination = end };
	j->c.err = jpeg_std_error(&j->err);
	j->err.error_exit = on_error;
	j->err.output_message = on_message;
	if (setjmp(j->out)) {
		free(j->buf);
		free(j);
		return NULL;
	}
	j->c.client_data = j;
	jpeg_create_compress(&j->c);
	j->c.client_data = j;
	j->c.dest = &j->dest;
	return j;
}

void sl_jpeg_free(sl_jpeg **p)
{
	sl_jpeg *j = *p;
	if (!j)
		return;
	jpeg_destroy_compress(&j->c);
	free(j->buf);
	free(j);
	*p = NULL;
}

int sl_jpeg_encode(sl_jpeg *j, uint8_t *const plane[3], const int stride[3], int width, int height, int quality,
	const uint8_t **out, unsigned long *size)
{
	if (setjmp(j->out)) {
		jpeg_abort_compress(&j->c);
		return AVERROR_EXTERNAL;
	}
	struct jpeg_compress_struct *c = &j->c;
	c->image_width = width;
	c->image_height = height;
	c->input_components = 3;
	c->in_color_space = JCS_YCbCr;
	jpeg_set_defaults(c);
	jpeg_set_quality(c, quality, TRUE);
	c->raw_data_in = TRUE;
	c->dct_method = JDCT_ISLOW;
	c->comp_info[0].h_samp_factor = c->comp_info[0].v_samp_factor = 2;
	c->comp_info[1].h_samp_factor = c->comp_info[1].v_samp_factor = 1;
	c->comp_info[2].h_samp_factor = c->comp_info[2].v_samp_factor = 1;
	jpeg_start_compress(c, TRUE);
	JSAMPROW rows[3][16];
	JSAMPARRAY image[3] = { rows[0], rows[1], rows[2] };
	int half = (height + 1) / 2;
	while (c->next_scanline < c->image_height) {
		int y = c->next_scanline;
		for (int i = 0; i < 16; i++)
			rows[0][i] = plane[0] + (ptrdiff_t)stride[0] * FFMIN(y + i, height - 1);
		for (int i = 0; i < 8; i++) {
			ptrdiff_t at = FFMIN(y / 2 + i, half - 1);
			rows[1][i] = plane[1] + stride[1] * at;
			rows[2][i] = plane[2] + stride[2] * at;
		}
		jpeg_write_raw_data(c, image, 16);
	}
	jpeg_finish_compress(c);
	*out = j->buf;
	*size = j->size - j->dest.free_in_buffer;
	return 0;
}
