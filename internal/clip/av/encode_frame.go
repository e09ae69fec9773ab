package av

/*
#cgo pkg-config: libavutil libavformat libswscale
#include <stdlib.h>
#include <libavformat/avformat.h>
#include <libavutil/frame.h>
#include <libswscale/swscale.h>

// film_converter turns full-range RGB into limited-range BT.709: the plain
// context always takes BT.601.
static struct SwsContext *film_converter(int w, int h) {
	struct SwsContext *c = sws_getContext(w, h, AV_PIX_FMT_RGB0, w, h, AV_PIX_FMT_YUV420P,
		SWS_BILINEAR | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INP, NULL, NULL, NULL);
	const int *bt709 = sws_getCoefficients(SWS_CS_ITU709);
	if (c && sws_setColorspaceDetails(c, bt709, 1, bt709, 0, 0, 1 << 16, 1 << 16) < 0) {
		sws_freeContext(c);
		c = NULL;
	}
	return c;
}

static int film_paint(struct SwsContext *c, AVFrame *f, const uint8_t *pix, int stride) {
	const uint8_t *const src[4] = {pix};
	const int strides[4] = {stride};
	// The encoder may still hold the last picture.
	int err = av_frame_make_writable(f);
	if (err < 0)
		return err;
	f->colorspace = AVCOL_SPC_BT709;
	f->color_primaries = AVCOL_PRI_BT709;
	f->color_trc = AVCOL_TRC_BT709;
	err = sws_scale(c, src, strides, 0, f->height, f->data, f->linesize);
	return err < 0 ? err : 0;
}

static int film_sound(AVFrame *f, const float *s, int n, int channels) {
	int err;
	f->nb_samples = n;
	if ((err = av_frame_make_writable(f)) < 0)
		return err;
	for (int c = 0; c < channels; c++) {
		float *plane = (float *)f->extended_data[c];
		for (int i = 0; i < n; i++)
			plane[i] = s[i * channels + c];
	}
	return 0;
}

static int film_note(AVFormatContext *format, char *key, char *value) {
	return av_dict_set(&format->metadata, key, value, 0);
}
*/
import "C"

import (
	"errors"
	"fmt"
	"image"
	"unsafe"

	"github.com/asticode/go-astiav"
)

// painter owns the converter from RGB to the film's BT.709 planes.
type painter struct{ c *C.struct_SwsContext }

func newPainter(width, height int) (*painter, error) {
	c := C.film_converter(C.int(width), C.int(height))
	if c == nil {
		return nil, errors.New("no memory for a picture converter")
	}
	return &painter{c}, nil
}

func (p *painter) paint(dst *astiav.Frame, img *image.RGBA) error {
	pix := img.Pix[img.PixOffset(img.Rect.Min.X, img.Rect.Min.Y):]
	err := C.film_paint(p.c, (*C.AVFrame)(dst.UnsafePointer()), (*C.uint8_t)(&pix[0]), C.int(img.Stride))
	return failure("paint picture", err)
}

func (p *painter) free() {
	if p != nil && p.c != nil {
		C.sws_freeContext(p.c)
		p.c = nil
	}
}

// fillSound copies interleaved samples into the planes of a frame whose buffer
// has room for them.
func fillSound(dst *astiav.Frame, s []float32, channels int) error {
	err := C.film_sound((*C.AVFrame)(dst.UnsafePointer()), (*C.float)(&s[0]), C.int(len(s)/channels), C.int(channels))
	return failure("take samples", err)
}

// note sets one tag of a file that is to be written; go-astiav cannot make the
// first tag of a file.
func note(fc *astiav.FormatContext, key, value string) error {
	k, v := C.CString(key), C.CString(value)
	defer C.free(unsafe.Pointer(k))
	defer C.free(unsafe.Pointer(v))
	return failure("set "+key, C.film_note(inner[C.AVFormatContext](fc), k, v))
}

func failure(what string, code C.int) error {
	if code >= 0 {
		return nil
	}
	return fmt.Errorf("%s: %w", what, astiav.Error(code))
}
