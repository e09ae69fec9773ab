package table_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"strokeledger/internal/table"
)

// findHalls looks for the table in n halls from a seed on, in three pictures of each.
// Of what is sure, right is what is the table or another one that stands in the hall.
func findHalls(tb testing.TB, seed uint64, n int) (right, sure, sureRight, another int) {
	tb.Helper()
	for i := range n {
		d := aHall(seed + uint64(i))
		var pics []*table.Picture
		for k := range 3 {
			pics = append(pics, table.NewPicture(d.picture(uint64(k))))
		}
		got, isSure := table.Find(pics)
		if got.Camera == nil {
			continue
		}
		is := min(d.off(got.Camera, false), d.off(got.Camera, true)) <= rightWithin
		if is {
			right++
		}
		if !isSure {
			continue
		}
		sure++
		switch {
		case is:
			sureRight++
		case d.isAnother(got.Camera):
			another++
		}
	}
	return right, sure, sureRight, another
}

// isAnother reports whether a camera was fitted to one of the other tables.
func (d *drawn) isAnother(c *table.Camera) bool {
	for _, s := range d.stands[:len(d.stands)-1] {
		off := 0.
		for _, p := range [][2]float64{{0, 0}, {0, 1.525}, {2.74, 1.525}, {2.74, 0}} {
			want, _ := d.see(s.place(p[0], p[1], d.table))
			// Whichever end is the near one.
			a, _ := c.See(p[0], p[1], .76)
			b, _ := c.See(2.74-p[0], 1.525-p[1], .76)
			off = max(off, min(apart(a, want), apart(b, want)))
		}
		if off <= rightWithin {
			return true
		}
	}
	return false
}

// What is sure is a table of the hall. How often one is found, so few halls do not tell:
// the long form is BenchmarkFindHalls.
func TestFindHalls(t *testing.T) {
	const halls = 8
	right, sure, sureRight, another := findHalls(t, 8000, halls)
	t.Logf("right %d of %d, sure %d, of these right %d, another table %d", right, halls, sure, sureRight, another)
	require.Positive(t, right)
	require.Positive(t, sureRight)
	require.Equal(t, sure, sureRight+another)
}

func TestFindNothing(t *testing.T) {
	_, sure := table.Find(nil)
	require.False(t, sure)
	d := aHall(1)
	empty := newCanvas(d.filmed)
	for i := range empty.pix {
		empty.pix[i] = d.floor
	}
	img := empty.film(noise(), 1, 0, 0, 0, 90)
	_, sure = table.Find([]*table.Picture{table.NewPicture(img)})
	require.False(t, sure, "there is no table in an even picture")
}

func BenchmarkFindHalls(b *testing.B) {
	const halls = 24
	right, sure, sureRight, another := findHalls(b, 8000, halls)
	b.Log("| halls, three pictures and their median | found right, % | sure, % | of these right, % | of these another table, % |")
	b.Log("|---|---|---|---|---|")
	b.Logf("| %d | %.0f | %.0f | %.0f | %.0f |", halls, percent(right, halls), percent(sure, halls), percent(sureRight, sure), percent(another, sure))
}

// BenchmarkFind is one picture of 1280 by 720 with its table.
func BenchmarkFind(b *testing.B) {
	d := aHall(1)
	pics := []*table.Picture{table.NewPicture(d.picture(0))}
	for b.Loop() {
		table.Find(pics)
	}
}
