// From a decoded picture to what is shown: scaled to the shown size, turned and
// mirrored as the file says, in the colours that its samples mean.
#include "native.h"
#include <libavutil/imgutils.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

struct sl_view {
	sl_scaler scaler, colours;
	sl_planes still, deep, scaled, turned;
	sl_tone *tone;
	int16_t *line;  // what the chroma of one line adds to its luma, once and for every sample
	int line_room;
	sl_jpeg *jpeg;
};

void sl_picture_facts(const AVFrame *f, sl_picture *out)
{
	out->width = f->width;
	out->height = f->height;
	out->format = f->format;
	out->key = f->key_frame;
	out->interlaced = f->interlaced_frame;
	out->top_first = f->top_field_first;
	out->bad = f->decode_error_flags != 0 || (f->flags & AV_FRAME_FLAG_CORRUPT);
	out->range = f->color_range;
	out->matrix = f->colorspace;
	out->primaries = f->color_primaries;
	out->transfer = f->color_trc;
	out->sar_num = f->sample_aspect_ratio.num;
	out->sar_den = f->sample_aspect_ratio.den;
	out->pts = f->pts;
}

sl_view *sl_view_new(void) { return calloc(1, sizeof(sl_view)); }

void sl_view_free(sl_view **p)
{
	sl_view *v = *p;
	if (!v)
		return;
	sws_freeContext(v->scaler.sws);
	sws_freeContext(v->colours.sws);
	for (sl_planes *p = &v->still; p <= &v->turned; p++)
		av_freep(&p->data[0]);
	free(v->tone);
	av_free(v->line);
	sl_jpeg_free(&v->jpeg);
	free(v);
	*p = NULL;
}

// Scales YCbCr without a change of what its numbers mean but for the range, all else to BT.601.
static int scale(sl_view *v, const sl_planes *in, const sl_look *look, int to_full, int flags, sl_planes *out)
{
	int matrix = sl_sws_matrix(look->matrix);
	return sl_scale(&v->scaler, in, (sl_meaning){ matrix, look->full }, out,
		(sl_meaning){ sl_is_yuv(in->format) ? matrix : SWS_CS_ITU601, to_full }, flags);
}

// Scales HDR samples, as deep as they are, to the shown size and maps them to what a usual screen can show.
static int map_tones(sl_view *v, const sl_planes *in, const sl_look *look, enum AVPixelFormat deep, int flags, sl_planes *out)
{
	if (!v->tone && !(v->tone = sl_tone_new()))
		return AVERROR(ENOMEM);
	int err = sl_planes_room(&v->deep, deep, out->width, out->height);
	if (err >= 0)
		err = scale(v, in, look, look->full, flags, &v->deep);
	if (err < 0)
		return err;
	if (out->format == AV_PIX_FMT_RGBA)
		sl_tone_rgba(v->tone, look, &v->deep, out);
	else
		sl_tone_planes(v->tone, look, &v->deep, out);
	return 0;
}

// ---- colour: any YCbCr matrix and range to BT.601 full range ----

// Y' = luma*Y + cb*Cb + cr*Cr + bias and a 2x2 matrix for the chroma; grey stays
// grey, so luma never enters the chroma and 4:2:0 needs no chroma resampling.
// Samples are taken times 128 and factors times 2^14, so that a product shifted by
// 15 is a sample times 64: all of it fits sixteen bits, as the largest factor
// (limited to full range) is 1.17 for luma and 1.3 for chroma.
typedef struct recolour {
	int16_t luma, cb, cr, bias, c[4];
} recolour;

enum { BITS = 14 };

static void weights(int matrix, double *kr, double *kb)
{
	switch (matrix) {
	case AVCOL_SPC_BT709: *kr = .2126, *kb = .0722; break;
	case AVCOL_SPC_SMPTE240M: *kr = .212, *kb = .087; break;
	case AVCOL_SPC_FCC: *kr = .30, *kb = .11; break;
	case AVCOL_SPC_BT2020_NCL:
	case AVCOL_SPC_BT2020_CL: *kr = .2627, *kb = .0593; break;
	default: *kr = .299, *kb = .114; // BT.601-7
	}
}

// Returns 0 where nothing is to be done.
static int recolour_of(const sl_look *look, recolour *r)
{
	double kr, kb, jr = .299, jb = .114;
	weights(look->matrix, &kr, &kb);
	if (kr == jr && kb == jb && look->full)
		return 0;
	double kg = 1 - kr - kb, jg = 1 - jr - jb;
	double ys = look->full ? 1 : 255. / 219, cs = look->full ? 1 : 255. / 224, one = 1 << BITS;
	// RGB from Cb, Cr: R = Y + 2(1-kr)Cr, B = Y + 2(1-kb)Cb, G so that the weights sum to Y.
	double rr = 2 * (1 - kr), bb = 2 * (1 - kb), gb = -kb * bb / kg, gr = -kr * rr / kg;
	double ycb = jg * gb + jb * bb, ycr = jr * rr + jg * gr;
	r->luma = lrint(ys * one);
	r->cb = lrint(ycb * cs * one);
	r->cr = lrint(ycr * cs * one);
	r->bias = lrint(look->full ? 32 : -16 * ys * 64 + 32);
	r->c[0] = lrint((bb - ycb) / (2 * (1 - jb)) * cs * one);
	r->c[1] = lrint(-ycr / (2 * (1 - jb)) * cs * one);
	r->c[2] = lrint(-ycb / (2 * (1 - jr)) * cs * one);
	r->c[3] = lrint((rr - ycr) / (2 * (1 - jr)) * cs * one);
	return 1;
}

static inline uint8_t clip(int x) { return x < 0 ? 0 : x > 255 ? 255 : (uint8_t)x; }

#if defined(__x86_64__) && defined(__GLIBC__)
#define WIDE __attribute__((target_clones("avx2", "default")))
#else
#define WIDE
#endif

// Rounded (a * b) >> 15, one instruction on sixteen lanes.
static inline int16_t times(int16_t a, int16_t b) { return (int16_t)(((((int32_t)a * b) >> 14) + 1) >> 1); }

WIDE static void recolour_chroma(const recolour *r, uint8_t *restrict u, uint8_t *restrict v, int16_t *restrict add, int n)
{
	int16_t a = r->cb, b = r->cr, c0 = r->c[0], c1 = r->c[1], c2 = r->c[2], c3 = r->c[3], bias = r->bias;
	for (int i = 0; i < n; i++) {
		int16_t cb = (int16_t)((u[i] - 128) * 128), cr = (int16_t)((v[i] - 128) * 128);
		add[i] = times(a, cb) + times(b, cr) + bias;
		u[i] = clip((int16_t)(times(c0, cb) + times(c1, cr) + (1 << 5) + (128 << 6)) >> 6);
		v[i] = clip((int16_t)(times(c2, cb) + times(c3, cr) + (1 << 5) + (128 << 6)) >> 6);
	}
}

WIDE static void recolour_luma(int16_t luma, uint8_t *restrict y, const int16_t *restrict add, int n)
{
	for (int i = 0; i < n; i++)
		y[i] = clip((int16_t)(times(luma, (int16_t)(y[i] << 7)) + add[i]) >> 6);
}

// Every chroma sample stands over two luma samples.
WIDE static void twice(const int16_t *restrict in, int16_t *restrict out, int n)
{
	for (int i = 0; i < n; i++)
		out[2 * i] = out[2 * i + 1] = in[i];
}

static int recolour_planes(sl_view *v, const recolour *r, sl_planes *p)
{
	int half = (p->width + 1) / 2;
	if (v->line_room < 3 * half) {
		av_free(v->line);
		v->line = av_malloc_array(3 * half, sizeof *v->line);
		v->line_room = v->line ? 3 * half : 0;
		if (!v->line)
			return AVERROR(ENOMEM);
	}
	for (int y = 0; y < p->height; y += 2) {
		ptrdiff_t at = y / 2;
		recolour_chroma(r, p->data[1] + at * p->stride[1], p->data[2] + at * p->stride[2], v->line, half);
		twice(v->line, v->line + half, half);
		for (int k = 0; k < 2 && y + k < p->height; k++)
			recolour_luma(r->luma, p->data[0] + (ptrdiff_t)(y + k) * p->stride[0], v->line + half, p->width);
	}
	return 0;
}

// Repeats the last column, so that what lies beyond the edge does not show in the
// last JPEG block.
static void pad(sl_planes *p)
{
	for (int c = 0; c < 3; c++) {
		int w = c ? (p->width + 1) / 2 : p->width, h = c ? (p->height + 1) / 2 : p->height;
		int to = FFALIGN(w, 16);
		for (int y = 0; to > w && y < h; y++) {
			uint8_t *row = p->data[c] + (ptrdiff_t)y * p->stride[c];
			memset(row + w, row[w - 1], to - w);
		}
	}
}

// The picture as shown, 4:2:0 in BT.601 full range; the view keeps it until its next picture.
static int shown(sl_view *v, const AVFrame *f, const sl_look *look, sl_planes **out)
{
	int turned = look->quarter || look->mirror;
	int w = look->quarter & 1 ? look->height : look->width, h = look->quarter & 1 ? look->width : look->height;
	sl_planes in;
	int err = sl_planes_of(f, look, &v->still, &in);
	if (err >= 0)
		err = sl_planes_room(&v->scaled, AV_PIX_FMT_YUV420P, w, h);
	if (err < 0)
		return err;
	recolour r;
	int yuv = sl_is_yuv(f->format);
	// YCbCr keeps its meaning through the scaler; all else becomes BT.601 full range there.
	// The area filter is a third cheaper than the bicubic and as good in making smaller.
	int flags = w <= in.width && h <= in.height ? SWS_AREA : SWS_BICUBIC;
	if (yuv && look->transfer)
		err = map_tones(v, &in, look, AV_PIX_FMT_YUV420P10, flags, &v->scaled);
	else
		err = scale(v, &in, look, yuv ? look->full : 1, flags, &v->scaled);
	if (err >= 0 && yuv && !look->transfer && recolour_of(look, &r))
		err = recolour_planes(v, &r, &v->scaled);
	sl_planes *p = &v->scaled;
	if (err >= 0)
		sl_light(p->data[0], p->stride[0], w, h, look, 1);
	if (err >= 0 && turned) {
		err = sl_planes_room(&v->turned, AV_PIX_FMT_YUV420P, look->width, look->height);
		for (int c = 0; err >= 0 && c < 3; c++)
			sl_turn_8(p->data[c], p->stride[c], c ? (w + 1) / 2 : w, c ? (h + 1) / 2 : h, v->turned.data[c], v->turned.stride[c], look);
		p = &v->turned;
	}
	*out = p;
	return err;
}

int sl_view_jpeg(sl_view *v, const AVFrame *f, const sl_look *look, int quality, const uint8_t **out, unsigned long *size)
{
	sl_planes *p;
	int err = shown(v, f, look, &p);
	if (err < 0)
		return err;
	pad(p);
	if (!v->jpeg && !(v->jpeg = sl_jpeg_new()))
		return AVERROR(ENOMEM);
	return sl_jpeg_encode(v->jpeg, p->data, p->stride, look->width, look->height, quality, out, size);
}

int sl_view_screen(sl_view *v, const AVFrame *f, const sl_look *look, uint8_t *out)
{
	sl_planes *p;
	int err = shown(v, f, look, &p);
	if (err < 0)
		return err;
	sl_meaning jpeg = { SWS_CS_ITU601, 1 };
	sl_planes to = { .data = { out }, .stride = { 4 * look->width }, .width = look->width, .height = look->height, .format = AV_PIX_FMT_BGRA };
	return sl_scale(&v->colours, p, jpeg, &to, jpeg, SWS_FAST_BILINEAR);
}

// Changes the luma of RGBA and leaves the chroma, as in a JPEG (BT.601).
static void light_rgba(uint8_t *out, int stride, const sl_look *look)
{
	for (int y = 0; look->lit && y < look->height; y++)
		for (int x = 0; x < look->width; x++) {
			uint8_t *p = out + (ptrdiff_t)y * stride + 4 * x;
			int luma = (77 * p[0] + 150 * p[1] + 29 * p[2] + 128) >> 8, more = look->light[luma] - luma;
			for (int c = 0; c < 3; c++)
				p[c] = clip(p[c] + more);
		}
}

int sl_view_rgba(sl_view *v, const AVFrame *f, const sl_look *look, uint8_t *out, int stride)
{
	int turned = look->quarter || look->mirror;
	int w = look->quarter & 1 ? look->height : look->width, h = look->quarter & 1 ? look->width : look->height;
	int flags = SWS_BICUBIC | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INT | SWS_FULL_CHR_H_INP;
	sl_planes in;
	int err = sl_planes_of(f, look, &v->still, &in);
	if (err >= 0)
		err = sl_planes_room(&v->scaled, AV_PIX_FMT_RGBA, w, h);
	if (err >= 0 && sl_is_yuv(f->format) && look->transfer)
		err = map_tones(v, &in, look, AV_PIX_FMT_YUV444P10, flags, &v->scaled);
	else if (err >= 0)
		err = scale(v, &in, look, 1, flags, &v->scaled);
	if (err < 0)
		return err;
	if (turned)
		sl_turn_32((const uint32_t *)v->scaled.data[0], v->scaled.stride[0] / 4, w, h, (uint32_t *)out, stride / 4, look);
	else
		av_image_copy_plane(out, stride, v->scaled.data[0], v->scaled.stride[0], w * 4, h);
	light_rgba(out, stride, look);
	for (int y = 0; y < look->height; y++) // a picture on a screen hides what is behind it
		for (int x = 0; x < look->width; x++)
			out[(ptrdiff_t)y * stride + 4 * x + 3] = 255;
	return 0;
}
