package pose

import (
	"image"
	"math"
)

// Ground is the floor of the hall as a camera shows it.
type Ground interface {
	// Behind is how far behind the near end line of the table the point of the floor
	// lies that shows at x, y, in metres, negative before the line; not known where
	// nothing says.
	Behind(x, y float64) (metres float64, known bool)
}

// The choices of when a person is another one, made on the invented club of seed 1.
const (
	sameBody = .5  // overlap of regions from which on two finds are one person
	jump     = .5  // of its side, by which a region moves from picture to picture at most
	swap     = .3  // of the trunk, by which left and right must be nearer exchanged
	farthest = 3.  // from the near end line, metres
	ahead    = -.3 // of the end line that a near player's feet may be, metres
)

// Follower follows the player at the near end of the table through pictures. It is for
// one goroutine at a time.
type Follower struct {
	finder *Finder
	ground Ground
	last   *Person
}

// Follow makes a follower. ground is nil where the camera is not known: then the near
// player is taken to be the one lowest in the picture, which a passer-by may be.
func (f *Finder) Follow(ground Ground) *Follower { return &Follower{finder: f, ground: ground} }

// Next is the near player in a picture that follows the one before, and whether there is
// one who can be told. The score of who is told is at least [LeastScore]. A score says
// that somebody is there, not who: a region that jumps, and feet that are not behind the
// near end line, are looked for anew in the whole picture.
func (w *Follower) Next(img *image.RGBA) (Person, bool) {
	if w.last != nil {
		if p, ok := w.finder.look(img, w.last.region); ok && w.near(&p) && p.region.apart(w.last.region) <= jump*w.last.region.size {
			return w.take(p), true
		}
	}
	var best *Person
	for _, p := range w.finder.People(img) {
		if !w.near(&p) {
			continue
		}
		if best == nil || w.last != nil && p.region.apart(w.last.region) < best.region.apart(w.last.region) {
			best = &p
		}
	}
	if best == nil {
		return Person{}, false
	}
	return w.take(*best), true
}

// Forget lets the next picture be looked at as the first one.
func (w *Follower) Forget() { w.last = nil }

// near reports whether a person is believed and stands where a near player can.
func (w *Follower) near(p *Person) bool {
	if !(p.Score >= LeastScore) {
		return false
	}
	if w.ground == nil {
		return true
	}
	behind, known := w.ground.Behind(p.Feet())
	return known && behind >= ahead && behind <= farthest
}

// take remembers the person for the next picture, with left and right as they were.
func (w *Follower) take(p Person) Person {
	if w.last != nil && p.exchanged().from(w.last)+swap*p.trunk() < p.from(w.last) {
		p = p.exchanged()
	}
	w.last = &p
	return p
}

// exchanged is the person with left and right exchanged.
func (p Person) exchanged() Person {
	q := p
	for i := range p.Joints {
		q.Joints[Place(i).other()] = p.Joints[i]
	}
	return q
}

// from is how far the joints of arms and legs are on average from those of another.
func (p Person) from(o *Person) (sum float64) {
	for i := LeftShoulder; i < Places; i++ {
		sum += math.Hypot(p.Joints[i].X-o.Joints[i].X, p.Joints[i].Y-o.Joints[i].Y)
	}
	return sum / float64(Places-LeftShoulder)
}
