package picture

import (
	"cmp"
	"fmt"
	"image"
	"math"
	"strings"
	"unicode/utf8"

	"strokeledger/internal/club"
)

// Pair is two frames that are looked at together, by a name: the left one and the other,
// which stands at its right. They are taken for the same moment: from there both go on in
// step, each at its own picture rate, see Lock.
type Pair struct {
	ID         club.ID `json:"id"`
	CoachID    club.ID `json:"coach_id"` // empty: not known
	Name       string  `json:"name"`
	ClipID     club.ID `json:"clip_id"`
	Frame      int     `json:"frame"`
	Ticks      int64   `json:"ticks"`
	Seen       View    `json:"seen"`
	OtherID    club.ID `json:"other_id"`
	OtherFrame int     `json:"other_frame"`
	OtherTicks int64   `json:"other_ticks"`
	OtherSeen  View    `json:"other_seen"`
	Over       bool    `json:"over"`    // one over the other, else side by side
	Divided    float64 `json:"divided"` // how much of the left one is seen then, 0 to 1
}

// View is which part of a clip's picture a pair shows. The mirror is beside what is kept
// for the clip: where both mirror, the picture is as its file has it.
type View struct {
	Times  float64 `json:"times"` // larger than fitted into its box, 1 or more
	X      float64 `json:"x"`     // of its middle, in the picture as its file has it, 0 to 1
	Y      float64 `json:"y"`
	Mirror bool    `json:"mirror"`
}

// WholeView is all of a picture.
func WholeView() View { return View{Times: 1, X: 0.5, Y: 0.5} }

const (
	longestName = 200 // characters of a pair's name
	mostTimes   = 1000
)

// Check returns a *club.Problem where the pair breaks a rule.
func (p Pair) Check() error {
	switch {
	case strings.TrimSpace(p.Name) == "":
		return problem("name", "Give the pair a name.")
	case utf8.RuneCountInString(p.Name) > longestName:
		return problem("name", fmt.Sprintf("The name is longer than %d characters: say it more briefly.", longestName))
	case p.Frame < 0 || p.OtherFrame < 0:
		return problem("frame", "Frames are counted from 0: pick one inside the clip.")
	case !p.Seen.inside() || !p.OtherSeen.inside():
		return problem("seen", "What is seen of a picture must lie inside it: set it again.")
	case !(p.Divided >= 0 && p.Divided <= 1):
		return problem("divided", "How much is seen of the picture on the left is a number from 0 to 1.")
	}
	return nil
}

func (v View) inside() bool {
	return v.Times >= 1 && v.Times <= mostTimes && v.X >= 0 && v.X <= 1 && v.Y >= 0 && v.Y <= 1
}

// Adjusted is how a picture is shown in the pair, given how its clip is shown. A mirror of
// what is seen goes before the rotation, which then goes the other way.
func (v View) Adjusted(a Adjustment) Adjustment {
	if v.Mirror {
		a.Mirror, a.Rotation = !a.Mirror, (4-a.Rotation)%4
	}
	return a
}

// Part is what is seen, in pixels of the picture as it is shown with a, of which there are
// width x height, when it is shown in a box of that shape. Its places and sizes are even,
// which loses nothing of 4:2:0. It is empty where all of the picture is seen.
func (v View) Part(a Adjustment, width, height int, box image.Point) image.Rectangle {
	if v.Times <= 1 || width < 2 || height < 2 || box.X < 1 || box.Y < 1 {
		return image.Rectangle{}
	}
	scale := min(float64(box.X)/float64(width), float64(box.Y)/float64(height)) * v.Times
	middle := a.Shown(Point{v.X, v.Y})
	left, wide := stretch(middle.X, width, float64(box.X)/scale)
	top, high := stretch(middle.Y, height, float64(box.Y)/scale)
	return image.Rect(left, top, left+wide, top+high)
}

// stretch is where a part that is so long lies along one side of a picture.
func stretch(middle float64, whole int, long float64) (from, size int) {
	size = max(2, min(whole, int(math.Round(long)))&^1)
	from = int(math.Round(middle*float64(whole)-float64(size)/2)) &^ 1
	return max(0, min(from, (whole-size)&^1)), size
}

// Times says when the pictures of a clip are shown, in seconds on its own clock.
type Times interface {
	Len() int
	Seconds(n int) float64
	FrameAt(seconds float64) int // the one on show
	EndSeconds() float64
}

// Lock says which frames of two clips are the same moment.
type Lock struct {
	Frame, Other int
	// Pace is how many seconds of the other clip's clock pass in one of the first: 1, or 0,
	// but for clips that play slower than they were filmed.
	Pace float64
}

func (l Lock) pace() float64 { return cmp.Or(l.Pace, 1) }

// moment is how far two moments may be apart and still be the same, in seconds: clocks of
// films count in much larger steps.
const moment = 1e-6

// Of is the frame of other that is shown nearest to when frame n of lead is, both clips
// running as they were filmed; the earlier of two as near. It is exact at any picture
// rate, also where it varies, and does not depend on how n was reached. It is -1 where
// other shows nothing at that moment.
func (l Lock) Of(lead, other Times, n int) int {
	if lead.Len() == 0 || other.Len() == 0 {
		return -1
	}
	at := other.Seconds(l.Other) + l.pace()*(lead.Seconds(n)-lead.Seconds(l.Frame))
	if at < other.Seconds(0)-moment || at > other.EndSeconds()-moment {
		return -1
	}
	k := max(0, other.FrameAt(at+moment))
	if k+1 < other.Len() && other.Seconds(k+1)-at < at-other.Seconds(k)-moment {
		k++
	}
	return k
}

// Turned is the lock as the other clip has it.
func (l Lock) Turned() Lock { return Lock{l.Other, l.Frame, 1 / l.pace()} }
