package store

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"strokeledger/internal/alike"
	"strokeledger/internal/club"
)

// obeyRules checks, once all edits of a change are made, the rules that need
// more than one row. Each is a query over all touched rows of a table.
func (w *writing) obeyRules() error {
	put, dropped := w.touchedIDs()
	for _, k := range kinds() {
		for _, r := range k.parents() {
			if err := w.parentsLive(k.named(), r, put[k.named()]); err != nil {
				return err
			}
			if err := w.childrenGone(k.named(), r, dropped[r.table]); err != nil {
				return err
			}
		}
	}
	for _, r := range entriesOnClips() {
		if err := w.insideClip(r.table, r.column, put[r.table]); err != nil {
			return err
		}
	}
	if err := w.lookedForKnown(put["look"], dropped["fault"]); err != nil {
		return err
	}
	if err := w.pairedOnce(put["pairing"]); err != nil {
		return err
	}
	if err := w.apart(put); err != nil {
		return err
	}
	if err := w.onlyOnce(put); err != nil {
		return err
	}
	if err := w.turnsApart(); err != nil {
		return err
	}
	if err := w.blindUntouched(); err != nil {
		return err
	}
	return w.catalogueUnique()
}

// touchedIDs lists by table, as JSON, the rows that the change leaves living and
// those that it leaves removed.
func (w *writing) touchedIDs() (put, dropped map[string]string) {
	last := map[string]map[club.ID]bool{}
	for _, r := range w.rows {
		if last[r.kind.named()] == nil {
			last[r.kind.named()] = map[club.ID]bool{}
		}
		last[r.kind.named()][r.id] = r.after != nil
	}
	put, dropped = map[string]string{}, map[string]string{}
	for name, rows := range last {
		var live, gone []club.ID
		for id, lives := range rows {
			if lives {
				live = append(live, id)
			} else {
				gone = append(gone, id)
			}
		}
		put[name], dropped[name] = idList(live), idList(gone)
	}
	return put, dropped
}

// idList writes IDs for SQLite's json_each, "" for none.
func idList(ids []club.ID) string {
	if len(ids) == 0 {
		return ""
	}
	text, err := json.Marshal(ids)
	if err != nil {
		panic("store: strings as JSON: " + err.Error())
	}
	return string(text)
}

// some reports whether the query finds a row, and scans it.
func (w *writing) some(query string, args, into []any) (bool, error) {
	err := w.tx.QueryRowContext(w.ctx, query, args...).Scan(into...)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, err
}

func (w *writing) parentsLive(child string, r reference, ids string) error {
	if ids == "" {
		return nil
	}
	var id string
	found, err := w.some(fmt.Sprintf(`SELECT c.%[1]s FROM json_each(?) j JOIN %[2]s c ON c.id = j.value
		WHERE c.%[1]s IS NOT NULL AND NOT EXISTS (SELECT 1 FROM %[3]s p WHERE p.id = c.%[1]s AND p.gone = 0) LIMIT 1`,
		r.column, child, r.table), []any{ids}, []any{&id})
	if found {
		return &club.Problem{Field: r.table, Say: fmt.Sprintf("The %s of this %s is not in the library any more: pick another.", r.table, child)}
	}
	return err
}

func (w *writing) childrenGone(child string, r reference, ids string) error {
	if ids == "" {
		return nil
	}
	var id string
	found, err := w.some(fmt.Sprintf("SELECT id FROM %s WHERE gone = 0 AND %s IN (SELECT value FROM json_each(?)) LIMIT 1",
		child, r.column), []any{ids}, []any{&id})
	switch {
	case found && r.table == "blind_look":
		return &club.Problem{Say: "This second look holds marks: take it back under Agreement."}
	case found && r.table == "session":
		return &club.Problem{Say: "This session still holds clips: remove them first."}
	case found:
		return &club.Problem{Say: fmt.Sprintf("This %s is used by what was logged before: retire it instead of removing it.", r.table)}
	}
	return err
}

// entriesOnClips lists what lies at frames of a clip, with the column of the last
// of them; turns have their own rule.
func entriesOnClips() []reference {
	return []reference{{"frame", "stroke"}, {"frame", "mark"}, {"last", "look"}, {"frame", "ruler"}, {"frame", "model"}, {"frame", "pair"}, {"other_frame", "pair"}, {"last", "drawing"}}
}

// clipOf is the column with the clip of a frame's column.
func clipOf(column string) string {
	if column == "other_frame" {
		return "other_id"
	}
	return "clip_id"
}

func (w *writing) insideClip(name, column, ids string) error {
	if ids == "" {
		return nil
	}
	var frame, frames int
	found, err := w.some(fmt.Sprintf(`SELECT r.%[2]s, c.frames FROM json_each(?) j JOIN %[1]s r ON r.id = j.value
		JOIN clip c ON c.id = r.%[3]s WHERE r.%[2]s >= c.frames LIMIT 1`, name, column, clipOf(column)), []any{ids}, []any{&frame, &frames})
	if found {
		return &club.Problem{Field: "frame", Say: fmt.Sprintf("Frame %d is past the end of the clip: its frames are 0 to %d.", frame, frames-1)}
	}
	return err
}

// unknownFault finds looks, of which there are those that the condition picks, that
// name a fault which is not there.
const unknownFault = `FROM look l, json_each(l.faults) f WHERE l.gone = 0
	AND NOT EXISTS (SELECT 1 FROM fault p WHERE p.id = f.value AND p.gone = 0)`

// lookedForKnown keeps looks to faults that are in the library.
func (w *writing) lookedForKnown(looks, faultsGone string) error {
	var id string
	if looks != "" {
		found, err := w.some("SELECT l.id "+unknownFault+" AND l.id IN (SELECT value FROM json_each(?)) LIMIT 1", []any{looks}, []any{&id})
		if found {
			return &club.Problem{Field: "faults", Say: "A fault that was looked for is not in the library any more: pick the faults again."}
		}
		if err != nil {
			return err
		}
	}
	if faultsGone == "" {
		return nil
	}
	found, err := w.some("SELECT l.id FROM look l, json_each(l.faults) f WHERE l.gone = 0 AND f.value IN (SELECT value FROM json_each(?)) LIMIT 1", []any{faultsGone}, []any{&id})
	if found {
		return &club.Problem{Say: "This fault was looked for in film that was looked through: retire it instead of removing it."}
	}
	return err
}

// apart keeps two strokes, and two marks of one fault by one coach, from one picture:
// a key hit twice, or two windows in which the same was seen, say nothing more.
func (w *writing) apart(put map[string]string) error {
	for _, r := range []struct{ table, same, say string }{
		{"stroke", "", "Frame %d has a stroke already: step to the next contact."},
		{"mark", "AND o.fault_id = s.fault_id AND o.coach_id IS s.coach_id AND o.blind_id IS s.blind_id", "Frame %d has this mark already: step to another frame, or pick another fault."},
	} {
		if put[r.table] == "" {
			continue
		}
		var frame int
		found, err := w.some(fmt.Sprintf(`SELECT s.frame FROM json_each(?) j JOIN %[1]s s ON s.id = j.value
			JOIN %[1]s o ON o.clip_id = s.clip_id AND o.frame = s.frame AND o.id <> s.id AND o.gone = 0 %[2]s LIMIT 1`, r.table, r.same),
			[]any{put[r.table]}, []any{&frame})
		if err != nil {
			return err
		}
		if found {
			return &club.Problem{Field: "frame", Say: fmt.Sprintf(r.say, frame)}
		}
	}
	return nil
}

// onlyOnce keeps two windows that work at the same time from adding one film or
// one training day twice.
func (w *writing) onlyOnce(put map[string]string) error {
	for _, r := range []struct{ table, column, say string }{
		{"clip", "fingerprint", "This film is in the library already: nothing was added."},
		{"session", "date", "There is a session on this day already: put the clips into that one."},
	} {
		if put[r.table] == "" {
			continue
		}
		var id string
		found, err := w.some(fmt.Sprintf(`SELECT c.id FROM json_each(?) j JOIN %[1]s c ON c.id = j.value
			JOIN %[1]s o ON o.%[2]s = c.%[2]s AND o.id <> c.id AND o.gone = 0 WHERE c.%[2]s <> '' LIMIT 1`, r.table, r.column),
			[]any{put[r.table]}, []any{&id})
		if err != nil {
			return err
		}
		if found {
			return &club.Problem{Field: r.column, Say: r.say}
		}
	}
	return nil
}

// turnsApart holds every touched turn against the others of its clip.
func (w *writing) turnsApart() error {
	clips := map[club.ID]bool{}
	mine := map[club.ID]bool{}
	for _, r := range w.rows {
		if r.kind.named() == "turn" && r.after != nil {
			t, err := turns().read(r.after)
			if err != nil {
				return err
			}
			clips[t.ClipID], mine[t.ID] = true, true
		}
	}
	for clip := range clips {
		var frames int
		if err := w.tx.QueryRowContext(w.ctx, "SELECT frames FROM clip WHERE id = ?", clip).Scan(&frames); err != nil {
			return err
		}
		all, err := turns().all(w.ctx, w.tx, "WHERE clip_id = ? AND gone = 0 ORDER BY first", clip)
		if err != nil {
			return err
		}
		for _, t := range all {
			if mine[t.ID] {
				if err := club.CheckTurn(t, frames, all); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// catalogueUnique holds every touched definition against the others.
func (w *writing) catalogueUnique() error {
	touched := map[club.ID]bool{}
	for _, r := range w.rows {
		switch r.kind.named() {
		case "coach", "player", "drill", "fault":
			touched[r.id] = true
		}
	}
	if len(touched) == 0 {
		return nil
	}
	c, err := catalogue(w.ctx, w.tx)
	if err != nil {
		return err
	}
	return c.CheckRows(touched)
}

// noTwins holds players who are new, renamed or back in use against those whom the change
// leaves alone. It is asked where a coach enters something and not by undo: a library may hold
// two names that read alike from a time when that was allowed, and a record brings all of
// its players in one change.
func (w *writing) noTwins() error {
	var fresh []club.Player
	touched := map[club.ID]bool{}
	for _, r := range w.rows {
		if r.kind.named() != "player" {
			continue
		}
		touched[r.id] = true
		if r.after == nil {
			continue
		}
		after, err := players().read(r.after)
		if err != nil {
			return err
		}
		before := club.Player{Retired: true}
		if r.before != nil {
			if before, err = players().read(r.before); err != nil {
				return err
			}
		}
		if !after.Retired && (before.Retired || before.Name != after.Name) {
			fresh = append(fresh, after)
		}
	}
	if len(fresh) == 0 {
		return nil
	}
	c, err := catalogue(w.ctx, w.tx)
	if err != nil {
		return err
	}
	names := alike.New()
	known := make(map[string]string, len(c.Players))
	for _, p := range c.Players {
		if !p.Retired && !touched[p.ID] {
			known[names.Key(p.Name)] = p.Name
		}
	}
	for _, p := range fresh {
		if twin, ok := known[names.Key(p.Name)]; ok {
			return &club.Problem{Field: "name", Say: fmt.Sprintf("%q is in the club already: choose that player, or add something to %q to tell them apart.", twin, p.Name)}
		}
	}
	return nil
}
