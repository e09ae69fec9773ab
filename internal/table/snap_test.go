package table_test

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"strokeledger/internal/table"
)

// off is how far the farthest corner of a table is from where it shows, pixels. The
// same table with its ends exchanged counts where turned is set.
func (d *drawn) off(c *table.Camera, turned bool) float64 {
	off := 0.
	for _, p := range []vec{{0, 0, d.table}, {0, 1.525, d.table}, {2.74, 1.525, d.table}, {2.74, 0, d.table}} {
		want, _ := d.see(p)
		if turned {
			p[0], p[1] = 2.74-p[0], 1.525-p[1]
		}
		got, _ := c.See(p[0], p[1], .76)
		off = max(off, math.Hypot(got.X-want.X, got.Y-want.Y))
	}
	return off
}

// rightWithin is how far the corners of a table may be off to be right, pixels of 1280:
// as far as a careful click.
const rightWithin = 5

// snapped is how well rough clicks were pulled onto lines in halls.
type snapped struct {
	halls, right, good, goodRight int
	corners, feet, halves         []float64 // corners in pixels, the rest in metres
	inside                        int
}

// snapHalls draws halls from a seed on, clicks with sd pixels, and pulls in one picture
// or in the median of several.
func snapHalls(tb testing.TB, seed uint64, n, pictures int, sd float64) (m snapped) {
	tb.Helper()
	for ; m.halls < n; seed++ {
		d := aHall(seed)
		rough, err := table.Fit(d.clicked(sd))
		if err != nil {
			continue // the camera is too low, and is told so
		}
		m.halls++
		got, err := table.Snap(d.median(pictures), rough, sd)
		if err != nil {
			require.ErrorIs(tb, err, table.NoLines)
			continue
		}
		off := d.off(got.Camera, false)
		m.corners = append(m.corners, off)
		if off <= rightWithin {
			m.right++
		}
		if !got.Good {
			continue
		}
		m.good++
		if off <= rightWithin {
			m.goodRight++
		}
		rng := rand.New(rand.NewPCG(seed, 4))
		for _, foot := range d.feet(rng, 6) {
			p, _ := d.see(foot)
			spot, err := got.Camera.Floor(table.Point{X: p.X + rng.NormFloat64(), Y: p.Y + rng.NormFloat64()}, 1)
			if err != nil {
				continue
			}
			if far, half, err := spot.From(table.EndLine); err == nil {
				m.feet, m.halves = append(m.feet, far+foot[0]), append(m.halves, half)
				m.inside += within(far+foot[0], half)
			}
		}
	}
	return m
}

// median is that of the pictures of so many moments, in which people move.
func (d *drawn) median(pictures int) *table.Picture {
	var pics []*table.Picture
	for k := range pictures {
		pics = append(pics, table.NewPicture(d.picture(uint64(k))))
	}
	if pictures < 3 {
		return pics[0]
	}
	return table.Median(pics)
}

func (m snapped) row(what string) string {
	return fmt.Sprintf("| %s | %d | %.0f | %.0f | %.0f | %.1f | %.1f | %.1f | %.1f | %.1f |", what, m.halls, percent(m.right, m.halls), percent(m.good, m.halls),
		percent(m.goodRight, m.good), quantile(m.corners, .5)/100, quantile(m.feet, .5), quantile(m.feet, .95), quantile(m.halves, .5), percent(m.inside, len(m.feet)))
}

// What it has to reach on halls that nobody tuned on, as far as so few tell. The long
// form is BenchmarkSnapHalls.
func TestSnapHalls(t *testing.T) {
	m := snapHalls(t, 6000, 16, 3, 4)
	t.Log(m.row("three"))
	require.GreaterOrEqual(t, m.right, m.halls-3)
	require.LessOrEqual(t, m.good-m.goodRight, 1, "wrong ones of %d that are called good", m.good)
	require.GreaterOrEqual(t, percent(m.good, m.halls), 60.)
}

// BenchmarkSnapHalls is what rough clicks come to in halls that nobody tuned on.
func BenchmarkSnapHalls(b *testing.B) {
	b.Log("| clicks off by | halls | right, % | called good, % | of these right, % | corners, median, px | feet of good ones: median, cm | 95 % within | half width, median | inside it, % |")
	b.Log("|---|---|---|---|---|---|---|---|---|---|")
	var all snapped
	for _, r := range []struct {
		what        string
		seed        uint64
		n, pictures int
		sd          float64
	}{
		{"4 px, one picture", 9000, 30, 1, 4},
		{"4 px, median of three", 9000, 30, 3, 4},
		{"8 px, median of three", 9000, 30, 3, 8},
	} {
		m := snapHalls(b, r.seed, r.n, r.pictures, r.sd)
		b.Log(m.row(r.what))
		all.good, all.goodRight = all.good+m.good, all.goodRight+m.goodRight
	}
	require.GreaterOrEqual(b, percent(all.goodRight, all.good), 90.)
}

// A picture of anything else, or of another shape, leaves the clicks as they are.
func TestSnapRefuses(t *testing.T) {
	d := aHall(1)
	rough, err := table.Fit(d.clicked(2))
	require.NoError(t, err)
	gray := image.NewGray(image.Rect(0, 0, drawnWide, drawnWide*9/16))
	upright := image.NewRGBA(image.Rect(0, 0, drawnWide*9/16, drawnWide))
	for name, img := range map[string]image.Image{"nothing": image.NewRGBA(image.Rectangle{}), "one pixel": image.NewGray(image.Rect(0, 0, 1, 1)),
		"tiny": image.NewGray(image.Rect(0, 0, 16, 9)), "even": gray, "upright": upright} {
		pic := table.NewPicture(img)
		_, err := table.Snap(pic, rough, 2)
		require.ErrorIs(t, err, table.NoLines, name)
		require.Less(t, rough.Support(pic), .2, name)
		_, sure := table.Find([]*table.Picture{pic, pic, pic})
		require.False(t, sure, name)
	}
	for _, sd := range []float64{math.NaN(), -1, math.Inf(1)} {
		_, err := table.Snap(table.NewPicture(gray), rough, sd)
		require.ErrorIs(t, err, table.NoLines)
	}
}

// A picture may be smaller or larger than the camera's, as pictures are kept and shown
// in several sizes.
func TestSnapInAnotherSize(t *testing.T) {
	d := aHall(8)
	img := d.picture(0)
	half := image.NewRGBA(image.Rect(0, 0, drawnWide/2, drawnWide*9/32))
	for y := range half.Rect.Dy() {
		for x := range half.Rect.Dx() {
			half.Set(x, y, img.At(2*x+x%2, 2*y+y%2))
		}
	}
	rough, err := table.Fit(d.clicked(4))
	require.NoError(t, err)
	whole, err := table.Snap(table.NewPicture(img), rough, 4)
	require.NoError(t, err)
	small, err := table.Snap(table.NewPicture(half), rough, 4)
	require.NoError(t, err)
	require.Less(t, d.off(whole.Camera, false), 1.)
	require.Less(t, d.off(small.Camera, false), 3.)
	// From its clicks the camera is made again.
	again, err := table.Fit(small.Clicks)
	require.NoError(t, err)
	require.Equal(t, small.Camera.Position(), again.Position())
}

// BenchmarkSnap is one picture of 1280 by 720 from its pixels on.
func BenchmarkSnap(b *testing.B) {
	d := aHall(1)
	img := d.picture(0)
	rough, err := table.Fit(d.clicked(4))
	require.NoError(b, err)
	for b.Loop() {
		if _, err := table.Snap(table.NewPicture(img), rough, 4); err != nil {
			b.Fatal(err)
		}
	}
}
