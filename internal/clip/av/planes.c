// What showing a picture (picture.c) and putting it into a film (film.c) have in
// common: the planes of a decoded picture, scaled in the colours that its samples
// mean, turned and mirrored.
#include "native.h"
#include <libavutil/imgutils.h>
#include <libavutil/pixdesc.h>
#include <string.h>

int sl_planes_room(sl_planes *p, int format, int w, int h)
{
	if (p->data[0] && p->format == format && p->width == w && p->height == h)
		return 0;
	av_freep(&p->data[0]);
	int err = av_image_alloc(p->data, p->stride, FFALIGN(w, 32), FFALIGN(h, 32), format, 64);
	if (err < 0)
		return err;
	p->format = format;
	p->width = w;
	p->height = h;
	return 0;
}

// The old names of full-range formats only confuse swscale: range is told apart.
static enum AVPixelFormat plain(enum AVPixelFormat f)
{
	switch (f) {
	case AV_PIX_FMT_YUVJ420P: return AV_PIX_FMT_YUV420P;
	case AV_PIX_FMT_YUVJ422P: return AV_PIX_FMT_YUV422P;
	case AV_PIX_FMT_YUVJ444P: return AV_PIX_FMT_YUV444P;
	case AV_PIX_FMT_YUVJ440P: return AV_PIX_FMT_YUV440P;
	case AV_PIX_FMT_YUVJ411P: return AV_PIX_FMT_YUV411P;
	default: return f;
	}
}

int sl_is_yuv(int format)
{
	const AVPixFmtDescriptor *d = av_pix_fmt_desc_get(format);
	return d && !(d->flags & (AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL)) && d->nb_components >= 3;
}

// Leaves the part that the look says, as near as the format has samples.
static void cut(const sl_look *look, sl_planes *p)
{
	const AVPixFmtDescriptor *d = av_pix_fmt_desc_get(p->format);
	if (!look->across || !d)
		return;
	int bits = d->flags & AV_PIX_FMT_FLAG_BITSTREAM ? 7 : 0; // whole bytes
	int x = FFMIN(look->x, p->width - 1) & ~((1 << d->log2_chroma_w) - 1) & ~bits;
	int y = FFMIN(look->y, p->height - 1) & ~((1 << d->log2_chroma_h) - 1);
	int step[4], component[4];
	av_image_fill_max_pixsteps(step, component, d);
	for (int c = 0; c < 4 && p->data[c]; c++) {
		if (c == 1 && d->flags & AV_PIX_FMT_FLAG_PAL)
			break; // the palette
		int cx = c == 1 || c == 2 ? x >> d->log2_chroma_w : x, cy = c == 1 || c == 2 ? y >> d->log2_chroma_h : y;
		p->data[c] += cy * (ptrdiff_t)p->stride[c] + (bits ? cx * step[c] / 8 : cx * step[c]);
	}
	p->width = FFMIN(look->across, p->width - x);
	p->height = FFMIN(look->down, p->height - y);
}

void sl_light(uint8_t *luma, ptrdiff_t stride, int w, int h, const sl_look *look, int full)
{
	uint8_t to[256];
	if (!look->lit)
		return;
	for (int i = 0; i < 256; i++) // 16 to 235 is black to white in limited range
		to[i] = full ? look->light[i] : 16 + (look->light[i <= 16 ? 0 : i >= 235 ? 255 : ((i - 16) * 255 + 109) / 219] * 219 + 127) / 255;
	for (int y = 0; y < h; y++)
		for (int x = 0; x < w; x++)
			luma[y * stride + x] = to[luma[y * stride + x]];
}

int sl_planes_of(const AVFrame *f, const sl_look *look, sl_planes *still, sl_planes *in)
{
	*in = (sl_planes){ .width = f->width, .height = f->height, .format = plain(f->format) };
	memcpy(in->data, f->data, sizeof in->data);
	memcpy(in->stride, f->linesize, sizeof in->stride);
	if (look->keep >= 0 && f->height >= 4 && sl_weave_known(f->format)) {
		int err = sl_planes_room(still, in->format, f->width, f->height);
		if (err < 0)
			return err;
		sl_unweave(in, still, look->keep, look->alone);
		*in = *still;
	}
	cut(look, in);
	return 0;
}

int sl_sws_matrix(int matrix)
{
	switch (matrix) {
	case AVCOL_SPC_BT709: return SWS_CS_ITU709;
	case AVCOL_SPC_SMPTE240M: return SWS_CS_SMPTE240M;
	case AVCOL_SPC_FCC: return SWS_CS_FCC;
	case AVCOL_SPC_BT2020_NCL:
	case AVCOL_SPC_BT2020_CL: return SWS_CS_BT2020;
	default: return SWS_CS_ITU601;
	}
}

int sl_scale(sl_scaler *s, const sl_planes *in, sl_meaning from, sl_planes *out, sl_meaning to, int flags)
{
	int key[] = { in->width, in->height, in->format, out->width, out->height, out->format, from.matrix, from.full, to.matrix, to.full, flags };
	_Static_assert(sizeof key == sizeof s->key, "a scaler's key holds all that it is made for");
	if (!s->sws || memcmp(key, s->key, sizeof key)) {
		sws_freeContext(s->sws);
		s->sws = sws_getContext(in->width, in->height, in->format, out->width, out->height, out->format, flags, NULL, NULL, NULL);
		if (!s->sws)
			return AVERROR(EINVAL);
		memcpy(s->key, key, sizeof key);
		sws_setColorspaceDetails(s->sws, sws_getCoefficients(from.matrix), from.full, sws_getCoefficients(to.matrix), to.full, 0,
			1 << 16, 1 << 16);
	}
	int got = sws_scale(s->sws, (const uint8_t *const *)in->data, in->stride, 0, in->height, out->data, out->stride);
	return got < 0 ? got : 0;
}

enum { SIDE = 16 }; // of the blocks in which is turned, so that both sides stay in the cache

// Steps are those in the source for one to the right and one down in what is shown.
#define TURN(T, NAME)                                                                                                    \
	void NAME(const T *src, ptrdiff_t ss, int w, int h, T *dst, ptrdiff_t ds, const sl_look *look)                       \
	{                                                                                                                    \
		int dw = look->quarter & 1 ? h : w, dh = look->quarter & 1 ? w : h, row = 0, column = 0;                         \
		ptrdiff_t right = 1, down = ss;                                                                                  \
		switch (look->quarter) {                                                                                         \
		case 1: row = h - 1, right = -ss, down = 1; break;                                                               \
		case 2: row = h - 1, column = w - 1, right = -1, down = -ss; break;                                              \
		case 3: column = w - 1, right = ss, down = -1; break;                                                            \
		}                                                                                                                \
		if (look->mirror) { /* left and right of the source change places */                                             \
			column = w - 1 - column;                                                                                     \
			right = look->quarter & 1 ? right : -right;                                                                  \
			down = look->quarter & 1 ? -down : down;                                                                     \
		}                                                                                                                \
		const T *at = src + row * ss + column;                                                                           \
		for (int by = 0; by < dh; by += SIDE)                                                                            \
			for (int bx = 0; bx < dw; bx += SIDE)                                                                        \
				for (int y = by; y < dh && y < by + SIDE; y++) {                                                         \
					const T *s = at + y * down + bx * right;                                                             \
					T *d = dst + y * ds + bx;                                                                            \
					if (bx + SIDE <= dw) /* a number of rounds that the compiler knows */                                \
						for (int x = 0; x < SIDE; x++)                                                                   \
							d[x] = s[x * right];                                                                         \
					else                                                                                                 \
						for (int x = 0; x < dw - bx; x++)                                                                \
							d[x] = s[x * right];                                                                         \
				}                                                                                                        \
	}
TURN(uint8_t, sl_turn_8)
TURN(uint32_t, sl_turn_32)
