package demo

import "math"

// The joints of a Figure. Right and left are the person's own.
const (
	Head = iota // centre of the head
	Neck
	Pelvis
	RightShoulder
	RightElbow
	RightWrist
	LeftShoulder
	LeftElbow
	LeftWrist
	RightHip
	RightKnee
	RightAnkle
	LeftHip
	LeftKnee
	LeftAnkle
	Racket    // centre of the blade
	RightHeel // middle of the shoe at the heel
	RightToe  // and at the toes
	RightSole // of the shoe, under the middle of heel and toes: on the floor while the foot is planted
	LeftHeel
	LeftToe
	LeftSole
	JointCount
)

// jointNames names the joints in their order, as the truth file does.
func jointNames() []string {
	return []string{"head", "neck", "pelvis", "right_shoulder", "right_elbow", "right_wrist", "left_shoulder",
		"left_elbow", "left_wrist", "right_hip", "right_knee", "right_ankle", "left_hip", "left_knee", "left_ankle", "racket",
		"right_heel", "right_toe", "right_sole", "left_heel", "left_toe", "left_sole"}
}

// Figure is one person at one moment.
type Figure struct {
	Joints  [JointCount]Vec
	Blade   Vec // unit, from the wrist to the centre of the blade
	Face    Vec // unit, square to the blade, the side that is played with
	Forward Vec // unit, where the body faces
	Look    Look
	Left    bool // holds the racket in the left hand
	Scale   float64
}

// RGB is a colour, each part 0 to 255.
type RGB [3]uint8

// Look is how a person is drawn.
type Look struct {
	Height                   float64 // metres
	Skin, Hair, Shirt, Short RGB
	Shoes                    RGB
	Long                     bool // long hair, tied
	Trim                     RGB  // second colour of the clothes
	Cloth                    Cloth
	Number                   int // on the back of the shirt, 0 for none
}

// Cloth is the pattern of a shirt.
type Cloth int

// Patterns.
const (
	Plain  Cloth = iota
	Hoops        // stripes across
	Band         // one across the chest
	Halves       // two colours, side by side
	Flecks       // small and irregular
)

// Lengths of the body at the height of 1.65 m, metres; rounded from common
// proportions of the body, for the drawing only.
const (
	bodyHeight = 1.65
	trunk      = 0.47
	neckHead   = 0.21
	upperArm   = 0.29
	foreArm    = 0.26
	grasp      = 0.17 // wrist to the centre of the blade
	thigh      = 0.43
	shin       = 0.42
	shoulders  = 0.185
	hips       = 0.10
	ankleUp    = 0.07 // above the sole
	heelBack   = 0.05 // ankle to the middle of the shoe at the heel, level
	toeAhead   = 0.15 // and at the toes
	heelDrop   = 0.03 // the same, downward
	toeDrop    = 0.035
)

// Actor is one person in a clip from entering to leaving.
type Actor struct {
	Near     bool // plays at the near end
	Passer   bool // plays nothing
	Look     Look
	Left     bool
	From, To float64 // seconds in which the person may be in the picture

	body         track
	racketSideFt []plant
	freeSideFt   []plant
}

// Figure is the person at a time.
func (a *Actor) Figure(t float64) Figure {
	return a.posed(a.body.at(t), foot(a.racketSideFt, t), foot(a.freeSideFt, t))
}

// posed is the person in a pose, with the feet at two places.
func (a *Actor) posed(p pose, racketFoot, freeFoot Vec) Figure {
	k := a.Look.Height / bodyHeight
	f := Vec{math.Cos(p[facing]), math.Sin(p[facing]), 0}
	side := Vec{f.Y, -f.X, 0} // to the right hand
	if a.Left {
		side = side.Times(-1)
	}
	up := Vec{0, 0, 1}
	at := Vec{p[pelvisX], p[pelvisY], 0}
	world := func(fwd, lat, z float64) Vec { return at.Add(f.Times(fwd)).Add(side.Times(lat)).Add(up.Times(z)) }

	pelvis := world(0, 0, p[hipHeight]+0.05*k)
	spine := f.Times(math.Sin(p[lean])).Add(up.Times(math.Cos(p[lean])))
	neck := pelvis.Add(spine.Times(trunk * k))
	// The head stays more upright than the trunk and watches the ball.
	head := neck.Add(f.Times(math.Sin(p[lean]*0.5 + 0.1)).Add(up.Times(math.Cos(p[lean] * 0.5))).Times(neckHead * k))
	across := side.Times(math.Cos(p[twistBack])).Sub(f.Times(math.Sin(p[twistBack])))
	drop := spine.Times(-0.035 * k)
	racketShoulder := neck.Add(across.Times(shoulders * k)).Add(drop)
	freeShoulder := neck.Sub(across.Times(shoulders * k)).Add(drop)
	hipTwist := p[twistBack] * 0.4
	hipAcross := side.Times(math.Cos(hipTwist)).Sub(f.Times(math.Sin(hipTwist)))
	racketHip := pelvis.Add(hipAcross.Times(hips * k)).Sub(up.Times(0.05 * k))
	freeHip := pelvis.Sub(hipAcross.Times(hips * k)).Sub(up.Times(0.05 * k))

	racket := world(p[racketFwd], p[racketSide], p[racketUp])
	blade := f.Times(p[bladeFwd]).Add(side.Times(p[bladeSide])).Add(up.Times(p[bladeUp])).Unit()
	wrist := within(racketShoulder, racket.Sub(blade.Times(grasp)), (upperArm+foreArm)*k)
	racket = wrist.Add(blade.Times(grasp))
	out := up.Times(-math.Cos(p[elbowOut])).Add(side.Times(math.Sin(p[elbowOut]))).Sub(f.Times(0.25))
	racketElbow := bend(racketShoulder, wrist, upperArm*k, foreArm*k, out)
	hand := within(freeShoulder, world(p[handFwd], p[handSide], p[handUp]), (upperArm+foreArm)*k)
	freeElbow := bend(freeShoulder, hand, upperArm*k, foreArm*k, up.Times(-1).Sub(side.Times(0.6)).Sub(f.Times(0.3)))

	racketAnkle := within(racketHip, racketFoot.Add(up.Times(ankleUp*k)), (thigh+shin)*k)
	freeAnkle := within(freeHip, freeFoot.Add(up.Times(ankleUp*k)), (thigh+shin)*k)
	racketKnee := bend(racketHip, racketAnkle, thigh*k, shin*k, f.Add(side.Times(0.45)))
	freeKnee := bend(freeHip, freeAnkle, thigh*k, shin*k, f.Sub(side.Times(0.45)))

	twisted := f.Times(math.Cos(p[twistBack])).Add(side.Times(math.Sin(p[twistBack])))
	fig := Figure{Blade: blade, Face: twisted.Sub(blade.Times(twisted.Dot(blade))).Unit(), Forward: f, Look: a.Look, Left: a.Left, Scale: k}
	fig.Joints[Head], fig.Joints[Neck], fig.Joints[Pelvis], fig.Joints[Racket] = head, neck, pelvis, racket
	right, left := racketArm(0), racketArm(1)
	if a.Left {
		right, left = left, right
	}
	fig.limbs(right, racketShoulder, racketElbow, wrist, racketHip, racketKnee, racketAnkle)
	fig.limbs(left, freeShoulder, freeElbow, hand, freeHip, freeKnee, freeAnkle)
	return fig
}

type racketArm int

// limbs sets the joints of one side, 0 the right, 1 the left.
func (f *Figure) limbs(side racketArm, shoulder, elbow, wrist, hip, knee, ankle Vec) {
	at := [2][6]int{{RightShoulder, RightElbow, RightWrist, RightHip, RightKnee, RightAnkle},
		{LeftShoulder, LeftElbow, LeftWrist, LeftHip, LeftKnee, LeftAnkle}}[side]
	for i, v := range []Vec{shoulder, elbow, wrist, hip, knee, ankle} {
		f.Joints[at[i]] = v
	}
	k := f.Scale
	heel := ankle.Sub(f.Forward.Times(heelBack * k)).Sub(Vec{Z: heelDrop * k})
	toe := ankle.Add(f.Forward.Times(toeAhead * k)).Sub(Vec{Z: toeDrop * k})
	sole := heel.To(toe, 0.5)
	sole.Z = ankle.Z - ankleUp*k
	first := [2]int{RightHeel, LeftHeel}[side]
	f.Joints[first], f.Joints[first+1], f.Joints[first+2] = heel, toe, sole
}

// within pulls b to a where it lies farther away than reach: limbs do not grow, a
// heel comes off the floor instead.
func within(a, b Vec, reach float64) Vec {
	if d := b.Sub(a).Length(); d > reach {
		return a.To(b, reach/d)
	}
	return b
}

// bend is the middle joint of a limb of two bones from a to b, bent towards a
// direction. Where the ends lie too far apart the limb is straight.
func bend(a, b Vec, first, second float64, towards Vec) Vec {
	line := b.Sub(a)
	d := line.Length()
	axis := line.Unit()
	if d >= first+second {
		return a.Add(axis.Times(d * first / (first + second)))
	}
	along := (first*first - second*second + d*d) / (2 * d)
	off := math.Sqrt(math.Max(0, first*first-along*along))
	square := towards.Sub(axis.Times(towards.Dot(axis))).Unit()
	return a.Add(axis.Times(along)).Add(square.Times(off))
}

// ElbowAngle is between the racket arm's upper arm and straight down, degrees.
func (f *Figure) ElbowAngle() float64 {
	shoulder, elbow := RightShoulder, RightElbow
	if f.Left {
		shoulder, elbow = LeftShoulder, LeftElbow
	}
	arm := f.Joints[elbow].Sub(f.Joints[shoulder])
	return math.Acos(min(1, max(-1, -arm.Z/arm.Length()))) * 180 / math.Pi
}
