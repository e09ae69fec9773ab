#ifndef SL_CANVAS_H
#define SL_CANVAS_H

#include <stdint.h>

typedef struct sl_canvas sl_canvas;

// All but sl_canvas_new may be called from any thread; what they ask for is done by
// the window's own thread, in the order of the calls.
sl_canvas *sl_canvas_new(void);
typedef struct sl_rectangle {
	double x, y, width, height;
} sl_rectangle;

// Shows width by height pixels, B G R and a byte in memory, which are copied. Places are
// of the page in pixels of the screen: where the picture lies, and rectangles within the
// first of which it is seen but for the others. 0 where there is no memory.
int sl_canvas_show(sl_canvas *c, const uint8_t *pixels, int width, int height, sl_rectangle place, const sl_rectangle *rectangles, int count);
void sl_canvas_hide(sl_canvas *c);
// Takes the canvas off the window. It must not be used again.
void sl_canvas_free(sl_canvas *c);

#endif
