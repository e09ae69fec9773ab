package exchange

import (
	"context"
	"encoding/json"
	"maps"
	"os"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/merge"
	"strokeledger/internal/redact"
	"strokeledger/internal/report/record"
)

// Wanted says what is handed over. The zero value is everything, with aliases.
type Wanted struct {
	Sessions []club.ID `json:"sessions"` // only these, with what they need
	Since    int64     `json:"since"`    // only what has changed after that place, see Handed; 0: everything
	Names    bool      `json:"names"`    // with full names, notes and consent
	Films    bool      `json:"films"`    // copy the films beside the file
}

// Written says what was handed over.
type Written struct {
	Sessions int      `json:"sessions"`
	Clips    int      `json:"clips"`
	Turns    int      `json:"turns"`
	Strokes  int      `json:"strokes"`
	Marks    int      `json:"marks"`
	Removed  int      `json:"removed"` // rows that are told as removed
	Films    int      `json:"films"`   // copied, or there already
	Missing  []string `json:"missing"` // clips whose films could not be copied
}

// Write writes a record to a file for another library to take in. progress is told how
// much of the films is copied, from 0 to 1; it may be nil. Films whose copying was cut
// short are gone on with.
func (x *Exchange) Write(ctx context.Context, w Wanted, path string, progress func(float64)) (out Written, err error) {
	side, state, since, err := x.gather(ctx, w)
	if err != nil {
		return out, err
	}
	r := record.Record{Names: w.Names, Since: since, Until: state.Last, Sounds: map[string][]byte{}}
	if r.Origin, err = x.documents.Origin(ctx); err != nil {
		return out, err
	}
	if err := r.Fill(side); err != nil {
		return out, err
	}
	goals, err := x.ladder.Goals(ctx)
	if err != nil {
		return out, err
	}
	r.Goals = record.Goals(goals)
	if r.Former, err = x.lib.FormerPlayer(ctx); err != nil {
		return out, err
	}
	for _, c := range r.Clips {
		if print, ok, err := x.lib.SoundPrint(ctx, c.Fingerprint); err != nil {
			return out, err
		} else if ok && c.Fingerprint != "" {
			r.Sounds[c.Fingerprint] = print
		}
	}
	out = Written{Sessions: len(r.Sessions), Clips: len(r.Clips), Turns: len(r.Turns), Strokes: len(r.Strokes), Marks: len(r.Marks), Missing: []string{}}
	for _, rows := range side {
		for _, row := range rows {
			if row.Gone {
				out.Removed++
			}
		}
	}
	if w.Films {
		if r.Films, out.Missing, err = x.copyOut(ctx, r.Clips, path, progress); err != nil {
			return out, err
		}
		out.Films = len(r.Films)
	}
	if !w.Names {
		if err := x.redact(ctx, &r); err != nil {
			return out, err
		}
	}
	q := summary.Query{}
	for _, p := range r.Catalogue.Players {
		q.Players = append(q.Players, p.ID)
	}
	if err := x.documents.WriteOf(ctx, q, "record", path, func(f *os.File) error { return record.Write(f, r) }); err != nil {
		return out, err
	}
	if len(w.Sessions) > 0 { // it is not all that has changed
		return out, nil
	}
	return out, x.handedOver(ctx, Handed{At: x.lib.Now().UTC(), Seq: state.Seq, Last: state.Last})
}

// redact takes out of a record what says who people are, as documents do.
func (x *Exchange) redact(ctx context.Context, r *record.Record) error {
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return err
	}
	clips, err := x.lib.Clips(ctx)
	if err != nil {
		return err
	}
	called := redact.Players(cat, false)
	maps.Copy(called, redact.Coaches(cat, false))
	for i, c := range clips {
		called[c.ID] = redact.Clip(i)
	}
	for _, rows := range []*record.Rows{&r.Rows, &r.Removed} {
		rows.DropTexts()
		redact.Rows(&rows.Catalogue, rows.Clips, rows.Sessions, rows.Marks, rows.Rulings, called)
	}
	return nil
}

// gather reads what is wanted. since is the change from which on all is there, empty
// where it is no such part.
func (x *Exchange) gather(ctx context.Context, w Wanted) (side merge.Side, state merge.State, since club.ID, err error) {
	if w.Since > 0 {
		if state, err = x.lib.Work(ctx, merge.Selection{Since: w.Since}); err != nil {
			return nil, state, "", err
		}
	}
	switch {
	case w.Since > 0 && state.Touched != nil:
		return x.changed(ctx, w, state)
	case len(w.Sessions) > 0:
		state, err = x.lib.Work(ctx, merge.Selection{All: true})
		if err != nil {
			return nil, state, "", err
		}
		side, err = ofSessions(state.Side, w.Sessions)
		return side, state, "", err
	}
	// Everything: also where nobody can tell any more what has changed.
	state, err = x.lib.Work(ctx, merge.Selection{All: true})
	return state.Side, state, "", err
}

// changed is what has changed since the last time, with what it needs, and all turns of
// the clips that it lies on: they say whom it shows.
func (x *Exchange) changed(ctx context.Context, w Wanted, state merge.State) (merge.Side, merge.State, club.ID, error) {
	on := map[club.ID]bool{}
	for _, rows := range state.Side {
		for _, r := range rows {
			var lies struct {
				Clip club.ID `json:"clip_id"`
			}
			if err := json.Unmarshal(r.Image, &lies); err != nil {
				return nil, state, "", err
			}
			if lies.Clip != "" {
				on[lies.Clip] = true
			}
		}
	}
	state, err := x.lib.Work(ctx, merge.Selection{Since: w.Since, Clips: slices.Collect(maps.Keys(on))})
	if err != nil {
		return nil, state, "", err
	}
	side, err := merge.Part(state.Side, func(table string, r merge.Row) bool {
		return state.Touched[r.ID] || !r.Gone && (table == "turn" || table == "coach" || table == "drill" || table == "fault")
	})
	if err != nil {
		return nil, state, "", err
	}
	handed, err := x.Handed(ctx)
	i := slices.IndexFunc(handed, func(h Handed) bool { return h.Seq == w.Since })
	if err != nil || i < 0 {
		return side, state, "", err
	}
	return side, state, handed[i].Last, nil
}

// ofSessions is what belongs to some sessions.
func ofSessions(side merge.Side, sessions []club.ID) (merge.Side, error) {
	clips, days := map[club.ID]bool{}, map[club.Date]bool{}
	for _, r := range side["clip"] {
		var c club.Clip
		if err := json.Unmarshal(r.Image, &c); err != nil {
			return nil, err
		}
		clips[r.ID] = slices.Contains(sessions, c.SessionID)
	}
	for _, r := range side["session"] {
		var s club.Session
		if err := json.Unmarshal(r.Image, &s); err != nil {
			return nil, err
		}
		if slices.Contains(sessions, s.ID) {
			days[s.Date] = true
		}
	}
	return merge.Part(side, func(table string, r merge.Row) bool {
		switch table {
		case "coach", "drill", "fault":
			return !r.Gone
		case "player":
			return false
		case "session":
			return slices.Contains(sessions, r.ID)
		case "clip":
			return clips[r.ID]
		}
		var lies struct {
			Clip club.ID   `json:"clip_id"`
			Date club.Date `json:"date"`
		}
		if json.Unmarshal(r.Image, &lies) != nil {
			return false
		}
		return clips[lies.Clip] || table == "ruling" && days[lies.Date]
	})
}
