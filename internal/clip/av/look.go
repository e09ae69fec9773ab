package av

/*
#include "native.h"
*/
import "C"

import (
	"image"
	"math"
)

// Colour is how the samples of a picture are tagged; FFmpeg's numbers.
type Colour struct{ Matrix, Range, Transfer, Primaries int }

// rotation reads the upper left of a display matrix, a b c d in x' = ax + cy,
// y' = bx + dy with y downwards (ISO/IEC 14496-12, tkhd), as a mirror followed by
// quarter turns clockwise. Slants are rounded to the nearest quarter.
func rotation(m [4]int32) (quarter int, mirror bool) {
	a, b, c, d := float64(m[0]), float64(m[1]), float64(m[2]), float64(m[3])
	if a*d-b*c < 0 {
		mirror = true
		a, b = -a, -b
	}
	return (int(math.Round(math.Atan2(b, a)/(math.Pi/2))) + 4) % 4, mirror
}

// Look says how the pictures of a stream are shown: with which size, rotation and
// mirror. Colours are read from each picture.
type Look struct {
	Width, Height int // as shown, pixels
	Quarter       int // quarter turns clockwise, after the mirror
	Mirror        bool
	Field         Field

	// How much brighter luma is shown, each from -100 to 100; 0 changes nothing, and
	// chroma stays as it is.
	Brightness int // 100 is half the way from black to white
	Contrast   int // 100 doubles it, -100 halves it, round the middle grey
	Gamma      int // 100 lifts dark parts by a gamma of 3, -100 lowers them by the same

	part  image.Rectangle // what is shown of a picture as coded in square pixels; empty: all
	whole image.Point     // size of that picture
}

// light is the full range of luma as it is shown.
func (l Look) light() (to [256]C.uint8_t) {
	gamma, contrast := math.Pow(3, -float64(l.Gamma)/100), math.Pow(2, float64(l.Contrast)/100)
	for i := range to {
		v := (math.Pow(float64(i)/255, gamma)-.5)*contrast + .5 + float64(l.Brightness)/200
		to[i] = C.uint8_t(math.Round(255 * max(0, min(1, v))))
	}
	return to
}

// Rotated is a look in full size that is mirrored and then rotated by quarter turns
// clockwise once more.
func (l Look) Rotated(quarter int, mirror bool) Look {
	if mirror {
		l.Mirror, l.Quarter = !l.Mirror, (4-l.Quarter)%4
	}
	l.Quarter = (l.Quarter + quarter%4 + 4) % 4
	if quarter&1 == 1 {
		l.Width, l.Height = l.Height, l.Width
	}
	return l
}

// Cut is what a look in full size shows of a part, at most width pixels wide and never
// larger than it is. The part is in pixels as shown; what lies beyond the picture is
// left out. Parts at even places with even sizes are exact where pixels are square.
func (l Look) Cut(part image.Rectangle, width int) Look {
	part = part.Intersect(image.Rect(0, 0, l.Width, l.Height))
	if part.Empty() {
		return l.Within(width)
	}
	w, h := l.Width, l.Height
	l.Width, l.Height = part.Dx(), part.Dy()
	// Back through the rotation, then the mirror.
	for range l.Quarter {
		part = image.Rect(part.Min.Y, w-part.Max.X, part.Max.Y, w-part.Min.X)
		w, h = h, w
	}
	if l.Mirror {
		part = image.Rect(w-part.Max.X, part.Min.Y, w-part.Min.X, part.Max.Y)
	}
	l.part, l.whole = part, image.Pt(w, h)
	return l.Within(width)
}

// Exact reports whether the look is of a part, none of whose pixels are lost.
func (l Look) Exact() bool {
	return !l.part.Empty() && max(l.Width, l.Height) == max(l.part.Dx(), l.part.Dy())
}

// Field is a moment of an interlaced picture, which holds two.
type Field uint8

// The fields of a picture. A picture that is not interlaced is whole in all three.
const (
	Whole  Field = iota // the first moment; what stands still keeps the lines of both
	First               // the first moment alone
	Second              // the second moment alone
)

// LookOf is the look of a stream: square pixels, upright.
func LookOf(s Stream) Look {
	w, h := float64(s.Width), float64(s.Height)
	// The larger side is stretched, never the other squeezed: no line is lost.
	if n, d := float64(s.PixelNum), float64(s.PixelDen); n > 0 && d > 0 && n != d && n/d < 16 && d/n < 16 {
		w = w * n / d
	}
	l := Look{Width: max(1, int(math.Round(w))), Height: max(1, int(math.Round(h))), Quarter: s.Quarter, Mirror: s.Mirror}
	if s.Quarter&1 == 1 {
		l.Width, l.Height = l.Height, l.Width
	}
	return l
}

// Within is the same look at most width pixels wide, never larger than it was.
func (l Look) Within(width int) Look {
	if width > 0 && width < l.Width {
		l.Height = max(1, int(math.Round(float64(l.Height)*float64(width)/float64(l.Width))))
		l.Width = width
	}
	return l
}

// of fills in the lines to keep and the colours: what the picture says, else what its stream says, else
// BT.709 from 720 lines up and BT.601 below (common practice), limited range.
func (l Look) of(p C.sl_picture, stream Colour) C.sl_look {
	matrix, full := int(p.matrix), p._range == C.AVCOL_RANGE_JPEG
	if p._range == C.AVCOL_RANGE_UNSPECIFIED {
		full = stream.Range == C.AVCOL_RANGE_JPEG
	}
	switch p.format {
	case C.AV_PIX_FMT_YUVJ420P, C.AV_PIX_FMT_YUVJ422P, C.AV_PIX_FMT_YUVJ444P, C.AV_PIX_FMT_YUVJ440P, C.AV_PIX_FMT_YUVJ411P:
		full = true
	}
	if matrix == C.AVCOL_SPC_UNSPECIFIED || matrix == C.AVCOL_SPC_RESERVED || matrix == C.AVCOL_SPC_RGB {
		matrix = stream.Matrix
	}
	if matrix == C.AVCOL_SPC_UNSPECIFIED || matrix == C.AVCOL_SPC_RESERVED || matrix == C.AVCOL_SPC_RGB {
		matrix = C.AVCOL_SPC_SMPTE170M
		if p.height >= 720 {
			matrix = C.AVCOL_SPC_BT709
		}
	}
	out := C.sl_look{matrix: C.int(matrix), quarter: C.int(l.Quarter), width: C.int(l.Width), height: C.int(l.Height), keep: -1}
	if p.interlaced != 0 {
		if (p.top_first != 0) == (l.Field == Second) {
			out.keep = 1
		} else {
			out.keep = 0
		}
		if l.Field != Whole {
			out.alone = 1
		}
	}
	if transfer := firstSaid(p.transfer, stream.Transfer); transfer == C.AVCOL_TRC_ARIB_STD_B67 || transfer == C.AVCOL_TRC_SMPTE2084 {
		out.transfer = C.int(transfer)
		if firstSaid(p.primaries, stream.Primaries) == C.AVCOL_PRI_BT709 {
			out.narrow = 1
		}
	}
	if full {
		out.full = 1
	}
	if r, w := l.part, l.whole; !r.Empty() {
		at := func(v, of, coded int) C.int { return C.int((v*coded + of/2) / of) }
		out.x, out.y = at(r.Min.X, w.X, int(p.width)), at(r.Min.Y, w.Y, int(p.height))
		out.across = max(1, at(r.Max.X, w.X, int(p.width))-out.x)
		out.down = max(1, at(r.Max.Y, w.Y, int(p.height))-out.y)
	}
	if l.Brightness != 0 || l.Contrast != 0 || l.Gamma != 0 {
		out.lit, out.light = 1, l.light()
	}
	if l.Mirror {
		out.mirror = 1
	}
	return out
}

// firstSaid is a picture's tag, or its stream's where the picture has none. 2 is
// FFmpeg's number of what is not said, in all of its lists.
func firstSaid(picture C.int, stream int) int {
	if picture == 2 || picture == 0 {
		return stream
	}
	return int(picture)
}
