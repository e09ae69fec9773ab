package desk

import (
	"context"
	"math"
	"slices"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/proposal"
	"strokeledger/internal/store"
)

// HeardTurn is what the sound proposes for one turn.
type HeardTurn struct {
	TurnID club.ID `json:"turn_id"`
	// Known says that the sound was listened to beyond the turn's end.
	Known bool `json:"known"`
	// Player is which of the two that are heard is the turn's player: "near", the
	// louder one, unless a coach has said otherwise in this turn or in another of
	// the clip.
	Player string `json:"player"`
	// Sure says that a coach has confirmed it.
	Sure bool `json:"sure"`
	// Least is the confidence from which on contacts are proposed.
	Least   float64           `json:"least"`
	Strokes []proposal.Stroke `json:"strokes"` // in order of frame; none in a settled turn
}

// Proposals returns what the sound proposes for each turn of a clip.
func (d *Desk) Proposals(ctx context.Context, clipID club.ID) ([]HeardTurn, error) {
	v, err := d.hearing(ctx, clipID)
	if err != nil {
		return nil, err
	}
	out := make([]HeardTurn, 0, len(v.led.Turns))
	for _, t := range v.led.Turns {
		out = append(out, v.turn(t))
	}
	return out, nil
}

// TryLeast returns what would be proposed for a turn with another sensitivity,
// also for a settled one; nothing is kept.
func (d *Desk) TryLeast(ctx context.Context, turnID club.ID, least float64) (HeardTurn, error) {
	v, t, err := d.heardTurn(ctx, turnID)
	if err != nil {
		return HeardTurn{}, err
	}
	t.HeardFrom, t.Settled = least, false
	return v.turn(t), nil
}

// hearing is all that proposals in one clip are worked out from.
type hearing struct {
	row      club.Clip
	led      store.Ledger
	drills   map[club.ID]club.Drill
	index    *clip.Index
	contacts []contact.Contact
	certain  float64
}

func (d *Desk) hearing(ctx context.Context, clipID club.ID) (*hearing, error) {
	v := &hearing{drills: map[club.ID]club.Drill{}}
	var err error
	if v.row, err = d.Library.Clip(ctx, clipID); err != nil {
		return nil, err
	}
	if v.led, err = d.Library.OfClip(ctx, clipID); err != nil {
		return nil, err
	}
	cat, err := d.Library.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	for _, r := range cat.Drills {
		v.drills[r.ID] = r
	}
	if v.index, err = d.Footage.Index(ctx, v.row); err != nil {
		return nil, err
	}
	v.contacts, v.certain, err = d.Listening.ContactsOf(ctx, v.row)
	return v, err
}

// heardTurn is one turn with what is heard in its clip.
func (d *Desk) heardTurn(ctx context.Context, turnID club.ID) (*hearing, club.Turn, error) {
	t, err := store.Get[club.Turn](ctx, d.Library.Library, turnID)
	if err != nil {
		return nil, t, err
	}
	v, err := d.hearing(ctx, t.ClipID)
	return v, t, err
}

// seconds is the clip time of ticks.
func (v *hearing) seconds(ticks int64) float64 {
	return v.index.Base().Seconds(ticks - v.index.Ticks(0))
}

// frame is the picture nearest to a clip time.
func (v *hearing) frame(seconds float64) int { return footage.Nearest(v.index, seconds) }

// end is when the last picture of a turn gives way to the next.
func (v *hearing) end(t club.Turn) float64 {
	if t.Last+1 < v.index.Len() {
		return v.index.Seconds(t.Last + 1)
	}
	return v.index.EndSeconds()
}

func (v *hearing) strokes(t club.Turn) []club.Stroke {
	var in []club.Stroke
	for _, s := range v.led.Strokes {
		if t.Covers(s.Frame) {
			in = append(in, s)
		}
	}
	return in
}

// player is which of the two heard players has a turn, and whether a coach has
// said so in it. Players keep their places before one camera as a rule, so what
// was said in the nearest turn holds for the others.
func (v *hearing) player(t club.Turn) (who contact.Who, sure bool) {
	nearest := math.Inf(1)
	who = contact.Near
	for _, o := range v.led.Turns {
		if o.Anchor == nil {
			continue
		}
		said := proposal.Striker(v.contacts, v.seconds(*o.Anchor))
		if said == contact.Unknown {
			continue
		}
		if o.ID == t.ID {
			return said, true
		}
		if far := math.Abs(float64(o.First - t.First)); far < nearest {
			nearest, who = far, said
		}
	}
	return who, false
}

// play is a turn as propose wants it, with the strokes that are logged already.
func (v *hearing) play(t club.Turn, logged []club.Stroke) proposal.Play {
	drill := v.drills[t.DrillID]
	p := proposal.Play{
		From: v.index.Seconds(t.First), To: v.end(t), Fed: drill.Ball == club.Multiball,
		Least: proposal.UsualConfidence, Contacts: v.contacts,
	}
	p.Player, _ = v.player(t)
	if t.HeardFrom > 0 {
		p.Least = t.HeardFrom
	}
	for _, s := range logged {
		p.Logged = append(p.Logged, v.seconds(s.Ticks))
	}
	return p
}

// turn is what is proposed for one turn.
func (v *hearing) turn(t club.Turn) HeardTurn {
	out := HeardTurn{TurnID: t.ID, Strokes: []proposal.Stroke{}}
	if t.First < 0 || t.Last >= v.index.Len() {
		return out // the scan has not come there yet
	}
	logged := v.strokes(t)
	p := v.play(t, logged)
	out.Known, out.Least = v.certain >= p.To+proposal.DeadAfter, p.Least
	out.Player, out.Sure = string(p.Player), false
	_, out.Sure = v.player(t)
	if !out.Known || t.Settled {
		return out
	}
	taken := map[int]bool{}
	for _, s := range logged {
		taken[s.Frame] = true
	}
	for _, q := range proposal.Strokes(p) {
		q.Frame = min(max(v.frame(q.Seconds), t.First), t.Last)
		if !taken[q.Frame] { // one picture shows one stroke at most
			taken[q.Frame] = true
			out.Strokes = append(out.Strokes, q)
		}
	}
	v.pattern(t, logged, out.Strokes)
	return out
}

// pattern gives proposals the side that the drill's pattern has at their place
// among all strokes of the turn.
func (v *hearing) pattern(t club.Turn, logged []club.Stroke, proposed []proposal.Stroke) {
	sides := v.drills[t.DrillID].Pattern
	for i := range proposed {
		before, _ := slices.BinarySearchFunc(logged, proposed[i].Frame, func(s club.Stroke, frame int) int { return s.Frame - frame })
		proposed[i].Side = sides.Side(i + before)
	}
}

// answer is the partner's next contact after a logged stroke, as heard.
func (v *hearing) answer(t club.Turn, s club.Stroke) *float64 {
	at := v.seconds(s.Ticks)
	until := at + proposal.AnswerWithin
	for _, o := range v.strokes(t) {
		if o.Frame > s.Frame {
			until = min(until, v.seconds(o.Ticks))
			break
		}
	}
	if until > v.certain {
		return nil
	}
	// A stroke is logged at a picture near its contact: the partner's is later than that.
	return v.play(t, nil).Answer(at+proposal.SameStroke/2, until)
}

// frameAt is the picture nearest to a moment in ticks.
func (v *hearing) frameAt(ticks int64) int { return v.frame(v.seconds(ticks)) }

// margin is how long before the partner's next contact the player was ready again
// after a stroke, seconds, and whether both are known.
func (v *hearing) margin(s club.Stroke) (float64, bool) {
	if s.Ready == nil || s.Answer == nil {
		return 0, false
	}
	return *s.Answer - v.seconds(s.Ready.Ticks), true
}

// answered is a turn with the partner's contacts that were heard where none is kept.
func (v *hearing) answered(t club.Turn) club.TurnRecord {
	r := library.TurnRecord(v.row, v.led, t)
	p := v.play(t, nil)
	for i := range r.Strokes {
		if r.Strokes[i].Answer != nil {
			continue
		}
		at := v.seconds(r.Strokes[i].Ticks)
		until := at + proposal.AnswerWithin
		if i+1 < len(r.Strokes) {
			until = min(until, v.seconds(r.Strokes[i+1].Ticks))
		}
		r.Strokes[i].Answer = p.Answer(at, until)
	}
	return r
}

// turnAt is the turn that covers a frame, or says that there is none.
func (v *hearing) turnAt(frame int) (club.Turn, error) {
	if frame < 0 || frame >= v.index.Len() {
		return club.Turn{}, &club.Problem{Field: "frame", Say: footage.NoSuchFrame(frame, v.index.Len())}
	}
	for _, t := range v.led.Turns {
		if t.Covers(frame) {
			return t, nil
		}
	}
	return club.Turn{}, &club.Problem{Field: "frame", Say: "No turn covers this frame: mark one first, with [ and ]."}
}
