// Package heard works out what the sound of a clip says of its turns: which of the two
// players who are heard has a turn, and which strokes were struck in it.
package heard

import (
	"context"
	"math"
	"slices"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/proposal"
	"strokeledger/internal/store"
)

// Reader reads what the sound of clips says of their turns. It is safe for concurrent
// use.
type Reader struct {
	lib       *library.Library
	footage   *footage.Clips
	listening *listening.Listener
	joined    kept
}

// New is a reader for the clips of a library.
func New(lib *library.Library, clips *footage.Clips, listener *listening.Listener) *Reader {
	return &Reader{lib: lib, footage: clips, listening: listener}
}

// Turn is what the sound proposes for one turn.
type Turn struct {
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
	// Seen says that its pictures were looked at as well: the strokes are those that are
	// heard and seen. Else only the sound was used.
	Seen bool `json:"seen"`
	// Least is the confidence from which on contacts are proposed.
	Least   float64           `json:"least"`
	Strokes []proposal.Stroke `json:"strokes"` // in order of frame; none in a settled turn
}

// Proposals returns what the sound proposes for each turn of a clip.
func (x *Reader) Proposals(ctx context.Context, clipID club.ID) ([]Turn, error) {
	v, err := x.Clip(ctx, clipID)
	if err != nil {
		return nil, err
	}
	out := make([]Turn, 0, len(v.Ledger.Turns))
	for _, t := range v.Ledger.Turns {
		out = append(out, v.Turn(t))
	}
	return out, nil
}

// TryLeast returns what would be proposed for a turn with another sensitivity,
// also for a settled one; nothing is kept.
func (x *Reader) TryLeast(ctx context.Context, turnID club.ID, least float64) (Turn, error) {
	v, t, err := x.Turn(ctx, turnID)
	if err != nil {
		return Turn{}, err
	}
	t.HeardFrom, t.Settled = least, false
	return v.Turn(t), nil
}

// Contacts returns what was heard in a clip so far, on clip time.
func (x *Reader) Contacts(ctx context.Context, clipID club.ID) ([]contact.Contact, error) {
	v, err := x.Clip(ctx, clipID)
	if err != nil {
		return nil, err
	}
	return v.Contacts, nil
}

// Clip is all that proposals in one clip are worked out from.
type Clip struct {
	Row      club.Clip
	Ledger   store.Ledger
	Drills   map[club.ID]club.Drill
	Index    *clip.Index
	Contacts []contact.Contact // in order of clip time
	Certain  float64           // clip time before which all contacts are known

	sounds []contact.Sound
	looked func() map[club.ID]looked // by turn; nil: nothing was looked at, or nothing is proposed
}

// Clip reads a clip and what is heard in it so far.
func (x *Reader) Clip(ctx context.Context, clipID club.ID) (*Clip, error) {
	return x.read(ctx, clipID, x.footage.Index)
}

// Kept is Clip by what the library has of it, for many clips one after the other: the
// film is not opened. It is nil where the film has never been scanned.
func (x *Reader) Kept(ctx context.Context, clipID club.ID) (*Clip, error) {
	return x.read(ctx, clipID, func(ctx context.Context, row club.Clip) (*clip.Index, error) {
		raw, ok, err := x.lib.Index(ctx, row.Fingerprint)
		ix := new(clip.Index)
		if err != nil || !ok || ix.UnmarshalBinary(raw) != nil {
			return nil, err
		}
		return ix, nil
	})
}

func (x *Reader) read(ctx context.Context, clipID club.ID, index func(context.Context, club.Clip) (*clip.Index, error)) (*Clip, error) {
	v := &Clip{Drills: map[club.ID]club.Drill{}}
	var err error
	if v.Row, err = x.lib.Clip(ctx, clipID); err != nil {
		return nil, err
	}
	if v.Ledger, err = x.lib.OfClip(ctx, clipID); err != nil {
		return nil, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	for _, r := range cat.Drills {
		v.Drills[r.ID] = r
	}
	if v.Index, err = index(ctx, v.Row); err != nil || v.Index == nil {
		return nil, err
	}
	if v.Contacts, v.Certain, err = x.listening.Contacts(ctx, v.Row); err != nil {
		return nil, err
	}
	v.Contacts = contact.Anchor(v.Contacts, v.known(), proposal.SameContact)
	if v.sounds, err = x.listening.Sounds(ctx, v.Row); err != nil {
		return nil, err
	}
	return v, x.look(ctx, v, cat.Players)
}

// known is when rackets met the ball, on clip time, as coaches have said: with !, or
// else with the strokes that they logged by hand.
func (v *Clip) known() (said []float64) {
	for _, t := range v.Ledger.Turns {
		if t.Anchor != nil {
			said = append(said, v.Seconds(*t.Anchor))
		}
	}
	if said != nil {
		return said
	}
	for _, s := range v.Ledger.Strokes {
		if s.Source == club.ByHand {
			said = append(said, v.Seconds(s.Ticks))
		}
	}
	return said
}

// Turn is one turn with what is heard in its clip.
func (x *Reader) Turn(ctx context.Context, turnID club.ID) (*Clip, club.Turn, error) {
	t, err := store.Get[club.Turn](ctx, x.lib.Library, turnID)
	if err != nil {
		return nil, t, err
	}
	v, err := x.Clip(ctx, t.ClipID)
	return v, t, err
}

// Seconds is the clip time of ticks.
func (v *Clip) Seconds(ticks int64) float64 {
	return v.Index.Base().Seconds(ticks - v.Index.Ticks(0))
}

// FrameNear is the picture nearest to a clip time.
func (v *Clip) FrameNear(seconds float64) int { return footage.Nearest(v.Index, seconds) }

// End is when the last picture of a turn gives way to the next.
func (v *Clip) End(t club.Turn) float64 {
	if t.Last+1 < v.Index.Len() {
		return v.Index.Seconds(t.Last + 1)
	}
	return v.Index.EndSeconds()
}

// Strokes are those logged in a turn, in order of frame.
func (v *Clip) Strokes(t club.Turn) []club.Stroke {
	var in []club.Stroke
	for _, s := range v.Ledger.Strokes {
		if t.Covers(s.Frame) {
			in = append(in, s)
		}
	}
	return in
}

// Player is which of the two heard players has a turn, and whether a coach has
// said so in it. Players keep their places before one camera as a rule, so what
// was said in the nearest turn holds for the others. Where balls are fed, the player
// is the one who does not begin, unless what was said there contradicts that.
func (v *Clip) Player(t club.Turn) (who contact.Who, sure bool) {
	nearest := math.Inf(1)
	who = contact.Near
	follows := true
	for _, o := range v.Ledger.Turns {
		if o.Anchor == nil {
			continue
		}
		said := proposal.Striker(v.Contacts, v.Seconds(*o.Anchor))
		if said == contact.Unknown {
			continue
		}
		if o.ID == t.ID {
			return said, true
		}
		if far := math.Abs(float64(o.First - t.First)); far < nearest {
			nearest, who = far, said
			fed := v.receiver(o)
			follows = fed == contact.Unknown || fed == said
		}
	}
	if fed := v.receiver(t); follows && fed != contact.Unknown {
		who = fed
	}
	return who, false
}

// receiver is who plays the balls that are fed in a turn; contact.Unknown where none are,
// or the sound does not tell.
func (v *Clip) receiver(t club.Turn) contact.Who {
	if v.Drills[t.DrillID].Ball != club.Multiball || t.First < 0 || t.Last >= v.Index.Len() {
		return contact.Unknown
	}
	return proposal.Receiver(v.Contacts, v.Index.Seconds(t.First), v.End(t))
}

// play is a turn as propose wants it, with the strokes that are logged already.
func (v *Clip) play(t club.Turn, logged []club.Stroke) proposal.Play {
	drill := v.Drills[t.DrillID]
	p := proposal.Play{
		From: v.Index.Seconds(t.First), To: v.End(t), Fed: drill.Ball == club.Multiball,
		Least: proposal.UsualConfidence, Contacts: v.Contacts,
	}
	p.Player, _ = v.Player(t)
	if t.HeardFrom > 0 {
		p.Least = t.HeardFrom
	}
	for _, s := range logged {
		p.Logged = append(p.Logged, v.Seconds(s.Ticks))
	}
	return p
}

// Turn is what is proposed for one turn.
func (v *Clip) Turn(t club.Turn) Turn {
	out := Turn{TurnID: t.ID, Strokes: []proposal.Stroke{}}
	if t.First < 0 || t.Last >= v.Index.Len() {
		return out // the scan has not come there yet
	}
	logged := v.Strokes(t)
	p := v.play(t, logged)
	out.Known, out.Least = v.Certain >= p.To+proposal.DeadAfter, p.Least
	out.Unsure = contact.Unsure(v.Contacts)
	_, out.Sure = v.Player(t)
	var l looked
	seen := false
	if v.looked != nil {
		l, seen = v.looked()[t.ID]
	}
	if seen {
		l.struck(&p)
		out.Seen, out.Unsure = true, false
	}
	out.Player = string(p.Player)
	if !out.Known || t.Settled {
		return out
	}
	taken := map[int]bool{}
	for _, s := range logged {
		taken[s.Frame] = true
	}
	for _, q := range proposal.Strokes(p) {
		q.Frame = min(max(v.FrameNear(q.Seconds), t.First), t.Last)
		if !taken[q.Frame] { // one picture shows one stroke at most
			taken[q.Frame], q.Seen = true, seen
			out.Strokes = append(out.Strokes, q)
		}
	}
	v.pattern(t, logged, out.Strokes)
	for i := range out.Strokes {
		if q := &out.Strokes[i]; seen && q.Side == "" {
			q.Side, q.SideChance = l.side(q.Seconds)
		}
	}
	return out
}

// pattern gives proposals the side that the drill's pattern has at their place
// among all strokes of the turn.
func (v *Clip) pattern(t club.Turn, logged []club.Stroke, proposed []proposal.Stroke) {
	sides := v.Drills[t.DrillID].Pattern
	for i := range proposed {
		before, _ := slices.BinarySearchFunc(logged, proposed[i].Frame, func(s club.Stroke, frame int) int { return s.Frame - frame })
		proposed[i].Side = sides.Side(i + before)
	}
}

// Answer is the partner's next contact after a logged stroke, as heard.
func (v *Clip) Answer(t club.Turn, s club.Stroke) *float64 {
	at := v.Seconds(s.Ticks)
	until := at + proposal.AnswerWithin
	for _, o := range v.Strokes(t) {
		if o.Frame > s.Frame {
			until = min(until, v.Seconds(o.Ticks))
			break
		}
	}
	if until > v.Certain {
		return nil
	}
	// A stroke is logged at a picture near its contact: the partner's is later than that.
	return v.play(t, nil).Answer(at+proposal.SameStroke/2, until)
}

// FrameAt is the picture nearest to a moment in ticks.
func (v *Clip) FrameAt(ticks int64) int { return v.FrameNear(v.Seconds(ticks)) }

// Margin is how long before the partner's next contact the player was ready again
// after a stroke, seconds, and whether both are known.
func (v *Clip) Margin(s club.Stroke) (float64, bool) {
	if s.Ready == nil || s.Answer == nil {
		return 0, false
	}
	return *s.Answer - v.Seconds(s.Ready.Ticks), true
}

// Answered is a turn with the partner's contacts that were heard where none is kept.
func (v *Clip) Answered(t club.Turn) club.TurnRecord {
	r := library.TurnRecord(v.Row, v.Ledger, t)
	p := v.play(t, nil)
	for i := range r.Strokes {
		if r.Strokes[i].Answer != nil {
			continue
		}
		at := v.Seconds(r.Strokes[i].Ticks)
		until := at + proposal.AnswerWithin
		if i+1 < len(r.Strokes) {
			until = min(until, v.Seconds(r.Strokes[i+1].Ticks))
		}
		r.Strokes[i].Answer = p.Answer(at, until)
	}
	return r
}

// TurnAt is the turn that covers a frame, or says that there is none.
func (v *Clip) TurnAt(frame int) (club.Turn, error) {
	if frame < 0 || frame >= v.Index.Len() {
		return club.Turn{}, &club.Problem{Field: "frame", Say: footage.NoSuchFrame(frame, v.Index.Len())}
	}
	for _, t := range v.Ledger.Turns {
		if t.Covers(frame) {
			return t, nil
		}
	}
	return club.Turn{}, &club.Problem{Field: "frame", Say: "No turn covers this frame: mark one first, with [ and ]."}
}
