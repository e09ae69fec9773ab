package film

import (
	"image"
	"sort"

	"strokeledger/internal/demo"
)

// view is one camera with the brush that draws what it sees.
type view struct {
	brush
	camera demo.Camera
	shirts map[shirted]*cloth
}

// shirted is a look from one side.
type shirted struct {
	look       demo.Look
	fromBehind bool
}

// shirt is a look's cloth, woven once.
func (v view) shirt(l demo.Look, fromBehind bool) *cloth {
	key := shirted{l, fromBehind}
	if v.shirts[key] == nil {
		v.shirts[key] = shirt(l, fromBehind)
	}
	return v.shirts[key]
}

// at is a point's place in the picture and the size of a metre there.
func (v view) at(p demo.Vec) (point, float64) {
	x, y, depth := v.camera.Project(p)
	return point{x, y}, v.camera.Focal / depth
}

func (v view) depth(p demo.Vec) float64 { return p.Sub(v.camera.At).Dot(v.camera.Ahead) }

// stick draws a limb between two points of the hall, its radii in metres.
func (v view) stick(a, b demo.Vec, ra, rb float64, c demo.RGB) image.Rectangle {
	pa, ka := v.at(a)
	pb, kb := v.at(b)
	return v.limb(pa, pb, max(ra*ka, 0.6), max(rb*kb, 0.6), c)
}

// exposure is a person while the shutter is open: from its opening to its closing, the
// middle one at the picture's time.
type exposure [5]demo.Figure

// exposed is an actor in the picture of a time.
func exposed(a *demo.Actor, t float64) (e exposure) {
	for i := range e {
		e[i] = a.Figure(t + shutter*(float64(i)/float64(len(e)-1)-0.5))
	}
	return e
}

func (e *exposure) middle() demo.Figure { return e[len(e)/2] }
func (e *exposure) pelvis() demo.Vec    { return e[len(e)/2].Joints[demo.Pelvis] }

// part is one piece of a person, drawn after those that lie behind it.
type part struct {
	depth  float64
	thick  float64 // metres that it may reach beyond its joints, for a body of 1.65 m
	joints []int   // which it lies between
	draw   func(f demo.Figure) image.Rectangle
}

// person draws a figure and returns where. What moves while the shutter is open is
// blurred.
func (v view) person(e exposure) image.Rectangle {
	f := e.middle()
	j := f.Joints
	var parts []part
	put := func(at demo.Vec, nearer, thick float64, draw func(f demo.Figure) image.Rectangle, joints ...int) {
		parts = append(parts, part{v.depth(at) - nearer, thick * f.Scale, joints, draw})
	}
	for _, l := range [2][5]int{{demo.RightHip, demo.RightKnee, demo.RightAnkle, demo.RightHeel, demo.RightToe},
		{demo.LeftHip, demo.LeftKnee, demo.LeftAnkle, demo.LeftHeel, demo.LeftToe}} {
		put(j[l[0]].To(j[l[2]], 0.5), 0, 0.12, func(f demo.Figure) image.Rectangle { return v.leg(f, l) }, l[:]...)
	}
	put(j[demo.Pelvis].To(j[demo.Neck], 0.5), 0, 0.2, v.trunk, demo.RightHip, demo.LeftHip, demo.RightShoulder, demo.LeftShoulder)
	put(j[demo.Head], 0.02, 0.3, v.head, demo.Head)
	arms := [2][3]int{{demo.RightShoulder, demo.RightElbow, demo.RightWrist}, {demo.LeftShoulder, demo.LeftElbow, demo.LeftWrist}}
	for i, a := range arms {
		holds := (i == 1) == f.Left
		put(j[a[0]].To(j[a[1]], 0.6), 0, 0.07, func(f demo.Figure) image.Rectangle { return v.upperArm(f, a[0], a[1]) }, a[0], a[1])
		put(j[a[1]].To(j[a[2]], 0.5), 0, 0.1, func(f demo.Figure) image.Rectangle { return v.foreArm(f, a[1], a[2], holds) }, a[1], a[2])
		if holds {
			put(j[demo.Racket], 0.01, 0.1, func(f demo.Figure) image.Rectangle { return v.racket(f, f.Joints[a[2]]) }, a[2], demo.Racket)
		}
	}
	sort.SliceStable(parts, func(a, b int) bool { return parts[a].depth > parts[b].depth })
	var box image.Rectangle
	for _, p := range parts {
		box = box.Union(v.expose(&e, p))
	}
	return box
}

// expose draws a part of a person, blurred where it moves by more than a pixel or two.
func (v view) expose(e *exposure, p part) image.Rectangle {
	const still, slow = 2, 5 // pixels
	var box image.Rectangle
	moved := 0.0
	for _, joint := range p.joints {
		a, size := v.at(e[0].Joints[joint])
		b, _ := v.at(e[len(e)-1].Joints[joint])
		way := b.sub(a)
		moved = max(moved, way.dot(way))
		r := p.thick*size + 2
		for _, c := range []point{a, b} {
			box = box.Union(v.clip(c.x-r, c.y-r, c.x+r, c.y+r))
		}
	}
	if moved < still*still || box.Empty() {
		return p.draw(e.middle())
	}
	figures := e[:]
	if moved < slow*slow {
		figures = []demo.Figure{e[0], e.middle(), e[len(e)-1]}
	}
	before := make([]uint8, 0, box.Dx()*box.Dy()*4)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		before = append(before, v.img.Pix[v.img.PixOffset(box.Min.X, y):v.img.PixOffset(box.Max.X, y)]...)
	}
	sum := make([]uint16, len(before))
	for i, f := range figures {
		if i > 0 {
			for y := box.Min.Y; y < box.Max.Y; y++ {
				copy(v.img.Pix[v.img.PixOffset(box.Min.X, y):], before[(y-box.Min.Y)*box.Dx()*4:][:box.Dx()*4])
			}
		}
		p.draw(f)
		n := 0
		for y := box.Min.Y; y < box.Max.Y; y++ {
			for _, c := range v.img.Pix[v.img.PixOffset(box.Min.X, y):v.img.PixOffset(box.Max.X, y)] {
				sum[n] += uint16(c)
				n++
			}
		}
	}
	n := 0
	for y := box.Min.Y; y < box.Max.Y; y++ {
		row := v.img.Pix[v.img.PixOffset(box.Min.X, y):v.img.PixOffset(box.Max.X, y)]
		for i := range row {
			row[i] = uint8((sum[n] + uint16(len(figures))/2) / uint16(len(figures)))
			n++
		}
	}
	return box
}

func (v view) upperArm(f demo.Figure, s, e int) image.Rectangle {
	shoulder, elbow, k := f.Joints[s], f.Joints[e], f.Scale
	box := v.stick(shoulder, elbow, 0.047*k, 0.038*k, f.Look.Skin)
	if f.Look.Trim != (demo.RGB{}) {
		box = box.Union(v.stick(shoulder.To(elbow, 0.46), shoulder.To(elbow, 0.53), 0.0565*k, 0.0555*k, f.Look.Trim))
	}
	return box.Union(v.stick(shoulder, shoulder.To(elbow, 0.45), 0.062*k, 0.056*k, f.Look.Shirt))
}

// foreArm has a hand at its end, unless that holds the racket.
func (v view) foreArm(f demo.Figure, e, w int, holds bool) image.Rectangle {
	elbow, wrist, k := f.Joints[e], f.Joints[w], f.Scale
	box := v.stick(elbow, wrist, 0.038*k, 0.027*k, f.Look.Skin)
	if !holds {
		hand := wrist.Add(wrist.Sub(elbow).Unit().Times(0.05 * k))
		box = box.Union(v.stick(wrist, hand, 0.032*k, 0.036*k, f.Look.Skin))
	}
	return box
}

// leg draws hip, knee, ankle, heel and toe.
func (v view) leg(f demo.Figure, l [5]int) image.Rectangle {
	j, k := f.Joints, f.Scale
	hip, knee, ankle, heel, toe := j[l[0]], j[l[1]], j[l[2]], j[l[3]], j[l[4]]
	box := v.stick(knee, ankle, 0.052*k, 0.034*k, f.Look.Skin)
	box = box.Union(v.stick(ankle.To(knee, 0.28), ankle, 0.042*k, 0.038*k, demo.RGB{240, 240, 238}))
	box = box.Union(v.stick(heel, toe, 0.045*k, 0.036*k, f.Look.Shoes))
	box = box.Union(v.stick(hip, knee, 0.088*k, 0.055*k, f.Look.Skin))
	return box.Union(v.stick(hip, hip.To(knee, 0.62), 0.105*k, 0.088*k, f.Look.Short))
}

// trunk is the shirt between hips and shoulders, with the shorts' top.
func (v view) trunk(f demo.Figure) image.Rectangle {
	j, k := f.Joints, f.Scale
	box := v.stick(j[demo.RightHip], j[demo.LeftHip], 0.112*k, 0.112*k, f.Look.Short)
	box = box.Union(v.stick(j[demo.Neck], j[demo.Neck].To(j[demo.Head], 0.6), 0.05*k, 0.045*k, f.Look.Skin))
	var q [4]point
	var size float64
	pull := func(a, b demo.Vec) demo.Vec { return a.To(b, 0.08) }
	for i, p := range []demo.Vec{
		pull(j[demo.RightHip].Add(demo.Vec{Z: 0.07 * k}), j[demo.Pelvis]), pull(j[demo.RightShoulder], j[demo.Neck]),
		pull(j[demo.LeftShoulder], j[demo.Neck]), pull(j[demo.LeftHip].Add(demo.Vec{Z: 0.07 * k}), j[demo.Pelvis]),
	} {
		place, metre := v.at(p)
		q[i], size = place, size+metre
	}
	away := j[demo.Neck].Sub(v.camera.At).Unit().Dot(f.Forward)
	return box.Union(v.slab(q, 0.088*k*size/4, v.shirt(f.Look, away > 0.5)))
}

func (v view) head(f demo.Figure) image.Rectangle {
	k := f.Scale
	at := f.Joints[demo.Head]
	up := demo.Vec{Z: 1}
	hair := at.Sub(f.Forward.Times(0.022 * k)).Add(up.Times(0.022 * k))
	box := image.Rectangle{}
	skull := func() { box = box.Union(v.stick(hair, hair, 0.112*k, 0.112*k, f.Look.Hair)) }
	face := func() {
		chin := at.Add(f.Forward.Times(0.012 * k)).Sub(up.Times(0.035 * k))
		box = box.Union(v.stick(at, chin, 0.102*k, 0.082*k, f.Look.Skin))
	}
	tail := func() {
		if f.Look.Long {
			knot := at.Sub(f.Forward.Times(0.125 * k)).Add(up.Times(0.03 * k))
			end := knot.Sub(f.Forward.Times(0.05 * k)).Sub(up.Times(0.2 * k))
			box = box.Union(v.stick(knot, end, 0.038*k, 0.02*k, f.Look.Hair))
		}
	}
	side := f.Forward.Cross(up)
	if v.depth(at.Add(f.Forward)) > v.depth(at) {
		// Seen from behind: the face first, then the hair over it.
		face()
		ear := at.Sub(up.Times(0.01 * k))
		if v.depth(at.Add(side)) < v.depth(at) {
			ear = ear.Add(side.Times(0.1 * k))
		} else {
			ear = ear.Sub(side.Times(0.1 * k))
		}
		skull()
		box = box.Union(v.stick(ear, ear.Sub(up.Times(0.03*k)), 0.022*k, 0.018*k, f.Look.Skin))
		tail()
		return box
	}
	tail()
	skull()
	face()
	brow := at.Add(up.Times(0.07 * k)).Add(f.Forward.Times(0.015 * k))
	box = box.Union(v.stick(brow.Add(side.Times(0.05*k)), brow.Sub(side.Times(0.05*k)), 0.048*k, 0.048*k, f.Look.Hair))
	if f.Forward.Dot(v.camera.At.Sub(at).Unit()) < 0.5 {
		return box // in profile the eyes would stand beside the head
	}
	for _, s := range []float64{-1, 1} {
		eye := at.Add(f.Forward.Times(0.095 * k)).Add(side.Times(0.038 * s * k)).Sub(up.Times(0.005 * k))
		box = box.Union(v.stick(eye, eye, 0.012*k, 0.012*k, demo.RGB{40, 34, 32}))
	}
	return box
}

// The blade of a racket, metres.
const (
	bladeLong = 0.079
	bladeWide = 0.075
)

func (v view) racket(f demo.Figure, wrist demo.Vec) image.Rectangle {
	c := f.Joints[demo.Racket]
	across := f.Blade.Cross(f.Face).Unit()
	box := v.stick(wrist, c.Sub(f.Blade.Times(bladeLong*0.9)), 0.016, 0.015, demo.RGB{186, 142, 92})
	box = box.Union(v.stick(wrist, wrist.Add(f.Blade.Times(0.055)), 0.036*f.Scale, 0.032*f.Scale, f.Look.Skin))
	toCamera := v.camera.At.Sub(c)
	rubber := demo.RGB{36, 36, 40}
	if f.Face.Dot(toCamera) > 0 {
		rubber = demo.RGB{206, 44, 48}
	}
	pc, _ := v.at(c)
	long, _ := v.at(c.Add(f.Blade.Times(bladeLong)))
	wide, _ := v.at(c.Add(across.Times(bladeWide)))
	u, w := long.sub(pc), wide.sub(pc)
	// Edge-on there is still the wood.
	box = box.Union(v.stick(c.Sub(f.Blade.Times(bladeLong*0.95)), c.Add(f.Blade.Times(bladeLong*0.95)), 0.006, 0.006, demo.RGB{206, 168, 120}))
	box = box.Union(v.disc(pc, point{u.x * 1.07, u.y * 1.07}, point{w.x * 1.07, w.y * 1.07}, demo.RGB{206, 168, 120}))
	return box.Union(v.disc(pc, u, w, rubber))
}

// onFloor darkens the floor under a figure.
func (v view) onFloor(f demo.Figure) image.Rectangle {
	var box image.Rectangle
	spot := func(at demo.Vec, r, strength float64) {
		at.Z = 0
		c, _ := v.at(at)
		x, _ := v.at(at.Add(demo.Vec{X: r}))
		y, _ := v.at(at.Add(demo.Vec{Y: r}))
		box = box.Union(v.shadow(c, x.sub(c), y.sub(c), strength))
	}
	spot(f.Joints[demo.Pelvis], 0.62, 0.34)
	for _, foot := range []int{demo.RightAnkle, demo.LeftAnkle} {
		spot(f.Joints[foot].Add(f.Forward.Times(0.05)), 0.2, 0.4)
	}
	return box
}
