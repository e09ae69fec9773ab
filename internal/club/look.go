package club

import (
	"slices"
	"time"
)

// Look says that one coach has looked through a stretch of a clip, both frames
// included, for some faults: on the strokes in it those faults were marked
// wherever the coach saw them. Only where somebody has looked does the absence of
// a mark say anything, so only strokes that were looked at count in a fault's
// rate (O'Donoghue P (2010) Research Methods for Sports Performance Analysis;
// Bakeman R, Quera V (2011) Sequential Analysis and Observational Methods: who
// observed which units for which codes comes before any rate).
//
// Like a stroke or a mark a look lies on the clip, not on a turn: turns may be
// moved, joined and parted, and what was looked at stays what it was.
type Look struct {
	ID         ID        `json:"id"`
	ClipID     ID        `json:"clip_id"`
	CoachID    ID        `json:"coach_id"` // empty: not known
	First      int       `json:"first"`    // frame
	Last       int       `json:"last"`     // frame
	FirstTicks int64     `json:"first_ticks"`
	LastTicks  int64     `json:"last_ticks"`
	Faults     []ID      `json:"faults"` // looked for; at least one
	Made       time.Time `json:"made"`   // UTC
	// Assumed says that nobody has said so: the look was taken from marks of a time
	// when looks were not kept (see AssumedLooks).
	Assumed bool `json:"assumed,omitempty"`
	BlindID ID   `json:"blind_id,omitempty"` // the blind look in which it was entered; empty: openly
}

// Covers reports whether the frame was looked at.
func (l Look) Covers(frame int) bool { return l.First <= frame && frame <= l.Last }

// For reports whether the fault was looked for.
func (l Look) For(fault ID) bool { return slices.Contains(l.Faults, fault) }

// ForAll reports whether each of some faults was looked for.
func (l Look) ForAll(faults []ID) bool {
	return !slices.ContainsFunc(faults, func(f ID) bool { return !l.For(f) })
}

// Check returns a *Problem where the look breaks a rule.
func (l Look) Check() error {
	if l.First < 0 || l.First > l.Last {
		return problem("first", "The stretch that was looked through must start at or before its end, inside the clip.")
	}
	if len(l.Faults) == 0 {
		return problem("faults", "Say which faults were looked for: at least one.")
	}
	for i, f := range l.Faults {
		if f == "" || slices.Contains(l.Faults[:i], f) {
			return problem("faults", "Each fault that was looked for is named once.")
		}
	}
	return nil
}

// LookedAt reports whether somebody has looked at a frame of the turn for a fault.
func (r TurnRecord) LookedAt(fault ID, frame int) bool {
	return slices.ContainsFunc(r.Looks, func(l Look) bool { return l.Covers(frame) && l.For(fault) })
}

// LookedSeconds is how much of the turn somebody has looked at for a fault, 0 to
// Seconds: every picture that was looked at as long as it stands. What two coaches
// have looked at counts once.
func (r TurnRecord) LookedSeconds(fault ID) float64 {
	looks := slices.DeleteFunc(slices.Clone(r.Looks), func(l Look) bool { return !l.For(fault) || l.Last < r.First || l.First > r.Last })
	slices.SortFunc(looks, func(a, b Look) int { return a.First - b.First })
	ticks, stretches, last, reached := int64(0), 0, r.First-1, r.FirstTicks // so far, the last picture and its moment
	for _, l := range looks {
		from, to := max(l.FirstTicks, r.FirstTicks), min(l.LastTicks, r.LastTicks)
		if stretches > 0 && l.First <= last+1 {
			from = reached
		} else {
			stretches++
		}
		if l.Last > last {
			ticks += max(0, to-from)
			last, reached = l.Last, max(to, reached)
		}
	}
	return r.Base.Seconds(ticks) + float64(stretches)*r.Picture
}

// AssumedLooks is what is taken for looks in turns from a time when none were
// kept: a turn with a mark counts as looked through, for all those faults, by each
// coach who has marked in it; a turn without any mark counts as looked at by
// nobody. Made is the time of the coach's last
// mark there. newID gives each look its ID.
func AssumedLooks(turns []Turn, marks []Mark, faults []ID, newID func() ID) []Look {
	var looks []Look
	if len(faults) == 0 {
		return nil
	}
	on := map[ID][]Mark{} // by clip
	for _, m := range marks {
		on[m.ClipID] = append(on[m.ClipID], m)
	}
	for _, t := range turns {
		at := map[ID]int{}
		for _, m := range on[t.ClipID] {
			if !t.Covers(m.Frame) {
				continue
			}
			i, ok := at[m.CoachID]
			if !ok {
				i = len(looks)
				at[m.CoachID] = i
				looks = append(looks, Look{ID: newID(), ClipID: t.ClipID, CoachID: m.CoachID, First: t.First, Last: t.Last,
					FirstTicks: t.FirstTicks, LastTicks: t.LastTicks, Faults: slices.Clone(faults), Assumed: true})
			}
			if m.Made.After(looks[i].Made) {
				looks[i].Made = m.Made
			}
		}
	}
	return looks
}
