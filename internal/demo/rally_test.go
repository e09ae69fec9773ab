package demo

import (
	"math"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// Laws of Table Tennis 2.1.3: about 23 cm from 30 cm. The times follow from it
// with g = 9.81 m/s²: 0.4331 s from the first bounce to the second, each later
// one shorter by the restitution 0.875595.
func TestBounceIsTheTables(t *testing.T) {
	drop := flight{at: Vec{1, 0.5, TableHeight + 0.30}}
	drop.to = drop.fall(TableHeight)
	require.InDelta(t, 2.4261, -drop.speed(drop.to).Z, 5e-5, "speed of impact")
	up := drop.bounce(restitution, 0)
	up.to = up.from + up.fall(TableHeight)
	require.InDelta(t, 0.4331, up.to-up.from, 5e-5, "seconds to the second bounce")
	require.InDelta(t, 0.23, up.place((up.from+up.to)/2).Z-TableHeight, 1e-5, "metres up")
	again := up.bounce(restitution, 0)
	require.InDelta(t, 0.875595, again.fall(TableHeight)/(up.to-up.from), 1e-5)
}

// A ball never passes through the net, jumps, or sinks into the table.
func TestBallsObeyTheTable(t *testing.T) {
	crossed, stopped := 0, 0
	for seed := range int64(6) {
		for _, s := range Make(seed).Scenes {
			for _, b := range s.Balls {
				for i, f := range b.flights {
					if i > 0 {
						before := b.flights[i-1]
						require.InDelta(t, before.to, f.from, 1e-9)
						require.InDelta(t, 0, before.place(before.to).Sub(f.place(f.from)).Length(), 1e-9, "a jump")
					}
					a, z := f.place(f.from), f.place(f.to)
					if (a.X-NetX)*(z.X-NetX) < 0 {
						crossed++
						over := f.place(f.whenX(NetX)).Z - s.Table
						require.Greater(t, over, NetHeight+BallRadius, "%s at %.2f s", s.File, f.from)
					}
					for k := range 21 {
						p := f.place(f.from + (f.to-f.from)*float64(k)/20)
						onTable := p.X > 0 && p.X < TableLength && p.Y > 0 && p.Y < TableWidth
						if onTable && b.flights[0].from < f.from {
							require.Greater(t, p.Z, s.Table+BallRadius-1e-6, "%s at %.2f s", s.File, f.from)
						}
					}
				}
			}
			for i, c := range s.Contacts {
				if i > 0 {
					require.GreaterOrEqual(t, c.Seconds, s.Contacts[i-1].Seconds)
				}
				switch {
				case c.Kind == OnTable:
					require.InDelta(t, s.Table+BallRadius, c.At.Z, 1e-9)
					require.Equal(t, c.Who == Near, c.At.X < NetX, "the half it bounced on")
					require.True(t, c.At.X > 0 && c.At.X < TableLength && c.At.Y > 0 && c.At.Y < TableWidth)
				case c.Kind == OnOther && c.At.Z > 0.5:
					stopped++
					require.Less(t, c.At.Z, TableHeight+NetHeight, "a ball that the net stops is lower than the net")
				}
			}
		}
	}
	require.Greater(t, crossed, 1000)
	require.Greater(t, stopped, 10)
}

// In a rally 1.57 strokes a second are played, both players counted (elite women,
// plastic ball, IJPAS 2022 22(1):174-182): about 1.27 s from one's own stroke to
// the next. Multiball is faster: 35 to 85 strokes a minute with a robot, IJERPH
// 2020 17(10):3681, that is 0.71 to 1.71 s.
func TestTempoIsThatOfTheSources(t *testing.T) {
	gaps := map[bool][]float64{}
	for _, s := range Make(1).Scenes {
		for _, a := range s.acts {
			for i := 1; i < len(a.strokes); i++ {
				if !a.strokes[i-1].missed {
					basket := a.drill.Ball == club.Multiball
					gaps[basket] = append(gaps[basket], a.strokes[i].t-a.strokes[i-1].t)
				}
			}
		}
	}
	middle := func(v []float64) float64 { sort.Float64s(v); return v[len(v)/2] }
	require.InDelta(t, 1.27, middle(gaps[false]), 0.06)
	require.InDelta(t, 0.82, middle(gaps[true]), 0.11)
	require.GreaterOrEqual(t, gaps[true][0], 0.71)
}

// The figure that plays a ball holds the racket where the ball is, on limbs that
// keep their length, above the floor.
func TestFiguresPlayTheBall(t *testing.T) {
	for seed := range int64(3) {
		for _, s := range Make(seed).Scenes {
			requireBallsPlayed(t, s)
			for i := range s.Actors {
				a := &s.Actors[i]
				for frame := s.Frame(a.From); frame <= s.Frame(a.To); frame += 3 {
					f := a.Figure(s.Seconds(frame))
					k := f.Scale
					for _, bone := range []struct {
						a, b   int
						length float64
					}{{RightShoulder, RightElbow, upperArm}, {RightElbow, RightWrist, foreArm}, {LeftShoulder, LeftElbow, upperArm}, {LeftElbow, LeftWrist, foreArm},
						{RightHip, RightKnee, thigh}, {RightKnee, RightAnkle, shin}, {LeftHip, LeftKnee, thigh}, {LeftKnee, LeftAnkle, shin}} {
						require.InDelta(t, bone.length*k, f.Joints[bone.a].Sub(f.Joints[bone.b]).Length(), 0.001, "%s actor %d frame %d: %s", s.File, i, frame, jointNames()[bone.a])
					}
					for j, p := range f.Joints {
						require.GreaterOrEqual(t, p.Z, 0.0, jointNames()[j])
						require.False(t, math.IsNaN(p.X+p.Y+p.Z))
					}
				}
			}
		}
	}
}

// requireBallsPlayed holds the rackets of a clip against its balls.
func requireBallsPlayed(t *testing.T, s *Scene) {
	t.Helper()
	for n, a := range s.acts {
		actor := &s.Actors[a.actor]
		for _, d := range a.strokes {
			f := actor.Figure(d.t)
			require.InDelta(t, 0, f.Joints[Racket].Sub(d.at).Length(), 0.001, "%s turn %d at %.2f s", s.File, n, d.t)
		}
	}
}

// What is marked can be seen: each fault's measure is beyond its limit on acted strokes
// and short of it on the others.
func TestFaultsAreActedOut(t *testing.T) {
	seen := map[string]int{}
	for seed := range int64(4) {
		for _, clip := range Make(seed).Truth().Clips {
			for _, f := range clip.Faults {
				seen[f.Code]++
			}
			requireFaultsActed(t, clip)
		}
	}
	require.Len(t, seen, 5)
}

func requireFaultsActed(t *testing.T, clip TruthClip) {
	t.Helper()
	acted := make([]map[string]bool, len(clip.Strokes))
	for i := range acted {
		acted[i] = map[string]bool{}
	}
	for _, f := range clip.Faults {
		acted[f.Stroke][f.Code] = true
	}
	for i, k := range clip.Strokes {
		is := acted[i]
		require.Equal(t, is["CLOSE"], k.FeetLine < nearLimit, "%s stroke %d: %.3f m from the end line", clip.File, i, k.FeetLine)
		require.Equal(t, is["LATE"], k.Recovered == nil || *k.Recovered > k.Latest, "%s stroke %d: hand back at %v of %.3f", clip.File, i, k.Recovered, k.Latest)
		require.Equal(t, is["UPRIGHT"], k.Hips > 0.77, "%s stroke %d: hips at %.2f m", clip.File, i, k.Hips)
		require.Equal(t, is["BIGBACK"], k.Back > 0.2, "%s stroke %d: racket %.2f m behind", clip.File, i, k.Back)
		require.Equal(t, is["ELBOW"], k.ElbowAngle > elbowLimit, "%s stroke %d: elbow at %.1f degrees", clip.File, i, k.ElbowAngle)
	}
}

// Camera (1.37, -3.0, 1.6) m above the plane: a point (1.0, 0.5) at 0.1525 m is
// seen over the plane's (0.961019, 0.868739); computed exactly from similar
// triangles.
func TestCameraSeesStraight(t *testing.T) {
	c := newCamera(Vec{1.37, -3.0, 1.6}, Vec{1.2, 0.7, 0}, 700, Width, Height)
	x, y, depth := c.Project(Vec{1.0, 0.5, 0.1525})
	require.Positive(t, depth)
	hit := c.OnLevel(x, y, 0)
	require.InDelta(t, 0.961019, hit.X, 5e-7)
	require.InDelta(t, 0.868739, hit.Y, 5e-7)
	require.InDelta(t, 1, c.Right.Cross(c.Down).Dot(c.Ahead), 1e-12, "right, down, ahead turn the right way")
	// A wide lens draws a point at half a focal length from the centre nearer by a
	// twentieth, with K1 = -0.2; and its rays lead back.
	c.K1 = -0.2
	x, y, _ = c.Project(c.At.Add(c.Ahead.Times(2)).Add(c.Right))
	require.InDelta(t, c.CX+700*0.5*0.95, x, 1e-9)
	require.InDelta(t, c.CY, y, 1e-9)
	x, y, _ = c.Project(Vec{1.0, 0.5, 0.1525})
	require.InDelta(t, 0, c.OnLevel(x, y, 0.1525).Sub(Vec{1.0, 0.5, 0.1525}).Length(), 1e-9)
	for _, s := range Make(2).Scenes {
		for i, p := range Corners() {
			x, y, _ := s.Camera.Project(p)
			require.InDelta(t, 0, s.Camera.OnLevel(x, y, TableHeight).Sub(p).Length(), 1e-9)
			require.True(t, x > 0 && x < Width && y > 0 && y < Height, "%s corner %d is in the picture", s.File, i)
		}
	}
}
