// Package burst finds the bursts of play in clips that could be turns, and keeps how a
// coach has joined and split them and in which order the players take their turns.
package burst

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/proposal"
)

// Bursts are those of the clips of a library. They are safe for concurrent use.
type Bursts struct {
	lib       *library.Library
	listening *listening.Listener
	heard     *heard.Reader
}

// New is for the clips of a library.
func New(lib *library.Library, listener *listening.Listener, reader *heard.Reader) *Bursts {
	return &Bursts{lib: lib, listening: listener, heard: reader}
}

// Found are the stretches of play of a clip that no turn covers, as far as they are
// heard. They are worked out each time; kept are a coach's pause, joins and splits.
type Found struct {
	Pause   float64 `json:"pause"`   // seconds without play that end a burst
	Learned float64 `json:"learned"` // what the clip's own pauses say
	Set     bool    `json:"set"`     // a coach has set the pause
	// Sure says that the clip's pauses fall into two kinds, Short that there are too
	// few of them to learn from.
	Sure  bool      `json:"sure"`
	Short bool      `json:"short"`
	Known bool      `json:"known"` // the clip is heard to its end
	Order []club.ID `json:"order"` // of the players, see Bursts.Order
	All   []Burst   `json:"bursts"`
}

// Burst is one stretch of play.
type Burst struct {
	First    int     `json:"first"` // frame
	Last     int     `json:"last"`  // frame
	From     float64 `json:"from"`  // clip time
	To       float64 `json:"to"`    // clip time
	Contacts int     `json:"contacts"`
	Strokes  int     `json:"strokes"` // of the louder of the two players
	Open     bool    `json:"open"`    // not enough is heard yet: it may become another one
	// After is the frame at which the turn before it in the clip ends, -1 where there
	// is none.
	After int `json:"after"`
	// Who comes next after the turn before it, and the same drill; empty where nobody
	// can say.
	PlayerID club.ID `json:"player_id"`
	DrillID  club.ID `json:"drill_id"`
}

// burstSetting is what is kept of a clip.
type burstSetting struct {
	Pause  float64   `json:"pause,omitempty"`  // 0: as learned
	Joined []float64 `json:"joined,omitempty"` // clip time
	Parted []float64 `json:"parted,omitempty"` // clip time
}

func settingBursts(id club.ID) string { return "bursts of " + string(id) }

func (x *Bursts) burstSetting(ctx context.Context, id club.ID) (s burstSetting, err error) {
	text, err := x.lib.Setting(ctx, settingBursts(id))
	if err != nil || text == "" {
		return s, err
	}
	if json.Unmarshal([]byte(text), &s) != nil {
		//lint:ignore nilerr an unreadable setting counts as none
		return burstSetting{}, nil
	}
	return s, nil
}

func (x *Bursts) keepBurstSetting(ctx context.Context, id club.ID, s burstSetting) error {
	text, err := json.Marshal(s)
	if err != nil {
		return err
	}
	return x.lib.SetSetting(ctx, settingBursts(id), string(text))
}

// bursting is a clip with what its bursts are worked out from.
type bursting struct {
	*heard.Clip
	setting burstSetting
	learned proposal.Pause
}

func (x *Bursts) bursting(ctx context.Context, clipID club.ID) (*bursting, error) {
	v, err := x.heard.Clip(ctx, clipID)
	if err != nil {
		return nil, err
	}
	b := &bursting{Clip: v}
	if b.learned, err = x.listening.Pause(ctx, v.Row, v.Contacts); err != nil {
		return nil, err
	}
	b.setting, err = x.burstSetting(ctx, clipID)
	return b, err
}

func (b *bursting) pause() float64 {
	if b.setting.Pause > 0 {
		return b.setting.Pause
	}
	return b.learned.Seconds
}

func (b *bursting) corrections() proposal.Corrections {
	return proposal.Corrections{Joined: b.setting.Joined, Parted: b.setting.Parted}
}

// free are the stretches of frames, both ends included, that no turn covers, each
// with the turn before it.
func free(turns []club.Turn, frames int) (out []freeStretch) {
	s := freeStretch{}
	for _, t := range turns {
		if s.last = t.First - 1; s.first <= s.last {
			out = append(out, s)
		}
		s = freeStretch{first: t.Last + 1, after: &t}
	}
	if s.last = frames - 1; s.first <= s.last {
		out = append(out, s)
	}
	return out
}

type freeStretch struct {
	first, last int
	after       *club.Turn // nil: none
}

// found are the bursts in the stretches that no turn covers.
func (b *bursting) found() []Burst {
	out := []Burst{}
	if b.Index.Len() == 0 {
		return out
	}
	for _, s := range free(b.Ledger.Turns, b.Index.Len()) {
		from, to := b.Index.Seconds(s.first), b.End(club.Turn{Last: s.last})
		if s.after == nil {
			from = math.Inf(-1) // sound may begin before the pictures
		}
		for _, p := range proposal.Find(proposal.Span(b.Contacts, from, to), b.pause(), b.corrections()) {
			one := Burst{
				First: max(s.first, b.Index.FrameAt(p.From)), Last: min(s.last, b.Index.FrameAt(p.To)), Contacts: p.Contacts,
				Open: b.open(p), After: -1,
			}
			if one.First > one.Last {
				continue // before the pictures
			}
			one.From, one.To = b.Index.Seconds(one.First), b.End(club.Turn{Last: one.Last})
			for _, c := range proposal.Span(b.Contacts, p.First, math.Nextafter(p.Last, math.Inf(1))) {
				if c.Kind == contact.Racket && c.Who == contact.Near && c.Confidence >= proposal.UsualConfidence {
					one.Strokes++
				}
			}
			if s.after != nil {
				one.After = s.after.Last
			}
			out = append(out, one)
		}
	}
	// Two that a coach has parted share the picture between them.
	for i := 1; i < len(out); i++ {
		out[i].First = max(out[i].First, out[i-1].Last+1)
	}
	return slices.DeleteFunc(out, func(o Burst) bool { return o.First > o.Last })
}

// open reports whether a burst may become another one when more is heard: it may go
// on, and where the pause is learned, the rest may say another.
func (b *bursting) open(p proposal.Burst) bool {
	return p.Last+max(b.pause(), proposal.Dead) > b.Certain || !math.IsInf(b.Certain, 1) && b.setting.Pause == 0
}

// at is the place of the burst that holds a frame.
func at(bursts []Burst, frame int) (int, error) {
	i := slices.IndexFunc(bursts, func(o Burst) bool { return o.First <= frame && frame <= o.Last })
	if i < 0 {
		return i, &club.Problem{Field: "frame", Say: fmt.Sprintf("No burst of play is heard at frame %d: go to one first.", frame)}
	}
	return i, nil
}

// Find returns the bursts of play of a clip that no turn covers.
func (x *Bursts) Find(ctx context.Context, clipID club.ID) (Found, error) {
	b, err := x.bursting(ctx, clipID)
	if err != nil {
		return Found{}, err
	}
	out := Found{
		Pause: b.pause(), Learned: b.learned.Seconds, Set: b.setting.Pause > 0,
		Sure: b.learned.Sure, Short: !b.learned.Learned, Known: math.IsInf(b.Certain, 1), All: b.found(),
	}
	if out.Order, err = x.Order(ctx); err != nil {
		return out, err
	}
	before, err := x.lib.TurnBefore(ctx, b.Row)
	if err != nil {
		return out, err
	}
	for i := range out.All {
		o := &out.All[i]
		last := before
		for _, t := range b.Ledger.Turns {
			if t.Last < o.First {
				last = t
			}
		}
		o.PlayerID, o.DrillID = next(out.Order, last.PlayerID), last.DrillID
	}
	return out, nil
}

// SetPause sets how long play of a clip has to stop for a burst to end, in seconds; 0
// leaves it to what the clip's own pauses say.
func (x *Bursts) SetPause(ctx context.Context, clipID club.ID, seconds float64) error {
	if err := checkPause(seconds); err != nil {
		return err
	}
	if _, err := x.lib.Clip(ctx, clipID); err != nil {
		return err
	}
	s, err := x.burstSetting(ctx, clipID)
	if err != nil {
		return err
	}
	s.Pause = seconds
	return x.keepBurstSetting(ctx, clipID, s)
}

func checkPause(seconds float64) error {
	if seconds == 0 || seconds >= proposal.Shortest && seconds <= proposal.Longest {
		return nil
	}
	return &club.Problem{Field: "pause", Say: fmt.Sprintf("A pause between turns is %g to %g seconds: write one of these, or 0 for what is learned from the clip.", proposal.Shortest, proposal.Longest)}
}

// Join joins the burst at a frame with the next one.
func (x *Bursts) Join(ctx context.Context, clipID club.ID, frame int) error {
	b, err := x.bursting(ctx, clipID)
	if err != nil {
		return err
	}
	all := b.found()
	i, err := at(all, frame)
	if err != nil {
		return err
	}
	if i+1 == len(all) {
		return &club.Problem{Field: "frame", Say: "No burst of play comes after this one: there is nothing to join it with."}
	}
	if all[i].After != all[i+1].After {
		return &club.Problem{Field: "frame", Say: "A turn lies between this burst and the next: they cannot be joined."}
	}
	// The middle of the silence between them lies between their contacts.
	moment := (all[i].To + all[i+1].From) / 2
	b.setting.Parted = slices.DeleteFunc(b.setting.Parted, func(m float64) bool { return b.sameSilence(m, moment) })
	if len(b.found()) == len(all) { // else they had been split by hand, which is taken back
		b.setting.Joined = append(b.setting.Joined, moment)
	}
	return x.keepBurstSetting(ctx, clipID, b.setting)
}

// Split parts the burst at a frame in two there.
func (x *Bursts) Split(ctx context.Context, clipID club.ID, frame int) error {
	b, err := x.bursting(ctx, clipID)
	if err != nil {
		return err
	}
	all := b.found()
	if _, err := at(all, frame); err != nil {
		return err
	}
	moment := b.Index.Seconds(frame)
	b.setting.Joined = slices.DeleteFunc(b.setting.Joined, func(m float64) bool { return b.sameSilence(m, moment) })
	if len(b.found()) == len(all) { // else they had been joined by hand, which is taken back
		b.setting.Parted = append(b.setting.Parted, moment)
	}
	if len(b.found()) <= len(all) {
		return &club.Problem{Field: "frame", Say: "There is no play on both sides of this frame: go to where one turn has ended and the next has not begun."}
	}
	return x.keepBurstSetting(ctx, clipID, b.setting)
}

// sameSilence reports whether no play is heard between two moments.
func (b *bursting) sameSilence(one, other float64) bool {
	return !slices.ContainsFunc(proposal.Span(b.Contacts, min(one, other), max(one, other)), func(c contact.Contact) bool {
		return c.Kind != contact.Other && c.Confidence >= proposal.UsualConfidence
	})
}
