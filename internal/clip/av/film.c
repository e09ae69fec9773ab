#include "film.h"
#include <libavutil/imgutils.h>
#include <stdlib.h>
#include <string.h>

struct sl_fit {
	sl_scaler scaler;
	sl_planes still, upright, rgba;
	sl_view *view;
};

sl_fit *sl_fit_new(void) { return calloc(1, sizeof(sl_fit)); }

void sl_fit_free(sl_fit **p)
{
	sl_fit *f = *p;
	if (!f)
		return;
	sws_freeContext(f->scaler.sws);
	av_freep(&f->still.data[0]);
	av_freep(&f->upright.data[0]);
	av_freep(&f->rgba.data[0]);
	sl_view_free(&f->view);
	free(f);
	*p = NULL;
}

// The rectangle at x, y of a frame, as planes.
static sl_planes part(AVFrame *out, int x, int y, int w, int h)
{
	sl_planes p = { .width = w, .height = h, .format = AV_PIX_FMT_YUV420P };
	for (int c = 0; c < 3; c++) {
		p.stride[c] = out->linesize[c];
		p.data[c] = out->data[c] + (ptrdiff_t)(c ? y / 2 : y) * out->linesize[c] + (c ? x / 2 : x);
	}
	return p;
}

static int scale(sl_fit *f, const sl_planes *in, int matrix, int full, sl_planes *out)
{
	return sl_scale(&f->scaler, in, (sl_meaning){ matrix, full }, out, (sl_meaning){ SWS_CS_ITU709, 0 }, SWS_BICUBIC);
}

static void copy(const sl_planes *in, sl_planes *out)
{
	for (int c = 0; c < 3; c++)
		av_image_copy_plane(out->data[c], out->stride[c], in->data[c], in->stride[c], c ? out->width / 2 : out->width,
			c ? out->height / 2 : out->height);
}

// HDR, RGB and whatever else is rare goes by way of the shown picture.
static int by_rgba(sl_fit *f, const AVFrame *in, const sl_look *look, sl_planes *to)
{
	if (!f->view && !(f->view = sl_view_new()))
		return AVERROR(ENOMEM);
	int err = sl_planes_room(&f->rgba, AV_PIX_FMT_RGBA, look->width, look->height);
	if (err >= 0)
		err = sl_view_rgba(f->view, in, look, f->rgba.data[0], f->rgba.stride[0]);
	if (err < 0)
		return err;
	sl_planes opaque = f->rgba;
	opaque.format = AV_PIX_FMT_RGB0;
	return scale(f, &opaque, SWS_CS_ITU709, 1, to);
}

int sl_fit_picture(sl_fit *f, const AVFrame *frame, const sl_look *look, AVFrame *out, int x, int y)
{
	sl_planes to = part(out, x, y, look->width, look->height);
	if (look->transfer || !sl_is_yuv(frame->format))
		return by_rgba(f, frame, look, &to);
	sl_planes in;
	int err = sl_planes_of(frame, look, &f->still, &in);
	if (err < 0)
		return err;
	int turned = look->quarter || look->mirror, matrix = sl_sws_matrix(look->matrix);
	sl_planes *scaled = &to;
	if (turned) {
		int w = look->quarter & 1 ? look->height : look->width, h = look->quarter & 1 ? look->width : look->height;
		err = sl_planes_room(&f->upright, AV_PIX_FMT_YUV420P, w, h);
		if (err < 0)
			return err;
		scaled = &f->upright;
	}
	if (in.format == AV_PIX_FMT_YUV420P && in.width == scaled->width && in.height == scaled->height && matrix == SWS_CS_ITU709 && !look->full)
		copy(&in, scaled);
	else
		err = scale(f, &in, matrix, look->full, scaled);
	if (err >= 0)
		sl_light(scaled->data[0], scaled->stride[0], scaled->width, scaled->height, look, 0);
	for (int c = 0; err >= 0 && turned && c < 3; c++)
		sl_turn_8(scaled->data[c], scaled->stride[c], c ? scaled->width / 2 : scaled->width, c ? scaled->height / 2 : scaled->height,
			to.data[c], to.stride[c], look);
	return err;
}

void sl_blank(AVFrame *out)
{
	for (int c = 0; c < 3; c++) // black in limited range
		for (int y = 0; y < (c ? out->height / 2 : out->height); y++)
			memset(out->data[c] + (ptrdiff_t)y * out->linesize[c], c ? 128 : 16, c ? out->width / 2 : out->width);
}

// left parts of what is below, in 255, and add on top. The sum never exceeds 255,
// as add holds the rest of the parts of at most 255.
static void lay_line(uint8_t *restrict below, const uint8_t *restrict add, const uint8_t *restrict left, int n)
{
	for (int i = 0; i < n; i++)
		below[i] = add[i] + (uint8_t)((below[i] * left[i] * 257 + 32768) >> 16);
}

void sl_lay(AVFrame *out, const sl_overlay *o)
{
	sl_planes p = part(out, o->x, o->y, o->width, o->height);
	for (int c = 0; c < 3; c++) {
		int w = c ? o->width / 2 : o->width, h = c ? o->height / 2 : o->height;
		for (int y = 0; y < h; y++)
			lay_line(p.data[c] + (ptrdiff_t)y * p.stride[c], o->plane[c] + (ptrdiff_t)y * w, o->left[c ? 1 : 0] + (ptrdiff_t)y * w, w);
	}
}
