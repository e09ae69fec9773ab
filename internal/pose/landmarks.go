package pose

import (
	"image"
	"math"
)

// What the second network takes and gives is its publisher's:
// mediapipe/modules/pose_landmark/tensors_to_pose_landmarks_and_segmentation.pbtxt and
// pose_landmarks_to_roi.pbtxt.
const (
	landmarksSide = 256 // pixels
	landmarks     = 39  // the places of a body, two points of its region, four that are not used
	landmarkWidth = 5   // x, y, depth, visibility, presence

	sameBody = .1 // of a region's side, by which those of two people are apart at least

	heatSide  = 64 // squares of the region for which the network says how likely each place lies there
	heatReach = 3  // squares to each side that count
	heatLeast = .5 // of the likeliest, from which on they are believed
)

// fits reports whether somebody can be in a region: it lies on the picture and is of a size that can be.
func (s square) fits(img *image.RGBA) bool {
	w, h := float64(img.Rect.Dx()), float64(img.Rect.Dy())
	return s.size >= smallest && s.size <= 4*max(w, h) && s.x > 0 && s.x < w && s.y > 0 && s.y < h
}

// inside is the person in a region, whatever the score; not ok where there cannot be one.
func (f *Finder) inside(img *image.RGBA, region square) (p Person, ok bool) {
	if !region.fits(img) {
		return p, false
	}
	f.crop(f.landmarks.Input(), landmarksSide, img, region, 1./255, 0)
	f.landmarks.Run()
	v := f.landmarks.Output(0)
	at := func(n int) (x, y float64) {
		l := v[n*landmarkWidth:]
		return region.x + (float64(l[0])/landmarksSide-.5)*region.size, region.y + (float64(l[1])/landmarksSide-.5)*region.size
	}
	for i := range p.Joints {
		j := &p.Joints[i]
		j.X, j.Y = at(i)
		if x, y, sure := f.hottest(i, (j.X-region.x)/region.size+.5, (j.Y-region.y)/region.size+.5); sure {
			j.X, j.Y = region.x+(x-.5)*region.size, region.y+(y-.5)*region.size
		}
		j.Visibility = sigmoid(v[i*landmarkWidth+3])
	}
	p.Score = min(1, max(0, float64(f.landmarks.Output(1)[0])))
	x, y := at(Places)
	p.region = around(x, y, at, Places+1)
	return p, !math.IsNaN(x + y + p.Score)
}

// hottest is where a place lies by the squares about x, y, parts of the region: the mean
// of their middles, each as often as it is likely. The publisher's graph does the same
// (RefineLandmarksFromHeatmapCalculator) but for the middles, for which it takes the
// upper left corners; with the middles the joints of the invented club are nearer.
func (f *Finder) hottest(place int, x, y float64) (mx, my float64, sure bool) {
	heat := f.landmarks.Output(2)
	column, row := int(math.Floor(x*heatSide)), int(math.Floor(y*heatSide))
	if column < 0 || row < 0 || column >= heatSide || row >= heatSide {
		return 0, 0, false
	}
	var sum, most float64
	for r := max(0, row-heatReach); r <= min(row+heatReach, heatSide-1); r++ {
		for c := max(0, column-heatReach); c <= min(column+heatReach, heatSide-1); c++ {
			v := sigmoid(heat[(r*heatSide+c)*landmarks+place])
			sum, most = sum+v, max(most, v)
			mx, my = mx+v*(float64(c)+.5)/heatSide, my+v*(float64(r)+.5)/heatSide
		}
	}
	return mx / sum, my / sum, most >= heatLeast
}
