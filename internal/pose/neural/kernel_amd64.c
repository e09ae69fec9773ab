#include "kernel_amd64.h"

#include <immintrin.h>
#include <string.h>

// For these functions alone: the rest of the program runs on any processor.
#define AVX2 __attribute__((target("avx2,fma")))
#define INLINE static inline __attribute__((always_inline)) AVX2

enum { LANES = 16, ROWS = 6 };

int sl_has_avx2(void) { return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma"); }

INLINE float activated1(float v, int activation) {
	if (activation && v < 0) v = 0;
	if (activation == 3 && v > 6) v = 6;
	return v;
}

INLINE __m256 activated(__m256 v, int activation) {
	if (activation) v = _mm256_max_ps(v, _mm256_setzero_ps());
	if (activation == 3) v = _mm256_min_ps(v, _mm256_set1_ps(6));
	return v;
}

// One panel of channels for up to ROWS pixels, whose sums stay in registers.
INLINE void panel(float *out, const float *in, const float *weights, const float *bias, int pixels, int inputs, int outputs, int left, int activation) {
	const float *x[ROWS];
	__m256 a[ROWS], b[ROWS];
#pragma GCC unroll 6
	for (int r = 0; r < ROWS; r++) {
		x[r] = in + (long)(r < pixels ? r : 0) * inputs;
		a[r] = _mm256_loadu_ps(bias);
		b[r] = _mm256_loadu_ps(bias + 8);
	}
	for (int i = 0; i < inputs; i++, weights += LANES) {
		__m256 wa = _mm256_loadu_ps(weights), wb = _mm256_loadu_ps(weights + 8);
#pragma GCC unroll 6
		for (int r = 0; r < ROWS; r++) {
			__m256 v = _mm256_broadcast_ss(x[r] + i);
			a[r] = _mm256_fmadd_ps(wa, v, a[r]);
			b[r] = _mm256_fmadd_ps(wb, v, b[r]);
		}
	}
#pragma GCC unroll 6
	for (int r = 0; r < ROWS; r++) {
		if (r >= pixels) break;
		__m256 done[2] = {activated(a[r], activation), activated(b[r], activation)};
		memcpy(out + (long)r * outputs, done, sizeof(float) * (left < LANES ? left : LANES));
	}
}

AVX2 void sl_multiply(float *out, const float *in, const float *weights, const float *bias, int pixels, int inputs, int outputs, int activation) {
	for (int p = 0; p < pixels; p += ROWS)
		for (int o = 0; o < outputs; o += LANES)
			panel(out + (long)p * outputs + o, in + (long)p * inputs, weights + (long)o * inputs, bias + o,
				pixels - p, inputs, outputs, outputs - o, activation);
}

AVX2 void sl_depthwise(const sl_image *out, const sl_image *in, const float *weights, const float *bias, const sl_window *over, int activation) {
	const int c = in->c;
	for (int y = 0; y < out->h; y++)
		for (int x = 0; x < out->w; x++) {
			// The part of the window that lies on the picture.
			int top = y * over->stride_h - over->pad_h, start = x * over->stride_w - over->pad_w;
			int i0 = top < 0 ? -top : 0, i1 = top + over->h > in->h ? in->h - top : over->h;
			int j0 = start < 0 ? -start : 0, j1 = start + over->w > in->w ? in->w - start : over->w;
			float *to = out->v + ((long)y * out->w + x) * c;
			int k = 0;
			for (; k + 8 <= c; k += 8) {
				__m256 sum = _mm256_loadu_ps(bias + k);
				for (int i = i0; i < i1; i++)
					for (int j = j0; j < j1; j++)
						sum = _mm256_fmadd_ps(_mm256_loadu_ps(in->v + ((long)(top + i) * in->w + start + j) * c + k),
							_mm256_loadu_ps(weights + (long)(i * over->w + j) * c + k), sum);
				_mm256_storeu_ps(to + k, activated(sum, activation));
			}
			for (; k < c; k++) {
				float sum = bias[k];
				for (int i = i0; i < i1; i++)
					for (int j = j0; j < j1; j++)
						sum += in->v[((long)(top + i) * in->w + start + j) * c + k] * weights[(long)(i * over->w + j) * c + k];
				to[k] = activated1(sum, activation);
			}
		}
}

AVX2 void sl_add(float *out, const float *a, const float *b, long n, int activation) {
	long i = 0;
	for (; i + 8 <= n; i += 8)
		_mm256_storeu_ps(out + i, activated(_mm256_add_ps(_mm256_loadu_ps(a + i), _mm256_loadu_ps(b + i)), activation));
	for (; i < n; i++) out[i] = activated1(a[i] + b[i], activation);
}
