package report_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/report"
	"strokeledger/internal/tally"
	"strokeledger/internal/timecode"
)

// made is when every document of these tests was made.
var made = time.Date(2026, 4, 3, 18, 30, 0, 0, time.UTC)

// invented is an invented club: four players, four drills up a ladder, three
// sessions, some turns without logged strokes, and some that were not looked through.
// The same seed gives the same club.
func invented() (club.Catalogue, []club.TurnRecord) {
	c := club.Catalogue{
		Coaches: []club.Coach{{ID: "k1", Name: "Mira Solberg"}, {ID: "k2", Name: "Jon Abe"}},
		Players: []club.Player{
			{ID: "p1", Name: "Milla Sandvik", Alias: "Heron", Hand: club.RightHand},
			{ID: "p2", Name: "Tomé Okafor", Alias: "Otter", Hand: club.LeftHand},
			{ID: "p3", Name: "Ines Varga", Hand: club.RightHand},
			{ID: "p4", Name: "小林 葵", Alias: "Wren", Hand: club.RightHand},
		},
		Drills: []club.Drill{
			{ID: "d1", Name: "Forehand diagonal", Method: club.Regular, Pattern: "F", Placement: club.Diagonal, Ball: club.PassiveBlock, Rung: 1, Streak: 10},
			{ID: "d2", Name: "Backhand diagonal", Method: club.Regular, Pattern: "B", Placement: club.Diagonal, Ball: club.PassiveBlock, Rung: 2, Streak: 10},
			{ID: "d3", Name: "Two forehands, one backhand", Method: club.Regular, Pattern: "FFB", Placement: club.Parallel, Ball: club.ActiveBlock, Rung: 3, Streak: 15},
			{ID: "d4", Name: "One or two to the forehand", Method: club.Irregular, Placement: club.FreePlacement, Ball: club.ActiveBlock, Rung: 4, Streak: 10},
		},
		Faults: []club.Fault{
			{ID: "f1", Code: "NEAR", Label: "Standing too close to the table", Phase: club.Ready, Sides: club.BothSides, Weight: 2, Cue: "One shoe length back: the table edge out of reach."},
			{ID: "f2", Code: "ELBOW", Label: "Unstable elbow", Phase: club.ContactPhase, Sides: club.BackhandOnly, Weight: 3, Cue: "Elbow stays where it is; the forearm opens like a door."},
			{ID: "f3", Code: "LATE", Label: "Late return to ready", Phase: club.Recovery, Sides: club.BothSides, Weight: 3, Cue: "Racket back in front before the partner hits."},
			{ID: "f4", Code: "FLAT", Label: "Flat feet", Phase: club.Footwork, Sides: club.BothSides, Weight: 1, Cue: "Small steps, heels light."},
			{ID: "f5", Code: "OVER", Label: "Follow-through past the shoulder", Phase: club.FollowThrough, Sides: club.ForehandOnly, Weight: 1},
			{ID: "f6", Code: "BIG", Label: "Backswing behind the body", Phase: club.Backswing, Sides: club.BothSides, Weight: 2, Retired: true},
		},
	}
	rnd := rand.New(rand.NewPCG(7, 7))
	var turns []club.TurnRecord
	for s, date := range []club.Date{"2026-03-02", "2026-03-16", "2026-03-30"} {
		for p, player := range c.Players {
			for d, drill := range c.Drills {
				if p == 3 && d > 1 {
					continue
				}
				n := len(turns)
				r := club.TurnRecord{Turn: club.Turn{
					ID: club.ID(fmt.Sprintf("t%02d", n)), ClipID: club.ID(fmt.Sprintf("c%d%d", s, p)),
					PlayerID: player.ID, DrillID: drill.ID, First: 900 * d, Last: 900*d + 800, LastTicks: 1800,
				}, Date: date, Base: timecode.Base{Num: 1, Den: 50}}
				logged := p != 3 || s == 0
				for i := range 20 + rnd.IntN(12) {
					at := int64(40 + 55*i)
					outcome := club.Good
					if rnd.Float64() < 0.08 {
						outcome = club.Missed
					}
					frame := r.First + int(at)*800/1800
					if logged {
						r.Strokes = append(r.Strokes, club.Stroke{ID: club.ID(fmt.Sprintf("s%d-%d", n, i)), Frame: frame, Ticks: at, Outcome: outcome})
					}
					for f, chance := range []float64{0.05, 0.12, 0.04 + 0.16*float64(d/3), 0.03, 0.0} {
						if rnd.Float64() < chance*(1.5-0.3*float64(s)) && (f != 1 || d > 0) {
							r.Marks = append(r.Marks, club.Mark{ID: club.ID(fmt.Sprintf("m%d-%d-%d", n, i, f)), FaultID: c.Faults[f].ID, Frame: frame + 1, Ticks: at + 3})
						}
					}
				}
				r.Looks = []club.Look{lookAt(r, "k1", "f1", "f2", "f3", "f4", "f5", "f6")}
				turns = append(turns, r)
			}
		}
	}
	// A slip: an elbow marked on a forehand. And a code that has been retired since.
	turns[0].Marks = append(turns[0].Marks, club.Mark{ID: "m-slip", FaultID: "f2", Frame: 751, Ticks: 1690}, club.Mark{ID: "m-old", FaultID: "f6", Frame: 755, Ticks: 1700})
	// Of the last session one turn of each of three players was looked at by nobody, one
	// of them without strokes; then one for two faults, one by two coaches, one because
	// of its marks, the first half of one; and one drill of a player never.
	for _, n := range []int{28, 40, 8, 22, 36} {
		turns[n].Looks = nil
	}
	turns[29].Looks = []club.Look{lookAt(turns[29], "k1", "f2", "f3")}
	turns[30].Looks = append(turns[30].Looks, lookAt(turns[30], "k2", "f3"))
	turns[31].Looks[0].Assumed = true
	turns[32].Looks[0].Last, turns[32].Looks[0].LastTicks = turns[32].First+400, 900
	return c, turns
}

// lookAt is a look of a coach through all of a turn.
func lookAt(r club.TurnRecord, coach club.ID, faults ...club.ID) club.Look {
	return club.Look{ID: "l-" + r.ID + coach, ClipID: r.ClipID, CoachID: coach, First: r.First, Last: r.Last,
		FirstTicks: r.FirstTicks, LastTicks: r.LastTicks, Faults: faults, Made: made.AddDate(0, 0, -1)}
}

func summary() tally.Summary {
	c, turns := invented()
	return tally.Summarise(c, turns, "", "")
}

// ofOne is the summary of one player.
func ofOne() tally.Summary {
	c, turns := invented()
	var own []club.TurnRecord
	for _, r := range turns {
		if r.PlayerID == "p1" {
			own = append(own, r)
		}
	}
	return tally.Summarise(c, own, "2026-03-01", "2026-03-31")
}

// stills draws a picture for the first mark of everything wanted.
func stills(t *testing.T, s tally.Summary) map[club.ID]report.Still {
	t.Helper()
	pictures := map[club.ID]report.Still{}
	for i, ids := range report.Wanted(s) {
		pictures[ids[0]] = report.Still{JPEG: photo(t, i), Drawn: drawnAt(i), Caption: fmt.Sprintf("Forehand diagonal, 30 March 2026, frame %d", 200+17*i)}
	}
	return pictures
}

// drawnAt is an arrow on the first picture, a circle, an angle and a text on the second,
// nothing on the third, and so on.
func drawnAt(i int) []picture.Drawing {
	return [][]picture.Drawing{
		{{Kind: picture.Arrow, Places: []picture.Point{{X: 0.2, Y: 0.2}, {X: 0.48, Y: 0.5}}}},
		{{Kind: picture.Circle, Places: []picture.Point{{X: 0.6, Y: 0.4}, {X: 0.7, Y: 0.45}}},
			{Kind: picture.Angle, Places: []picture.Point{{X: 0.3, Y: 0.5}, {X: 0.2, Y: 0.3}, {X: 0.4, Y: 0.2}}},
			{Kind: picture.Text, Places: []picture.Point{{X: 0.5, Y: 0.9}}, Text: "<b>feet</b> & racket"}},
		nil,
	}[i%3]
}

// photo draws a table on a floor, the n-th a little different.
func photo(t *testing.T, n int) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 480, 270))
	fill := func(r image.Rectangle, c color.RGBA) { draw.Draw(m, r, image.NewUniform(c), image.Point{}, draw.Src) }
	fill(m.Rect, color.RGBA{108, 96, 84, 255})
	fill(image.Rect(0, 0, 480, 120), color.RGBA{188, 186, 178, 255})
	fill(image.Rect(60, 150, 420, 176), color.RGBA{24, 72, 92, 255})
	fill(image.Rect(60, 150, 420, 153), color.RGBA{240, 240, 240, 255})
	fill(image.Rect(238, 132, 242, 176), color.RGBA{30, 30, 30, 255})
	x := 90 + 30*(n%5)
	fill(image.Rect(x, 70, x+26, 150), color.RGBA{150, 60, 50, 255})
	fill(image.Rect(x+4, 44, x+22, 68), color.RGBA{214, 176, 150, 255})
	fill(image.Rect(x+20, 100, x+64, 108), color.RGBA{214, 176, 150, 255})
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, m, nil))
	return b.Bytes()
}
