// Package canvas shows pictures on the program's own window, over the page: a picture
// that moves takes less than half the processor time there that it takes as an image of
// the page. The page knows nothing of it, so whoever shows a picture leaves free what
// the page wants seen.
package canvas

// Picture is blue, green, red and a byte without meaning a pixel, rows from the top
// without gaps.
type Picture struct {
	Pixels        []byte
	Width, Height int
}

// Rectangle is a place of the page in pixels of the screen.
type Rectangle struct{ X, Y, Width, Height float64 }
