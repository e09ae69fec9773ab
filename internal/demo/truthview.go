package demo

// truthMove is a camera from one picture on.
type truthMove struct {
	Frame  int         `json:"frame"`
	Camera TruthCamera `json:"camera"`
}

// CameraAt is the camera of a picture.
func (c *TruthClip) CameraAt(frame int) TruthCamera {
	camera := c.Camera
	for _, m := range c.Moved {
		if m.Frame <= frame {
			camera = m.Camera
		}
	}
	return camera
}

// TruthCamera is the camera. With x and y the right and the down part of p-at, each
// over its ahead part, and r² = x² + y², a point p is seen at centre + focal (1 + k1 r²) (x, y).
// Right, down and ahead are the rows of its rotation.
type TruthCamera struct {
	At     [3]float64 `json:"at"`
	Right  [3]float64 `json:"right"`
	Down   [3]float64 `json:"down"`
	Ahead  [3]float64 `json:"ahead"`
	Focal  float64    `json:"focal"`  // pixels
	Centre [2]float64 `json:"centre"` // pixels
	K1     float64    `json:"k1"`     // radial distortion, 0 for none
}

// Camera is the camera to project with.
func (c TruthCamera) Camera() Camera {
	v := func(a [3]float64) Vec { return Vec{a[0], a[1], a[2]} }
	return Camera{At: v(c.At), Right: v(c.Right), Down: v(c.Down), Ahead: v(c.Ahead), Focal: c.Focal, CX: c.Centre[0], CY: c.Centre[1], K1: c.K1}
}

func truthCamera(c Camera) TruthCamera {
	// Not rounded: a test projects with it.
	return TruthCamera{At: exact(c.At), Right: exact(c.Right), Down: exact(c.Down), Ahead: exact(c.Ahead), Focal: c.Focal, Centre: [2]float64{c.CX, c.CY}, K1: c.K1}
}

// truthFoot is one foot.
type truthFoot struct {
	Heel TruthPoint `json:"heel"` // middle of the shoe at the heel
	Toe  TruthPoint `json:"toe"`  // and at the toes
	Sole TruthPoint `json:"sole"` // on the floor, under the middle of both
}

// TruthPoint is a place in the hall and in the picture.
type TruthPoint struct {
	At [3]float64 `json:"at"`
	X  float64    `json:"x"`
	Y  float64    `json:"y"`
}

// foot is one foot of a figure, its heel a joint of it.
func (s *Scene) foot(f Figure, t float64, heel int) truthFoot {
	camera := s.CameraAt(s.Seconds(s.Frame(t)))
	point := func(joint int) TruthPoint {
		x, y, _ := camera.Project(f.Joints[joint])
		return TruthPoint{f.Joints[joint].array(), round(x, 3), round(y, 3)}
	}
	return truthFoot{point(heel), point(heel + 1), point(heel + 2)}
}
