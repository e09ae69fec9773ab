//go:build !linux

package canvas

// Canvas shows nothing: on this system pictures are images of the page.
type Canvas struct{}

// New returns nil.
func New() *Canvas { return nil }

// Show does nothing.
func (*Canvas) Show(Picture, Rectangle, Rectangle, []Rectangle) {}

// Hide does nothing.
func (*Canvas) Hide() {}

// Close does nothing.
func (*Canvas) Close() {}
