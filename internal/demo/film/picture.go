package film

import (
	"image"
	"sort"

	"strokeledger/internal/demo"
)

// painter draws the pictures of one scene. It keeps what stands still for as long as
// the camera does; a painter is for one goroutine.
type painter struct {
	scene  *demo.Scene
	camera demo.Camera // of back
	back   *backdrop
	shirts map[shirted]*cloth
	grain  grain // empty: none
}

func newPainter(s *demo.Scene) *painter {
	p := &painter{scene: s, shirts: map[shirted]*cloth{}}
	if s.Coarse {
		p.grain = newGrain(s.Seed)
	}
	return p
}

// shutter is how long a picture is exposed, seconds, half of it before the picture's
// time: a fast ball is a short streak. A phone's indoors, about; no source.
const shutter = 1.0 / 120

// paint draws a picture into img, which has the scene's size.
func (p *painter) paint(img *image.RGBA, frame int) {
	t := p.scene.Seconds(frame)
	v := view{brush{img}, p.scene.CameraAt(t), p.shirts}
	if p.back == nil || v.camera != p.camera {
		p.back, p.camera = newBackdrop(v.camera, p.scene.Table), v.camera
	}
	copy(img.Pix, p.back.whole.Pix)

	var near, far []exposure
	for i := range p.scene.Actors {
		a := &p.scene.Actors[i]
		switch {
		case t < a.From || t > a.To:
		case p.before(a.Figure(t), v.camera):
			near = append(near, exposed(a, t))
		default:
			far = append(far, exposed(a, t))
		}
	}
	behind, before := p.balls(t)

	// Behind the table and the net first; then those again over it.
	var under regions
	sort.SliceStable(far, func(i, j int) bool { return v.depth(far[i].pelvis()) > v.depth(far[j].pelvis()) })
	for _, f := range far {
		under.add(v.onFloor(f.middle()))
		under.add(v.person(f))
	}
	for _, f := range near {
		under.add(v.onFloor(f.middle()))
	}
	for _, b := range behind {
		if b.at.Z < p.scene.Table {
			under.add(v.ball(b))
		}
	}
	for _, r := range under {
		over(img, &p.back.table, r.Intersect(p.back.busy))
	}
	for _, b := range append(behind, before...) {
		under.add(v.ballShadow(b.at, p.scene.Table))
	}
	for _, b := range behind {
		if b.at.Z >= p.scene.Table {
			under.add(v.ball(b))
		}
	}
	for _, r := range under {
		over(img, &p.back.net, r.Intersect(p.back.busy))
	}
	p.front(v, near, before)
	if p.grain != nil {
		p.grain.over(img, frame)
	}
}

// before reports whether the table cannot hide any of a figure from the camera.
func (p *painter) before(f demo.Figure, c demo.Camera) bool {
	at := f.Joints[demo.Pelvis]
	return at.X < 0 || at.Y < 0 && c.At.Y < 0 || at.Y > demo.TableWidth && c.At.Y > demo.TableWidth
}

// front draws the near players and the balls on this side, the farthest first.
func (p *painter) front(v view, near []exposure, balls []ball) {
	type item struct {
		depth float64
		draw  func()
	}
	var items []item
	for _, f := range near {
		items = append(items, item{v.depth(f.pelvis()), func() { v.person(f) }})
	}
	for _, b := range balls {
		items = append(items, item{v.depth(b.at), func() { v.ball(b) }})
	}
	sort.SliceStable(items, func(i, j int) bool { return items[i].depth > items[j].depth })
	for _, i := range items {
		i.draw()
	}
}

// ball is a ball when the shutter closes, with where it was when it opened.
type ball struct{ at, was demo.Vec }

// balls are those of the far half (and beyond) and those of the near half.
func (p *painter) balls(t float64) (behind, before []ball) {
	for _, b := range p.scene.Balls {
		at, ok := b.Place(t)
		if !ok {
			continue
		}
		was := at
		if p, ok := b.Place(t + shutter/2); ok {
			at = p
		}
		if p, ok := b.Place(t - shutter/2); ok {
			was = p
		}
		if at.X > demo.NetX {
			behind = append(behind, ball{at, was})
		} else {
			before = append(before, ball{at, was})
		}
	}
	return behind, before
}

func (v view) ball(b ball) image.Rectangle {
	return v.stick(b.was, b.at, demo.BallRadius, demo.BallRadius, demo.RGB{252, 168, 48})
}

// ballShadow lies on whatever is under the ball.
func (v view) ballShadow(at demo.Vec, table float64) image.Rectangle {
	under := demo.Vec{X: at.X, Y: at.Y}
	if at.X >= 0 && at.X <= demo.TableLength && at.Y >= 0 && at.Y <= demo.TableWidth && at.Z > table {
		under.Z = table
	}
	height := at.Z - under.Z
	r := 0.03 + 0.08*height
	c, _ := v.at(under)
	x, _ := v.at(under.Add(demo.Vec{X: r}))
	y, _ := v.at(under.Add(demo.Vec{Y: r}))
	return v.shadow(c, x.sub(c), y.sub(c), 0.75/(1+5*height))
}

// regions are parts of the picture, no two of which overlap.
type regions []image.Rectangle

func (rs *regions) add(r image.Rectangle) {
	if r.Empty() {
		return
	}
	kept := (*rs)[:0]
	for _, o := range *rs {
		if o.Overlaps(r) {
			r = r.Union(o)
			continue
		}
		kept = append(kept, o)
	}
	if len(kept) < len(*rs) {
		// The union may reach others.
		*rs = kept
		rs.add(r)
		return
	}
	*rs = append(kept, r)
}

// over lays a premultiplied layer over a part of a picture.
func over(dst, layer *image.RGBA, r image.Rectangle) {
	r = r.Intersect(dst.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		i := dst.PixOffset(r.Min.X, y)
		for range r.Dx() {
			if a := uint32(layer.Pix[i+3]); a > 0 {
				for j := i; j < i+3; j++ {
					dst.Pix[j] = uint8(uint32(layer.Pix[j]) + (uint32(dst.Pix[j])*(255-a)+127)/255)
				}
			}
			i += 4
		}
	}
}
