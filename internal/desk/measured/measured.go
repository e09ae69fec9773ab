// Package measured finds the joints of the near player in the pictures round the strokes
// of a clip, in the background, keeps them, and says what they measure: see package
// measure. Nobody is recognised: who a stroke is of is what the ledger says of its turn.
package measured

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/camera"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/ruler"
	"strokeledger/internal/desk/seen"
	"strokeledger/internal/measure"
	"strokeledger/internal/proposal"
	"strokeledger/internal/table"
)

// Meter measures the strokes of a library's clips. It is safe for concurrent use. Who
// makes it closes the library's jobs before.
type Meter struct {
	lib     *library.Library
	footage *footage.Clips
	heard   *heard.Reader
	rulers  *ruler.Rulers

	mu  sync.Mutex
	run *run // the last one that was begun; nil before the first
}

// New is a meter that has looked at nothing yet.
func New(lib *library.Library, clips *footage.Clips, reader *heard.Reader, rulers *ruler.Rulers) *Meter {
	return &Meter{lib: lib, footage: clips, heard: reader, rulers: rulers}
}

// Stroke is what is measured of one stroke.
type Stroke struct {
	// ClipID and Date say where it is from among several clips; empty in one.
	ClipID   club.ID   `json:"clip_id"`
	Date     club.Date `json:"date"`
	StrokeID club.ID   `json:"stroke_id"` // empty: it is only heard, and in no ledger
	TurnID   club.ID   `json:"turn_id"`   // empty: outside turns
	PlayerID club.ID   `json:"player_id"`
	Frame    int       `json:"frame"`
	Seconds  float64   `json:"seconds"` // of the contact, clip time
	// Proposed is the proposal where the stroke is in no ledger; nil: it is, or there are
	// no turns.
	Proposed *proposal.Stroke `json:"proposed"`
	Values   []Value          `json:"values"` // of what could be measured, in the order of club.Measures
	Ready    *Ready           `json:"ready"`  // when the hand is back; nil: it cannot be told, or the stroke is among several clips'
	// Suggestions are the faults whose limit the stroke lies beyond by more than its
	// error, in the order of the catalogue. None of them counts.
	Suggestions []Suggestion `json:"suggestions"`
	// Marked are the faults that are marked on the stroke, and Clean those that it was
	// looked at for and that are not.
	Marked []club.ID `json:"marked"`
	Clean  []club.ID `json:"clean"`
}

// Value is one measure, in its own unit.
type Value struct {
	Measure club.Measure `json:"measure"`
	At      float64      `json:"at"`
	Half    float64      `json:"half"` // 1.96 standard deviations of measuring
	// Astray is how often such a value says nothing of its stroke, 0 to 1.
	Astray float64 `json:"-"`
	// ByCoach says that it is by the frame that a coach has set, not about.
	ByCoach bool `json:"by_coach"`
}

// Suggestion is a fault that a measure suggests.
type Suggestion struct {
	FaultID club.ID `json:"fault_id"`
	Chance  float64 `json:"chance"` // that the stroke is beyond the limit, 0 to 1
	Say     string  `json:"say"`    // why, in a few words
}

// Measures are those of a clip's strokes whose pictures were looked at, in order of
// time; see [Meter.Watch]. They go by the ledger as it is now.
func (x *Meter) Measures(ctx context.Context, id club.ID) ([]Stroke, error) {
	v, err := x.heard.Clip(ctx, id)
	if err != nil {
		return nil, err
	}
	return x.Of(ctx, v)
}

// Of is [Meter.Measures] of a clip that has been read.
func (x *Meter) Of(ctx context.Context, v *heard.Clip) ([]Stroke, error) {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	c, err := x.clip(ctx, v, cat)
	if err != nil {
		return nil, err
	}
	out, said, returns := []Stroke{}, saidOf(v, cat), c.returns(v.Index)
	for i, s := range c.strokes {
		values, found := c.values(v.Index, s, returns[i])
		if !found {
			continue
		}
		told := tell(s, values, cat.Faults)
		told.Ready = s.ready(returns[i], v.Index, v.Row.Picture())
		if r := told.Ready; r != nil && r.ByCoach && !r.Own && r.Margin != nil {
			told.setMargin(1000**r.Margin, 1000*r.Half, cat.Faults)
		}
		if on, ok := said[s.id]; ok {
			told.Marked, told.Clean = on.marked, on.clean
		}
		out = append(out, told)
	}
	return out, nil
}

// bodies are the player's in the pictures of one stroke.
func (c *looked) bodies(x *clip.Index, s stroke) (all []measure.Body) {
	for _, n := range s.frames(x) {
		if b, found := c.kept.Body(n); found {
			b.Seconds = x.Seconds(n)
			all = append(all, b)
		}
	}
	return all
}

// values are the measures of one stroke, and whether anybody was found in its pictures.
func (c *looked) values(x *clip.Index, s stroke, r measure.Return) (v measure.Values, found bool) {
	bodies := c.bodies(x, s)
	from := c.camera
	if s.frame < c.kept.First || s.frame > c.kept.Last {
		from = nil // the camera stood otherwise
	}
	v = measure.Of(s.Stroke, bodies, from)
	if m, ok := s.margin(r); ok && len(v) > 0 { // else they may be somebody else's joints
		v[club.ReadyMargin] = m
	}
	return v, len(bodies) > 0
}

// tell is a stroke with its values and what they suggest.
func tell(s stroke, values measure.Values, faults []club.Fault) Stroke {
	out := Stroke{StrokeID: s.id, TurnID: s.turn, PlayerID: s.player, Frame: s.frame, Seconds: s.Contact, Proposed: s.proposed, Values: []Value{}, Suggestions: []Suggestion{},
		Marked: []club.ID{}, Clean: []club.ID{}}
	for _, m := range club.Measures() {
		if v, ok := values[m]; ok {
			out.Values = append(out.Values, Value{Measure: m, At: v.At, Half: 1.96 * v.SD, Astray: v.Astray})
		}
	}
	for _, f := range faults {
		v, ok := values[f.Measure]
		if !ok || f.Limit == 0 || f.Retired {
			continue
		}
		if chance, suggested := v.Beyond(f.Limit); suggested {
			out.Suggestions = append(out.Suggestions, Suggestion{f.ID, chance, words(f.Measure, v)})
		}
	}
	return out
}

// setMargin puts the margin by the frame that a coach has set in place of what joints show,
// which suggest nothing of the way back then.
func (s *Stroke) setMargin(at, half float64, faults []club.Fault) {
	s.Suggestions = slices.DeleteFunc(s.Suggestions, func(o Suggestion) bool {
		return slices.ContainsFunc(faults, func(f club.Fault) bool { return f.ID == o.FaultID && f.Measure == club.HandBack })
	})
	s.Values = slices.DeleteFunc(s.Values, func(v Value) bool { return v.Measure == club.ReadyMargin })
	s.Values = append(s.Values, Value{Measure: club.ReadyMargin, At: at, Half: half, ByCoach: true})
}

// words tell a measure beside a fault's key.
func words(m club.Measure, v measure.Value) string {
	unit := "%"
	if m == club.FeetBehind {
		unit = "cm"
	}
	return fmt.Sprintf("%.0f %s ±%.0f", v.At, unit, max(1, 1.96*v.SD))
}

// looked is what is known of one clip.
type looked struct {
	players []club.Player
	strokes []stroke
	ruler   *camera.Fitted // nil: none is laid, or its lines do not fit well
	camera  *table.Camera  // of the ruler
	kept    seen.Clip
	turns   []club.Turn // that are not settled, and of which all is heard
}

func (x *Meter) clip(ctx context.Context, v *heard.Clip, cat club.Catalogue) (c looked, err error) {
	c.players, c.strokes = cat.Players, strokesOf(v, cat.Players)
	fitted, err := x.rulers.Of(ctx, v.Row.ID)
	if err != nil {
		return c, err
	}
	laid := ""
	if fitted != nil {
		if v := fitted.View(); v.Good { // else no distance can be trusted
			c.ruler, c.camera, laid = fitted, fitted.Camera(), fmt.Sprintf("%.1f", v.Corners)
		}
	}
	by, err := x.footage.Chosen(ctx, v.Row)
	if err != nil {
		return c, err
	}
	if c.kept, err = seen.Of(ctx, x.lib.Library, v.Row, by); err != nil {
		return c, err
	}
	// Who stands at the near end is surer by a ruler: what was found without one, or by
	// another, is looked for again.
	if c.kept.Empty() || c.camera != nil && c.kept.Ruler != laid {
		c.kept = c.kept.Anew(laid)
	}
	for _, t := range v.Ledger.Turns {
		if !t.Settled && v.Turn(t).Known {
			c.turns = append(c.turns, t)
		}
	}
	return c, nil
}

// left are the strokes and the turns with a picture that was not looked at.
func (c *looked) left(v *heard.Clip) (n int) {
	for _, t := range c.turns {
		if !c.kept.HasAll(v.Pictures(t)) {
			n++
		}
	}
	for _, s := range c.strokes {
		for _, f := range s.frames(v.Index) {
			if !c.kept.Has(f) {
				n++
				break
			}
		}
	}
	return n
}
