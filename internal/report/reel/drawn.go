package reel

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"golang.org/x/image/vector"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/picture"
)

// sketches are what is drawn on a piece, as overlays for the part of a film's picture that
// its clip takes. An overlay is made once for all frames that show the same.
type sketches struct {
	drawings []picture.Drawing
	letters  *Letters
	place    image.Rectangle
	made     map[string]*av.Overlay
}

func newSketches(drawings []picture.Drawing, letters *Letters, place image.Rectangle) *sketches {
	return &sketches{drawings, letters, place, map[string]*av.Overlay{}}
}

// on is what lies over a frame: what is shown on more frames than its own, or what is on
// this one alone and would only flash in a picture that passes.
func (s *sketches) on(frame int, alone bool) []*av.Overlay {
	var shown []picture.Drawing
	which := ""
	for i, d := range s.drawings {
		if d.Shows(frame) && d.Alone() == alone {
			shown = append(shown, d)
			which += fmt.Sprintf("%d ", i)
		}
	}
	if len(shown) == 0 {
		return nil
	}
	if s.made[which] == nil {
		s.made[which] = s.overlay(shown)
	}
	return []*av.Overlay{s.made[which]}
}

// overlay draws lines and letters, each with its rim below it.
func (s *sketches) overlay(drawings []picture.Drawing) *av.Overlay {
	w, h := float64(s.place.Dx()), float64(s.place.Dy())
	thick, letter := picture.Thickness(w, h), picture.LetterSize(w, h)
	img := whole(s.place.Dx(), s.place.Dy())
	var outlines []picture.Outline
	for _, d := range drawings {
		outlines = append(outlines, d.Outline(w, h))
	}
	for _, layer := range []struct {
		half   float64
		edge   int // of the letters
		colour color.RGBA
	}{{thick * (0.5 + picture.RimPart), max(1, int(letter/9)), picture.Rim()}, {thick / 2, 0, picture.Ink()}} {
		r := vector.NewRasterizer(s.place.Dx(), s.place.Dy())
		for _, o := range outlines {
			for _, line := range o.Lines {
				for i := 1; i < len(line); i++ {
					thicken(r, line[i-1], line[i], layer.half)
				}
			}
		}
		r.Draw(img, img.Rect, image.NewUniform(layer.colour), image.Point{})
		for _, o := range outlines {
			for _, words := range s.letters.wrap(o.Label, ink{true, int(letter), layer.colour}, s.place.Dx(), 1) {
				x, y := int(o.At.X)-words.width/2, int(o.At.Y+0.36*letter)
				for _, by := range around(layer.edge) {
					words.draw(img, x+by.X, y+by.Y)
				}
			}
		}
	}
	cropped := crop(img)
	return av.NewOverlay(cropped, cropped.Rect.Min.Add(s.place.Min))
}

// around are the places at a distance on all sides, the middle alone where it is 0.
func around(distance int) (by []image.Point) {
	if distance == 0 {
		return []image.Point{{}}
	}
	for i := range 8 {
		a := float64(i) * math.Pi / 4
		by = append(by, image.Pt(int(math.Round(float64(distance)*math.Cos(a))), int(math.Round(float64(distance)*math.Sin(a)))))
	}
	return by
}

// thicken adds a line with round ends to what is to be filled: one way round, so that
// where lines cross nothing is a hole.
func thicken(r *vector.Rasterizer, a, b picture.Point, half float64) {
	const sides = 8 // of each end
	way := math.Atan2(b.Y-a.Y, b.X-a.X)
	for i := range 2 * (sides + 1) {
		at, from := b, way-math.Pi/2
		if i > sides {
			at, from = a, way+math.Pi/2
		}
		side := from + math.Pi*float64(i%(sides+1))/sides
		x, y := float32(at.X+half*math.Cos(side)), float32(at.Y+half*math.Sin(side))
		if i == 0 {
			r.MoveTo(x, y)
		} else {
			r.LineTo(x, y)
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
