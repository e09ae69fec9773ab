package pose

import (
	"image"
	"math"
)

// taps are the pixels of a row, or of a column, that one pixel of a smaller picture is
// made of, and how much of it each is.
type taps struct {
	first   int
	weights []float32
}

// tapsOf are those of n pixels that stand for a stretch of a row of length pixels: a
// tent as wide as a pixel of the smaller picture, or of the row where these are larger.
// What lies outside of the row is black.
func tapsOf(n, length int, from, size float64) []taps {
	step := size / float64(n)
	reach := max(step, 1)
	all := make([]taps, n)
	for i := range all {
		at := from + (float64(i)+.5)*step
		first, last := int(math.Ceil(at-reach-.5)), int(math.Floor(at+reach-.5))
		sum := 0.
		weight := func(p int) float64 { return max(0, 1-math.Abs(float64(p)+.5-at)/reach) }
		for p := first; p <= last; p++ {
			sum += weight(p)
		}
		t := taps{first: max(first, 0)}
		for p := t.first; p <= min(last, length-1); p++ {
			t.weights = append(t.weights, float32(weight(p)/sum))
		}
		all[i] = t
	}
	return all
}

// cropper makes the square pictures that a network takes. It keeps what it works with
// from one to the next.
type cropper struct{ rows []float32 }

// crop puts a square part of a picture into dst as side by side pixels of red, green
// and blue, each value times scale and from there on.
func (c *cropper) crop(dst []float32, side int, img *image.RGBA, part square, scale, from float32) {
	left, top := part.x-part.size/2, part.y-part.size/2
	columns := tapsOf(side, img.Rect.Dx(), left, part.size)
	lines := tapsOf(side, img.Rect.Dy(), top, part.size)
	first, last := img.Rect.Dy(), 0
	for _, l := range lines {
		if len(l.weights) > 0 {
			first, last = min(first, l.first), max(last, l.first+len(l.weights))
		}
	}
	row := 3 * side
	if need := max(0, last-first) * row; cap(c.rows) < need {
		c.rows = make([]float32, need)
	}
	for y := first; y < last; y++ {
		out := c.rows[(y-first)*row:][:row]
		pix := img.Pix[y*img.Stride:]
		for i, t := range columns {
			var r, g, b float32
			for j, w := range t.weights {
				p := pix[4*(t.first+j):][:3]
				r, g, b = r+w*float32(p[0]), g+w*float32(p[1]), b+w*float32(p[2])
			}
			out[3*i], out[3*i+1], out[3*i+2] = r, g, b
		}
	}
	for y, l := range lines {
		out := dst[y*row:][:row]
		for i := range out {
			out[i] = from
		}
		for j, w := range l.weights {
			for i, v := range c.rows[(l.first+j-first)*row:][:row] {
				out[i] += w * scale * v
			}
		}
	}
}
