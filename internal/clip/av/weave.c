// Interlaced pictures hold two moments, one in the even lines and one in the odd:
// what moves shows as a comb. For display one moment is kept, and the lines of the
// other are made up from their neighbours: everywhere, or only where they show a
// comb, so that what stands still keeps its full sharpness.
#include "native.h"
#include <libavutil/imgutils.h>
#include <libavutil/pixdesc.h>
#include <string.h>

int sl_weave_known(int format)
{
	const AVPixFmtDescriptor *d = av_pix_fmt_desc_get(format);
	if (!d || (d->flags & (AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_BITSTREAM | AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_BE | AV_PIX_FMT_FLAG_FLOAT)))
		return 0;
	// Packed formats whose components are not whole bytes cannot be taken byte by byte.
	return d->comp[0].depth == 8 || (d->comp[0].depth > 8 && (d->flags & AV_PIX_FMT_FLAG_PLANAR));
}

#if defined(__x86_64__) && defined(__GLIBC__)
#define WIDE __attribute__((target_clones("avx2", "default")))
#else
#define WIDE
#endif

// One line between the kept lines a and b. A sample c is a comb's where it and the
// nearest of its own moment, above (d) or below (e), stand out from both a and b by
// more than so much in the same direction; a thin line that stands still does not,
// for its neighbours d and e agree with a and b.
#define LINE(T, NAME)                                                                                                   \
	WIDE static void NAME(const T *restrict a, const T *restrict b, const T *restrict c, const T *restrict d,               \
		const T *restrict e, T *restrict out, int n, int much, int alone)                                                   \
	{                                                                                                                       \
		for (int i = 0; i < n; i++) {                                                                                       \
			int low = a[i] < b[i] ? a[i] : b[i], high = a[i] < b[i] ? b[i] : a[i];                                          \
			int over = d[i] > e[i] ? d[i] : e[i], under = d[i] > e[i] ? e[i] : d[i];                                        \
			over = over < c[i] ? over : c[i];                                                                               \
			under = under > c[i] ? under : c[i];                                                                            \
			int comb = alone | (over > high + much) | (under < low - much);                                                 \
			out[i] = comb ? (T)((a[i] + b[i] + 1) >> 1) : c[i];                                                             \
		}                                                                                                                   \
	}
LINE(uint8_t, line_8)
LINE(uint16_t, line_16)

// How much stands out, in steps of 8 bits: noise of a camera indoors stays below.
enum { MUCH = 10 };

void sl_unweave(const sl_planes *in, sl_planes *out, int keep, int alone)
{
	const AVPixFmtDescriptor *d = av_pix_fmt_desc_get(in->format);
	int deep = d->comp[0].depth > 8, much = MUCH << (d->comp[0].depth + d->comp[0].shift - 8);
	for (int p = 0; p < 4 && in->data[p]; p++) {
		int h = p == 1 || p == 2 ? AV_CEIL_RSHIFT(in->height, d->log2_chroma_h) : in->height;
		int bytes = av_image_get_linesize(in->format, in->width, p);
		for (int y = 0; y < h; y++) {
			uint8_t *to = out->data[p] + (ptrdiff_t)y * out->stride[p];
			const uint8_t *line[5]; // from two above to two below, inside the picture
			for (int k = 0; k < 5; k++) {
				int at = y + k - 2;
				at = at < 0 ? at + 2 * ((1 - at) / 2) : at >= h ? at - 2 * ((at - h + 2) / 2) : at;
				line[k] = in->data[p] + (ptrdiff_t)(at < 0 ? 0 : at) * in->stride[p];
			}
			if ((y & 1) == keep || h < 2)
				memcpy(to, line[2], bytes);
			else if (deep)
				line_16((const uint16_t *)line[1], (const uint16_t *)line[3], (const uint16_t *)line[2], (const uint16_t *)line[0],
					(const uint16_t *)line[4], (uint16_t *)to, bytes / 2, much, alone);
			else
				line_8(line[1], line[3], line[2], line[0], line[4], to, bytes, much, alone);
		}
	}
}
