package measure

import (
	"math"

	"strokeledger/internal/table"
)

// The errors of an elbow, percent of the trunk, and how far the means of clips are off:
// from five drawn clubs, on 361 strokes.
const (
	elbowSD, elbowShared = 5.5, 4.5
	// Without a camera: how far it shows below the shoulder also depends on from where it
	// is seen.
	plainSD, plainShared = 7, 5.5
	// Of the elbows that lie beyond a limit by more than their error half are truly
	// lifted, however far beyond: drawn clubs 201 and 202, at limits of 46 to 50 %.
	elbowAstray = .5
)

// seenShare is how much of an elbow's pictures has to show it. Where a trunk hides it, the
// network guesses, and what little it is sure of is then wrong as well: with any picture
// enough, one limit for the drawn clubs finds 24 of 100 elbows at 3 % false, with 0.5 it
// finds 62 and with 0.7 as many of fewer strokes.
const seenShare = .5

// elbow is how far the racket arm's elbow hangs below the shoulder. With a camera it is
// told in the room, at the height of a shoulder over where the player stands: what shows
// of the arm and of the trunk is laid square to the line of sight, and along that line,
// where nothing shows, the arm is taken to hang as arms do.
func elbow(s Stroke, bodies []Body, camera *table.Camera) (Value, bool) {
	var plain, room []float64
	for _, b := range bodies {
		if v, ok := b.below(b.Elbow[s.Racket], b.Shoulder[s.Racket]); ok {
			plain = append(plain, v)
			if v, ok := b.hanging(s.Racket, camera); ok {
				room = append(room, v)
			}
		}
	}
	if float64(len(plain)) < seenShare*float64(len(bodies)) {
		return Value{}, false
	}
	if at, ok := median(room); ok && 2*len(room) > len(plain) {
		return Value{at, elbowSD, elbowShared, elbowAstray}, true
	}
	at, ok := median(plain)
	return Value{at, plainSD, plainShared, elbowAstray}, ok
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
	outward := -outwardUsually // y grows to the left as the player sees it
	if racket == Left {
		outward = -outward
	}
	hidden := dot(see.sight, [3]float64{0, outward * trunk, -downUsually * trunk})
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
	const high, step = 1.1, .1 // metres
	at, ok := c.See(x, y, high)
	for i := range 3 {
		p := [3]float64{x, y, high}
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
