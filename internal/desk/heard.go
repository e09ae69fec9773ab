package desk

import (
	"context"
	"math"
	"slices"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
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
	// Unsure says that the sound does not tell which of the two that are heard is the
	// racket and which the table, until a coach says so (see SetAnchor).
	Unsure bool `json:"unsure"`
	// Sure says that a coach has confirmed it.
	Sure bool `json:"sure"`
	// Least is the confidence from which on contacts are proposed.
	Least   float64    `json:"least"`
	Strokes []Proposal `json:"strokes"` // in order of frame; none in a settled turn
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

// Contacts returns what was heard in a clip so far, on clip time.
func (d *Desk) Contacts(ctx context.Context, clipID club.ID) ([]contact.Contact, error) {
	v, err := d.hearing(ctx, clipID)
	if err != nil {
		return nil, err
	}
	return v.contacts, nil
}

// contacts are those of a clip, complete before a clip time.
func (d *Desk) contacts(ctx context.Context, row club.Clip) (found []contact.Contact, certain float64, err error) {
	s, err := d.soundOfClip(ctx, row)
	if err != nil {
		return nil, 0, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.contacts, s.certain, nil
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
	if v.row, err = d.lib.Clip(ctx, clipID); err != nil {
		return nil, err
	}
	if v.led, err = d.lib.OfClip(ctx, clipID); err != nil {
		return nil, err
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	for _, r := range cat.Drills {
		v.drills[r.ID] = r
	}
	if v.index, err = d.index(ctx, v.row); err != nil {
		return nil, err
	}
	v.contacts, v.certain, err = d.contacts(ctx, v.row)
	v.contacts = contact.Anchor(v.contacts, v.known(), sameContact)
	return v, err
}

// known is when rackets met the ball, on clip time, as coaches have said: with !, or
// else with the strokes that they logged by hand.
func (v *hearing) known() (said []float64) {
	for _, t := range v.led.Turns {
		if t.Anchor != nil {
			said = append(said, v.seconds(*t.Anchor))
		}
	}
	if said != nil {
		return said
	}
	for _, s := range v.led.Strokes {
		if s.Source == club.ByHand {
			said = append(said, v.seconds(s.Ticks))
		}
	}
	return said
}

// heardTurn is one turn with what is heard in its clip.
func (d *Desk) heardTurn(ctx context.Context, turnID club.ID) (*hearing, club.Turn, error) {
	t, err := store.Get[club.Turn](ctx, d.lib, turnID)
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
func (v *hearing) frame(seconds float64) int { return nearest(v.index, seconds) }

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
		said := strikerAt(v.contacts, v.seconds(*o.Anchor))
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
func (v *hearing) play(t club.Turn, logged []club.Stroke) play {
	drill := v.drills[t.DrillID]
	p := play{
		from: v.index.Seconds(t.First), to: v.end(t), fed: drill.Ball == club.Multiball,
		least: usualConfidence, contacts: v.contacts,
	}
	p.player, _ = v.player(t)
	if t.HeardFrom > 0 {
		p.least = t.HeardFrom
	}
	for _, s := range logged {
		p.logged = append(p.logged, v.seconds(s.Ticks))
	}
	return p
}

// turn is what is proposed for one turn.
func (v *hearing) turn(t club.Turn) HeardTurn {
	out := HeardTurn{TurnID: t.ID, Strokes: []Proposal{}}
	if t.First < 0 || t.Last >= v.index.Len() {
		return out // the scan has not come there yet
	}
	logged := v.strokes(t)
	p := v.play(t, logged)
	out.Known, out.Least = v.certain >= p.to+deadAfter, p.least
	out.Player, out.Unsure = string(p.player), contact.Unsure(v.contacts)
	_, out.Sure = v.player(t)
	if !out.Known || t.Settled {
		return out
	}
	taken := map[int]bool{}
	for _, s := range logged {
		taken[s.Frame] = true
	}
	for _, q := range propose(p) {
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
func (v *hearing) pattern(t club.Turn, logged []club.Stroke, proposed []Proposal) {
	sides := v.drills[t.DrillID].Pattern
	for i := range proposed {
		before, _ := slices.BinarySearchFunc(logged, proposed[i].Frame, func(s club.Stroke, frame int) int { return s.Frame - frame })
		proposed[i].Side = sides.Side(i + before)
	}
}
