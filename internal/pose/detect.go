package pose

import (
	"cmp"
	"image"
	"math"
	"slices"
)

// What the first network takes and gives, and how it is read, is its publisher's:
// mediapipe/modules/pose_detection/pose_detection_cpu.pbtxt and
// pose_landmark/pose_detection_to_roi.pbtxt.
const (
	detectorSide  = 224 // pixels
	detectorWidth = 12  // a box and four points, of which the first two are used
	likely        = .5  // of a person, from which on a find counts
	sameFind      = .3  // overlap of boxes from which on two finds are one person
)

// The choices made here, on the invented club of seed 1.
const (
	mostPeople = 8  // in one picture, the surest
	smallest   = 16 // side of the region of a person, pixels
)

// anchor is the place in the picture, as parts of its side, from which one of the
// detector's finds is counted.
type anchor struct{ x, y float64 }

// anchors are those of the detector in its order: rows of squares 8 pixels wide, two
// finds each, then 16 and 32 pixels wide, two and six.
func anchors() []anchor {
	var all []anchor
	for _, layer := range []struct{ wide, finds int }{{8, 2}, {16, 2}, {32, 6}} {
		n := detectorSide / layer.wide
		for i := range n * n * layer.finds {
			at := i / layer.finds
			all = append(all, anchor{(float64(at%n) + .5) / float64(n), (float64(at/n) + .5) / float64(n)})
		}
	}
	return all
}

// find is a person as the detector sees one.
type find struct {
	score        float64
	x, y, dx, dy float64 // centre and half size of the face's box, pixels
	region       square
}

func (f find) overlap(o find) float64 {
	w := min(f.x+f.dx, o.x+o.dx) - max(f.x-f.dx, o.x-o.dx)
	h := min(f.y+f.dy, o.y+o.dy) - max(f.y-f.dy, o.y-o.dy)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h / (4*f.dx*f.dy + 4*o.dx*o.dy - w*h)
}

// detect is where people are, searched for in the whole picture and, so that small ones
// show larger, in two squares that cover it.
func (f *Finder) detect(img *image.RGBA) []square {
	w, h := float64(img.Rect.Dx()), float64(img.Rect.Dy())
	side := min(w, h)
	var all []find
	for _, part := range []square{{w / 2, h / 2, max(w, h)}, {side / 2, side / 2, side}, {w - side/2, h - side/2, side}} {
		all = append(all, f.within(img, part)...)
	}
	slices.SortStableFunc(all, func(a, b find) int { return cmp.Compare(b.score, a.score) })
	var kept []find
	for _, n := range all {
		if len(kept) < mostPeople && !slices.ContainsFunc(kept, func(k find) bool { return k.overlap(n) > sameFind }) {
			kept = append(kept, n)
		}
	}
	regions := make([]square, len(kept))
	for i, k := range kept {
		regions[i] = k.region
	}
	return regions
}

// within searches one square part of a picture.
func (f *Finder) within(img *image.RGBA, part square) (all []find) {
	f.crop(f.detector.Input(), detectorSide, img, part, 2./255, -1)
	f.detector.Run()
	boxes, logits := f.detector.Output(0), f.detector.Output(1)
	left, top := part.x-part.size/2, part.y-part.size/2
	for i, a := range f.anchors {
		score := sigmoid(logits[i])
		if !(score > likely) {
			continue
		}
		v := boxes[i*detectorWidth:][:detectorWidth]
		at := func(n int) (x, y float64) {
			return left + (float64(v[n])/detectorSide+a.x)*part.size, top + (float64(v[n+1])/detectorSide+a.y)*part.size
		}
		n := find{score: score, dx: float64(v[2]) / detectorSide * part.size / 2, dy: float64(v[3]) / detectorSide * part.size / 2}
		n.x, n.y = at(0)
		x, y := at(4)
		n.region = around(x, y, at, 6)
		all = append(all, n)
	}
	return all
}

// around is the region of a person: twice as wide as the middle of the hips is from the
// point that the network gives for it, and a quarter more.
func around(x, y float64, at func(n int) (x, y float64), n int) square {
	rx, ry := at(n)
	return square{x, y, 2 * 1.25 * math.Hypot(rx-x, ry-y)}
}

func sigmoid(v float32) float64 { return 1 / (1 + math.Exp(-float64(v))) }
