package measure

import (
	"math"

	"strokeledger/internal/table"
)

// The network has learned that arms hang, and takes a lifted one for one that hangs more:
// what it shows is shown + share * true, percent of the trunk, by a line through 225 strokes
// of drawn clubs 101 to 103 (Theil-Sen), with the elbow told as below. told is what is true;
// sd is the error that is left, and shared how far the means of clips are off, on these
// clubs and on 201.
var (
	inRoom  = shrunk{28.3, .434, 8, 6}
	inPlain = shrunk{29.2, .437, 9, 7} // without a camera it also depends on from where it is seen
)

type shrunk struct{ shown, share, sd, shared float64 }

func (k shrunk) told(shown float64) Value {
	return Value{(shown - k.shown) / k.share, k.sd, k.shared, elbowAstray}
}

// elbowAstray is how many of the elbows that lie beyond a limit by more than their error
// are not truly lifted, beside what the error says: of 26 on these clubs 19 are.
const elbowAstray = .3

const (
	// elbowSure is how visible the elbow has to be, the median of its pictures. Where a trunk
	// hides it, the network guesses, and what little it is sure of is then wrong as well: one
	// limit for the drawn clubs finds 5 of 100 elbows at 3 % false with any picture, 83 with
	// .5 and 86 with .8, of fewer strokes.
	elbowSure = .8
	// fromFree is how much a camera looks from the side of the free arm, as a sine: from
	// there the trunk stands before the elbow, and no limit tells lifted ones.
	fromFree = .5
	// highest is how far below the shoulder an elbow is at least, percent of the trunk: what
	// lies farther above it is not the player's arm (common practice, no source).
	highest = -10
	// fromAbove is how much it looks down: from there an arm that is stretched ahead shows
	// as one that is lifted.
	fromAbove = .3
)

// elbow is how far the racket arm's elbow hangs below the shoulder. With a camera it is
// told in the room, at the height of a shoulder over where the player stands: what shows
// of the arm and of the trunk is laid square to the line of sight, and along that line,
// where nothing shows, the arm is taken to hang as arms do.
func elbow(s Stroke, bodies []Body, camera *table.Camera) (Value, bool) {
	var plain, room, sure []float64
	badly := 0
	for _, b := range bodies {
		sure = append(sure, b.Elbow[s.Racket].Visibility)
		if b.badly(s.Racket, camera) {
			badly++
		}
		if v, ok := b.below(b.Elbow[s.Racket], b.Shoulder[s.Racket]); ok {
			plain = append(plain, v)
			if v, ok := b.hanging(s.Racket, camera); ok {
				room = append(room, v)
			}
		}
	}
	if v, ok := median(sure); !ok || v < elbowSure || 2*badly > len(bodies) {
		return Value{}, false
	}
	at, ok := median(room)
	v := inRoom.told(at)
	if !ok || 2*len(room) <= len(plain) {
		at, ok = median(plain)
		v = inPlain.told(at)
	}
	return v, ok && v.At > highest
}

// badly reports whether the camera sees the player from the side of the free arm, or from
// high above.
func (b Body) badly(racket Side, camera *table.Camera) bool {
	if camera == nil {
		return false
	}
	x, y, ok := b.stands(camera)
	from := camera.Position()
	way := [3]float64{x - from[0], y - from[1], shoulderHigh - from[2]}
	long := math.Sqrt(dot(way, way))
	return ok && (outwards(racket)*way[1] > fromFree*long || -way[2] > fromAbove*long)
}

// shoulderHigh is how high a shoulder is over the floor, metres.
const shoulderHigh = 1.1

// outwards is the way from the trunk to the racket arm: y grows to the left as the player
// sees it.
func outwards(racket Side) float64 {
	if racket == Left {
		return 1
	}
	return -1
}

// How an upper arm lies at a contact, in trunk lengths: by so much outward,
// and down. The best for the strokes of four drawn clubs.
const outwardUsually, downUsually = .15, .44

// hanging is how far the elbow lies below the shoulder in the room, percent of the trunk.
func (b Body) hanging(racket Side, camera *table.Camera) (float64, bool) {
	if camera == nil {
		return 0, false
	}
	x, y, ok := b.stands(camera)
	if !ok {
		return 0, false
	}
	see, ok := closeTo(camera, x, y)
	if !ok {
		return 0, false
	}
	arm := see.square(b.Elbow[racket].X-b.Shoulder[racket].X, b.Elbow[racket].Y-b.Shoulder[racket].Y)
	top, bottom := middle(b.Shoulder), middle(b.Hip)
	t := see.square(bottom.X-top.X, bottom.Y-top.Y)
	trunk := math.Sqrt(dot(t, t))
	hidden := dot(see.sight, [3]float64{0, outwards(racket) * outwardUsually * trunk, -downUsually * trunk})
	return -100 * (arm[2] + hidden*see.sight[2]) / trunk, trunk > 0
}

// stands is where the middle of both feet is in the room, metres.
func (b Body) stands(camera *table.Camera) (x, y float64, ok bool) {
	at, ok := b.soles()
	if !ok {
		return 0, 0, false
	}
	spot, err := camera.Floor(at, 0)
	if err != nil {
		return 0, 0, false
	}
	behind, _, err := spot.From(table.EndLine)
	right, _, also := spot.From(table.RightSideLine)
	return -behind, -right, err == nil && also == nil
}

// view is how a camera shows small ways about a place of the room.
type view struct {
	right, down [3]float64 // pixels for a metre of each way of the room
	sight       [3]float64 // unit, the way that does not show
}

// closeTo is the view of a shoulder's height over a place of the floor.
func closeTo(c *table.Camera, x, y float64) (v view, ok bool) {
	const step = .1 // metres
	at, ok := c.See(x, y, shoulderHigh)
	for i := range 3 {
		p := [3]float64{x, y, shoulderHigh}
		p[i] += step
		q, seen := c.See(p[0], p[1], p[2])
		ok = ok && seen
		v.right[i], v.down[i] = (q.X-at.X)/step, (q.Y-at.Y)/step
	}
	n := [3]float64{v.right[1]*v.down[2] - v.right[2]*v.down[1], v.right[2]*v.down[0] - v.right[0]*v.down[2], v.right[0]*v.down[1] - v.right[1]*v.down[0]}
	long := math.Sqrt(dot(n, n))
	for i := range n {
		v.sight[i] = n[i] / long
	}
	return v, ok && long > 0
}

// square is the shortest way in the room that shows as so many pixels: it lies square to
// the line of sight.
func (v view) square(dx, dy float64) (way [3]float64) {
	a, b, c := dot(v.right, v.right), dot(v.right, v.down), dot(v.down, v.down)
	det := a*c - b*b
	r, d := (c*dx-b*dy)/det, (a*dy-b*dx)/det
	for i := range way {
		way[i] = r*v.right[i] + d*v.down[i]
	}
	return way
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
