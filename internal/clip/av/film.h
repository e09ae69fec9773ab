// Pictures on their way into a film: 4:2:0, BT.709, limited range. Negative
// results are FFmpeg error codes.
#ifndef STROKELEDGER_FILM_H
#define STROKELEDGER_FILM_H
#include "native.h"

typedef struct sl_fit sl_fit; // used by one goroutine at a time
sl_fit *sl_fit_new(void);
void sl_fit_free(sl_fit **f);
// Draws a picture as shown into the rectangle of look->width x look->height at
// x, y of a frame, all four even.
int sl_fit_picture(sl_fit *f, const AVFrame *in, const sl_look *look, AVFrame *out, int x, int y);
void sl_blank(AVFrame *out);

// What is laid over a picture: planes in which the alpha is multiplied already,
// and what it leaves of the picture below, 0 to 255. Place and size are even.
typedef struct sl_overlay {
	int x, y, width, height;
	const uint8_t *plane[3]; // luma in full, chroma in half the size
	const uint8_t *left[2];  // for luma, for chroma
} sl_overlay;
void sl_lay(AVFrame *out, const sl_overlay *o);
#endif
