// Package pose finds the joints of people in pictures, with two networks that are
// published for it: one finds people, the other 33 places of a body ([Place]). It says
// where joints are and of nobody who it is. How far its places can be trusted was
// measured on drawn people; nobody has tried it on children, or in a real hall.
//
// Places are in display pixels from the picture's top left corner, so the centre of
// the first pixel is .5, .5. Left and right are the person's own.
package pose

import "math"

// Place is one of the places of a body, by its number in the network's output
// (Bazarevsky V et al. (2020), BlazePose: on-device real-time body pose tracking, arXiv
// 2006.10204; the numbers as its publisher documents them).
type Place int

// The places.
const (
	Nose Place = iota
	LeftEyeInner
	LeftEye
	LeftEyeOuter
	RightEyeInner
	RightEye
	RightEyeOuter
	LeftEar
	RightEar
	MouthLeft
	MouthRight
	LeftShoulder
	RightShoulder
	LeftElbow
	RightElbow
	LeftWrist
	RightWrist
	LeftLittleFinger
	RightLittleFinger
	LeftForefinger
	RightForefinger
	LeftThumb
	RightThumb
	LeftHip
	RightHip
	LeftKnee
	RightKnee
	LeftAnkle
	RightAnkle
	LeftHeel
	RightHeel
	LeftToe
	RightToe

	Places = 33 // how many there are
)

// String is the place in words.
func (p Place) String() string {
	return [Places]string{"nose", "left eye, inner", "left eye", "left eye, outer", "right eye, inner", "right eye", "right eye, outer",
		"left ear", "right ear", "mouth, left", "mouth, right", "left shoulder", "right shoulder", "left elbow", "right elbow",
		"left wrist", "right wrist", "left little finger", "right little finger", "left forefinger", "right forefinger",
		"left thumb", "right thumb", "left hip", "right hip", "left knee", "right knee", "left ankle", "right ankle",
		"left heel", "right heel", "left toe", "right toe"}[p]
}

// other is the same place on the other side of the body, itself for the nose.
func (p Place) other() Place {
	switch {
	case p == Nose:
		return p
	case p < LeftEar: // three of the left eye, then three of the right
		return (p+2)%6 + 1
	case p%2 == 1: // pairs from here on, the left one first
		return p + 1
	}
	return p - 1
}

// Joint is where one place of a body shows.
type Joint struct {
	X, Y float64
	// Visibility is how sure the network is that the place is in the picture and not
	// hidden, 0 to 1.
	Visibility float64
}

// Person is one person in one picture.
type Person struct {
	Joints [Places]Joint
	// Score is how sure the network is that this is a person, 0 to 1. It says nothing of
	// which person it is.
	Score  float64
	region square // where the person is searched for in the next picture
}

// Feet is the point between the middles of both feet, each from heel to toe.
func (p *Person) Feet() (x, y float64) {
	return p.between(LeftHeel, LeftToe, RightHeel, RightToe)
}

// between is the middle of some places.
func (p *Person) between(places ...Place) (x, y float64) {
	for _, i := range places {
		x += p.Joints[i].X / float64(len(places))
		y += p.Joints[i].Y / float64(len(places))
	}
	return x, y
}

// exchanged is the person with left and right exchanged.
func (p *Person) exchanged() Person {
	q := *p
	for i, j := range p.Joints {
		q.Joints[Place(i).other()] = j
	}
	return q
}

// square is an upright square part of a picture.
type square struct{ x, y, size float64 } // its centre

// apart is how far the centres of two squares are apart.
func (s square) apart(o square) float64 { return math.Hypot(s.x-o.x, s.y-o.y) }
