// Package ladder keeps what the club asks of its training, and what coaches have said
// by hand of rungs.
package ladder

import (
	"context"
	"strconv"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/store"
)

// Ladder is that of a library. It is safe for concurrent use.
type Ladder struct {
	lib *library.Library
}

// New is the ladder of a library.
func New(lib *library.Library) *Ladder {
	return &Ladder{lib: lib}
}

// Goals are what the club asks of its training. They are settings: no part of
// the change log.
type Goals struct {
	TriesCap  int     `json:"tries_cap"` // tries a day at one rung of the ladder; 0: none set
	Irregular float64 `json:"irregular"` // share of irregular strokes, 0 to 1
}

// Limits and defaults of the goals. That regular and irregular practice be
// balanced, and five tries a day, are common practice, no source.
const (
	mostTries       = 100
	triesAtFirst    = 5
	balancedAtFirst = 0.5

	settingTries     = "tries a day"
	settingIrregular = "irregular share"
)

// Goals returns the club's goals; those that it has not set have their defaults.
func (l *Ladder) Goals(ctx context.Context) (Goals, error) {
	w := Goals{triesAtFirst, balancedAtFirst}
	tries, err := l.lib.Setting(ctx, settingTries)
	if err != nil {
		return w, err
	}
	share, err := l.lib.Setting(ctx, settingIrregular)
	if err != nil {
		return w, err
	}
	// What another program may have written there does not count.
	if n, err := strconv.Atoi(tries); err == nil && n >= 0 && n <= mostTries {
		w.TriesCap = n
	}
	if v, err := strconv.ParseFloat(share, 64); err == nil && v >= 0 && v <= 1 {
		w.Irregular = v
	}
	return w, nil
}

// SetGoals stores the club's goals.
func (l *Ladder) SetGoals(ctx context.Context, w Goals) error {
	if w.TriesCap < 0 || w.TriesCap > mostTries {
		return &club.Problem{Field: "tries_cap", Say: "Write how many tries a day at one rung are enough: a whole number from 0 (no limit) to 100."}
	}
	if !(w.Irregular >= 0 && w.Irregular <= 1) {
		return &club.Problem{Field: "irregular", Say: "Write the wished share of irregular strokes as a percentage from 0 to 100."}
	}
	return l.lib.SetSettings(ctx, map[string]string{
		settingTries: strconv.Itoa(w.TriesCap), settingIrregular: strconv.FormatFloat(w.Irregular, 'g', -1, 64),
	})
}

// SaveRuling keeps a coach's word on a player's rung of the ladder, in the name
// of the coach who marks; without a date it holds from today on.
func (l *Ladder) SaveRuling(ctx context.Context, r club.Ruling) (club.Ruling, error) {
	r.Reason = strings.TrimSpace(r.Reason)
	if r.Date == "" {
		r.Date = l.lib.Today()
	}
	cat, err := l.lib.Catalogue(ctx)
	if err != nil {
		return r, err
	}
	p, err := library.Find(cat.Players, r.PlayerID, func(p club.Player) club.ID { return p.ID }, "player")
	if err != nil {
		return r, err
	}
	drill, err := library.Find(cat.Drills, r.DrillID, func(o club.Drill) club.ID { return o.ID }, "drill")
	if err != nil {
		return r, err
	}
	if r.CoachID, err = l.lib.Coach(ctx); err != nil {
		return r, err
	}
	if r.CoachID == "" {
		return r, &club.Problem{Field: "coach", Say: "Say who is marking first: a ruling on the ladder is a coach's word."}
	}
	if err := r.Check(); err != nil {
		return r, err
	}
	r.ID = l.lib.NewID()
	word := "not passed"
	if r.Passed {
		word = "passed"
	}
	_, err = l.lib.Do(ctx, "rung "+drill.Name+" of "+p.Name+" "+word, store.Put(r))
	return r, err
}

// RemoveRulings takes back every ruling on a player's rung, as one change: the rung
// depends on the turns alone again.
func (l *Ladder) RemoveRulings(ctx context.Context, player, drill club.ID) error {
	rulings, err := store.All[club.Ruling](ctx, l.lib.Library)
	if err != nil {
		return err
	}
	var edits []store.Edit
	for _, r := range rulings {
		if r.PlayerID == player && r.DrillID == drill {
			edits = append(edits, store.Remove[club.Ruling](r.ID))
		}
	}
	if len(edits) == 0 {
		return &club.Problem{Say: "Nobody has set this rung by hand: there is nothing to take back."}
	}
	_, err = l.lib.Do(ctx, "take back what was set by hand", edits...)
	return err
}
