package pass

import (
	"context"
	"encoding/json"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/look"
	"strokeledger/internal/store"
)

// Settings is how the coach who marks wants a pass to go.
type Settings struct {
	Before float64   `json:"before"` // seconds shown before a contact
	After  float64   `json:"after"`  // and after it
	Rate   float64   `json:"rate"`   // of playing, 1 is the clip's own
	Loops  int       `json:"loops"`  // how often a stroke is shown before the pass goes on
	RunOn  bool      `json:"run_on"` // it goes on by itself; else it waits for a key
	Sound  bool      `json:"sound"`
	Focus  []club.ID `json:"focus"` // faults that are looked for; empty: all in use
}

// mostLoops is how often a stroke may be shown before a pass goes on.
const mostLoops = 9

func (w Settings) check() error {
	switch {
	case !(w.Before >= 0 && w.Before <= aim.MostShown && w.After >= 0 && w.After <= aim.MostShown && w.Before+w.After >= 0.2):
		return &club.Problem{Field: "before", Say: "Show each stroke for 0 to 3 seconds before and after its contact, and 0.2 seconds in all at least."}
	case !(w.Rate >= 0.1 && w.Rate <= 2):
		return &club.Problem{Field: "rate", Say: "The speed of a pass is between 0.1 and 2 times the clip's own."}
	case w.Loops < 1 || w.Loops > mostLoops:
		return &club.Problem{Field: "loops", Say: "A pass shows each stroke once to nine times before it goes on."}
	}
	return nil
}

func settingPass(coach club.ID) string { return "pass " + string(coach) }

// Settings returns how the coach who marks wants a pass to go: as set last, else each
// stroke once, at the clip's own speed and without sound, going on by itself. Faults
// that have gone or retired since are not looked for.
func (x *Passes) Settings(ctx context.Context) (w Settings, err error) {
	w = Settings{Before: aim.UsualBefore, After: aim.UsualAfter, Rate: 1, Loops: 1, RunOn: true, Focus: []club.ID{}}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return w, err
	}
	text, err := x.lib.Setting(ctx, settingPass(coach))
	if err != nil || text == "" {
		return w, err
	}
	kept := w
	if json.Unmarshal([]byte(text), &kept) != nil || kept.check() != nil {
		//lint:ignore nilerr a setting that is not as this program writes it counts as none
		return w, nil
	}
	cat, err := x.lib.Catalogue(ctx)
	kept.Focus = append([]club.ID{}, look.InUse(cat.Faults, kept.Focus)...)
	return kept, err
}

// TurnsAsked says which turns a pass goes over; empty fields take all.
type TurnsAsked struct {
	SessionID club.ID   `json:"session_id"`
	ClipID    club.ID   `json:"clip_id"`
	PlayerID  club.ID   `json:"player_id"`
	Marks     []club.ID `json:"marks"` // the turns in which these marks lie
}

// TurnIDs lists turns in order of date, clip and frame.
func (x *Passes) TurnIDs(ctx context.Context, of TurnsAsked) ([]club.ID, error) {
	return x.lib.TurnIDs(ctx, store.TurnFilter{Session: of.SessionID, Clip: of.ClipID, Player: of.PlayerID, Marks: of.Marks})
}

// SetSettings says how the coach who marks wants a pass to go.
func (x *Passes) SetSettings(ctx context.Context, w Settings) error {
	if err := w.check(); err != nil {
		return err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	w.Focus = look.InUse(cat.Faults, w.Focus)
	text, err := json.Marshal(w)
	if err != nil {
		return err
	}
	return x.lib.SetSetting(ctx, settingPass(coach), string(text))
}
