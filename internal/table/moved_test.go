package table_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"strokeledger/internal/table"
)

// panned is the hall filmed by the camera turned aside by so many pixels of its
// picture, and tipped by a fourth of that.
func (d drawn) panned(px float64) drawn {
	turn := func(a, b *vec, by float64) {
		sin, cos := math.Sincos(by / d.focal)
		for i := range 3 {
			a[i], b[i] = cos*a[i]-sin*b[i], cos*b[i]+sin*a[i]
		}
	}
	turn(&d.right, &d.ahead, px)
	turn(&d.down, &d.ahead, px/4)
	return d
}

// notices counts of n halls from a seed on how often it is told that a camera moved
// which moved by some pixels at the third of five pictures, and how often from
// there on.
func notices(tb testing.TB, seed uint64, n int, px float64) (of, told, there int) {
	tb.Helper()
	for ; of < n; seed++ {
		d := aHall(seed)
		rough, err := table.Fit(d.clicked(2))
		if err != nil {
			continue
		}
		got, err := table.Snap(table.NewPicture(d.picture(0)), rough, 2)
		if err != nil || !got.Good || got.Support < .75 {
			continue
		}
		of++
		var pics []*table.Picture
		for k := range 5 {
			shown := d
			if k >= 2 {
				shown = d.panned(px)
			}
			pics = append(pics, table.NewPicture(shown.picture(uint64(k+1))))
		}
		if first, moved := got.Moved(pics); moved {
			told++
			if first == 2 {
				there++
			}
		}
	}
	return of, told, there
}

// A camera that is knocked aside by 16 pixels is noticed at the picture where it
// happens, and one that stands is not said to move. The long form is BenchmarkMoved.
func TestMoved(t *testing.T) {
	of, told, _ := notices(t, 7000, 6, 0)
	require.Zero(t, told, "false alarms of %d", of)
	_, told, there := notices(t, 7000, 6, 16)
	require.GreaterOrEqual(t, told, 5)
	require.GreaterOrEqual(t, there, 5)
}

func BenchmarkMoved(b *testing.B) {
	b.Log("| the camera turns by, px of 1280 | clips | told, % | at the right picture, % |")
	b.Log("|---|---|---|---|")
	for _, px := range []float64{0, 6, 12, 25} {
		of, told, there := notices(b, 7000, 16, px)
		b.Logf("| %.0f | %d | %.0f | %.0f |", px, of, percent(told, of), percent(there, of))
	}
}

// BenchmarkSupport is one picture of 1280 by 720 that is checked against a camera.
func BenchmarkSupport(b *testing.B) {
	d := aHall(1)
	rough, err := table.Fit(d.clicked(2))
	require.NoError(b, err)
	pic := table.NewPicture(d.picture(0))
	for b.Loop() {
		rough.Support(pic)
	}
}
