package film

import (
	"image"
	"math"
	"slices"

	"strokeledger/internal/demo"
)

// backdrop is everything that stands still before one camera, drawn once: the hall
// with the table, and the table and the net once more on their own, to lay over
// what is behind them.
type backdrop struct {
	whole image.RGBA      // opaque
	table image.RGBA      // premultiplied
	net   image.RGBA      // premultiplied
	busy  image.Rectangle // where the table and the net are
}

// colour is light, each part 0 to 255, not yet rounded.
type colour [3]float64

func (c colour) times(k float64) colour { return colour{c[0] * k, c[1] * k, c[2] * k} }
func (c colour) mix(d colour, t float64) colour {
	return colour{c[0] + (d[0]-c[0])*t, c[1] + (d[1]-c[1])*t, c[2] + (d[2]-c[2])*t}
}

// box is a solid with level and upright faces.
type box struct{ low, high demo.Vec }

const (
	topThick  = 0.03
	fine      = 3   // rays a pixel in each direction
	wallX     = 7.6 // the hall's end wall
	wallY     = 6.4 // and its side wall
	barrierX  = 5.9
	barrierY  = 4.3
	barrierUp = 0.72

	// The same behind the near player, and on the side where the tripod stands most often.
	backX        = -6.2
	backY        = -5.2
	backBarrierY = -4.4
)

func tableBoxes(t float64) []box {
	boxes := []box{{demo.Vec{X: 0, Y: 0, Z: t - topThick}, demo.Vec{X: demo.TableLength, Y: demo.TableWidth, Z: t}}}
	for _, x := range []float64{0.28, 1.22, 1.48, 2.42} {
		for _, y := range []float64{0.2, 1.285} {
			boxes = append(boxes, box{demo.Vec{X: x, Y: y, Z: 0}, demo.Vec{X: x + 0.04, Y: y + 0.04, Z: t - topThick}})
		}
	}
	// The frame under the top.
	for _, y := range []float64{0.2, 1.285} {
		boxes = append(boxes, box{demo.Vec{X: 0.28, Y: y, Z: t - 0.08}, demo.Vec{X: 2.46, Y: y + 0.04, Z: t - topThick}})
	}
	return boxes
}

func netPosts(table float64) []box {
	const w = 0.012
	low, high := table-0.06, table+demo.NetHeight
	return []box{
		{demo.Vec{X: demo.NetX - w, Y: -demo.NetOver, Z: low}, demo.Vec{X: demo.NetX + w, Y: -demo.NetOver + 2*w, Z: high}},
		{demo.Vec{X: demo.NetX - w, Y: demo.TableWidth + demo.NetOver - 2*w, Z: low}, demo.Vec{X: demo.NetX + w, Y: demo.TableWidth + demo.NetOver, Z: high}},
		{demo.Vec{X: demo.NetX - w, Y: -demo.NetOver, Z: low}, demo.Vec{X: demo.NetX + w, Y: 0.02, Z: low + 0.05}},
	}
}

// hit is where a ray enters the box, and the axis of the face; false where it
// passes by.
func (b box) hit(from, ray demo.Vec) (t float64, axis int, ok bool) {
	first, last := 0.0, math.Inf(1)
	axis = -1
	for i, v := range [3][4]float64{{from.X, ray.X, b.low.X, b.high.X}, {from.Y, ray.Y, b.low.Y, b.high.Y}, {from.Z, ray.Z, b.low.Z, b.high.Z}} {
		in, out := (v[2]-v[0])/v[1], (v[3]-v[0])/v[1]
		if in > out {
			in, out = out, in
		}
		if in > first {
			first, axis = in, i
		}
		last = min(last, out)
	}
	return first, axis, axis >= 0 && first < last
}

// newBackdrop draws what stands still: one ray a pixel in the hall, more where
// neighbours differ, and more wherever the table may be, whose surface is at a height.
func newBackdrop(c demo.Camera, height float64) *backdrop {
	r := image.Rect(0, 0, demo.Width, demo.Height)
	solids, posts := bounded(c, tableBoxes(height)), bounded(c, netPosts(height))
	h := &backdrop{whole: *image.NewRGBA(r), table: *image.NewRGBA(r), net: *image.NewRGBA(r)}
	for _, b := range append(slices.Clone(solids), posts...) {
		h.busy = h.busy.Union(b.seen.Intersect(r))
	}
	var under, beside []box
	back := roughRoom(c)
	for y := range demo.Height {
		for x := range demo.Width {
			if !image.Pt(x, y).In(h.busy) {
				put(&h.whole, x, y, back[y*demo.Width+x], 1)
				continue
			}
			under, beside = at(under[:0], solids, x, y), at(beside[:0], posts, x, y)
			var table, net colour
			var tableCover, netCover float64
			for i := range fine * fine {
				ray := fineRay(c, x, y, i)
				distance, shade, seen := tableSeen(c.At, ray, under, height)
				if seen {
					table, tableCover = add(table, shade), tableCover+1
				}
				if shade, cover := netSeen(c.At, ray, beside, distance, height); cover > 0 {
					net, netCover = add(net, shade.times(cover)), netCover+cover
				}
			}
			const all = fine * fine
			table, net, tableCover, netCover = table.times(1.0/all), net.times(1.0/all), tableCover/all, netCover/all
			put(&h.table, x, y, table, tableCover)
			put(&h.net, x, y, net, netCover)
			behind := add(back[y*demo.Width+x].times(1-tableCover), table)
			put(&h.whole, x, y, add(behind.times(1-netCover), net), 1)
		}
	}
	return h
}

// fineRay is one of the rays through a pixel.
func fineRay(c demo.Camera, x, y, i int) demo.Vec {
	return c.Ray(float64(x)+(float64(i%fine)+0.5)/fine, float64(y)+(float64(i/fine)+0.5)/fine)
}

// roughRoom is the hall without the table, smooth where edges are.
func roughRoom(c demo.Camera) []colour {
	rough := make([]colour, demo.Width*demo.Height)
	for i := range rough {
		rough[i] = room(c.At, c.Ray(float64(i%demo.Width)+0.5, float64(i/demo.Width)+0.5))
	}
	smooth := make([]colour, len(rough))
	for i := range rough {
		x, y := i%demo.Width, i/demo.Width
		smooth[i] = rough[i]
		if !edge(rough, x, y) {
			continue
		}
		var sum colour
		for k := range fine * fine {
			sum = add(sum, room(c.At, fineRay(c, x, y, k)))
		}
		smooth[i] = sum.times(1.0 / (fine * fine))
	}
	return smooth
}

// edge reports whether a pixel differs from one of its neighbours.
func edge(rough []colour, x, y int) bool {
	here := rough[y*demo.Width+x]
	for dy := max(0, y-1); dy <= min(demo.Height-1, y+1); dy++ {
		for dx := max(0, x-1); dx <= min(demo.Width-1, x+1); dx++ {
			if math.Abs(rough[dy*demo.Width+dx][1]-here[1]) > 2 {
				return true
			}
		}
	}
	return false
}

func add(a, b colour) colour { return colour{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

func put(img *image.RGBA, x, y int, c colour, alpha float64) {
	i := img.PixOffset(x, y)
	for j := range c {
		img.Pix[i+j] = uint8(min(255, c[j]+0.5))
	}
	img.Pix[i+3] = uint8(255*alpha + 0.5)
}

// bound is a box with the part of the picture that it may be seen in.
type bound struct {
	box
	seen image.Rectangle
}

func bounded(c demo.Camera, boxes []box) []bound {
	all := make([]bound, len(boxes))
	for n, b := range boxes {
		all[n].box = b
		for i := range 8 {
			p := b.low
			if i&1 > 0 {
				p.X = b.high.X
			}
			if i&2 > 0 {
				p.Y = b.high.Y
			}
			if i&4 > 0 {
				p.Z = b.high.Z
			}
			x, y, _ := c.Project(p)
			all[n].seen = all[n].seen.Union(image.Rect(int(x)-2, int(y)-2, int(x)+3, int(y)+3))
		}
	}
	return all
}

// at appends the boxes that may be seen in a pixel.
func at(to []box, all []bound, x, y int) []box {
	for _, b := range all {
		if image.Pt(x, y).In(b.seen) {
			to = append(to, b.box)
		}
	}
	return to
}

// room is the light from the floor, the barriers or the walls.
func room(from, ray demo.Vec) colour {
	floor := math.Inf(1)
	if ray.Z < 0 {
		floor = -from.Z / ray.Z
	}
	endWall, sideWall := wallX, wallY
	endBarrier, sideBarrier := barrierX, barrierY
	if ray.X < 0 {
		endWall, endBarrier = backX, math.Inf(-1)
	}
	if ray.Y < 0 {
		sideWall, sideBarrier = backY, backBarrierY
	}
	reach := func(wall, from, ray float64) float64 {
		if t := (wall - from) / ray; t > 0 {
			return t
		}
		return math.Inf(1)
	}
	if t := reach(endBarrier, from.X, ray.X); from.Z+ray.Z*t < barrierUp && t < floor && within(from.Y+ray.Y*t, backBarrierY, barrierY) {
		return barrier(from.Y+ray.Y*t, from.Z+ray.Z*t, 0.92)
	}
	if t := reach(sideBarrier, from.Y, ray.Y); from.Z+ray.Z*t < barrierUp && t < floor && from.X+ray.X*t < barrierX {
		return barrier(from.X+ray.X*t, from.Z+ray.Z*t, 1)
	}
	end, side := reach(endWall, from.X, ray.X), reach(sideWall, from.Y, ray.Y)
	switch {
	case floor < end && floor < side:
		return ground(from.X+ray.X*floor, from.Y+ray.Y*floor)
	case end < side:
		return wall(from.Y+ray.Y*end, from.Z+ray.Z*end).times(0.93)
	}
	return wall(from.X+ray.X*side, from.Z+ray.Z*side)
}

func within(v, low, high float64) bool { return v > low && v < high }

// ground is the hall's wooden floor with the table's soft shadow on it.
func ground(x, y float64) colour {
	c := colour{203, 178, 143}
	// Boards of 12 cm along x, each a little different.
	board := math.Floor(y / 0.12)
	c = c.times(1 + 0.025*math.Sin(board*12.9898) + 0.012*math.Sin(board*4.1+math.Floor((x+board*0.7)/1.9)*7.3))
	if f := y/0.12 - board; f < 0.05 || f > 0.95 {
		c = c.times(0.955)
	}
	dx := max(0, max(-x, x-demo.TableLength))
	dy := max(0, max(-y, y-demo.TableWidth))
	c = c.times(1 - 0.34*math.Exp(-(dx*dx+dy*dy)/0.09))
	// Light falls off towards the walls.
	far := math.Hypot(x-1.4, y-0.8)
	return c.times(1.04 - 0.022*far)
}

// barrier is one of the low cloth-covered surrounds of 1.4 m.
func barrier(along, up, k float64) colour {
	c := colour{56, 96, 104}
	if f := along/1.4 - math.Floor(along/1.4); f < 0.012 || f > 0.988 {
		c = c.times(0.7)
	}
	if up > barrierUp-0.035 {
		c = c.times(1.22)
	}
	return c.times(k * (0.86 + 0.2*up))
}

func wall(along, up float64) colour {
	c := colour{226, 222, 210}
	switch {
	case up < 1.25:
		c = colour{168, 190, 186} // a painted dado
	case up < 1.31:
		c = colour{120, 148, 146}
	}
	// Windows high in the wall.
	if f := along/2.1 - math.Floor(along/2.1); up > 2.35 && up < 3.6 && f > 0.12 && f < 0.88 {
		c = colour{238, 243, 247}
		if f > 0.485 && f < 0.515 || up < 2.42 {
			c = colour{196, 198, 196}
		}
	}
	return c.times(0.94 + 0.02*up)
}

// tableSeen is where a ray meets the table, and its light there.
func tableSeen(from, ray demo.Vec, boxes []box, height float64) (at float64, c colour, seen bool) {
	at = math.Inf(1)
	for _, b := range boxes {
		t, axis, ok := b.hit(from, ray)
		if !ok || t >= at {
			continue
		}
		at, seen = t, true
		p := from.Add(ray.Times(t))
		switch {
		case b.high.Z == height && axis == 2:
			c = surface(p.X, p.Y)
		case b.high.Z == height:
			c = colour{24, 44, 66}
		default:
			c = colour{52, 56, 62}.times(0.8 + 0.5*p.Z)
			if axis == 0 {
				c = c.times(1.25)
			}
		}
	}
	return at, c, seen
}

// surface is the playing surface with its lines. Source: Laws of Table Tennis
// 2.1.4 and 2.1.6.
func surface(x, y float64) colour {
	const line = demo.LineWidth
	if x < line || x > demo.TableLength-line || y < line || y > demo.TableWidth-line ||
		math.Abs(y-demo.TableWidth/2) < demo.CentreLine/2 {
		return colour{240, 242, 240}
	}
	c := colour{36, 92, 140}
	// The lamps' sheen.
	sheen := math.Exp(-((x-1.9)*(x-1.9)/1.2 + (y-1.0)*(y-1.0)/0.5))
	c = c.mix(colour{96, 146, 182}, 0.28*sheen)
	// The net shades a little.
	return c.times(1 - 0.16*math.Exp(-math.Abs(x-demo.NetX)/0.05))
}

// netSeen is the net's light on a ray, and how much of the ray it takes, where
// the ray meets it before it meets something at distance at.
func netSeen(from, ray demo.Vec, posts []box, at, height float64) (colour, float64) {
	for _, b := range posts {
		if t, axis, ok := b.hit(from, ray); ok && t < at {
			return colour{44, 48, 54}.times(1 + 0.3*float64(axis&1)), 1
		}
	}
	t := (demo.NetX - from.X) / ray.X
	p := from.Add(ray.Times(t))
	up := p.Z - height
	if t <= 0 || t >= at || up < 0.008 || up > demo.NetHeight || p.Y < -demo.NetOver || p.Y > demo.TableWidth+demo.NetOver {
		return colour{}, 0
	}
	// The white tape is at most 15 mm.
	if up > demo.NetHeight-0.015 {
		return colour{238, 238, 234}, 1
	}
	return colour{38, 44, 50}, 0.42
}
