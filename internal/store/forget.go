package store

import (
	"bytes"
	"context"
	"crypto/rand"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/mattn/go-sqlite3"

	"strokeledger/internal/atomicfile"
	"strokeledger/internal/club"
	"strokeledger/internal/merge"
)

// Forgetting says how a player is to be forgotten; see Library.PlayerData for what
// there is.
type Forgetting struct {
	Player club.ID
	Clips  []club.ID // taken out whole, with all that was entered on them, whoever plays
	Notes  bool      // empty the notes of others in which a part of the name or the alias stands
	// Settings are those that tell of the player or the clips, as they are to be from
	// then on; one that is empty goes.
	Settings   map[string]string
	KeepCounts bool // turns, strokes and marks stay as numbers of nobody: without notes, on clips without a film where those go
}

// The settings that forgetting keeps besides merge.SettingForgotten: who the numbers of the forgotten belong to,
// and that the file still has to be rewritten.
const (
	settingFormer = "former players"
	settingTidy   = "tidy"
)

// formerPlayers is the name under which kept numbers are counted.
const formerPlayers = "Former players"

// Forget takes a player out of the library for good: the row, turns, strokes,
// marks and rulings, removed ones too; the list of documents; the change log as a
// whole, and with it every step of undo; and the copies in the library's folder,
// of which a new one is made. Then the file is rewritten, so that nothing of it
// can be read in its bytes. Where the name stands in the notes of others it is
// taken out. It cannot be undone.
//
// Documents, films and backups outside the folder are the caller's.
//
// Errors: ErrUnknown; those of Do. Where another program keeps the file from
// being rewritten, or the disk is full, the player is out already; the error says
// so, and the rest is done when the library is opened next.
func (l *Library) Forget(ctx context.Context, author club.ID, f Forgetting) error {
	_, err := l.change(ctx, author, func(w *writing) error {
		t, err := playerData(ctx, w.tx, f.Player)
		if err != nil {
			return err
		}
		w.label = "forget a player"
		if err := w.forget(t, f); err != nil {
			return err
		}
		if err := w.anew(); err != nil {
			return err
		}
		_, err = w.tx.ExecContext(ctx, "INSERT INTO setting (key, value) VALUES (?, 'yes') ON CONFLICT DO UPDATE SET value = excluded.value", settingTidy)
		return err
	})
	if err != nil {
		return err
	}
	return l.tidy(context.WithoutCancel(ctx))
}

// statement is one step of forgetting.
type statement struct {
	sql  string
	args []any
}

func (w *writing) all(steps []statement) error {
	for _, s := range steps {
		if _, err := w.tx.ExecContext(w.ctx, s.sql, s.args...); err != nil {
			return err
		}
	}
	return nil
}

func (w *writing) forget(t PlayerData, f Forgetting) error {
	if err := w.unmention(t, f.Notes); err != nil {
		return err
	}
	err := w.remember(f.Player)
	if err != nil {
		return err
	}
	err = w.forgetPairs(f) // before the turns are anybody else's
	switch {
	case err != nil:
	case f.KeepCounts:
		err = w.toNobody(f)
	default:
		err = w.takeAway(f)
	}
	if err != nil {
		return err
	}
	if err := w.unlist(t); err != nil {
		return err
	}
	for key, value := range f.Settings {
		step := statement{"DELETE FROM setting WHERE key = ?", []any{key}}
		if value != "" {
			step = statement{"INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value", []any{key, value}}
		}
		if err := w.all([]statement{step}); err != nil {
			return err
		}
	}
	// What was removed before is gone for the coach, but its texts are there still.
	// Entries that were removed on the player's clips may have been the player's.
	err = w.all([]statement{
		{"DELETE FROM ruling WHERE player_id = ?", []any{f.Player}},
		{"DELETE FROM stroke WHERE gone = 1 AND clip_id IN (SELECT clip_id FROM turn WHERE player_id = ?)", []any{f.Player}},
		{"DELETE FROM mark WHERE gone = 1 AND clip_id IN (SELECT clip_id FROM turn WHERE player_id = ?)", []any{f.Player}},
		{"DELETE FROM look WHERE gone = 1 AND clip_id IN (SELECT clip_id FROM turn WHERE player_id = ?)", []any{f.Player}},
		{"DELETE FROM turn WHERE player_id = ?", []any{f.Player}},
		{"DELETE FROM model WHERE gone = 1", nil},
		{"DELETE FROM drawing WHERE gone = 1", nil},
		{"UPDATE definition SET counts = '', counts_not = '' WHERE gone = 1", nil},
		{"UPDATE blind_look SET turns = (SELECT json_group_array(value) FROM json_each(turns) WHERE value IN (SELECT id FROM turn))", nil},
		{"UPDATE trial SET answers = (SELECT json_group_array(json(value)) FROM json_each(answers) WHERE json_extract(value, '$.stroke_id') IN (SELECT id FROM stroke))", nil},
		{"UPDATE blind_look SET finished = made WHERE finished IS NULL AND turns = '[]'", nil},
		{"DELETE FROM trial WHERE answers = '[]'", nil},
		{"DELETE FROM player WHERE id = ?", []any{f.Player}},
		{"DELETE FROM stream_choice WHERE clip_id IN (SELECT id FROM clip WHERE gone = 1)", nil}, // no undo brings it back
		{"DELETE FROM pack", nil},
		{"DELETE FROM standing", nil},
		{"DELETE FROM body", nil}, // of whom joints are is not on record
		{"INSERT INTO setting (key, value) VALUES (?, lower(hex(randomblob(8)))) ON CONFLICT DO UPDATE SET value = excluded.value", []any{settingForgotten}},
		{"DELETE FROM reading", nil},
		{"DELETE FROM frame_index WHERE fingerprint NOT IN (SELECT fingerprint FROM clip WHERE gone = 0)", nil},
		{"DELETE FROM heard WHERE fingerprint NOT IN (SELECT fingerprint FROM clip WHERE gone = 0)", nil},
		{"DELETE FROM sound_print WHERE fingerprint NOT IN (SELECT fingerprint FROM clip WHERE gone = 0)", nil},
		{"UPDATE taken SET file = ''", nil}, // somebody called the files so
		{"DELETE FROM same WHERE given = ?1 OR keep = ?1", []any{f.Player}},
	})
	if err != nil {
		return err
	}
	for _, e := range []struct{ table, values string }{
		{"mark", "note = ''"}, {"pair", "name = '(removed)'"}, {"session", "note = ''"}, {"ruling", "reason = '(removed)'"},
		{"player", "name = '(removed)', alias = '', group_name = '', note = '', consent_by = ''"},
		{"clip", "name = '(removed)', path = ''"}, {"coach", "name = '(removed)'"},
		{"drill", "name = '(removed)', note = ''"}, {"fault", "label = '(removed)', cue = ''"},
	} {
		if err := w.overwrite(e.table, e.values, "gone = 1"); err != nil {
			return err
		}
	}
	return w.dropStamps()
}

// overwrite changes columns of rows, as changed now: no other library brings what stood
// there back. where has one parameter, or none.
func (w *writing) overwrite(table, values, where string, args ...any) error {
	k := kindNamed(table)
	ids, err := w.ids("SELECT id FROM "+table+" WHERE "+where, args...)
	if err != nil {
		return err
	}
	t := merge.Named(table)
	for _, id := range ids {
		before, _, err := k.find(w.ctx, w.tx, id)
		if err != nil {
			return err
		}
		if before.Older, err = w.older(w.tx, k, id); err != nil {
			return err
		}
		if _, err := w.tx.ExecContext(w.ctx, "UPDATE "+table+" SET "+values+" WHERE id = ?", id); err != nil {
			return err
		}
		after, _, err := k.find(w.ctx, w.tx, id)
		if err != nil {
			return err
		}
		was := before
		if was.Gone = false; bytes.Equal(before.Image, after.Image) { // what is gone stays gone since when it was
			continue
		}
		now, err := t.Changed(was, after.Image, merge.Stamp{Clock: w.clock, Author: w.author})
		if err != nil {
			return err
		}
		if _, err := w.tx.ExecContext(w.ctx, "UPDATE "+table+" SET author = ?, clock = ? WHERE id = ?", now.Stamp.Author, now.Stamp.Clock, id); err != nil {
			return err
		}
		if err := w.keepOlder(w.tx, k, id, now.Older); err != nil {
			return err
		}
	}
	return nil
}

// dropStamps deletes the moments of rows that are gone for good.
func (w *writing) dropStamps() error {
	for _, k := range kinds() {
		if _, err := w.tx.ExecContext(w.ctx, "DELETE FROM stamp WHERE kind = '"+k.named()+"' AND row_id NOT IN (SELECT id FROM "+k.named()+")"); err != nil {
			return err
		}
	}
	return nil
}

// remember puts a player on the list of the forgotten, so that no file brings the
// player back unasked.
func (w *writing) remember(player club.ID) error {
	var list merge.Forgotten
	if err := absentIsFine(w.tx.QueryRowContext(w.ctx, "SELECT value FROM setting WHERE key = ?", merge.SettingForgotten).Scan(&list)); err != nil {
		return err
	}
	salt := make([]byte, 16)
	if _, err := rand.Read(salt); err != nil {
		return err
	}
	return w.all([]statement{{"INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value", []any{merge.SettingForgotten, list.Add(player, salt)}}})
}

// unlist takes the player out of the list of documents. One that shows others stays
// on it, so that forgetting one of them finds it, unless the name is in its path.
func (w *writing) unlist(t PlayerData) error {
	var steps []statement
	for _, e := range t.Exports {
		if len(e.Players) == 1 || len(occurrences(e.Path, t.Player.Name)) > 0 {
			steps = append(steps, statement{"DELETE FROM export WHERE path = ?", []any{e.Path}})
		}
	}
	return w.all(append(steps, statement{"DELETE FROM export_player WHERE player_id = ?", []any{t.Player.ID}}))
}

// unmention takes the name out of the notes of others.
func (w *writing) unmention(t PlayerData, emptyParts bool) error {
	empty := map[string]string{}
	for _, f := range freeTexts() {
		empty[f.table] = f.empty
	}
	for _, m := range t.Mentions {
		text := without(m.Text, t.Player.Name)
		switch {
		case !m.Note:
			continue // somebody has to rename a film, or another person
		case emptyParts:
			text = empty[m.Kind]
		case !m.Whole:
			continue
		}
		if err := w.overwrite(m.Kind, m.Field+" = '"+strings.ReplaceAll(text, "'", "''")+"'", "id = ?", m.ID); err != nil {
			return err
		}
	}
	return nil
}

// onClips lists the tables whose rows lie on clips.
func onClips() []string {
	return []string{"stroke", "mark", "look", "turn", "ruler", "pairing", "adjustment", "pair", "judgement", "decision", "model", "drawing"}
}

// lookedAt is the condition that a look shows a living turn of such a player.
func lookedAt(player string) string {
	return "EXISTS (SELECT 1 FROM turn t WHERE t.player_id " + player + " AND t.gone = 0 AND t.clip_id = look.clip_id AND t.first <= look.last AND t.last >= look.first)"
}

// takeAway deletes the player's entries and the clips that go. A look that shows
// others too stays.
func (w *writing) takeAway(f Forgetting) error {
	clips := idList(append([]club.ID{""}, f.Clips...))
	steps := []statement{
		{"DELETE FROM model WHERE " + covered("model"), []any{f.Player}},
		{"DELETE FROM judgement WHERE stroke_id IN (SELECT id FROM stroke WHERE " + covered("stroke") + ")", []any{f.Player}},
		{"DELETE FROM decision WHERE stroke_id IN (SELECT id FROM stroke WHERE " + covered("stroke") + ")", []any{f.Player}},
	}
	for _, table := range []string{"stroke", "mark", "drawing"} {
		steps = append(steps, statement{"DELETE FROM " + table + " WHERE gone = 0 AND " + covered(table), []any{f.Player}})
	}
	steps = append(steps, statement{"DELETE FROM look WHERE " + lookedAt("= ?1") + " AND NOT " + lookedAt("<> ?1"), []any{f.Player}})
	for _, table := range onClips() {
		steps = append(steps, statement{"DELETE FROM " + table + " WHERE clip_id IN (SELECT value FROM json_each(?))", []any{clips}})
	}
	steps = append(steps, statement{"DELETE FROM pairing WHERE on_id IN (SELECT value FROM json_each(?))", []any{clips}})
	return w.all(append(steps, deleteClips(clips)...))
}

// deleteClips deletes clips of which nothing else is left. SQLite looks for what
// still refers to each of them, and the tables' own indices, which leave tombstones
// out, do not serve for that (sqlite.org/foreignkeys.html, section 3): without others
// it would read all strokes once a clip.
func deleteClips(clips string) (steps []statement) {
	for _, table := range onClips() {
		steps = append(steps, statement{"CREATE INDEX parting_" + table + " ON " + table + " (clip_id)", nil})
	}
	steps = append(steps, statement{"DELETE FROM clip WHERE id IN (SELECT value FROM json_each(?))", []any{clips}})
	for _, table := range onClips() {
		steps = append(steps, statement{"DROP INDEX parting_" + table, nil})
	}
	return steps
}

// toNobody keeps the player's entries as numbers: of the former players, without
// notes and drawings, on clips without name, place and film where those go.
func (w *writing) toNobody(f Forgetting) error {
	former, err := w.formerPlayer()
	if err != nil {
		return err
	}
	clips := idList(append([]club.ID{""}, f.Clips...))
	const clear = "note = '', sign = NULL, sign_x1 = NULL, sign_y1 = NULL, sign_x2 = NULL, sign_y2 = NULL"
	for _, o := range []struct {
		table, values, where string
		arg                  any
	}{
		{"mark", clear, "gone = 0 AND " + covered("mark"), f.Player},
		{"mark", clear, "gone = 0 AND clip_id IN (SELECT value FROM json_each(?))", clips},
		// The player's removed turns are no numbers: they stay behind and go with the player.
		{"turn", "player_id = '" + strings.ReplaceAll(string(former), "'", "''") + "'", "player_id = ? AND gone = 0", f.Player},
		{"clip", "name = 'film removed', path = '', fingerprint = '', bytes = 0", "id IN (SELECT value FROM json_each(?))", clips},
	} {
		if err := w.overwrite(o.table, o.values, o.where, o.arg); err != nil {
			return err
		}
	}
	return w.all([]statement{
		{"DELETE FROM model WHERE " + covered("model") + " OR clip_id IN (SELECT value FROM json_each(?2))", []any{former, clips}},
		{"DELETE FROM drawing WHERE " + covered("drawing") + " OR clip_id IN (SELECT value FROM json_each(?2))", []any{former, clips}},
		{"DELETE FROM stroke WHERE gone = 1 AND clip_id IN (SELECT clip_id FROM turn WHERE player_id = ?)", []any{former}},
		{"DELETE FROM mark WHERE gone = 1 AND clip_id IN (SELECT clip_id FROM turn WHERE player_id = ?)", []any{former}},
		{"DELETE FROM look WHERE gone = 1 AND clip_id IN (SELECT clip_id FROM turn WHERE player_id = ?)", []any{former}},
		{"DELETE FROM stream_choice WHERE clip_id IN (SELECT value FROM json_each(?))", []any{clips}},
		{"DELETE FROM ruler WHERE id IN (SELECT value FROM json_each(?))", []any{clips}},
		{"DELETE FROM adjustment WHERE id IN (SELECT value FROM json_each(?))", []any{clips}},
		{"DELETE FROM pairing WHERE id IN (SELECT value FROM json_each(?1)) OR on_id IN (SELECT value FROM json_each(?1))", []any{clips}},
	})
}

// anew empties the change log but for one entry, which goes on counting and says
// that there was a cut.
func (w *writing) anew() error {
	if err := w.all([]statement{{"DELETE FROM step", nil}, {"DELETE FROM change_row", nil}, {"DELETE FROM change", nil}}); err != nil {
		return err
	}
	return w.log("do", 0)
}

// tidy rewrites the file so that nothing that was deleted is left in its bytes
// (sqlite.org/lang_vacuum.html), empties SQLite's log, deletes the copies in the
// folder, which are what is left to go back to until then, and makes a new backup.
func (l *Library) tidy(ctx context.Context) error {
	if err := l.rewrite(ctx); err != nil {
		return l.unfinished("the file could not be rewritten", err)
	}
	if err := l.dropCopies(); err != nil {
		return l.unfinished("old copies in its folder could not be deleted", err)
	}
	if err := l.transact(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM setting WHERE key = ?", settingTidy)
		return err
	}); err != nil {
		return l.unfinished("it could not be written down that all is done", err)
	}
	_, err := l.BackupDaily(ctx)
	return err
}

var errUnfinished = errors.New("traces are left")

// unfinished says of an error that the player is out all the same.
func (l *Library) unfinished(what string, err error) error {
	err = l.classify(err)
	why := err.Error()
	why = strings.ToLower(why[:1]) + why[1:]
	if errors.Is(err, ErrBusy) {
		why = fmt.Sprintf("another window or command still reads the library in %q: close it and open the library again, then the last traces go.", l.dir)
	}
	return &club.Problem{Code: errUnfinished, Say: "The player is out of the ledger, but " + what + " yet: " + strings.TrimSuffix(why, ".") + ".", Cause: err}
}

func (l *Library) dropCopies() error {
	copies, err := l.copies()
	for _, c := range copies {
		if e := os.RemoveAll(c); e != nil && !errors.Is(e, fs.ErrNotExist) {
			err = errors.Join(err, e)
		}
	}
	return errors.Join(err, atomicfile.SyncFolder(filepath.Join(l.dir, backupFolder)))
}

// rewrite is refused with SQLite's "busy" while another program reads. Only what
// was refused is tried again: the first half writes all of the file.
func (l *Library) rewrite(ctx context.Context) error {
	return raw(ctx, l.write, func(c *sqlite3.SQLiteConn) error {
		if err := retryBusy(ctx, func() error { _, err := c.Exec("VACUUM", nil); return err }); err != nil {
			return err
		}
		// In a ledger without the log this does nothing and says so.
		return retryBusy(ctx, func() error { return checkpoint(ctx, c) })
	})
}

func checkpoint(ctx context.Context, c *sqlite3.SQLiteConn) (err error) {
	rows, err := c.QueryContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)", nil)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	values := make([]driver.Value, len(rows.Columns()))
	if err := rows.Next(values); err != nil {
		return err
	}
	if busy, _ := values[0].(int64); busy != 0 {
		return sqlite3.Error{Code: sqlite3.ErrBusy}
	}
	return nil
}

// resumeTidying ends a forgetting that was cut short. What keeps it from that
// keeps nobody from the library: the next start tries again.
func (l *Library) resumeTidying(ctx context.Context) {
	if v, err := l.Setting(ctx, settingTidy); err == nil && v != "" {
		_ = l.tidy(ctx)
	}
}
