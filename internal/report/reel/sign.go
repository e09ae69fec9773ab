package reel

import (
	"image"
	"math"

	"golang.org/x/image/vector"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/club"
)

// signOverlay draws a sign in the part of a film's picture that a clip takes: amber
// with a dark rim, so that it is seen on any ground. Nil for no sign.
func signOverlay(s *club.Sign, place image.Rectangle) *av.Overlay {
	if s == nil {
		return nil
	}
	at := func(x, y float64) (float64, float64) {
		return x * float64(place.Dx()), y * float64(place.Dy())
	}
	x1, y1 := at(s.X1, s.Y1)
	x2, y2 := at(s.X2, s.Y2)
	thick := max(3, float64(min(place.Dx(), place.Dy()))/90)
	img := whole(place.Dx(), place.Dy())
	for _, layer := range []struct {
		grow   float64
		colour image.Image
	}{{thick * 0.45, image.NewUniform(shade())}, {0, image.NewUniform(amber())}} {
		r := vector.NewRasterizer(place.Dx(), place.Dy())
		if s.Kind == club.Circle {
			ring(r, x1, y1, math.Hypot(x2-x1, y2-y1), thick/2+layer.grow)
		} else {
			arrow(r, x1, y1, x2, y2, thick, layer.grow)
		}
		r.Draw(img, img.Rect, layer.colour, image.Point{})
	}
	cropped := crop(img)
	return av.NewOverlay(cropped, cropped.Rect.Min.Add(place.Min))
}

// ring is the band of half a width on both sides of a circle. The sides of the
// polygon are a pixel long.
func ring(r *vector.Rasterizer, x, y, radius, half float64) {
	sides := max(24, int(2*math.Pi*(radius+half)))
	loop := func(radius float64, way float64) {
		if radius <= 0 {
			return
		}
		for i := range sides {
			a := way * 2 * math.Pi * float64(i) / float64(sides)
			px, py := float32(x+radius*math.Cos(a)), float32(y+radius*math.Sin(a))
			if i == 0 {
				r.MoveTo(px, py)
			} else {
				r.LineTo(px, py)
			}
		}
		r.ClosePath()
	}
	loop(radius+half, 1)
	loop(radius-half, -1) // the other way round: a hole
}

// arrow is a shaft with a head whose tip is at x2, y2.
func arrow(r *vector.Rasterizer, x1, y1, x2, y2, thick, grow float64) {
	length := math.Hypot(x2-x1, y2-y1)
	ux, uy := 1.0, 0.0
	if length > 0 {
		ux, uy = (x2-x1)/length, (y2-y1)/length
	}
	head := min(5*thick, max(length, thick))
	// Along and across the arrow, from its tip backwards.
	points := [][2]float64{
		{-1.6 * grow, 0}, {head + grow, head/2 + 1.6*grow}, {head + grow, thick/2 + grow}, {length + grow, thick/2 + grow},
		{length + grow, -thick/2 - grow}, {head + grow, -thick/2 - grow}, {head + grow, -head/2 - 1.6*grow},
	}
	for i, p := range points {
		px, py := float32(x2-ux*p[0]-uy*p[1]), float32(y2-uy*p[0]+ux*p[1])
		if i == 0 {
			r.MoveTo(px, py)
		} else {
			r.LineTo(px, py)
		}
	}
	r.ClosePath()
}

// crop is the part of a picture that is not empty.
func crop(img *image.RGBA) *image.RGBA {
	var used image.Rectangle
	for y := img.Rect.Min.Y; y < img.Rect.Max.Y; y++ {
		row := img.Pix[img.PixOffset(img.Rect.Min.X, y):img.PixOffset(img.Rect.Max.X, y)]
		for x := 3; x < len(row); x += 4 {
			if row[x] != 0 {
				at := img.Rect.Min.X + x/4
				used = used.Union(image.Rect(at, y, at+1, y+1))
			}
		}
	}
	return img.SubImage(used).(*image.RGBA)
}
