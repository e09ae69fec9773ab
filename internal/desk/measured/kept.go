package measured

import (
	"math"
	"slices"

	"strokeledger/internal/cache"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/measure"
	"strokeledger/internal/pose"
)

// bodyForm counts the networks and the way of following too: clips are looked through
// again by those that find joints better.
func bodyForm() cache.Form { return cache.Form{Name: "body", Version: 1} }

// kept is what was found in a clip so far.
type kept struct {
	by    footage.Choice // of the file's videos
	ruler string         // that told who stands at the near end; empty: none did
	first int            // and the frames in which it holds: before and after, the camera stood otherwise
	last  int
	seen  []seen // in order of frame
}

// seen is one picture that was looked at.
type seen struct {
	frame int
	found bool
	body  measure.Body // its time is left to the frame index
}

func (k *kept) fields(f cache.Fields) {
	cache.Whole(f, &k.by.Video)
	cache.Whole(f, &k.by.Sound)
	cache.Text(f, &k.ruler)
	cache.Whole(f, &k.first)
	cache.Whole(f, &k.last)
	cache.List(f, &k.seen, func(s *seen) {
		cache.Whole(f, &s.frame)
		cache.Truth(f, &s.found)
		if !s.found {
			return
		}
		for _, pair := range s.body.Pairs() {
			for i := range pair {
				rounded(f, &pair[i].X, 32) // pixels: less than a network can tell
				rounded(f, &pair[i].Y, 32)
				rounded(f, &pair[i].Visibility, 100)
			}
		}
	})
}

func rounded(f cache.Fields, v *float64, parts float64) {
	n := int(math.Round(*v * parts))
	cache.Whole(f, &n)
	*v = float64(n) / parts
}

func (k *kept) bytes() []byte {
	w := cache.NewWriter(bodyForm(), 90*len(k.seen))
	k.fields(cache.Write(w))
	return w.Seal()
}

// readKept reports whether bytes are what bytes has written.
func readKept(data []byte) (k kept, ok bool) {
	r, ok := cache.Open(bodyForm(), data)
	k.fields(cache.Read(&r))
	return k, ok && !r.Bad() && r.Left() == 0
}

func (k *kept) place(frame int) (int, bool) {
	return slices.BinarySearchFunc(k.seen, frame, func(s seen, n int) int { return s.frame - n })
}

// has reports whether a picture was looked at.
func (k *kept) has(frame int) bool {
	_, ok := k.place(frame)
	return ok
}

// add keeps what was found in a picture that was not looked at before.
func (k *kept) add(s seen) {
	at, _ := k.place(s.frame)
	k.seen = slices.Insert(k.seen, at, s)
}

// bodyOf takes from a person what is measured.
func bodyOf(p *pose.Person) (b measure.Body) {
	places := [6][2]pose.Place{{pose.RightShoulder, pose.LeftShoulder}, {pose.RightElbow, pose.LeftElbow}, {pose.RightWrist, pose.LeftWrist},
		{pose.RightHip, pose.LeftHip}, {pose.RightHeel, pose.LeftHeel}, {pose.RightToe, pose.LeftToe}}
	for i, pair := range b.Pairs() {
		for side := range pair {
			pair[side] = measure.Joint(p.Joints[places[i][side]])
		}
	}
	return b
}
