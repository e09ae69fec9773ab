package desk_test

import (
	"context"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/clip/av"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/film"
	"strokeledger/internal/demo/hall"
	"strokeledger/internal/joined"
	"strokeledger/internal/measure"
	"strokeledger/internal/pose"
	"strokeledger/internal/proposal"
	"strokeledger/internal/swing"
	"strokeledger/internal/table"
)

// joinedScore counts strokes of turns.
type joinedScore struct{ hits, strokes, found int }

func (s joinedScore) f() float64 {
	return 2 * float64(s.hits) / math.Max(1, float64(s.strokes+s.found))
}

// joinedRow is one condition: what the sound alone tells and what sound and joints do, in
// clips with a ruler and without; and what is told in a minute in which nobody plays.
type joinedRow struct {
	alone, both [2]joinedScore
	idle        [2]int
	seconds     float64
}

// BenchmarkJoined prints how well strokes are told by the sound alone and with the joints,
// on clubs of demo.Spar; STROKELEDGER_SPARS are their seeds. Every second clip has a ruler
// by which the player is followed. A club takes ten minutes of one core; with
// STROKELEDGER_DRAWN the joints are drawn, off as those of the network are but never left
// for right nor somebody else's, and a club takes one minute. Clips in which nobody plays
// are put into four halls of each condition.
func BenchmarkJoined(b *testing.B) {
	seeds := strings.Fields(os.Getenv("STROKELEDGER_SPARS"))
	if len(seeds) == 0 {
		b.Skip("STROKELEDGER_SPARS names no seeds")
	}
	conditions := []hall.Condition{hall.Duller, hall.Alike, hall.Brighter, hall.TwoOthers6, hall.SpeechThroughout}
	for range b.N {
		rows := map[hall.Condition]*joinedRow{}
		sides := [3]int{}
		for _, c := range conditions {
			rows[c] = &joinedRow{}
		}
		for _, text := range seeds {
			seed, err := strconv.ParseInt(text, 10, 64)
			require.NoError(b, err)
			c := demo.Spar(seed)
			truth := c.Truth()
			for i, s := range c.Scenes {
				var all [][]measure.Body
				if os.Getenv("STROKELEDGER_DRAWN") != "" {
					all = drawnBodies(b, truth.Clips[i], s)
				} else {
					all = seenBodies(b, truth.Clips[i], s, i%2 == 0, paced(truth.Clips[i]))
				}
				var arms []*swing.Arms
				for n, t := range truth.Clips[i].Turns {
					arms = append(arms, swing.Of(all[n], racketOf(c, t.PlayerID)))
				}
				for _, k := range truth.Clips[i].Strokes {
					sides[0]++
					if side, chance, known := arms[k.Turn].Side(k.Seconds); known && chance >= .9 {
						sides[1]++
						if side == k.Side {
							sides[2]++
						}
					}
				}
				halls := int64(1)
				if len(s.Contacts) == 0 {
					halls = 4
				}
				for _, condition := range conditions {
					for n := range halls {
						rows[condition].add(b, c, truth.Clips[i], s, arms, overheard(s, condition, seed*100+int64(i)+1000003*n), i%2 == 0)
					}
				}
			}
		}
		fmt.Println("| condition | sound alone: F with a ruler, without | heard and seen: F with a ruler, without | nobody plays: alone, seen, a minute |\n|---|---|---|---|")
		for _, c := range conditions {
			r := rows[c]
			fmt.Printf("| %s | %.3f, %.3f | %.3f, %.3f | %.1f, %.1f |\n", c, r.alone[1].f(), r.alone[0].f(), r.both[1].f(), r.both[0].f(),
				60*float64(r.idle[0])/r.seconds, 60*float64(r.idle[1])/r.seconds)
		}
		fmt.Printf("\nOf %d strokes %d sides are told, %d rightly.\n", sides[0], sides[1], sides[2])
	}
}

// paced are the pictures of a turn that are looked at for swings.
func paced(truth demo.TruthClip) func(turn, picture int) bool {
	return func(turn, n int) bool { return (n-truth.Turns[turn].First)%int(swing.Pace*demo.Rate) == 0 }
}

// seenBodies draws a scene, and follows the player of each turn through the pictures that are
// wanted, by a ruler or without.
func seenBodies(b *testing.B, truth demo.TruthClip, s *demo.Scene, ruled bool, wanted func(turn, picture int) bool) (all [][]measure.Body) {
	ctx, path := context.Background(), filepath.Join(b.TempDir(), s.File)
	require.NoError(b, film.WriteSounded(ctx, s, path, nil, 1))
	f, err := clip.Open(ctx, path, clip.Options{})
	require.NoError(b, err)
	defer f.Close()
	require.NoError(b, f.Indexed(ctx))
	finder, err := pose.New()
	require.NoError(b, err)
	var near pose.Ground
	if ruled {
		near = ground{ruledBy(b, s)}
	}
	follower, view := finder.Follow(near), av.NewView()
	defer view.Close()
	for i, t := range truth.Turns {
		follower.Forget()
		var bodies []measure.Body
		require.NoError(b, f.Roll(ctx, t.First, t.Last, func(n int, p *av.Picture) error {
			if !wanted(i, n) {
				return nil
			}
			img, err := view.RGBA(p, f.Look())
			if err == nil {
				bodies = append(bodies, bodyIn(follower, img, s.Seconds(n))...)
			}
			return err
		}))
		all = append(all, bodies)
	}
	return all
}

// drawnBodies are the bodies of a scene's turns by joints that are off by about 3 cm that
// stay for a turn and 3 cm that come and go.
func drawnBodies(b *testing.B, truth demo.TruthClip, s *demo.Scene) [][]measure.Body {
	const off = .03 // metres
	rng := rand.New(rand.NewPCG(s.Seed, 9))
	pairs := [6][2]int{{demo.RightShoulder, demo.LeftShoulder}, {demo.RightElbow, demo.LeftElbow}, {demo.RightWrist, demo.LeftWrist},
		{demo.RightHip, demo.LeftHip}, {demo.RightHeel, demo.LeftHeel}, {demo.RightToe, demo.LeftToe}}
	all := make([][]measure.Body, len(truth.Turns))
	for _, f := range truth.Figures {
		if f.Turn < 0 {
			continue
		}
		places, err := f.Positions()
		require.NoError(b, err)
		t := truth.Turns[f.Turn]
		var stays, comes [6][2][2]float64
		for i := range stays {
			for side := range 2 {
				stays[i][side] = [2]float64{rng.NormFloat64(), rng.NormFloat64()}
			}
		}
		var bodies []measure.Body
		for n := t.First; n <= t.Last && n < f.First+f.Frames; n += int(swing.Pace * demo.Rate) {
			body := measure.Body{Seconds: s.Seconds(n)}
			for i, pair := range body.Pairs() {
				for side := range 2 {
					x, y, depth := s.CameraAt(body.Seconds).Project(places[max(0, n-f.First)][pairs[i][side]])
					e := &comes[i][side]
					for k := range e {
						e[k] = .6*e[k] + .8*rng.NormFloat64()
					}
					k := off * s.Camera.Focal / depth
					pair[side] = measure.Joint{X: x + k*(stays[i][side][0]+e[0]), Y: y + k*(stays[i][side][1]+e[1]), Visibility: 1}
				}
			}
			bodies = append(bodies, body)
		}
		all[f.Turn] = bodies
	}
	return all
}

// racketOf is the side on which a player holds the racket.
func racketOf(c demo.Club, player club.ID) measure.Side {
	for _, p := range c.Catalogue.Players {
		if p.ID == player && p.Hand == club.LeftHand {
			return measure.Left
		}
	}
	return measure.Right
}

// bodyIn is what is found of the player in a picture: one body or none.
func bodyIn(w *pose.Follower, img *image.RGBA, at float64) []measure.Body {
	p, found := w.Next(img)
	if !found {
		return nil
	}
	b := measure.Body{Seconds: at}
	places := [6]pose.Place{pose.LeftShoulder, pose.LeftElbow, pose.LeftWrist, pose.LeftHip, pose.LeftHeel, pose.LeftToe}
	for i, pair := range b.Pairs() {
		pair[measure.Left], pair[measure.Right] = measure.Joint(p.Joints[places[i]]), measure.Joint(p.Joints[places[i]+1])
	}
	return []measure.Body{b}
}

// ruledBy is the camera of a scene by rough clicks.
func ruledBy(b *testing.B, s *demo.Scene) *table.Camera {
	p := clicked(s, rand.New(rand.NewPCG(s.Seed, 5)), 1)
	k := table.Clicks{Width: demo.Width, Height: demo.Height, SD: 1, Wide: s.Camera.K1 < -.1}
	for i, c := range p.Corners {
		k.Corners[i] = table.Point{X: c.X, Y: c.Y}
	}
	for _, c := range p.Tops {
		k.Tops = append(k.Tops, table.Point{X: c.X, Y: c.Y})
	}
	camera, err := table.Fit(k)
	require.NoError(b, err)
	return camera
}

// ground is the floor as a camera shows it.
type ground struct{ *table.Camera }

func (g ground) Stand(x, y float64) (behind, left float64, known bool) {
	spot, err := g.Floor(table.Point{X: x, Y: y}, 0)
	if err != nil {
		return 0, 0, false
	}
	behind, _, err = spot.From(table.EndLine)
	right, _, also := spot.From(table.RightSideLine)
	return behind, -right, err == nil && also == nil
}

// add counts one clip in one hall.
func (r *joinedRow) add(b *testing.B, c demo.Club, truth demo.TruthClip, s *demo.Scene, arms []*swing.Arms, sound []float32, ruled bool) {
	d, err := contact.NewDetector(demo.SoundRate)
	require.NoError(b, err)
	d.KeepSounds()
	told := append(d.Write(sound), d.Finish()...)
	var turns []joined.Turn
	var alone [][]float64
	for i, t := range truth.Turns {
		p := proposal.Play{From: s.Seconds(t.First), To: s.Seconds(t.Last + 1), Least: proposal.UsualConfidence, Contacts: told, Player: contact.Near}
		for _, drill := range c.Catalogue.Drills {
			if drill.ID == t.DrillID && drill.Ball == club.Multiball {
				p.Fed = true
				if who := proposal.Receiver(told, p.From, p.To); who != contact.Unknown {
					p.Player = who
				}
			}
		}
		var at []float64
		for _, q := range proposal.Strokes(p) {
			at = append(at, q.Seconds)
		}
		alone = append(alone, at)
		turns = append(turns, joined.Turn{From: p.From, To: p.To, Player: p.Player, Swing: arms[i].Contact, Sure: ruled})
	}
	which := 0
	if ruled {
		which = 1
	}
	for i, strokes := range joined.Strokes(turns, d.Sounds(), told) {
		var both, really []float64
		for _, q := range strokes {
			if q.Chance >= proposal.UsualConfidence {
				both = append(both, q.Seconds)
			}
		}
		for _, k := range s.Contacts {
			if k.Stroke >= 0 && truth.Strokes[k.Stroke].Turn == i {
				really = append(really, s.SoundArrives(k))
			}
		}
		if len(s.Contacts) == 0 {
			r.idle[0], r.idle[1] = r.idle[0]+len(alone[i]), r.idle[1]+len(both)
			r.seconds += turns[i].To - turns[i].From
			continue
		}
		r.alone[which].count(really, alone[i])
		r.both[which].count(really, both)
	}
}

// count pairs strokes with what was found, one to one, 20 ms apart at most.
func (s *joinedScore) count(really, found []float64) {
	s.strokes, s.found = s.strokes+len(really), s.found+len(found)
	j := 0
	for _, at := range really {
		for j < len(found) && found[j] < at-.02 {
			j++
		}
		if j < len(found) && found[j] <= at+.02 {
			s.hits++
			j++
		}
	}
}
