// The arithmetic of kernel.go for processors with AVX2 and FMA.

typedef struct {
	int h, w, c;
	float *v;
} sl_image;

typedef struct {
	int h, w, stride_h, stride_w, pad_h, pad_w;
} sl_window;

// Whether the processor has them. Nothing else here may be called without.
int sl_has_avx2(void);

void sl_multiply(float *out, const float *in, const float *weights, const float *bias, int pixels, int inputs, int outputs, int activation);
void sl_depthwise(const sl_image *out, const sl_image *in, const float *weights, const float *bias, const sl_window *over, int activation);
void sl_add(float *out, const float *a, const float *b, long n, int activation);
