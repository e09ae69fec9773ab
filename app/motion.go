package main

import (
	"context"
	"maps"
	"slices"
	"sync"

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/canvas"
)

// motionKept is how many pictures are kept ready, the newest; see the limits of
// Motion in frontend/src/review/motion.ts.
const motionKept = 12

// eventPicture is what the page sends to show a picture: a number that grows with each
// event, the picture's own, and rectangles of four numbers: where it lies, within what
// it is seen, and those that stay free. A picture's number below 0 shows none.
const eventPicture = "picture"

// motion shows the pictures of a clip that plays on the window itself. The page
// numbers those that it has made ready, upwards, and says when each is shown.
type motion struct {
	mu     sync.Mutex
	canvas screen // nil before start, after stop, and where there is none
	kept   map[int]canvas.Picture
	heard  float64 // the number of the newest event: they may come in another order
}

// screen is where pictures are shown: a [canvas.Canvas].
type screen interface {
	Show(p canvas.Picture, place, seen canvas.Rectangle, free []canvas.Rectangle)
	Hide()
	Close()
}

// start is called when the page is there: once more when it is read anew.
func (m *motion) start(ctx context.Context) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.canvas != nil {
		m.canvas.Hide()
		return
	}
	c := canvas.New()
	if c == nil {
		return
	}
	m.canvas, m.kept = c, map[int]canvas.Picture{}
	runtime.EventsOn(ctx, eventPicture, func(payload ...any) {
		var numbers []float64
		for _, v := range payload {
			f, _ := v.(float64)
			numbers = append(numbers, f)
		}
		m.show(numbers)
	})
}

// show shows a picture as the page says. One that is no longer kept changes nothing.
func (m *motion) show(numbers []float64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.canvas == nil || len(numbers) < 2 || numbers[0] <= m.heard {
		return
	}
	m.heard = numbers[0]
	if numbers[1] < 0 {
		m.canvas.Hide()
		clear(m.kept)
		return
	}
	var at []canvas.Rectangle
	for r := range slices.Chunk(numbers[2:], 4) {
		if len(r) == 4 {
			at = append(at, canvas.Rectangle{X: r[0], Y: r[1], Width: r[2], Height: r[3]})
		}
	}
	if picture, ready := m.kept[int(numbers[1])]; ready && len(at) >= 2 {
		m.canvas.Show(picture, at[0], at[1], at[2:])
	}
}

// keep keeps a picture ready.
func (m *motion) keep(number int, picture canvas.Picture) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.canvas == nil {
		return
	}
	m.kept[number] = picture
	for len(m.kept) > motionKept {
		delete(m.kept, slices.Min(slices.Collect(maps.Keys(m.kept))))
	}
}

func (m *motion) stop() {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.canvas != nil {
		m.canvas.Close()
	}
	m.canvas, m.kept = nil, nil
}
