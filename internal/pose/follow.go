package pose

import "image"

// Ground is the floor of the hall as a camera shows it.
type Ground interface {
	// Stand is where the point of the floor lies that shows at x, y: how far behind the
	// near end line of the table and how far to the left, as the near player sees it, of
	// the right side line, in metres and negative on the other side of the line. It is not
	// known where nothing says.
	Stand(x, y float64) (behind, left float64, known bool)
}

// The choices of when a person is another one, made on the invented club of seed 1.
const (
	jump     = .5  // of its side, by which a region moves from picture to picture at most
	farthest = 3.  // from the near end line, metres
	ahead    = -.3 // of the end line that a near player's feet may be, metres
	crossed  = .1  // that feet may stand on each other's sides, metres
)

// searcher is what a follower needs of a [Finder].
type searcher interface {
	inside(img *image.RGBA, region square) (Person, bool)
	People(img *image.RGBA) []Person
}

// Follower follows the player at the near end of the table through pictures. It is for
// one goroutine at a time.
type Follower struct {
	finder searcher
	ground Ground
	last   *Person
}

// Follow makes a follower. ground is nil where the camera is not known: then the near
// player is taken to be the one lowest in the picture, which a passer-by may be.
func (f *Finder) Follow(ground Ground) *Follower { return &Follower{finder: f, ground: ground} }

// Next is the near player in a picture that follows the one before, and whether there is
// one who can be told. The score of who is told is at least [LeastScore]. A score says
// that somebody is there, not who: a region that jumps, and feet that are not behind the
// near end line, have the whole picture searched anew.
func (w *Follower) Next(img *image.RGBA) (Person, bool) {
	if w.last != nil {
		if p, ok := w.finder.inside(img, w.last.region); ok && w.near(&p) && p.region.apart(w.last.region) <= jump*w.last.region.size {
			return w.take(p), true
		}
	}
	var lowest, best *Person
	for _, p := range w.finder.People(img) {
		if !w.near(&p) {
			continue
		}
		if lowest == nil {
			lowest = &p
		}
		if best == nil || w.last != nil && p.region.apart(w.last.region) < best.region.apart(w.last.region) {
			best = &p
		}
	}
	switch {
	case best == nil:
		return Person{}, false
	case w.ground == nil && w.last != nil && !w.last.region.like(best.region):
		best = lowest
	}
	return w.take(*best), true
}

// like reports whether a region may be of the same person as another, pictures later. Where
// no camera tells who stands where, who was followed may have been a passer-by who has left,
// beside whom the partner stood and not the player.
func (s square) like(o square) bool {
	const alike = 1.3 // times as large
	return s.apart(o) <= jump*s.size && max(s.size, o.size) <= alike*min(s.size, o.size)
}

// Forget makes the next picture the first one.
func (w *Follower) Forget() { w.last = nil }

// near reports whether a person is believed and stands where a near player can.
func (w *Follower) near(p *Person) bool {
	if !(p.Score >= LeastScore) {
		return false
	}
	if w.ground == nil {
		return true
	}
	behind, _, known := w.ground.Stand(p.Feet())
	return known && behind >= ahead && behind <= farthest
}

// take remembers who was found. Whoever faces the table has the right foot on the right;
// where the feet stand the other way round, the network has taken the front of the body
// for its back.
func (w *Follower) take(p Person) Person {
	if w.ground != nil {
		_, right, known := w.ground.Stand(p.between(RightHeel, RightToe))
		_, left, also := w.ground.Stand(p.between(LeftHeel, LeftToe))
		if known && also && right-left > crossed {
			p = p.exchanged()
		}
	}
	w.last = &p
	return p
}
