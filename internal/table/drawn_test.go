package table_test

import (
	"image"
	"math"
	"math/rand/v2"
	"slices"

	"strokeledger/internal/table"
)

// drawn is a hall that is hard to find a table in: what stands in it and how it is
// filmed. The ranges are our own, and wide, since no published ones were found. The
// lens has a second term, pixels are not square, and the table's height is off, none of
// which the fit knows of; lines are worn, nets sag, surfaces shine.
type drawn struct {
	filmed
	seed                     uint64
	floor, wall, top, line   light
	stands                   []stand // ours last
	wear, sag, tape          float64
	shine                    []shine
	dark, edge, noise, soft  float64
	quality                  int
	players, barriers, lines int
}

// stand is where a table stands, turned by an angle.
type stand struct{ x, y, angle float64 }

func (s stand) place(x, y, z float64) vec {
	sin, cos := math.Sincos(s.angle)
	return vec{s.x + cos*x - sin*y, s.y + sin*x + cos*y, z}
}

// shine is light that the surface throws back: a patch, or a stripe of a window.
type shine struct{ x, y, sx, sy, strength float64 }

const drawnWide = 1280

// aHall draws a hall of a seed.
func aHall(seed uint64) drawn {
	rng := rand.New(rand.NewPCG(seed, 0x68616c6c))
	u := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	d := drawn{seed: seed}
	for {
		d.filmed = anyCamera(rng, ordinary())
		if d.big(.015) {
			break
		}
	}
	k := drawnWide / d.width
	d.width, d.height, d.focal, d.cx, d.cy = d.width*k, d.height*k, d.focal*k, d.cx*k, d.cy*k
	pick := func(of ...light) light { return of[rng.IntN(len(of))].times(u(.8, 1.2)) }
	d.floor = pick(light{205, 170, 130}, light{150, 60, 60}, light{70, 120, 90}, light{60, 110, 150}, light{160, 155, 150}, light{115, 100, 90}, light{200, 190, 180}, light{70, 120, 165})
	d.wall = light{210, 205, 200}.times(u(.5, 1.1)).mix(light{u(0, 255), u(0, 255), u(0, 255)}, .2)
	d.top = pick(light{36, 92, 140}, light{30, 70, 120}, light{45, 105, 170}, light{30, 100, 70}, light{40, 85, 60}, light{80, 85, 90}, light{45, 45, 50}, light{60, 40, 110})
	d.line = light{238, 238, 232}.times(u(.8, 1))
	d.wear, d.sag, d.tape = u(0, .6), u(0, .012), u(.010, .015)
	for range rng.IntN(4) {
		s := stand{u(-1.5, 2.5), 1.525 + u(1.4, 3.5), .06 * rng.NormFloat64()}
		switch rng.IntN(3) {
		case 0:
			s.y = -1.525 - u(1.4, 3.5)
		case 1:
			s.x, s.y = 2.74+u(2, 5), u(-2, 2)
		}
		// What is nearer would stand before our table.
		if math.Hypot(d.at[0]-s.x-1.37, d.at[1]-s.y-.76) > math.Hypot(d.at[0]-1.37, d.at[1]-.76)+.9 {
			d.stands = append(d.stands, s)
		}
	}
	slices.SortFunc(d.stands, func(a, b stand) int {
		return int(1e3 * (math.Hypot(d.at[0]-b.x-1.37, d.at[1]-b.y-.76) - math.Hypot(d.at[0]-a.x-1.37, d.at[1]-a.y-.76)))
	})
	d.stands = append(d.stands, stand{})
	for range rng.IntN(3) {
		d.shine = append(d.shine, shine{u(0, 2.74), u(0, 1.525), u(.2, 1), u(.15, .6), u(.1, .5)})
	}
	if rng.IntN(4) == 0 {
		d.shine = append(d.shine, shine{u(.2, 2.5), .76, u(.06, .2), 9, u(.3, .7)})
	}
	d.dark, d.edge, d.noise, d.soft, d.quality = u(.35, 1), u(0, .4), u(1, 10), u(0, 1.4), 55+rng.IntN(40)
	d.players, d.barriers, d.lines = rng.IntN(4), rng.IntN(12), rng.IntN(7)
	return d
}

// picture films the hall at one moment, in which people stand in other places.
func (d *drawn) picture(moment uint64) *image.RGBA {
	fixed := rand.New(rand.NewPCG(d.seed, 1))
	moves := rand.New(rand.NewPCG(d.seed, 2+moment))
	c := newCanvas(d.filmed)
	d.room(c, fixed)
	people := d.people(fixed, moves)
	nearer := func(p vec) float64 { return math.Hypot(p[0]-d.at[0], p[1]-d.at[1]) }
	slices.SortFunc(people, func(a, b person) int { return int(1e3 * (nearer(b.at) - nearer(a.at))) })
	for n, s := range d.stands {
		if n == len(d.stands)-1 {
			for _, p := range people {
				if nearer(p.at) > nearer(vec{1.37, .76}) {
					p.paint(c)
				}
			}
			c.polygon(d.floor.times(.6), .45, vec{-.1, -.1, 0}, vec{2.84, -.1, 0}, vec{2.84, 1.63, 0}, vec{-.1, 1.63, 0})
		}
		d.paintTable(c, s, n == len(d.stands)-1, fixed)
	}
	for _, p := range people {
		if nearer(p.at) <= nearer(vec{1.37, .76}) {
			p.paint(c)
		}
	}
	return c.film(moves, d.dark, d.edge, d.soft, d.noise, d.quality)
}

func (d *drawn) room(c *canvas, rng *rand.Rand) {
	u := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	for i := range c.pix {
		c.pix[i] = d.wall
	}
	x0, x1, y0, y1 := -8-u(0, 3), 10+u(0, 5), -8-u(0, 3), 9+u(0, 4)
	round := []vec{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
	upright := func(a, b vec, from, to float64, colour light) {
		c.polygon(colour, 1, vec{a[0], a[1], from}, vec{b[0], b[1], from}, vec{b[0], b[1], to}, vec{a[0], a[1], to})
	}
	for i, a := range round {
		b := round[(i+1)%4]
		upright(a, b, 0, 6, d.wall.times(u(.8, 1.1)))
		if rng.IntN(2) == 0 {
			upright(a, b, 0, 1.3, light{u(50, 200), u(50, 200), u(50, 200)})
		}
		for range rng.IntN(5) { // doors, posters, windows
			t := u(.1, .9)
			p := vec{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}
			q := vec{p[0] + u(.02, .1)*(b[0]-a[0]), p[1] + u(.02, .1)*(b[1]-a[1])}
			upright(p, q, u(0, 2), u(2.1, 3.5), light{u(0, 255), u(0, 255), u(0, 255)})
		}
	}
	c.polygon(d.floor, 1, round...)
	for range d.lines { // of other games
		colour := []light{{235, 235, 235}, {190, 40, 40}, {220, 190, 60}, {30, 90, 180}}[rng.IntN(4)]
		if rng.IntN(2) == 0 {
			y := u(y0, y1)
			c.polygon(colour, .9, vec{x0, y}, vec{x1, y}, vec{x1, y + .05}, vec{x0, y + .05})
		} else {
			x := u(x0, x1)
			c.polygon(colour, .9, vec{x, y0}, vec{x, y1}, vec{x + .05, y1}, vec{x + .05, y0})
		}
	}
	cloth := light{u(20, 120), u(40, 120), u(60, 160)}
	x := u(5, 7)
	for i := range d.barriers {
		y := -7 + 1.5*float64(i)
		upright(vec{x, y}, vec{x, y + 1.45}, 0, .7, cloth.times(u(.9, 1.1)))
	}
}

func (d *drawn) paintTable(c *canvas, s stand, ours bool, rng *rand.Rand) {
	u := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	top, h := d.top, d.table
	if !ours {
		top = top.times(u(.85, 1.15))
	}
	rect := func(colour light, cover, x0, y0, x1, y1 float64) {
		c.polygon(colour, cover, s.place(x0, y0, h), s.place(x1, y0, h), s.place(x1, y1, h), s.place(x0, y1, h))
	}
	for _, x := range []float64{.3, 1.2, 1.55, 2.45} {
		for _, y := range []float64{.2, 1.3} {
			c.stick(s.place(x, y, 0), s.place(x, y, h-.03), .025, light{55, 55, 58})
		}
	}
	q := []vec{s.place(0, 0, h), s.place(2.74, 0, h), s.place(2.74, 1.525, h), s.place(0, 1.525, h)}
	under := u(.02, .06)
	for i, a := range q {
		b := q[(i+1)%4]
		c.polygon(top.times(.5), 1, a, b, vec{b[0], b[1], h - under}, vec{a[0], a[1], h - under})
	}
	rect(top, 1, 0, 0, 2.74, 1.525)
	if ours {
		for _, l := range d.shine {
			d.paintShine(c, l)
		}
	}
	// Worn lines: pieces of other lightness, each of its own.
	white := func(x0, y0, x1, y1 float64) {
		const pieces = 14
		for k := range pieces {
			a, b := float64(k)/pieces, float64(k+1)/pieces
			colour := d.line.mix(top, d.wear*u(0, 1)*u(0, 1))
			if x1-x0 > y1-y0 {
				rect(colour, 1, x0+a*(x1-x0), y0, x0+b*(x1-x0), y1)
			} else {
				rect(colour, 1, x0, y0+a*(y1-y0), x1, y0+b*(y1-y0))
			}
		}
	}
	white(0, 0, 2.74, .02)
	white(0, 1.505, 2.74, 1.525)
	white(0, 0, .02, 1.525)
	white(2.72, 0, 2.74, 1.525)
	white(.02, .761, 2.72, .764)
	rect(light{20, 20, 20}, .7, 1.3685, 0, 1.3715, 1.525) // where the halves meet
	d.paintNet(c, s)
}

// paintShine lightens the surface of our table, in strips.
func (d *drawn) paintShine(c *canvas, l shine) {
	const n = 24
	for i := range n {
		for k := range n {
			x, y := (float64(i)+.5)*2.74/n, (float64(k)+.5)*1.525/n
			a := (x - l.x) / l.sx
			b := (y - l.y) / l.sy
			e := l.strength * math.Exp(-a*a-b*b)
			if e < .01 {
				continue
			}
			x0, x1, y0, y1 := x-1.37/n, x+1.37/n, y-.7625/n, y+.7625/n
			c.polygon(light{255, 255, 255}, e, vec{x0, y0, d.table}, vec{x1, y0, d.table}, vec{x1, y1, d.table}, vec{x0, y1, d.table})
		}
	}
}

func (d *drawn) paintNet(c *canvas, s stand) {
	const pieces = 10
	h := d.table
	level := func(y float64) float64 { // of the top: it sags towards the middle
		t := (y - .7625) / .915
		return h + .1525 - d.sag*(1-t*t)
	}
	for k := range pieces {
		y0, y1 := -.1525+1.83*float64(k)/pieces, -.1525+1.83*float64(k+1)/pieces
		a, b := level(y0), level(y1)
		c.polygon(light{40, 42, 46}, .45, s.place(1.37, y0, h+.01), s.place(1.37, y1, h+.01), s.place(1.37, y1, b), s.place(1.37, y0, a))
		c.polygon(light{232, 232, 228}, 1, s.place(1.37, y0, a-d.tape), s.place(1.37, y1, b-d.tape), s.place(1.37, y1, b), s.place(1.37, y0, a))
	}
	for _, y := range []float64{-.1405, 1.6655} {
		c.stick(s.place(1.37, y, h-.06), s.place(1.37, y, h+.1525-.012), .012, light{40, 42, 46})
	}
}

// person is a figure of sticks.
type person struct {
	at     vec
	facing float64
	tall   float64
	arm    float64
	wear   [4]light
}

// people are the two who play and those who stand about.
func (d *drawn) people(fixed, moves *rand.Rand) (out []person) {
	u := func(a, b float64) float64 { return a + (b-a)*moves.Float64() }
	for n := range d.players + 2 {
		p := person{facing: u(-.4, .4), arm: u(-.1, .3), tall: 1.4 + .45*fixed.Float64()}
		for i := range p.wear {
			p.wear[i] = light{20 + 200*fixed.Float64(), 20 + 200*fixed.Float64(), 20 + 200*fixed.Float64()}
		}
		p.wear[0] = light{200, 150, 120}.times(.5 + .6*fixed.Float64())
		switch n {
		case 0:
			p.at = vec{-u(.25, 1.2), u(.1, 1.4)}
		case 1:
			p.at, p.facing = vec{2.74 + u(.25, 1.4), u(.1, 1.4)}, math.Pi+u(-.4, .4)
		default:
			p.at, p.facing = vec{4 + 4*fixed.Float64(), -4 + 9*fixed.Float64()}, u(0, 6)
		}
		if math.Hypot(p.at[0]-d.at[0], p.at[1]-d.at[1]) > 1 {
			out = append(out, p)
		}
	}
	return out
}

func (p person) paint(c *canvas) {
	k := p.tall / 1.65
	sin, cos := math.Sincos(p.facing)
	put := func(forward, left, up float64) vec {
		return vec{p.at[0] + k*(forward*cos-left*sin), p.at[1] + k*(forward*sin+left*cos), k * up}
	}
	for _, side := range []float64{-1, 1} {
		c.stick(put(0, .1*side, .8), put(.12, .2*side, .45), .08*k, p.wear[2])
		c.stick(put(.12, .2*side, .45), put(0, .28*side, .06), .05*k, p.wear[0])
		c.stick(put(-.04, .28*side, .05), put(.16, .28*side, .05), .045*k, p.wear[3])
		c.stick(put(.2, .2*side, 1.25), put(.3, .3*side, 1.02), .05*k, p.wear[1])
		c.stick(put(.3, .3*side, 1.02), put(.55, .25*side, 1.05+p.arm), .035*k, p.wear[0])
	}
	c.stick(put(0, 0, .8), put(.18, 0, 1.25), .15*k, p.wear[1])
	c.stick(put(.22, 0, 1.45), put(.23, 0, 1.5), .1*k, p.wear[0])
}

// clicked are rough clicks on the corners, off by sd pixels.
func (d *drawn) clicked(sd float64) table.Clicks {
	out, _ := d.clicks(rand.New(rand.NewPCG(d.seed, 3)), sd, false)
	return out
}
