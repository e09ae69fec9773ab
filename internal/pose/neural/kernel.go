package neural

// lanes is how many channels of a convolution are worked out together: its weights
// stand in panels of so many.
const lanes = 16

// The activations that may follow a convolution or a sum, by their numbers in the file.
const (
	linear     = 0
	rectified  = 1 // from 0
	rectified6 = 3 // from 0 to 6
)

// window says how a convolution or a pooling goes over a picture. pad is how many rows
// and columns it begins before the picture.
type window struct {
	h, w, strideH, strideW, padH, padW int
}

// kernel is the arithmetic that takes nearly all of the time.
type kernel struct {
	name string
	// multiply works out pixels of a convolution: out[p][o] is bias[o] and the sum over
	// i of in[p][i] times weights[o/lanes][i][o%lanes], with the activation. There are as
	// many pixels as out holds; bias has whole panels.
	multiply func(out, in, weights, bias []float32, inputs, outputs, activation int)
	// depthwise convolves each channel with its own weights, of the window's places one
	// after the other.
	depthwise func(out, in image, weights, bias []float32, over window, activation int)
	// add adds two pictures of one size.
	add func(out, a, b []float32, activation int)
}

// plain is the arithmetic in Go alone: slow, and what the others are held against.
func plain() kernel {
	return kernel{"Go", multiplyPlain, depthwisePlain, addPlain}
}

func activated(v float32, activation int) float32 {
	switch activation {
	case rectified:
		return max(v, 0)
	case rectified6:
		return min(max(v, 0), 6)
	}
	return v
}

func multiplyPlain(out, in, weights, bias []float32, inputs, outputs, activation int) {
	for p := range len(out) / outputs {
		x, y := in[p*inputs:][:inputs], out[p*outputs:][:outputs]
		for o := 0; o < outputs; o += lanes {
			sums := [lanes]float32(bias[o:])
			panel := weights[o*inputs:]
			for i, v := range x {
				w := (*[lanes]float32)(panel[i*lanes:])
				for j := range sums {
					sums[j] += v * w[j]
				}
			}
			for j := range min(lanes, outputs-o) {
				y[o+j] = activated(sums[j], activation)
			}
		}
	}
}

func depthwisePlain(out, in image, weights, bias []float32, over window, activation int) {
	for y := range out.h {
		for x := range out.w {
			sums := out.pixel(y, x)
			copy(sums, bias)
			over.each(in, y, x, func(place int, pixel []float32) {
				w := weights[place*in.c:][:in.c]
				for i, v := range pixel {
					sums[i] += v * w[i]
				}
			})
			for i, v := range sums {
				sums[i] = activated(v, activation)
			}
		}
	}
}

func addPlain(out, a, b []float32, activation int) {
	for i, v := range a {
		out[i] = activated(v+b[i], activation)
	}
}

// each visits the pixels of a picture below the window for one pixel of what it makes;
// those outside of the picture are left out.
func (w window) each(in image, y, x int, visit func(place int, pixel []float32)) {
	for i := range w.h {
		iy := y*w.strideH + i - w.padH
		if iy < 0 || iy >= in.h {
			continue
		}
		for j := range w.w {
			if ix := x*w.strideW + j - w.padW; ix >= 0 && ix < in.w {
				visit(i*w.w+j, in.pixel(iy, ix))
			}
		}
	}
}

// image is a block of values with rows, columns and channels.
type image struct {
	h, w, c int
	v       []float32
}

func (m image) pixel(y, x int) []float32 { return m.v[(y*m.w+x)*m.c:][:m.c] }
