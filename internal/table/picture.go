package table

import (
	"image"
	"math"
)

// Picture is a picture made ready to look for the table's lines in it: how light it is
// and what colour, a little smoothed. It is never changed.
type Picture struct {
	width, height int // of what is kept, which is smaller than large pictures by a whole number
	// For each pixel lightness (0 to 100) and two differences of colour in about the same
	// unit: blue and red less the luma of ITU-R BT.601.
	light []float32
}

// colours is how many numbers each pixel has.
const colours = 3

// enough is the longer side that is looked at, pixels: lines are wide enough in it.
const enough = 1280

// smallest is the side of the smallest picture that anything is looked for in, pixels.
const smallest = 16

// NewPicture takes over a picture as it is shown, of any size.
func NewPicture(img image.Image) *Picture {
	b := img.Bounds()
	k := max(1, max(b.Dx(), b.Dy())/enough)
	p := &Picture{width: b.Dx() / k, height: b.Dy() / k}
	p.light = make([]float32, p.width*p.height*colours)
	row := make([]float32, p.width*colours)
	for y := range p.height {
		clear(row)
		for v := b.Min.Y + y*k; v < b.Min.Y+(y+1)*k; v++ {
			addRow(img, v, k, row)
		}
		share := 1 / float32(k*k)
		out := p.light[y*len(row):]
		for i := 0; i < len(row); i += colours {
			r, g, b := row[i]*share, row[i+1]*share, row[i+2]*share
			luma := .299*r + .587*g + .114*b
			out[i], out[i+1], out[i+2] = luma*(100./255), .564*(b-luma), .713*(r-luma)
		}
	}
	p.smooth()
	return p
}

// addRow adds the red, green and blue of a row, each k pixels in one.
func addRow(img image.Image, y, k int, row []float32) {
	b := img.Bounds()
	rgba, fast := img.(*image.RGBA)
	for i := range len(row) / colours {
		for x := b.Min.X + i*k; x < b.Min.X+(i+1)*k; x++ {
			if fast {
				pix := rgba.Pix[rgba.PixOffset(x, y):]
				row[3*i] += float32(pix[0])
				row[3*i+1] += float32(pix[1])
				row[3*i+2] += float32(pix[2])
				continue
			}
			r, g, b, _ := img.At(x, y).RGBA()
			row[3*i] += float32(r) / 257
			row[3*i+1] += float32(g) / 257
			row[3*i+2] += float32(b) / 257
		}
	}
}

// smooth blurs by a normal distribution of .6 pixels, of which three weights are all
// that counts: single pixels of noise are not lines.
func (p *Picture) smooth() {
	const side = .166
	const mid = 1 - 2*side
	n := p.width * colours
	was := make([]float32, n)
	for y := range p.height {
		row := p.light[y*n : (y+1)*n]
		copy(was, row)
		for i := colours; i < n-colours; i++ {
			row[i] = mid*was[i] + side*(was[i-colours]+was[i+colours])
		}
	}
	above := make([]float32, n)
	if p.height > 0 {
		copy(above, p.light[:n])
	}
	for y := 1; y < p.height-1; y++ {
		row, below := p.light[y*n:(y+1)*n], p.light[(y+1)*n:]
		copy(was, row)
		for i := range row {
			row[i] = mid*was[i] + side*(above[i]+below[i])
		}
		above, was = was, above
	}
}

// at is what shows at a place, between pixels by bilinear interpolation, and beyond
// the edge what shows there.
func (p *Picture) at(x, y float64) (c [colours]float64) {
	x = min(max(x-.5, 0), float64(p.width)-1.001)
	y = min(max(y-.5, 0), float64(p.height)-1.001)
	u, v := int(x), int(y)
	fx, fy := float32(x-float64(u)), float32(y-float64(v))
	i := (v*p.width + u) * colours
	a, b := p.light[i:i+2*colours], p.light[i+p.width*colours:][:2*colours]
	for k := range c {
		top := a[k] + (a[k+colours]-a[k])*fx
		c[k] = float64(top + (b[k]+(b[k+colours]-b[k])*fx-top)*fy)
	}
	return c
}

// within reports whether a place lies in the picture, not at its very edge.
func (p *Picture) within(q Point) bool {
	return q.X > 3 && q.Y > 3 && q.X < float64(p.width)-3 && q.Y < float64(p.height)-3
}

// apart is how different two colours are.
func apart(a, b [colours]float64) float64 {
	const more = 1.3 // colour tells the surface from lines better than lightness, which lamps change
	l, u, v := a[0]-b[0], more*(a[1]-b[1]), more*(a[2]-b[2])
	return math.Sqrt(l*l + u*u + v*v)
}
