// Package camera works out the camera of a picture from where the table shows in it, draws
// the table and the floor as that camera sees them, and measures on the floor. It needs no
// library; package table does the sums.
package camera

import (
	"errors"
	"image"
	"math"

	"strokeledger/internal/club"
	"strokeledger/internal/sighting"
	"strokeledger/internal/table"
)

// Placed is where somebody sees the table in a picture, display pixels.
type Placed struct {
	Frame   int              `json:"frame"`
	Corners []sighting.Place `json:"corners"` // four in order round the table, the two of the near end line first
	Tops    []sighting.Place `json:"tops"`    // outer ends of the net's top: both, one or none, in any order
	Wide    bool             `json:"wide"`    // the lens is a wide-angle one
	SD      float64          `json:"sd"`      // standard deviation of a click in each direction, pixels; 0: 2
}

// usualSD is what a click on a whole picture may be off by, pixels; see [table.Clicks].
const usualSD = 2

// Fitted is a ruler with its camera. It is never changed, and safe for concurrent use.
type Fitted struct {
	ruler  sighting.Ruler
	camera *table.Camera
	asked  bool // the picture was asked how well it fits
}

// Camera is the one that took the picture.
func (f *Fitted) Camera() *table.Camera { return f.camera }

// Fit works out the camera for what is placed in a picture of a size. The error is a
// *club.Problem.
func Fit(width, height int, p Placed) (*Fitted, error) {
	if len(p.Corners) != 4 {
		return nil, refused(table.BadCorners)
	}
	if p.SD == 0 {
		p.SD = usualSD
	}
	r := sighting.Ruler{Frame: p.Frame, Width: width, Height: height, Wide: p.Wide,
		Clicked: sighting.Outline{Corners: [4]sighting.Place(p.Corners), Tops: p.Tops, SD: p.SD}}
	if err := r.Check(); err != nil {
		return nil, err
	}
	return fitted(r, false)
}

// Refit works out the camera of a ruler for a picture of a size, which may have been
// encoded anew since the ruler was laid. The error is a *club.Problem.
func Refit(width, height int, r sighting.Ruler) (*Fitted, error) {
	across, down := float64(width)/float64(r.Width), float64(height)/float64(r.Height)
	if !(math.Abs(across/down-1) < .01) {
		return nil, &club.Problem{Field: "corners", Say: "The picture of this clip has another shape than when the ruler was laid: lay the ruler again."}
	}
	r.Width, r.Height, r.Clicked = width, height, r.Clicked.In(across, down)
	if r.Snapped != nil {
		s := r.Snapped.In(across, down)
		r.Snapped = &s
	}
	return fitted(r, true)
}

// Ruler is what the camera is worked out from; it has no ID and lies on no clip where it
// comes from no ledger.
func (f *Fitted) Ruler() sighting.Ruler { return f.ruler }

func fitted(r sighting.Ruler, asked bool) (*Fitted, error) {
	camera, err := table.Fit(clicks(r))
	if err != nil {
		return nil, refused(err)
	}
	return &Fitted{r, camera, asked}, nil
}

// clicks are the places that a ruler is measured by, as package table has them.
func clicks(r sighting.Ruler) table.Clicks {
	o := r.Measured()
	c := table.Clicks{Width: float64(r.Width), Height: float64(r.Height), SD: o.SD, Wide: r.Wide}
	for i, p := range o.Corners {
		c.Corners[i] = table.Point(p)
	}
	for _, p := range o.Tops {
		c.Tops = append(c.Tops, table.Point(p))
	}
	return c
}

// outline is the other way round.
func outline(c table.Clicks) sighting.Outline {
	o := sighting.Outline{SD: c.SD}
	for i, p := range c.Corners {
		o.Corners[i] = sighting.Place(p)
	}
	for _, p := range c.Tops {
		o.Tops = append(o.Tops, sighting.Place(p))
	}
	return o
}

// Pull pulls what was clicked onto the lines that the picture shows. Where these do not
// bear it out, it stays as it is, and only how well it fits is told.
func (f *Fitted) Pull(img image.Image) (*Fitted, error) {
	r, pic := f.ruler, table.NewPicture(img)
	s, err := table.Snap(pic, f.camera, r.Clicked.SD)
	if _, is := errors.AsType[table.Refusal](err); is {
		r.Support = f.camera.Support(pic)
		return &Fitted{r, f.camera, true}, nil
	}
	if err != nil {
		return nil, err
	}
	if !s.Good { // these may be the wrong lines: no half width smaller than by the clicks
		s.Clicks.SD = max(s.Clicks.SD, r.Clicked.SD)
	}
	pulled := outline(s.Clicks)
	pulled.Corners = inOrderOf(pulled.Corners, r.Clicked.Corners)
	r.Snapped, r.Support, r.Good = &pulled, s.Support, s.Good
	return fitted(r, true)
}

// Judge tells how well the ruler as it is fits the lines that the picture shows: well,
// where these would pull no corner away by more than clicks are off.
func (f *Fitted) Judge(img image.Image) (*Fitted, error) {
	pulled, err := f.Pull(img)
	if err != nil || pulled.ruler.Snapped == nil {
		return pulled, err
	}
	r := f.ruler
	r.Support, r.Good = pulled.ruler.Support, pulled.ruler.Good
	for i, p := range pulled.ruler.Snapped.Corners {
		q := r.Clicked.Corners[i]
		r.Good = r.Good && math.Hypot(p.X-q.X, p.Y-q.Y) <= within95*r.Clicked.SD
	}
	return &Fitted{r, f.camera, true}, nil
}

// within95 times the standard deviation is how far 95 % of clicks are off at most: the
// quantile of the Rayleigh distribution, √(2 ln 20).
const within95 = 2.4477

// inOrderOf are corners, of which the first is the near right one, in the order in which
// they were clicked: that or with the near left one first.
func inOrderOf(corners, clicked [4]sighting.Place) [4]sighting.Place {
	from := func(p sighting.Place) float64 { return math.Hypot(p.X-clicked[0].X, p.Y-clicked[0].Y) }
	if from(corners[1]) < from(corners[0]) {
		return [4]sighting.Place{corners[1], corners[0], corners[3], corners[2]}
	}
	return corners
}

// Find looks for the table in pictures of one clip, the first of them of the frame that
// is given, without a click. It is a proposal: nil where it is not sure.
func Find(imgs []image.Image, frame int) (*Fitted, error) {
	var pics []*table.Picture
	for _, img := range imgs {
		pics = append(pics, table.NewPicture(img))
	}
	s, sure := table.Find(pics)
	if !sure {
		return nil, nil
	}
	size := imgs[0].Bounds().Size()
	across, down := float64(size.X)/s.Clicks.Width, float64(size.Y)/s.Clicks.Height
	found := outline(s.Clicks).In(across, down)
	return fitted(sighting.Ruler{Frame: frame, Width: size.X, Height: size.Y, Wide: s.Clicks.Wide, Clicked: found, Snapped: &found, Support: s.Support, Good: s.Good}, true)
}

// spread are frames of a clip of so many in which to look for its table: the given one
// and four over its length, since a player may stand before the table in one of them.
func spread(frame, frames int) []int {
	out := []int{frame}
	for i := range 4 {
		if n := (2*i + 1) * frames / 8; n != frame && n < frames {
			out = append(out, n)
		}
	}
	return out
}

// refused makes a problem of a refusal.
func refused(err error) error {
	return &club.Problem{Field: "corners", Say: err.Error(), Cause: err}
}
