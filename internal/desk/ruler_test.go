package desk_test

import (
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/film"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/camera"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/sighting"
	"strokeledger/internal/store"
)

// tables is a library with a session of three short clips in which a table shows, and one
// in which none does. The camera of the first two was touched in between; that of the
// third stood nearly there.
type tables struct {
	*desk.Desk
	dir    string
	clips  []club.ID
	scenes []*demo.Scene
}

func newTables(t *testing.T) *tables {
	t.Helper()
	ctx, dir := t.Context(), t.TempDir()
	d, err := desk.Open(ctx, filepath.Join(dir, "library"), library.Options{Create: true})
	require.NoError(t, err)
	t.Cleanup(func() { d.Close() })
	b := &tables{Desk: d, dir: dir}
	var paths []string
	for i := range 3 {
		s := *demo.Make(31).Scenes[0]
		s.Frames, s.Seed = 5, uint64(i)
		if i == 1 { // a finger's breadth on the picture
			s.Camera.CX, s.Camera.CY = s.Camera.CX+4, s.Camera.CY-3
		}
		if i == 2 { // a step aside
			s.Camera.At.X, s.Camera.At.Y, s.Camera.At.Z = s.Camera.At.X+.05, s.Camera.At.Y-.04, s.Camera.At.Z+.02
		}
		path := filepath.Join(dir, []string{"first.mp4", "second.mp4", "third.mp4"}[i])
		require.NoError(t, film.Write(ctx, &s, path, nil))
		b.scenes, paths = append(b.scenes, &s), append(paths, path)
	}
	added, err := d.Sessions.Add(ctx, "2026-03-14", append(paths, clips+"a01_baseline.mp4"), nil)
	require.NoError(t, err)
	for _, a := range added {
		require.Empty(t, a.Say)
		b.clips = append(b.clips, a.ClipID)
	}
	return b
}

// shown is where a place of the hall shows in a clip.
func (b *tables) shown(clip int, x, y, z float64) sighting.Place {
	u, v, _ := b.scenes[clip].Camera.Project(demo.Vec{X: x, Y: y, Z: z})
	return sighting.Place{X: u, Y: v}
}

// clicked are clicks on the table of a clip that are off by a standard deviation, pixels.
func (b *tables) clicked(clip int, sd float64) camera.Placed {
	rng := rand.New(rand.NewPCG(uint64(clip), 77))
	p := clicked(b.scenes[clip], rng, sd)
	p.Frame, p.SD = 2, max(sd, 0.5)
	return p
}

// clicked are clicks on the corners of a scene's table and the tops of its net posts
// that are off by a standard deviation, pixels.
func clicked(s *demo.Scene, rng *rand.Rand, sd float64) camera.Placed {
	p := camera.Placed{SD: sd}
	at := func(x, y, z float64) sighting.Place {
		u, v, _ := s.Camera.Project(demo.Vec{X: x, Y: y, Z: z})
		return sighting.Place{X: u + sd*rng.NormFloat64(), Y: v + sd*rng.NormFloat64()}
	}
	c := demo.Corners()
	for _, i := range []int{0, 3, 2, 1} {
		p.Corners = append(p.Corners, at(c[i].X, c[i].Y, c[i].Z))
	}
	for _, y := range []float64{-demo.NetOver, demo.TableWidth + demo.NetOver} {
		p.Tops = append(p.Tops, at(demo.NetX, y, demo.TableHeight+demo.NetHeight))
	}
	return p
}

// A ruler from rough clicks measures on the floor, is on the disk, and can be undone,
// moved and taken off.
func TestRuler(t *testing.T) {
	b, ctx := newTables(t), t.Context()
	clip := b.clips[0]
	v, err := b.Rulers.Read(ctx, clip)
	require.NoError(t, err)
	require.Equal(t, camera.View{}, v)
	_, err = b.Rulers.Measure(ctx, clip, []sighting.Place{{X: 100, Y: 100}}, 0)
	requireProblem(t, err, "")
	requireProblem(t, b.Rulers.Remove(ctx, clip), "")

	rough := b.clicked(0, 4)
	rough.Tops = nil
	tried, err := b.Rulers.Try(ctx, clip, rough)
	require.NoError(t, err)
	require.Empty(t, tried.Say, "nobody has looked at the picture")
	none, err := b.Rulers.Read(ctx, clip)
	require.NoError(t, err)
	require.False(t, none.Laid, "trying keeps nothing")

	v, err = b.Rulers.Lay(ctx, clip, rough, true)
	require.NoError(t, err)
	require.True(t, v.Laid && v.Snapped && v.Good, "%+v", v.Say)
	require.Equal(t, "The lines fit well.", v.Say)
	exact := b.clicked(0, 0)
	for i, p := range exact.Corners {
		require.InDelta(t, p.X, v.Placed.Corners[i].X, 5)
		require.InDelta(t, p.Y, v.Placed.Corners[i].Y, 5)
	}
	require.InEpsilon(t, b.scenes[0].Camera.Focal, v.Focal, 0.1)
	require.InDeltaSlice(t, []float64{b.scenes[0].Camera.At.X, b.scenes[0].Camera.At.Y, b.scenes[0].Camera.At.Z}, v.Position[:], 0.4)

	require.Empty(t, v.Far)
	swapped := exact
	swapped.Corners = slices.Concat(exact.Corners[2:], exact.Corners[:2])
	tried, err = b.Rulers.Try(ctx, clip, swapped)
	require.NoError(t, err)
	require.Equal(t, "It measures from the end farther from the camera: the player there is measured, not the one in front.", tried.Far)

	m, err := b.Rulers.Measure(ctx, clip, []sighting.Place{b.shown(0, -0.41, 0.63, 0), b.shown(0, -0.71, 1.2, 0), b.shown(0, -0.5, 1.7, 0)}, 2)
	require.NoError(t, err)
	require.Len(t, m.Spots, 3)
	require.Len(t, m.Apart, 2)
	for i, want := range []struct {
		end, side     float64
		left, outside bool
	}{{41, 63, false, false}, {71, 32.5, true, false}, {50, 17.5, true, true}} {
		s := m.Spots[i]
		require.InDelta(t, want.end, s.EndLine.CM, s.EndLine.Half)
		require.InDelta(t, want.side, s.SideLine.CM, s.SideLine.Half)
		require.Equal(t, []bool{want.left, want.outside}, []bool{s.Left, s.Outside})
		require.Less(t, s.EndLine.Half, 10.)
	}
	require.InDelta(t, 30, m.Apart[0].Behind.CM, m.Apart[0].Behind.Half)
	require.InDelta(t, 57, m.Apart[0].Left.CM, m.Apart[0].Left.Half)
	require.Less(t, m.Apart[0].Behind.Half, m.Spots[0].EndLine.Half+m.Spots[1].EndLine.Half)

	// What is measured after a restart is what was measured before.
	dir := b.Library.Dir
	require.NoError(t, b.Close())
	b.Desk, err = desk.Open(ctx, dir, library.Options{})
	require.NoError(t, err)
	t.Cleanup(func() { b.Close() })
	again, err := b.Rulers.Read(ctx, clip)
	require.NoError(t, err)
	require.Equal(t, v, again)
	same, err := b.Rulers.Measure(ctx, clip, []sighting.Place{m.Spots[0].At, m.Spots[1].At, m.Spots[2].At}, 2)
	require.NoError(t, err)
	require.Equal(t, m, same)
	row, err := store.Get[sighting.Ruler](ctx, b.Library.Library, clip)
	require.NoError(t, err)
	require.Equal(t, rough.Corners, row.Clicked.Corners[:], "what was clicked is kept as well")
	require.NotEmpty(t, row.CoachID)
	require.NotZero(t, row.Ticks)

	moved, err := b.Rulers.Lay(ctx, clip, exact, false)
	require.NoError(t, err)
	require.False(t, moved.Snapped)
	require.Equal(t, exact.Corners, moved.Placed.Corners)
	undone, err := b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, "move the ruler on first.mp4", undone.Label)
	require.Equal(t, []club.ID{clip}, undone.Clips)
	again, err = b.Rulers.Read(ctx, clip)
	require.NoError(t, err)
	require.Equal(t, v, again)
	require.NoError(t, b.Rulers.Remove(ctx, clip))
	again, err = b.Rulers.Read(ctx, clip)
	require.NoError(t, err)
	require.Equal(t, camera.View{}, again)
	found, _, err := b.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, found)
}

// Clicks that fit no table, or lie where the picture shows none, are told of, and nothing
// is kept of what fits none.
func TestRulersThatDoNotFit(t *testing.T) {
	b, ctx := newTables(t), t.Context()
	p := b.clicked(0, 0)
	for _, change := range map[string]func(*camera.Placed){
		"three corners":   func(p *camera.Placed) { p.Corners = p.Corners[:3] },
		"crossed corners": func(p *camera.Placed) { p.Corners[0], p.Corners[1] = p.Corners[1], p.Corners[0] },
		"no table": func(p *camera.Placed) {
			p.Tops, p.Corners = nil, []sighting.Place{{X: 10, Y: 10}, {X: 700, Y: 12}, {X: 720, Y: 400}, {X: 380, Y: 420}}
		},
	} {
		q := p
		q.Corners = append([]sighting.Place{}, p.Corners...)
		change(&q)
		_, err := b.Rulers.Lay(ctx, b.clips[0], q, true)
		requireProblem(t, err, "corners")
	}
	q := p
	q.Frame = 5
	_, err := b.Rulers.Lay(ctx, b.clips[0], q, true)
	requireProblem(t, err, "frame")
	v, err := b.Rulers.Read(ctx, b.clips[0])
	require.NoError(t, err)
	require.False(t, v.Laid)

	// A table of the right shape where the picture shows none: kept as clicked.
	shift := func(at *sighting.Place) { at.X, at.Y = at.X+30, at.Y+40 }
	for i := range p.Corners {
		shift(&p.Corners[i])
	}
	for i := range p.Tops {
		shift(&p.Tops[i])
	}
	v, err = b.Rulers.Lay(ctx, b.clips[0], p, true)
	require.NoError(t, err)
	require.False(t, v.Good)
	require.NotEqual(t, "The lines fit well.", v.Say)
	require.GreaterOrEqual(t, v.Placed.SD, p.SD, "nothing is known more exactly than it was clicked")
}

// The ruler of another clip is suggested where the camera stood as it stood there, pulled
// to where the table shows now, and nowhere else.
func TestRulerOfAnotherClipIsSuggested(t *testing.T) {
	b, ctx := newTables(t), t.Context()
	for _, clip := range b.clips {
		v, err := b.Rulers.Suggest(ctx, clip, 0)
		require.NoError(t, err)
		require.False(t, v.Laid, "none is laid yet")
	}
	laid, err := b.Rulers.Lay(ctx, b.clips[0], b.clicked(0, 2), true)
	require.NoError(t, err)
	require.True(t, laid.Good)
	for _, clip := range []int{1, 2} {
		v, err := b.Rulers.Suggest(ctx, b.clips[clip], 1)
		require.NoError(t, err)
		require.True(t, v.Laid && v.Good)
		require.Equal(t, []any{"first.mp4", 1}, []any{v.From, v.Placed.Frame})
		for i, p := range b.clicked(clip, 0).Corners {
			require.InDelta(t, p.X, v.Placed.Corners[i].X, 5)
			require.InDelta(t, p.Y, v.Placed.Corners[i].Y, 5)
		}
	}
	for what, clip := range map[string]club.ID{"its own": b.clips[0], "no table in the picture": b.clips[3]} {
		v, err := b.Rulers.Suggest(ctx, clip, 0)
		require.NoError(t, err)
		require.False(t, v.Laid, what)
	}
	v, err := b.Rulers.Read(ctx, b.clips[1])
	require.NoError(t, err)
	require.False(t, v.Laid, "it is only suggested")
}

// A film encoded anew in another size keeps its ruler: the same spots are measured.
func TestRulerOnAFilmOfAnotherSize(t *testing.T) {
	b, ctx := newTables(t), t.Context()
	_, err := b.Rulers.Lay(ctx, b.clips[0], b.clicked(0, 2), true)
	require.NoError(t, err)
	at := b.shown(0, -0.5, 0.7, 0)
	before, err := b.Rulers.Measure(ctx, b.clips[0], []sighting.Place{at}, 2)
	require.NoError(t, err)
	half := filepath.Join(b.dir, "half.mp4")
	encode(t, filepath.Join(b.dir, "first.mp4"), half, "-vf", "scale=384:216", "-c:v", "libx264", "-c:a", "copy")
	_, err = b.Relink.Adopt(ctx, b.clips[0], half)
	require.NoError(t, err)
	after, err := b.Rulers.Measure(ctx, b.clips[0], []sighting.Place{{X: at.X / 2, Y: at.Y / 2}}, 1)
	require.NoError(t, err)
	require.InDelta(t, before.Spots[0].EndLine.CM, after.Spots[0].EndLine.CM, 1e-3)
	require.InDelta(t, before.Spots[0].EndLine.Half, after.Spots[0].EndLine.Half, 1e-3)

	other, err := store.Get[sighting.Ruler](ctx, b.Library.Library, b.clips[0])
	require.NoError(t, err)
	_, err = camera.Refit(432, 768, other)
	requireProblem(t, err, "corners")
}

// A camera that is knocked in the middle of a clip is noticed, from either side; one that
// stands is not said to move.
func TestRulerTellsThatTheCameraMoved(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	d, err := desk.Open(ctx, filepath.Join(dir, "library"), library.Options{Create: true})
	require.NoError(t, err)
	defer d.Close()
	b := &tables{Desk: d, dir: dir}
	for i, name := range []string{"before.mp4", "after.mp4"} {
		s := *demo.Make(31).Scenes[0]
		s.Frames = 3 * demo.Rate
		s.Camera.CX += float64(20 * i)
		require.NoError(t, film.Write(ctx, &s, filepath.Join(dir, name), nil))
		b.scenes = append(b.scenes, &s)
	}
	encode(t, filepath.Join(dir, "before.mp4"), filepath.Join(dir, "knocked.mp4"), "-i", filepath.Join(dir, "after.mp4"),
		"-filter_complex", "[0:v][1:v]concat=n=2:v=1[v]", "-map", "[v]", "-c:v", "libx264", "-crf", "20")
	added, err := d.Sessions.Add(ctx, "2026-03-14", []string{filepath.Join(dir, "knocked.mp4"), filepath.Join(dir, "before.mp4")}, nil)
	require.NoError(t, err)
	const knock = 3 * demo.Rate
	holds := func(clip, scene, frame int) camera.Stretch {
		p := b.clicked(scene, 2)
		p.Frame = frame
		v, err := d.Rulers.Lay(ctx, added[clip].ClipID, p, true)
		require.NoError(t, err)
		require.True(t, v.Good)
		s, err := d.Rulers.Holds(ctx, added[clip].ClipID)
		require.NoError(t, err)
		return s
	}
	early := holds(0, 0, 20)
	require.Zero(t, early.First)
	require.InDelta(t, knock, early.Last, demo.Rate)
	require.Equal(t, "The camera moved at 0:03: after that, distances are wrong.", early.Say)
	late := holds(0, 1, 2*knock-30)
	require.InDelta(t, knock, late.First, demo.Rate)
	require.Equal(t, 2*knock-1, late.Last)
	require.Regexp(t, `^The camera moved at 0:0[23]: before that, distances are wrong\.$`, late.Say)
	require.Equal(t, camera.Stretch{First: 0, Last: knock - 1}, holds(1, 0, 20))
}
