package pose

import (
	"cmp"
	"embed"
	"errors"
	"fmt"
	"image"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/pose/neural"
)

// weights holds the two networks as build/build.sh takes them from the page's packages;
// before the first build only a marker file, so that the Go code compiles on a fresh
// clone.
//
//go:embed all:weights
var weights embed.FS

// ErrMissing is the code of the problem that the program was built without the networks.
var ErrMissing = errors.New("no networks for joints")

// LeastScore is the score of a person from which on the joints are believed; chosen on
// the invented club of seed 1.
const LeastScore = .6

// Finder finds people. It is for one goroutine at a time, and keeps about 50 MB.
type Finder struct {
	detector, landmarks *neural.Network
	anchors             []anchor
	cropper
}

// New makes a finder. The error is a problem with the code [ErrMissing] where the program
// was built without the networks.
func New() (*Finder, error) { return load(weights.ReadFile) }

func load(read func(name string) ([]byte, error)) (*Finder, error) {
	f := &Finder{anchors: anchors()}
	for _, n := range []struct {
		file    string
		into    **neural.Network
		side    int
		outputs []int // their numbers
		sizes   []int // how many values each has
	}{
		{"weights/detector.tflite", &f.detector, detectorSide, []int{0, 1}, []int{len(f.anchors) * detectorWidth, len(f.anchors)}},
		{"weights/landmarks.tflite", &f.landmarks, landmarksSide, []int{0, 1, 3}, []int{landmarks * landmarkWidth, 1, landmarks * heatSide * heatSide}},
	} {
		file, err := read(n.file)
		if err != nil {
			return nil, &club.Problem{Code: ErrMissing, Cause: err,
				Say: "This copy of the program was built without the networks that find joints: install it anew, or build it with build/build.sh."}
		}
		net, err := neural.Read(file, n.outputs...)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", n.file, err)
		}
		h, w, c := net.Size()
		known := h == n.side && w == n.side && c == 3
		for i, size := range n.sizes {
			known = known && len(net.Output(i)) == size
		}
		if !known {
			return nil, fmt.Errorf("%s is another network than the one that is known here", n.file)
		}
		*n.into = net
	}
	return f, nil
}

// People are the people that are found in a picture with at least [LeastScore], the one
// lowest in the picture first.
func (f *Finder) People(img *image.RGBA) []Person {
	var all []Person
	for _, at := range f.detect(img) {
		p, ok := f.inside(img, at)
		if ok { // its own region is better than that of the detector
			p, ok = f.inside(img, p.region)
		}
		if !ok || !(p.Score >= LeastScore) {
			continue
		}
		all = joined(all, p)
	}
	slices.SortStableFunc(all, func(a, b Person) int {
		_, ya := a.Feet()
		_, yb := b.Feet()
		return cmp.Compare(yb, ya)
	})
	return all
}

// joined are people with one more, who may be one of them, found a second time: then the
// surer one stays.
func joined(all []Person, p Person) []Person {
	i := slices.IndexFunc(all, func(o Person) bool { return p.region.apart(o.region) < sameBody*o.region.size })
	switch {
	case i < 0:
		return append(all, p)
	case p.Score > all[i].Score:
		all[i] = p
	}
	return all
}
