package body

import (
	"image"
	"image/color"
	"image/draw"

	xdraw "golang.org/x/image/draw"

	"strokeledger/internal/pose"
)

// Figures of a portrait, all of them our own choice, looked at on the invented club.
const (
	roomAround  = .2  // of the player's height, on all sides: joints are inside of a body
	aspect      = .8  // width to height
	widest      = 720 // pixels of a portrait
	blocks      = 5   // squares along the longer side of somebody who is made unrecognisable
	roomOfOther = .15 // round the joints of somebody else, of their height
	inside      = .9  // of the player that has to be in the picture
	roomOfHead  = .1  // round the joints of a head, of the height of whose it is
	headBlocks  = 3   // squares along the longer side of a head that is made unrecognisable
)

// finder is what a portrait needs of a [pose.Finder].
type finder interface {
	People(img *image.RGBA) []pose.Person
}

// Portrait cuts a picture to the near player and makes everybody else who is found in the
// cut unrecognisable; at says which part of the picture it is. It is not ok where nobody is
// found, where a part of the player is not in the picture, or where somebody else's head
// shows before or behind the player. Who is not
// found, as people far away may not be, is not made unrecognisable: look at the portrait
// before it is handed on. The picture itself is not changed.
func Portrait(finder finder, img *image.RGBA) (cut *image.RGBA, at image.Rectangle, ok bool) {
	return portrait(finder, img, false)
}

// Faceless is a portrait of which the player's head is unrecognisable too. As with a
// portrait, look at it before it is handed on.
func Faceless(finder finder, img *image.RGBA) (cut *image.RGBA, at image.Rectangle, ok bool) {
	return portrait(finder, img, true)
}

func portrait(finder finder, img *image.RGBA, faceless bool) (cut *image.RGBA, at image.Rectangle, ok bool) {
	people := finder.People(img)
	if len(people) == 0 {
		return nil, at, false
	}
	player := around(&people[0], 0)
	if in := player.Intersect(img.Rect); float64(in.Dx()*in.Dy()) < inside*float64(player.Dx()*player.Dy()) {
		return nil, at, false
	}
	at = framed(around(&people[0], roomAround), img.Rect)
	cut = image.NewRGBA(at)
	draw.Draw(cut, at, img, at.Min, draw.Src)
	for i := range people[1:] {
		other := &people[1+i]
		head := other.Joints[pose.Nose]
		if image.Pt(int(head.X), int(head.Y)).In(player) {
			return nil, at, false
		}
		hide(cut, around(other, roomOfOther).Intersect(at), player, blocks)
	}
	if faceless {
		hide(cut, head(&people[0]).Intersect(at), image.Rectangle{}, headBlocks)
	}
	return scaled(cut), at, true
}

// around is the part of a picture that a person takes, with room on all sides.
func around(p *pose.Person, room float64) image.Rectangle {
	_, top, _, bottom := bounds(p.Joints[:])
	return widely(p.Joints[:], room*(bottom-top))
}

// head is the part that a person's head takes, whichever way it looks.
func head(p *pose.Person) image.Rectangle {
	_, top, _, bottom := bounds(p.Joints[:])
	return widely(p.Joints[:pose.LeftShoulder], roomOfHead*(bottom-top))
}

func bounds(joints []pose.Joint) (left, top, right, bottom float64) {
	left, top, right, bottom = joints[0].X, joints[0].Y, joints[0].X, joints[0].Y
	for _, j := range joints {
		left, top, right, bottom = min(left, j.X), min(top, j.Y), max(right, j.X), max(bottom, j.Y)
	}
	return left, top, right, bottom
}

// widely is the part of a picture that holds joints, with so much room on all sides.
func widely(joints []pose.Joint, by float64) image.Rectangle {
	left, top, right, bottom := bounds(joints)
	return image.Rect(int(left-by), int(top-by), int(right+by)+1, int(bottom+by)+1)
}

// framed is a part with the shape of a portrait round another one, inside a picture.
func framed(r, picture image.Rectangle) image.Rectangle {
	w, h := float64(r.Dx()), float64(r.Dy())
	if w < aspect*h {
		w = aspect * h
	} else {
		h = w / aspect
	}
	scale := min(1, float64(picture.Dx())/w, float64(picture.Dy())/h)
	w, h = w*scale, h*scale
	x := float64(r.Min.X+r.Max.X)/2 - w/2
	y := float64(r.Min.Y+r.Max.Y)/2 - h/2
	x = min(max(x, float64(picture.Min.X)), float64(picture.Max.X)-w)
	y = min(max(y, float64(picture.Min.Y)), float64(picture.Max.Y)-h)
	return image.Rect(int(x), int(y), int(x+w), int(y+h)).Intersect(picture)
}

// hide draws a part of a picture in a few large squares, but for what is the player's.
func hide(img *image.RGBA, part, player image.Rectangle, blocks int) {
	side := max(1, max(part.Dx(), part.Dy())/blocks)
	for y := part.Min.Y; y < part.Max.Y; y += side {
		for x := part.Min.X; x < part.Max.X; x += side {
			square := image.Rect(x, y, x+side, y+side).Intersect(part)
			mean := image.NewUniform(meanOf(img, square))
			for _, free := range without(square, player) {
				draw.Draw(img, free, mean, image.Point{}, draw.Src)
			}
		}
	}
}

// without is what of a part lies outside another one, as up to four parts.
func without(r, hole image.Rectangle) []image.Rectangle {
	h := hole.Intersect(r)
	if h.Empty() {
		return []image.Rectangle{r}
	}
	return []image.Rectangle{
		image.Rect(r.Min.X, r.Min.Y, r.Max.X, h.Min.Y), image.Rect(r.Min.X, h.Max.Y, r.Max.X, r.Max.Y),
		image.Rect(r.Min.X, h.Min.Y, h.Min.X, h.Max.Y), image.Rect(h.Max.X, h.Min.Y, r.Max.X, h.Max.Y),
	}
}

// scaled is a picture at most widest wide.
func scaled(img *image.RGBA) *image.RGBA {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	if w <= widest {
		return img
	}
	out := image.NewRGBA(image.Rect(0, 0, widest, h*widest/w))
	xdraw.CatmullRom.Scale(out, out.Rect, img, img.Rect, draw.Src, nil)
	return out
}

// meanOf is the mean colour of a part of a picture.
func meanOf(img *image.RGBA, r image.Rectangle) color.RGBA {
	var sum [3]int
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			p := img.Pix[img.PixOffset(x, y):]
			for i := range sum {
				sum[i] += int(p[i])
			}
		}
	}
	n := max(1, r.Dx()*r.Dy())
	return color.RGBA{uint8(sum[0] / n), uint8(sum[1] / n), uint8(sum[2] / n), 255}
}
