package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/canvas"
)

// board remembers what was shown on it: the width of the picture, 0 for none.
type board struct {
	widths []int
	free   [][]canvas.Rectangle
	closed bool
}

func (b *board) Show(p canvas.Picture, _, _ canvas.Rectangle, free []canvas.Rectangle) {
	b.widths, b.free = append(b.widths, p.Width), append(b.free, free)
}
func (b *board) Hide()  { b.widths = append(b.widths, 0) }
func (b *board) Close() { b.closed = true }

func TestMotion(t *testing.T) {
	b := &board{}
	m := motion{canvas: b, kept: map[int]canvas.Picture{}}
	for n := 1; n <= motionKept+2; n++ {
		m.keep(n, canvas.Picture{Width: n})
	}
	place := []float64{10, 20, 30, 40, 0, 0, 100, 100}
	show := func(event, number float64, more ...float64) {
		m.show(append(append([]float64{event, number}, place...), more...))
	}
	show(1, 5)
	show(2, 6, 1, 2, 3, 4)
	show(4, 8)
	show(3, 7) // comes late
	show(5, 2) // is no longer kept
	show(6, 99)
	m.show([]float64{7, 9, 10, 20, 30, 40}) // where it is seen is missing
	m.show(nil)
	require.Equal(t, []int{5, 6, 8}, b.widths)
	require.Equal(t, [][]canvas.Rectangle{{}, {{X: 1, Y: 2, Width: 3, Height: 4}}, {}}, b.free)

	m.show([]float64{8, -1})
	show(9, 9) // went with the others
	require.Equal(t, []int{5, 6, 8, 0}, b.widths)

	m.stop()
	require.True(t, b.closed)
	m.keep(1, canvas.Picture{Width: 1})
	show(10, 1)
	require.Len(t, b.widths, 4)
}

// Where the window has no canvas nothing is kept.
func TestNoMotion(t *testing.T) {
	var m motion
	m.keep(1, canvas.Picture{Width: 1})
	m.show([]float64{1, 1, 0, 0, 1, 1, 0, 0, 1, 1})
	m.stop()
	require.Empty(t, m.kept)
}
