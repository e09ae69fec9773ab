#include "film.h"
#include <libavutil/imgutils.h>
#include <libavutil/pixdesc.h>
#include <stdlib.h>
#include <string.h>

struct sl_fit {
	struct SwsContext *sws;
	int key[8]; // what sws was made for
	sl_planes still, upright, rgba;
	sl_view *view;
};

sl_fit *sl_fit_new(void) { return calloc(1, sizeof(sl_fit)); }

void sl_fit_free(sl_fit **p)
{
	sl_fit *f = *p;
	if (!f)
		return;
	sws_freeContext(f->sws);
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

static int matrix_of(int m)
{
	switch (m) {
	case AVCOL_SPC_BT709: return SWS_CS_ITU709;
	case AVCOL_SPC_SMPTE240M: return SWS_CS_SMPTE240M;
	case AVCOL_SPC_FCC: return SWS_CS_FCC;
	case AVCOL_SPC_BT2020_NCL:
	case AVCOL_SPC_BT2020_CL: return SWS_CS_BT2020;
	default: return SWS_CS_ITU601;
	}
}

static int resize(sl_fit *f, const sl_planes *in, int matrix, int full, sl_planes *out)
{
	int key[8] = { in->width, in->height, in->format, out->width, out->height, matrix, full, 1 };
	if (!f->sws || memcmp(key, f->key, sizeof key)) {
		sws_freeContext(f->sws);
		f->sws = sws_getContext(in->width, in->height, in->format, out->width, out->height, out->format, SWS_BICUBIC, NULL, NULL, NULL);
		if (!f->sws)
			return AVERROR(EINVAL);
		memcpy(f->key, key, sizeof key);
		sws_setColorspaceDetails(f->sws, sws_getCoefficients(matrix), full, sws_getCoefficients(SWS_CS_ITU709), 0, 0,
			1 << 16, 1 << 16);
	}
	int got = sws_scale(f->sws, (const uint8_t *const *)in->data, in->stride, 0, in->height, out->data, out->stride);
	return got < 0 ? got : 0;
}

static void copy(const sl_planes *in, sl_planes *out)
{
	for (int c = 0; c < 3; c++)
		av_image_copy_plane(out->data[c], out->stride[c], in->data[c], in->stride[c], c ? out->width / 2 : out->width,
			c ? out->height / 2 : out->height);
}

// Turns a plane of w x h by quarters clockwise, after the mirror.
static void turn(const uint8_t *src, ptrdiff_t ss, int w, int h, uint8_t *dst, ptrdiff_t ds, int quarter, int mirror)
{
	int dw = quarter & 1 ? h : w, dh = quarter & 1 ? w : h;
	// Steps in the source for one to the right and one down in what is shown.
	ptrdiff_t right = 1, down = ss;
	const uint8_t *at = src;
	switch (quarter) {
	case 1: at = src + (h - 1) * ss, right = -ss, down = 1; break;
	case 2: at = src + (h - 1) * ss + w - 1, right = -1, down = -ss; break;
	case 3: at = src + w - 1, right = ss, down = -1; break;
	}
	if (mirror) { // left and right of the source change places: mirror each step along a line of it
		ptrdiff_t place = at - src, row = place / ss, column = place % ss;
		at = src + row * ss + (w - 1 - column);
		right = quarter & 1 ? right : -right;
		down = quarter & 1 ? -down : down;
	}
	for (int by = 0; by < dh; by += 16) // in blocks, so that both sides stay in the cache
		for (int bx = 0; bx < dw; bx += 16)
			for (int y = by; y < dh && y < by + 16; y++) {
				const uint8_t *s = at + y * down + bx * right;
				uint8_t *d = dst + y * ds;
				for (int x = bx; x < dw && x < bx + 16; x++, s += right)
					d[x] = *s;
			}
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
	return resize(f, &opaque, SWS_CS_ITU709, 1, to);
}

int sl_fit_picture(sl_fit *f, const AVFrame *frame, const sl_look *look, AVFrame *out, int x, int y)
{
	sl_planes to = part(out, x, y, look->width, look->height);
	sl_planes in = { .width = frame->width, .height = frame->height, .format = frame->format };
	switch (in.format) { // the old names of full-range formats: range is told apart
	case AV_PIX_FMT_YUVJ420P: in.format = AV_PIX_FMT_YUV420P; break;
	case AV_PIX_FMT_YUVJ422P: in.format = AV_PIX_FMT_YUV422P; break;
	case AV_PIX_FMT_YUVJ444P: in.format = AV_PIX_FMT_YUV444P; break;
	case AV_PIX_FMT_YUVJ440P: in.format = AV_PIX_FMT_YUV440P; break;
	case AV_PIX_FMT_YUVJ411P: in.format = AV_PIX_FMT_YUV411P; break;
	}
	const AVPixFmtDescriptor *d = av_pix_fmt_desc_get(in.format);
	if (!d || look->transfer || (d->flags & (AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL)) || d->nb_components < 3)
		return by_rgba(f, frame, look, &to);
	memcpy(in.data, frame->data, sizeof in.data);
	memcpy(in.stride, frame->linesize, sizeof in.stride);
	if (look->keep >= 0 && frame->height >= 4 && sl_weave_known(frame->format)) {
		int err = sl_planes_room(&f->still, in.format, frame->width, frame->height);
		if (err < 0)
			return err;
		f->still.format = in.format;
		sl_unweave(&in, &f->still, look->keep, look->alone);
		in = f->still;
	}
	int turned = look->quarter || look->mirror, matrix = matrix_of(look->matrix);
	sl_planes *scaled = &to;
	if (turned) {
		int w = look->quarter & 1 ? look->height : look->width, h = look->quarter & 1 ? look->width : look->height;
		int err = sl_planes_room(&f->upright, AV_PIX_FMT_YUV420P, w, h);
		if (err < 0)
			return err;
		scaled = &f->upright;
	}
	if (in.format == AV_PIX_FMT_YUV420P && in.width == scaled->width && in.height == scaled->height && matrix == SWS_CS_ITU709 && !look->full)
		copy(&in, scaled);
	else {
		int err = resize(f, &in, matrix, look->full, scaled);
		if (err < 0)
			return err;
	}
	for (int c = 0; turned && c < 3; c++)
		turn(scaled->data[c], scaled->stride[c], c ? scaled->width / 2 : scaled->width, c ? scaled->height / 2 : scaled->height,
			to.data[c], to.stride[c], look->quarter, look->mirror);
	return 0;
}

void sl_blank(AVFrame *out)
{
	for (int c = 0; c < 3; c++) // black in limited range
		for (int y = 0; y < (c ? out->height / 2 : out->height); y++)
			memset(out->data[c] + (ptrdiff_t)y * out->linesize[c], c ? 128 : 16, c ? out->width / 2 : out->width);
}

// left parts of what is below, in 255, and add on top. The sum never exceeds 255,
// as add holds the rest of the parts of at most 255.
__attribute__((optimize("O3"))) static void lay_line(uint8_t *restrict below, const uint8_t *restrict add, const uint8_t *restrict left, int n)
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
