package canvas

/*
#cgo pkg-config: gtk+-3.0 webkit2gtk-4.1
#cgo CFLAGS: -O2
#include "canvas.h"
*/
import "C"

import (
	"sync"
	"unsafe"
)

// Canvas shows one picture at a time. Its methods may be called concurrently, from any
// goroutine; they return at once, and the window's own thread draws.
type Canvas struct {
	mu sync.Mutex
	c  *C.sl_canvas
}

// New returns a canvas on the window that is open or about to open; nil where this
// system has none. The caller closes it.
func New() *Canvas {
	c := C.sl_canvas_new()
	if c == nil {
		return nil
	}
	return &Canvas{c: c}
}

// Show shows a picture at a place, scaled to it. It is seen within one rectangle but
// for those that are kept free, so that what the page has there stays in sight.
// The picture is copied; one that was not drawn yet is left out.
func (v *Canvas) Show(p Picture, place Rectangle, seen Rectangle, free []Rectangle) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.c == nil || len(p.Pixels) == 0 || len(p.Pixels) != 4*p.Width*p.Height {
		return
	}
	rectangles := []C.sl_rectangle{seen.c()}
	for _, r := range free {
		rectangles = append(rectangles, r.c())
	}
	C.sl_canvas_show(v.c, (*C.uint8_t)(unsafe.Pointer(&p.Pixels[0])), C.int(p.Width), C.int(p.Height), place.c(), &rectangles[0], C.int(len(rectangles)))
}

func (r Rectangle) c() C.sl_rectangle {
	return C.sl_rectangle{C.double(r.X), C.double(r.Y), C.double(r.Width), C.double(r.Height)}
}

// Hide leaves the place to the page again.
func (v *Canvas) Hide() {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.c != nil {
		C.sl_canvas_hide(v.c)
	}
}

// Close takes the canvas off the window; it shows nothing any longer.
func (v *Canvas) Close() {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.c != nil {
		C.sl_canvas_free(v.c)
	}
	v.c = nil
}
