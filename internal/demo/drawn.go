package demo

import (
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
)

// draw draws on the picture of an elbow and on that of a player who stands too near, as the
// coaches would, and keeps a pair of the elbow beside a clean stroke of the same turn. Both
// are of the last session in which there is such a mark.
func (m *maker) draw() {
	elbows, near := m.codes[elbow].ID, m.codes[tooNear].ID
	if s, mark := m.plain(elbows); s != nil {
		angle := []int{RightElbow, RightShoulder, RightWrist}
		if s.player(mark.Frame).Left {
			angle = []int{LeftElbow, LeftShoulder, LeftWrist}
		}
		m.drawing(s, mark, 0, picture.Angle, "", s.places(mark.Frame, angle...))
		m.pair(s, mark)
	}
	if s, mark := m.plain(near); s != nil {
		p := s.places(mark.Frame, RightSole, LeftSole)
		middle := picture.Point{X: (p[0].X + p[1].X) / 2, Y: (p[0].Y + p[1].Y) / 2}
		m.drawing(s, mark, 12, picture.Circle, "", []picture.Point{middle, {X: min(0.98, middle.X+0.09), Y: middle.Y}})
		m.drawing(s, mark, 12, picture.Text, "a small step back", []picture.Point{{X: middle.X, Y: max(0.05, middle.Y-0.2)}})
	}
}

// plain is the last mark of a fault that is no slip and whose player is wholly in the picture.
func (m *maker) plain(fault club.ID) (*Scene, club.Mark) {
	for _, s := range slices.Backward(m.club.Scenes) {
		for _, k := range slices.Backward(s.Marks) {
			slipped := slices.ContainsFunc(m.club.Slips, func(x slip) bool { return x.MarkID == k.ID })
			if k.FaultID == fault && !slipped && s.player(k.Frame) != nil && s.places(k.Frame, Head, LeftSole, RightSole, RightWrist, LeftWrist) != nil {
				return s, k
			}
		}
	}
	return nil, club.Mark{}
}

// player is who plays the turn at a frame, nil for none.
func (s *Scene) player(frame int) *Actor {
	for _, a := range s.acts {
		if !a.empty && a.turn.First <= frame && frame <= a.turn.Last {
			return &s.Actors[a.actor]
		}
	}
	return nil
}

// places are joints of that player in the picture, none where one of them lies outside.
func (s *Scene) places(frame int, joints ...int) (all []picture.Point) {
	t := s.Seconds(frame)
	figure, camera := s.player(frame).Figure(t), s.CameraAt(t)
	for _, j := range joints {
		x, y, depth := camera.Project(figure.Joints[j])
		p := picture.Point{X: x / Width, Y: y / Height}
		if depth <= 0 || p.X < 0.02 || p.X > 0.98 || p.Y < 0.02 || p.Y > 0.98 {
			return nil
		}
		all = append(all, p)
	}
	return all
}

// drawing goes with a mark, on its frame and some after it.
func (m *maker) drawing(s *Scene, k club.Mark, after int, kind picture.DrawingKind, text string, places []picture.Point) {
	last := min(k.Frame+after, s.Frames-1)
	s.Drawings = append(s.Drawings, picture.Drawing{ID: m.mint.id(), ClipID: s.ClipID, CoachID: k.CoachID, MarkID: k.ID, Kind: kind, Text: text, Places: places,
		Frame: k.Frame, First: k.Frame, Last: last, Ticks: s.Ticks(k.Frame), FirstTicks: s.Ticks(k.Frame), LastTicks: s.Ticks(last)})
}

// pair keeps the marked stroke beside the nearest one of its clip on which nothing is marked.
func (m *maker) pair(s *Scene, k club.Mark) {
	const near = Rate / 2 // pictures
	best := -1
	for _, b := range s.Strokes {
		marked := slices.ContainsFunc(s.Marks, func(x club.Mark) bool { return max(x.Frame-b.Frame, b.Frame-x.Frame) < near })
		if !marked && s.player(b.Frame) == s.player(k.Frame) && (best < 0 || max(b.Frame-k.Frame, k.Frame-b.Frame) < max(best-k.Frame, k.Frame-best)) {
			best = b.Frame
		}
	}
	if best < 0 {
		return
	}
	whole := picture.WholeView()
	m.club.Pairs = append(m.club.Pairs, picture.Pair{ID: m.mint.id(), CoachID: k.CoachID, Name: "Elbow: steady, and lifted",
		ClipID: s.ClipID, Frame: best, Ticks: s.Ticks(best), Seen: whole,
		OtherID: s.ClipID, OtherFrame: k.Frame, OtherTicks: s.Ticks(k.Frame), OtherSeen: whole, Divided: 0.5})
}
