package body

import (
	"image"

	"strokeledger/internal/picture"
	"strokeledger/internal/pose"
)

// Figures of a cut-out, all of them our own choice, looked at on the invented club.
const (
	roomOfRacket = .3 // of the player's height, on both sides: a racket, and a swing between two pictures
	roomOfFeet   = .2 // of the player's height, above and below
	mostlySeen   = .5 // of the pictures in which the player has to be found
)

// follower is what a cut-out needs of a [pose.Follower].
type follower interface {
	Next(img *image.RGBA) (pose.Person, bool)
}

// Cutout finds the one part of some pictures of a clip that holds the near player in all
// of them, so that it need not wander with the player. It is for one goroutine at a time.
type Cutout struct {
	player        follower
	picture, held image.Rectangle
	tallest       int // of the player, pixels
	looked, found int
}

// NewCutout makes a cut-out of the player who is followed.
func NewCutout(player follower) *Cutout { return &Cutout{player: player} }

// Look looks for the player in one more picture; all have the same size.
func (c *Cutout) Look(img *image.RGBA) {
	c.looked++
	c.picture = img.Rect
	p, ok := c.player.Next(img)
	if !ok {
		return
	}
	c.found++
	at := around(&p, 0)
	c.held, c.tallest = c.held.Union(at), max(c.tallest, at.Dy())
}

// Size is that of the pictures, and zero before the first.
func (c *Cutout) Size() image.Point { return c.picture.Size() }

// Part is the part that holds the player with room for the racket arm and the feet, and
// what a coach has drawn, whose places are parts of the pictures. It is a square where the
// picture is high enough, and even on all sides. It is not ok where the player is found in
// less than half of the pictures, or lies outside of them.
func (c *Cutout) Part(drawings []picture.Drawing) (part image.Rectangle, ok bool) {
	if c.found == 0 || float64(c.found) < mostlySeen*float64(c.looked) {
		return part, false
	}
	wide, high := int(roomOfRacket*float64(c.tallest)), int(roomOfFeet*float64(c.tallest))
	part = image.Rectangle{Min: c.held.Min.Sub(image.Pt(wide, high)), Max: c.held.Max.Add(image.Pt(wide, high))}
	for _, d := range drawings {
		part = part.Union(drawn(d, c.picture))
	}
	if part = part.Intersect(c.picture); part.Dx() < 2 || part.Dy() < 2 {
		return image.Rectangle{}, false
	}
	side := max(part.Dx(), part.Dy())
	part.Min.X, part.Max.X = widened(part.Min.X, part.Max.X, side, c.picture.Dx())
	part.Min.Y, part.Max.Y = widened(part.Min.Y, part.Max.Y, side, c.picture.Dy())
	return part, true
}

// widened is a stretch with an even place and length of about as many pixels, round
// another one, within so many from 0.
func widened(from, to, length, most int) (int, int) {
	length = min((length+2)&^1, most&^1)
	from = min(max(0, (from+to-length)/2), most-length) &^ 1
	return from, from + length
}

// drawn is the part of a picture that a drawing takes, at least a pixel.
func drawn(d picture.Drawing, shown image.Rectangle) (part image.Rectangle) {
	take := func(p picture.Point) {
		at := image.Pt(int(p.X), int(p.Y))
		part = part.Union(image.Rectangle{Min: at, Max: at}.Inset(-1))
	}
	o := d.Outline(float64(shown.Dx()), float64(shown.Dy()))
	for _, line := range o.Lines {
		for _, p := range line {
			take(p)
		}
	}
	if o.Label != "" {
		take(o.At)
	}
	return part
}
