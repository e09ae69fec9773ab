package reel

import (
	"fmt"
	"image"
	"image/color"

	"strokeledger/internal/clip/av"
	"strokeledger/internal/picture"
)

// Caption is what stands in the band below the pictures of a piece. Every field is data: it is
// shortened where it does not fit, and may be empty.
type Caption struct {
	Code  string // of the fault
	Title string // its label
	Cue   string // what the coach says
	Foot  string // player, drill, date
}

// The colours of what is written below pictures.
func white() color.RGBA { return color.RGBA{255, 255, 255, 255} }
func quiet() color.RGBA { return color.RGBA{214, 219, 224, 255} }
func amber() color.RGBA { return picture.Ink() }

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

// text is what stands in the band, from the top down, below the codes.
type text struct {
	codes      []line
	paragraphs []paragraph
}

// high is how many pixels a text takes, 0 for none.
func (t text) high() (pixels int) {
	for _, p := range t.paragraphs {
		pixels += len(p.lines) * p.ink.leading()
	}
	return pixels
}

// text lays a caption out for pictures of that size. At the right of its foot a third
// stays free for what the repetition says.
func (l *Letters) text(c Caption, width, height int) text {
	u := unit(width, height)
	room := width - 2*margin(u)
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
	return text{codes, []paragraph{
		{titles, title, indent},
		{l.wrap(c.Cue, cue, room, 2), cue, 0},
		{l.wrap(c.Foot, foot, room*2/3, 2), foot, 0},
	}}
}

// margin is what stays free on all sides of a text.
func margin(unit int) int { return unit * 3 / 4 }

// band is how many rows the captions of the pieces take below the pictures: as many as
// the highest, and always the same, so that nothing moves and nobody's feet are covered.
// Even.
func (o Options) band(pieces []Piece) (rows int) {
	u := unit(o.Width, o.Height)
	for _, p := range pieces {
		high := o.Letters.text(p.Caption, o.Width, o.Height).high()
		if p.Moment >= 0 {
			high = max(high, o.Letters.slow(o.Slow, o.Width, o.Height).ink.leading())
		}
		if high > 0 {
			rows = max(rows, high+margin(u))
		}
	}
	return (rows + 1) &^ 1
}

// caption draws the band below the pictures.
func (l *Letters) caption(c Caption, width, height, band int) *av.Overlay {
	u := unit(width, height)
	img := whole(width, band)
	fill(img, img.Rect, image.NewUniform(color.Black))
	t := l.text(c, width, height)
	y := margin(u) / 2
	for _, c := range t.codes {
		c.draw(img, margin(u), y+u)
	}
	for _, p := range t.paragraphs {
		for _, line := range p.lines {
			line.draw(img, margin(u)+p.indent, y+p.ink.size)
			y += p.ink.leading()
		}
	}
	return av.NewOverlay(img, image.Pt(0, height))
}

// slow is the words of the repetition, in one line.
func (l *Letters) slow(times, width, height int) (words line) {
	for _, words = range l.wrap(slowText(times), ink{true, unit(width, height) * 7 / 10, amber()}, width/3-margin(unit(width, height)), 1) {
	}
	return words
}

// tag draws the words of the repetition into the band, at the right of its last line.
func (l *Letters) tag(times, width, height, band int) *av.Overlay {
	words := l.slow(times, width, height)
	img := whole(words.width, words.ink.size*8/5)
	words.draw(img, 0, words.ink.size*23/20)
	m := margin(unit(width, height))
	return av.NewOverlay(img, image.Pt(width-m-words.width, height+band-m/2-img.Rect.Dy()))
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
