package film

import (
	"image"
	"math"
	"math/rand/v2"
)

// grain is the noise of a small sensor.
type grain []int8

// grainSD is its standard deviation, of 255; chosen by looking at it.
const grainSD = 4.5

func newGrain(seed uint64) grain {
	rng := rand.New(rand.NewPCG(seed, 0x677261696e))
	g := make(grain, 1<<16)
	for i := range g {
		g[i] = int8(math.Round(max(-100, min(100, grainSD*rng.NormFloat64()))))
	}
	return g
}

// over lays the noise over a picture; the number chooses which.
func (g grain) over(img *image.RGBA, number int) {
	rng := rand.New(rand.NewPCG(uint64(number), 0x677261696e))
	row := img.Rect.Dx()
	for y := img.Rect.Min.Y; y < img.Rect.Max.Y; y++ {
		from := rng.IntN(len(g) - row)
		pix := img.Pix[img.PixOffset(img.Rect.Min.X, y):][:4*row]
		for x, n := range g[from:][:row] {
			for i := 4 * x; i < 4*x+3; i++ {
				pix[i] = uint8(max(0, min(255, int(pix[i])+int(n))))
			}
		}
	}
}
