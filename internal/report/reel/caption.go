package reel

import (
	"fmt"
	"image"
	"image/color"

	"strokeledger/internal/clip/av"
)

// Caption is what stands under the pictures of a piece. Every field is data: it is
// shortened where it does not fit, and may be empty.
type Caption struct {
	Code  string // of the fault
	Title string // its label
	Cue   string // what the coach says
	Foot  string // player, drill, date
}

// The colours of what is written over pictures: amber stands out from floors,
// tables and shirts, and from white, also in grey.
func white() color.RGBA { return color.RGBA{255, 255, 255, 255} }
func quiet() color.RGBA { return color.RGBA{214, 219, 224, 255} }
func amber() color.RGBA { return color.RGBA{255, 193, 79, 255} }
func shade() color.RGBA { return color.RGBA{0, 0, 0, 178} } // black, seven tenths

// unit is the size of the largest letters on a picture of that size, in pixels.
func unit(width, height int) int { return max(16, min(width, height)/24) }

// paragraph is lines of one ink.
type paragraph struct {
	lines  []line
	ink    ink
	indent int // of all lines
}

// leading is the distance of two base lines.
func (k ink) leading() int { return k.size * 5 / 4 }

// caption draws the band at the bottom of the picture, as high as its text, and
// tells where it begins.
func (l *Letters) caption(c Caption, width, height int) (o *av.Overlay, top int) {
	u := unit(width, height)
	margin := u * 3 / 4
	room := width - 2*margin
	title := ink{true, u, white()}
	code := ink{true, u, amber()}
	// A code takes at most a third of the line.
	codes := l.wrap(c.Code, code, room/3, 1)
	indent := 0
	for _, c := range codes {
		indent = c.width + u/2
	}
	cue, foot := ink{false, u * 4 / 5, white()}, ink{false, u * 13 / 20, quiet()}
	titles := l.wrap(c.Title, title, room-indent, 2)
	if titles == nil && codes != nil {
		titles = []line{{ink: title}} // the code has a line of its own
	}
	text := []paragraph{
		{titles, title, indent},
		{l.wrap(c.Cue, cue, room, 2), cue, 0},
		{l.wrap(c.Foot, foot, room, 1), foot, 0},
	}
	high := 0
	for _, p := range text {
		high += len(p.lines) * p.ink.leading()
	}
	if high == 0 {
		return av.NewOverlay(whole(0, 0), image.Point{}), height
	}
	high = min(height, high+margin)
	img := whole(width, high)
	fill(img, img.Rect, image.NewUniform(shade()))
	y := margin / 2
	for _, c := range codes {
		c.draw(img, margin, y+u)
	}
	for _, p := range text {
		for _, line := range p.lines {
			line.draw(img, margin+p.indent, y+p.ink.size)
			y += p.ink.leading()
		}
	}
	return av.NewOverlay(img, image.Pt(0, height-high)), height - high
}

// tag draws a few words at the right, above what begins at top.
func (l *Letters) tag(text string, width, height, top int) *av.Overlay {
	u := unit(width, height)
	k := ink{true, u * 7 / 10, amber()}
	wide := u
	lines := l.wrap(text, k, width/2, 1)
	for _, line := range lines {
		wide += line.width
	}
	img := whole(wide, k.size*8/5)
	fill(img, img.Rect, image.NewUniform(shade()))
	for _, line := range lines {
		line.draw(img, u/2, k.size*23/20)
	}
	return av.NewOverlay(img, image.Pt(width-img.Rect.Dx(), max(0, (top-img.Rect.Dy())&^1)))
}

func slowText(times int) string { return fmt.Sprintf("%d times slower", times) }

// card draws paragraphs on a whole picture; what does not fit is left out, and an
// ellipsis says so.
func (l *Letters) card(text []string, width, height int) *av.Overlay {
	u := unit(width, height)
	margin := 2 * u
	room := width - 2*margin
	img := whole(width, height)
	fill(img, img.Rect, image.NewUniform(color.Black))
	y := margin
	for i, t := range text {
		k := ink{i == 0, u * 3 / 4, quiet()}
		if i == 0 {
			k.size, k.colour = u, white()
		}
		left := (height - margin - y) / k.leading()
		if left <= 0 {
			break
		}
		for _, line := range l.wrap(t, k, room, left) {
			line.draw(img, margin, y+k.size)
			y += k.leading()
		}
		y += u / 2
	}
	return av.NewOverlay(img, image.Point{})
}
