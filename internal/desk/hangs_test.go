package desk_test

import "strokeledger/internal/club"

// hangs is on which stroke a mark hangs: where a coach has hung it, else by its
// fault's phase, as the README says; a contact logged up to a tenth of a second off
// takes the mark all the same.
func hangs(m club.Mark, f club.Fault, strokes []club.Stroke) int {
	nearest, before, after := -1, -1, -1
	away := func(i int) int { return max(strokes[i].Frame-m.Frame, m.Frame-strokes[i].Frame) }
	for i, s := range strokes {
		if !f.Sides.Could(s.Side) {
			continue
		}
		if s.ID == m.StrokeID {
			return i
		}
		if nearest < 0 || away(i) < away(nearest) {
			nearest = i
		}
		if s.Frame < m.Frame {
			before = i
		} else if after < 0 {
			after = i
		}
	}
	if nearest < 0 {
		return -1
	}
	tie := before >= 0 && after >= 0 && away(before) == away(after)
	close := away(nearest) <= 2 // pictures of 0.04 s: 0.08 s
	switch f.Phase {
	case club.FollowThrough, club.Recovery:
		if tie && close {
			return after
		}
		if before >= 0 && !close {
			return before
		}
	case club.Ready, club.Footwork, club.Backswing:
		if tie && close {
			return before
		}
		if after >= 0 && !close {
			return after
		}
	}
	return nearest
}
