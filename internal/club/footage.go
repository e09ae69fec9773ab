package club

import (
	"time"

	"strokeledger/internal/timecode"
)

// Session is one training date.
type Session struct {
	ID   ID     `json:"id"`
	Date Date   `json:"date"`
	Note string `json:"note,omitempty"`
}

// Clip is one media file filmed in a session. The file is known again by its
// fingerprint wherever it lies; Path is where it was seen last.
type Clip struct {
	ID          ID            `json:"id"`
	SessionID   ID            `json:"session_id"`
	Name        string        `json:"name"` // file name for showing
	Path        string        `json:"path"` // absolute
	Fingerprint string        `json:"fingerprint"`
	Bytes       int64         `json:"bytes"`
	Frames      int           `json:"frames"`      // pictures counted when it was added
	FirstTicks  int64         `json:"first_ticks"` // of the first picture
	Base        timecode.Base `json:"base"`        // seconds a tick
	Seconds     float64       `json:"seconds"`     // from the first picture to the end of the last
	Width       int           `json:"width"`       // as shown, pixels
	Height      int           `json:"height"`      // as shown, pixels
}

// Picture is for how many seconds one picture stands, on average; 0 where the clip
// has none.
func (c Clip) Picture() float64 {
	if c.Frames <= 0 {
		return 0
	}
	return c.Seconds / float64(c.Frames)
}

// Turn is a stretch of one clip, both frames included, in which one player does
// one drill.
type Turn struct {
	ID         ID    `json:"id"`
	ClipID     ID    `json:"clip_id"`
	PlayerID   ID    `json:"player_id"`
	DrillID    ID    `json:"drill_id"`
	First      int   `json:"first"` // frame
	Last       int   `json:"last"`  // frame
	FirstTicks int64 `json:"first_ticks"`
	LastTicks  int64 `json:"last_ticks"`
	// Settled says that a coach has taken over or refused what was heard in the
	// sound: no more strokes are proposed in this turn.
	Settled bool `json:"settled,omitempty"`
	// Anchor is a moment at which a coach has said that this player strikes, in
	// ticks: it tells in the sound who is who. Nil: nobody has.
	Anchor *int64 `json:"anchor,omitempty"`
	// HeardFrom is the least confidence of a heard contact that is proposed as a
	// stroke, 0 to 1; 0: the usual one.
	HeardFrom float64 `json:"heard_from,omitempty"`
}

// Moment is one picture of a clip.
type Moment struct {
	Frame int   `json:"frame"`
	Ticks int64 `json:"ticks"`
}

// Stroke is a contact made by the player of the turn that covers its frame.
type Stroke struct {
	ID         ID      `json:"id"`
	ClipID     ID      `json:"clip_id"`
	Frame      int     `json:"frame"`
	Ticks      int64   `json:"ticks"`
	Side       Side    `json:"side,omitempty"` // set by a coach; empty: as the drill's pattern says
	Outcome    Outcome `json:"outcome"`
	Source     Source  `json:"source"`
	Confidence float64 `json:"confidence"` // 0 to 1; 1 for what a coach entered
	CoachID    ID      `json:"coach_id"`
	// Ready is when the player is back in the ready position after this stroke;
	// nil: nobody has said.
	Ready *Moment `json:"ready,omitempty"`
	// Answer is the partner's next contact, seconds on clip time; nil: not known.
	Answer *float64 `json:"answer,omitempty"`
}

// Mark is one fault at one frame, by one coach. It belongs to the turn that
// covers its frame and hangs on the stroke of that turn that its fault's phase
// says (see aim.HangOn) unless a coach has hung it on another; outside
// every turn it is kept but not counted.
type Mark struct {
	ID         ID        `json:"id"`
	ClipID     ID        `json:"clip_id"`
	FaultID    ID        `json:"fault_id"`
	CoachID    ID        `json:"coach_id"`
	Frame      int       `json:"frame"`
	Ticks      int64     `json:"ticks"`
	Note       string    `json:"note,omitempty"`
	Source     Source    `json:"source"`
	Confidence float64   `json:"confidence"`          // 0 to 1; 1 for what a coach entered
	Made       time.Time `json:"made"`                // UTC
	StrokeID   ID        `json:"stroke_id,omitempty"` // hung on this stroke by a coach; empty, or gone: as the fault's phase says
	Sign       *Sign     `json:"sign,omitempty"`      // drawn on the picture; nil: nothing
	// SeenID is the clip of another camera in whose picture of that moment the fault was
	// seen, and on which its sign is drawn; empty: the clip's own.
	SeenID  ID `json:"seen_id,omitempty"`
	BlindID ID `json:"blind_id,omitempty"` // the blind look in which it was entered; empty: openly
}

// OwnSign is the sign on the mark's own picture: none where it is drawn on that of another
// camera.
func (m Mark) OwnSign() *Sign {
	if m.SeenID != "" {
		return nil
	}
	return m.Sign
}

// Sign is an arrow from (X1, Y1) to the place (X2, Y2), or a circle round
// (X1, Y1) through (X2, Y2). Places are fractions of the shown picture, 0 to 1
// from its left upper corner.
type Sign struct {
	Kind SignKind `json:"kind"`
	X1   float64  `json:"x1"`
	Y1   float64  `json:"y1"`
	X2   float64  `json:"x2"`
	Y2   float64  `json:"y2"`
}

// Covers reports whether the frame lies in the turn.
func (t Turn) Covers(frame int) bool { return t.First <= frame && frame <= t.Last }

// CheckTurn returns a *Problem where the turn is not a stretch of a clip with
// that many frames, or overlaps another turn of the same clip.
func CheckTurn(n Turn, frames int, others []Turn) error {
	if n.PlayerID == "" {
		return problem("player", "Say who is playing in this turn.")
	}
	if n.DrillID == "" {
		return problem("drill", "Say which drill is played in this turn.")
	}
	if frames <= 0 {
		return problem("first", "The frames of this clip are not counted yet: open the clip first.")
	}
	if n.First < 0 || n.Last >= frames || n.First > n.Last {
		return problem("first", "The turn must start at or before its end, inside the clip's frames 0 to %d.", frames-1)
	}
	for _, o := range others {
		if o.ID != n.ID && o.ClipID == n.ClipID && o.First <= n.Last && n.First <= o.Last {
			return problem("first", "This turn overlaps the one at frames %d to %d: move one of them.", o.First, o.Last)
		}
	}
	return nil
}

// Check returns a *Problem where the turn breaks a rule that needs no clip.
func (t Turn) Check() error {
	if !(t.HeardFrom >= 0 && t.HeardFrom <= 1) {
		return problem("heard_from", "The sensitivity is a number from 0 to 1.")
	}
	return nil
}

// Check returns a *Problem where the session breaks a rule.
func (s Session) Check() error {
	if _, err := ParseDate(string(s.Date)); err != nil {
		return err
	}
	return checkNote("note", s.Note)
}

// Check returns a *Problem where the clip breaks a rule.
func (c Clip) Check() error {
	if err := checkName("name", c.Name); err != nil {
		return err
	}
	if !c.Base.Valid() || c.Frames < 0 || c.Bytes < 0 || c.Width < 0 || c.Height < 0 || !(c.Seconds >= 0) {
		return problem("", "What was found out about the clip %q makes no sense: add the file again.", c.Name)
	}
	return nil
}

// Check returns a *Problem where the mark breaks a rule.
func (m Mark) Check() error {
	if err := checkEntry(m.Frame, m.Source, m.Confidence); err != nil {
		return err
	}
	if s := m.Sign; s != nil {
		if err := oneOf("sign", s.Kind, []SignKind{Arrow, Circle}); err != nil {
			return err
		}
		for _, v := range []float64{s.X1, s.Y1, s.X2, s.Y2} {
			if !(v >= 0 && v <= 1) {
				return problem("sign", "The drawn sign must lie inside the picture: draw it again.")
			}
		}
	}
	return checkNote("note", m.Note)
}

// checkEntry holds for whatever a coach or a detector puts on one frame.
func checkEntry(frame int, source Source, confidence float64) error {
	if frame < 0 {
		return problem("frame", "Frames are counted from 0: pick one inside the clip.")
	}
	if err := oneOf("source", source, []Source{ByHand, ByMachine, BySight}); err != nil {
		return err
	}
	if !(confidence >= 0 && confidence <= 1) {
		return problem("confidence", "The confidence is a number from 0 to 1.")
	}
	return nil
}

// Check returns a *Problem where the stroke breaks a rule.
func (s Stroke) Check() error {
	if err := oneOf("outcome", s.Outcome, []Outcome{Good, Missed}); err != nil {
		return err
	}
	if err := oneOf("side", s.Side, []Side{"", Forehand, Backhand}); err != nil {
		return err
	}
	if s.Ready != nil && s.Ready.Frame <= s.Frame {
		return problem("ready", "The player is back in the ready position after the stroke, not before: go on to that moment first.")
	}
	return checkEntry(s.Frame, s.Source, s.Confidence)
}

// TurnRecord is one turn with all that was seen in it.
type TurnRecord struct {
	Turn
	Date    Date
	Base    timecode.Base
	Zero    int64    // ticks of the clip's first picture
	Picture float64  // seconds for which one picture of the clip stands, on average
	Strokes []Stroke // in order of frame
	Marks   []Mark   // in order of frame
	Looks   []Look   // that cover some picture of the turn, in order of first frame
}

// Seconds is how long the turn lasts, from its first picture to the end of its last.
func (r TurnRecord) Seconds() float64 { return r.Base.Seconds(r.LastTicks-r.FirstTicks) + r.Picture }

// Sides returns the side of each stroke: as the coach set it, else as the
// pattern says, else empty.
func (r TurnRecord) Sides(p Pattern) []Side {
	sides := make([]Side, len(r.Strokes))
	for i, s := range r.Strokes {
		sides[i] = s.Side
		if sides[i] == "" {
			sides[i] = p.Side(i)
		}
	}
	return sides
}

// Streak returns the most good strokes in a row, and how many stand at the end.
func (r TurnRecord) Streak() (longest, current int) {
	for _, s := range r.Strokes {
		if s.Outcome == Good {
			current++
			longest = max(longest, current)
		} else {
			current = 0
		}
	}
	return longest, current
}
