// From HDR to a usual screen, as a display would show it: HLG and PQ are turned
// into light (ITU-R BT.2100-2, tables 4 and 5, HLG on its nominal display of 1000
// cd/m2), highlights are rolled off with the curve of ITU-R BT.2390 section 5.4 so
// that 1000 cd/m2 become the screen's white and what is darker than 85 cd/m2 (grey
// card, most of a lit skin) stays as it is, colours are brought from BT.2020 to
// BT.709 (ITU-R BT.2087) and coded with the gamma of ITU-R BT.1886. The screen's
// white stands for HDR reference white, 203 cd/m2 (ITU-R BT.2408).
#include "native.h"
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { STEPS = 4096, SHIFT = 14 };

#define PEAK 1000.0 // cd/m2; what cameras and phones master to
#define WHITE 203.0

struct sl_tone {
	int transfer;
	float light[STEPS]; // of a coded R, G or B: for HLG of the scene, for PQ of the display; 1 is the peak
	float gain[STEPS];  // by the square root of luminance: to light of the screen, 1 its white
	uint8_t code[STEPS]; // by the square root of that light
	int full;
	int16_t grey[1024]; // what a coded luma without chroma comes to, times 64
};

sl_tone *sl_tone_new(void) { return calloc(1, sizeof(sl_tone)); }

static double pq_of(double nits)
{
	double y = pow(nits / 10000, 1305. / 8192);
	return pow((107. / 128 + 2413. / 128 * y) / (1 + 2392. / 128 * y), 2523. / 32);
}

static double nits_of(double pq)
{
	double e = pow(pq, 32. / 2523);
	return 10000 * pow(fmax(e - 107. / 128, 0) / (2413. / 128 - 2392. / 128 * e), 8192. / 1305);
}

static double hlg_light(double e)
{
	const double a = .17883277, b = .28466892, c = .55991073;
	return e <= .5 ? e * e / 3 : (exp((e - c) / a) + b) / 12;
}

// Light on the screen of display light in cd/m2, both linear.
static double rolled(double nits)
{
	double top = pq_of(PEAK), e = pq_of(nits) / top, most = pq_of(WHITE) / top, knee = 1.5 * most - .5;
	if (e > knee) {
		double t = (fmin(e, 1) - knee) / (1 - knee), t2 = t * t, t3 = t2 * t;
		e = (2 * t3 - 3 * t2 + 1) * knee + (t3 - 2 * t2 + t) * (1 - knee) + (3 * t2 - 2 * t3) * most;
	}
	return nits_of(e * top) / WHITE;
}

// R', G', B' in steps of the tables from Y', Cb, Cr of ten bits.
typedef struct coded {
	int y, zero, rv, gu, gv, bu, wide;
} coded;

static coded coded_of(const sl_look *look)
{
	// BT.2020 weights, or BT.709 where the file says so.
	int hd = look->matrix == AVCOL_SPC_BT709;
	double kr = hd ? .2126 : .2627, kb = hd ? .0722 : .0593, kg = 1 - kr - kb;
	double y = (STEPS - 1) * (1 << SHIFT) / (look->full ? 1023. : 876.), c = (STEPS - 1) * (1 << SHIFT) / (look->full ? 1023. : 896.);
	return (coded){ lrint(y), look->full ? 0 : 64, lrint(2 * (1 - kr) * c), lrint(-2 * kb * (1 - kb) / kg * c),
		lrint(-2 * kr * (1 - kr) / kg * c), lrint(2 * (1 - kb) * c), !look->narrow };
}

static inline int step(int x) { return x < 0 ? 0 : x >= STEPS ? STEPS - 1 : x; }

static inline uint8_t byte(int x) { return x < 0 ? 0 : x > 255 ? 255 : (uint8_t)x; }

static inline int root(float x) { return x <= 0 ? 0 : x >= 1 ? STEPS - 1 : (int)(sqrtf(x) * (STEPS - 1) + .5f); }

// One picture element; add is what its chroma adds to R', G' and B'.
static inline void element(const sl_tone *t, const coded *k, int luma, const int add[3], uint8_t out[3])
{
	int y = (luma - k->zero) * k->y + (1 << (SHIFT - 1));
	float r = t->light[step((y + add[0]) >> SHIFT)], g = t->light[step((y + add[1]) >> SHIFT)],
		b = t->light[step((y + add[2]) >> SHIFT)];
	float l = k->wide ? .2627f * r + .6780f * g + .0593f * b : .2126f * r + .7152f * g + .0722f * b;
	float gain = t->gain[root(l)];
	l *= gain, r *= gain, g *= gain, b *= gain;
	if (k->wide) {
		float r2 = r, g2 = g, b2 = b;
		r = 1.6605f * r2 - .5876f * g2 - .0728f * b2;
		g = -.1246f * r2 + 1.1329f * g2 - .0083f * b2;
		b = -.0182f * r2 - .1006f * g2 + 1.1187f * b2;
	}
	float most = fmaxf(r, fmaxf(g, b));
	if (most > 1) { // brighter than the screen can show in this colour: as bright, paler
		float s = l < 1 ? (1 - l) / (most - l) : 0;
		r = l + (r - l) * s, g = l + (g - l) * s, b = l + (b - l) * s;
	}
	out[0] = t->code[root(r)];
	out[1] = t->code[root(g)];
	out[2] = t->code[root(b)];
}

static inline void chroma(const coded *k, int u, int v, int add[3])
{
	u -= 512, v -= 512;
	add[0] = k->rv * v;
	add[1] = k->gu * u + k->gv * v;
	add[2] = k->bu * u;
}

static const uint16_t *row(const sl_planes *p, int c, int y) { return (const uint16_t *)(p->data[c] + (ptrdiff_t)y * p->stride[c]); }

static void prepare(sl_tone *t, const sl_look *look, const coded *k)
{
	if (t->transfer == look->transfer && t->full == look->full)
		return;
	int hlg = look->transfer == AVCOL_TRC_ARIB_STD_B67;
	for (int i = 0; i < STEPS; i++) {
		double x = i / (STEPS - 1.), y = fmax(x * x, 1e-9);
		t->light[i] = hlg ? hlg_light(x) : fmin(nits_of(x) / PEAK, 1);
		t->gain[i] = rolled(PEAK * (hlg ? pow(y, 1.2) : y)) / y;
		t->code[i] = lrint(255 * pow(x * x, 1 / 2.4));
	}
	for (int i = 0; i < 1024; i++) {
		uint8_t c[3];
		element(t, k, i, (int[3]){ 0 }, c);
		t->grey[i] = 64 * c[1];
	}
	t->transfer = look->transfer;
	t->full = look->full;
}

// The four samples of one chroma sample are mapped as their mean is; each then
// differs from it as a grey of its luma would.
void sl_tone_planes(sl_tone *t, const sl_look *look, const sl_planes *in, sl_planes *out)
{
	coded k = coded_of(look);
	prepare(t, look, &k);
	for (int y = 0; y < in->height; y += 2) {
		int below = y + 1 < in->height;
		const uint16_t *u = row(in, 1, y / 2), *v = row(in, 2, y / 2), *luma[2] = { row(in, 0, y), row(in, 0, y + below) };
		uint8_t *to[2] = { out->data[0] + (ptrdiff_t)y * out->stride[0], out->data[0] + (ptrdiff_t)(y + below) * out->stride[0] };
		uint8_t *cb = out->data[1] + (ptrdiff_t)(y / 2) * out->stride[1], *cr = out->data[2] + (ptrdiff_t)(y / 2) * out->stride[2];
		for (int x = 0; x < in->width; x += 2) {
			int x2 = x + (x + 1 < in->width), add[3];
			int at[4] = { luma[0][x] & 1023, luma[0][x2] & 1023, luma[1][x] & 1023, luma[1][x2] & 1023 };
			int mean = (at[0] + at[1] + at[2] + at[3] + 2) >> 2;
			uint8_t c[3];
			chroma(&k, u[x / 2], v[x / 2], add);
			element(t, &k, mean, add, c);
			// BT.601, full range, times 2^16
			cb[x / 2] = byte((-11059 * c[0] - 21709 * c[1] + 32768 * c[2] + (257 << 15)) >> 16);
			cr[x / 2] = byte((32768 * c[0] - 27439 * c[1] - 5329 * c[2] + (257 << 15)) >> 16);
			int l = ((19595 * c[0] + 38470 * c[1] + 7471 * c[2]) >> 10) - t->grey[mean] + 32;
			to[0][x] = byte((l + t->grey[at[0]]) >> 6);
			to[0][x2] = byte((l + t->grey[at[1]]) >> 6);
			to[1][x] = byte((l + t->grey[at[2]]) >> 6);
			to[1][x2] = byte((l + t->grey[at[3]]) >> 6);
		}
	}
}

void sl_tone_rgba(sl_tone *t, const sl_look *look, const sl_planes *in, sl_planes *out)
{
	coded k = coded_of(look);
	prepare(t, look, &k);
	for (int y = 0; y < in->height; y++) {
		const uint16_t *luma = row(in, 0, y), *u = row(in, 1, y), *v = row(in, 2, y);
		uint8_t *to = out->data[0] + (ptrdiff_t)y * out->stride[0];
		for (int x = 0; x < in->width; x++, to += 4) {
			int add[3];
			chroma(&k, u[x], v[x], add);
			element(t, &k, luma[x], add, to);
			to[3] = 255;
		}
	}
}
