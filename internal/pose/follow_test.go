package pose

import (
	"image"
	"testing"

	"github.com/stretchr/testify/require"
)

// standing is somebody whose feet are at a place in the picture.
func standing(x, y, score float64) Person {
	p := Person{Score: score, region: square{x, y - 50, 120}}
	for i := range p.Joints {
		p.Joints[i] = Joint{x, y, 1}
	}
	return p
}

// scene is a finder for which somebody says who is there.
type scene struct {
	people   []Person                      // who is found in the whole picture, the lowest first
	there    func(r square) (Person, bool) // who is found where somebody was
	searches int
}

func (s *scene) inside(_ *image.RGBA, r square) (Person, bool) { return s.there(r) }
func (s *scene) People(*image.RGBA) []Person                   { s.searches++; return s.people }

// behind is a camera for which a pixel is a centimetre behind the end line.
type behind struct{}

func (behind) Stand(x, y float64) (float64, float64, bool) { return x / 100, y / 100, x < 1000 }

func gone(square) (Person, bool) { return Person{}, false }

func TestTheNearPlayerStandsBehindTheEndLine(t *testing.T) {
	s := &scene{there: gone}
	s.people = []Person{standing(2000, 400, 1), standing(900, 380, 1), standing(-100, 370, 1), standing(60, 300, .99), standing(70, 290, 1)}
	p, ok := (&Follower{finder: s, ground: behind{}}).Next(nil)
	require.True(t, ok)
	require.Equal(t, s.people[3], p, "the lowest of those who can be")
	p, ok = (&Follower{finder: s}).Next(nil)
	require.True(t, ok)
	require.Equal(t, s.people[0], p, "without a camera the lowest")

	s.people = s.people[:3]
	_, ok = (&Follower{finder: s, ground: behind{}}).Next(nil)
	require.False(t, ok, "nobody who can be: nothing is said")
}

func TestAPlayerIsFollowedWhereHeWas(t *testing.T) {
	s := &scene{people: []Person{standing(60, 300, 1)}, there: func(r square) (Person, bool) { return standing(r.x+10, 300, .9), true }}
	w := &Follower{finder: s, ground: behind{}}
	for i := range 5 {
		p, ok := w.Next(nil)
		require.True(t, ok)
		require.InDelta(t, 60+10*i, p.region.x, 1e-9)
	}
	require.Equal(t, 1, s.searches, "searched once")
	w.Forget()
	_, _ = w.Next(nil)
	require.Equal(t, 2, s.searches)
}

func TestWhoIsAnotherOneIsLookedForAnew(t *testing.T) {
	here, passing := standing(60, 300, 1), standing(65, 310, 1)
	for name, found := range map[string]Person{
		"a region that jumps":          standing(60+61, 300, 1),
		"a low score":                  standing(62, 300, LeastScore-.01),
		"feet on the other side":       standing(-40, 300, 1),
		"feet farther than a player's": standing(301, 300, 1),
	} {
		s := &scene{people: []Person{here}, there: func(square) (Person, bool) { return found, true }}
		w := &Follower{finder: s, ground: behind{}}
		_, ok := w.Next(nil)
		require.True(t, ok)
		s.people = []Person{passing, here}
		p, ok := w.Next(nil)
		require.True(t, ok, name)
		require.Equal(t, here, p, "%s: who stands where the player was is taken, not who is lowest", name)
		require.Equal(t, 2, s.searches, name)
	}
}

// Without a camera a passer-by may be followed, but not the partner beside whom he left.
func TestAPasserByLeaves(t *testing.T) {
	passing, player, partner := standing(500, 460, 1), standing(140, 390, 1), standing(520, 150, 1)
	partner.region = square{520, 400, 60}
	s := &scene{people: []Person{passing, player, partner}, there: gone}
	w := &Follower{finder: s}
	p, _ := w.Next(nil)
	require.Equal(t, passing, p)
	s.people = []Person{player, partner}
	p, _ = w.Next(nil)
	require.Equal(t, player, p)
	s.people = []Person{standing(700, 400, 1), standing(150, 392, 1)}
	p, _ = w.Next(nil)
	require.Equal(t, s.people[1], p, "who stands where the player was")
}

// The network takes the front of a body for its back at times: then the right foot seems
// to stand on the left.
func TestFeetTellLeftFromRight(t *testing.T) {
	facing := standing(60, 300, 1)
	for i, y := range map[Place]float64{RightHeel: 290, RightToe: 290, LeftHeel: 310, LeftToe: 310} {
		facing.Joints[i].Y = y
	}
	facing.Joints[RightElbow].X = 99
	for _, seen := range []Person{facing, facing.exchanged()} {
		s := &scene{people: []Person{seen}}
		p, ok := (&Follower{finder: s, ground: behind{}}).Next(nil)
		require.True(t, ok)
		require.Equal(t, facing, p)
		p, ok = (&Follower{finder: s}).Next(nil)
		require.True(t, ok)
		require.Equal(t, seen, p, "without a camera nothing tells")
	}
	side := standing(60, 300, 1) // feet one behind the other may stand a little crossed
	side.Joints[LeftHeel].Y = 300 - 15
	p, ok := (&Follower{finder: &scene{people: []Person{side}}, ground: behind{}}).Next(nil)
	require.True(t, ok)
	require.Equal(t, side, p)
	for i := range Place(Places) {
		require.Equal(t, i, i.other().other())
	}
	require.Equal(t, RightEyeInner, LeftEyeInner.other())
	require.Equal(t, LeftHeel, RightHeel.other())
	require.Equal(t, Nose, Nose.other())
}
