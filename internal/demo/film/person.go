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

// part is one piece of a person, drawn after those that lie behind it.
type part struct {
	depth float64
	draw  func() image.Rectangle
}

// person draws a figure and returns where.
func (v view) person(f demo.Figure) image.Rectangle {
	j, k := f.Joints, f.Scale
	look := f.Look
	var parts []part
	put := func(at demo.Vec, nearer float64, draw func() image.Rectangle) {
		parts = append(parts, part{v.depth(at) - nearer, draw})
	}
	legs := [2][5]int{{demo.RightHip, demo.RightKnee, demo.RightAnkle, demo.RightHeel, demo.RightToe},
		{demo.LeftHip, demo.LeftKnee, demo.LeftAnkle, demo.LeftHeel, demo.LeftToe}}
	for _, l := range legs {
		put(j[l[0]].To(j[l[2]], 0.5), 0, func() image.Rectangle { return v.leg(f, l) })
	}
	put(j[demo.Pelvis].To(j[demo.Neck], 0.5), 0, func() image.Rectangle { return v.trunk(f) })
	put(j[demo.Head], 0.02, func() image.Rectangle { return v.head(f) })
	arms := [2][3]int{{demo.RightShoulder, demo.RightElbow, demo.RightWrist}, {demo.LeftShoulder, demo.LeftElbow, demo.LeftWrist}}
	for i, a := range arms {
		shoulder, elbow, wrist := j[a[0]], j[a[1]], j[a[2]]
		holds := (i == 1) == f.Left
		put(shoulder.To(elbow, 0.6), 0, func() image.Rectangle {
			box := v.stick(shoulder, elbow, 0.047*k, 0.038*k, look.Skin)
			return box.Union(v.stick(shoulder, shoulder.To(elbow, 0.5), 0.062*k, 0.056*k, look.Shirt))
		})
		put(elbow.To(wrist, 0.5), 0, func() image.Rectangle {
			box := v.stick(elbow, wrist, 0.038*k, 0.027*k, look.Skin)
			if !holds {
				hand := wrist.Add(wrist.Sub(elbow).Unit().Times(0.05 * k))
				box = box.Union(v.stick(wrist, hand, 0.032*k, 0.036*k, look.Skin))
			}
			return box
		})
		if holds {
			put(j[demo.Racket], 0.01, func() image.Rectangle { return v.racket(f, wrist) })
		}
	}
	sort.SliceStable(parts, func(a, b int) bool { return parts[a].depth > parts[b].depth })
	var box image.Rectangle
	for _, p := range parts {
		box = box.Union(p.draw())
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
		// Order: lower right, upper right, upper left, lower left; slab shades
		// between its second and its first side, so turn it by one.
		q[(i+3)%4], size = v.at2(p, size)
	}
	return box.Union(v.slab([4]point{q[3], q[0], q[1], q[2]}, 0.088*k*size/4, f.Look.Shirt))
}

// at2 is at for a sum of sizes.
func (v view) at2(p demo.Vec, sum float64) (point, float64) {
	place, size := v.at(p)
	return place, sum + size
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
