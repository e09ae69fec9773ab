package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"strokeledger/internal/club"
	"strokeledger/internal/scratch"
)

// Repair keeps what can be kept of a damaged library in a new file beside the
// ledger, which stays as it is, and returns the new file's path. Rows that cannot
// be read any more are taken from the change log where that still has them. The
// findings say what was lost; the report is OK where nothing was. Restore puts
// the new file in the ledger's place.
//
// Nobody should write to the library meanwhile. Errors: as of Open; ErrDamaged
// where not even the list of tables can be read.
func Repair(ctx context.Context, dir string, o Options) (file string, r Report, err error) {
	o.fill()
	if dir, err = filepath.Abs(dir); err != nil {
		return "", r, err
	}
	file, r, err = repair(ctx, dir, o)
	return file, r, classify(err, dir)
}

func repair(ctx context.Context, dir string, o Options) (file string, r Report, err error) {
	damaged := filepath.Join(dir, fileName)
	if !isFile(damaged) {
		if err := lost(dir); err != nil {
			return "", r, err
		}
		return "", r, broken(errAbsent, dir, fs.ErrNotExist)
	}
	room, err := os.MkdirTemp(dir, scratch.Pattern("repair", ""))
	if err != nil {
		return "", r, err
	}
	defer os.RemoveAll(room)
	from, err := copyOfDamaged(ctx, damaged, filepath.Join(room, "damaged.db"), o)
	if err != nil {
		return "", r, err
	}
	defer from.Close()
	file = unused(dir, "repaired", o.Now())
	whole, err := makeFile(file, scratch.Pattern("repair", ".db"), "_txlock=immediate&_foreign_keys=0", func(to *sql.DB) error {
		if err := migrate(ctx, to, o.migrations, nil); err != nil {
			return err
		}
		return keep(ctx, from, to, &r)
	})
	if err != nil {
		return "", r, err
	}
	defer whole.Discard()
	r.OK = len(r.Findings) == 0
	return file, r, whole.CommitNew()
}

// copyOfDamaged opens a copy, so that nothing happens to the only original. The
// copy is SQLite's own where SQLite still can, else byte by byte.
func copyOfDamaged(ctx context.Context, damaged, to string, o Options) (*sql.DB, error) {
	src, dst := connect(damaged, "mode=ro", 1), connect(to, "_journal_mode=DELETE", 1)
	err := errors.Join(copyDatabase(ctx, dst, src), src.Close(), dst.Close())
	if err != nil && ctx.Err() == nil {
		removeLedger(to)
		for _, end := range []string{"", "-wal"} {
			if err := copyFile(damaged+end, to+end); err != nil && !(end != "" && errors.Is(err, fs.ErrNotExist)) {
				return nil, err
			}
		}
	}
	db := connect(to, "_foreign_keys=0&_txlock=immediate", 1)
	var tables int
	err = db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema WHERE type = 'table'").Scan(&tables)
	if err == nil {
		err = migrate(ctx, db, o.migrations, func(context.Context, int) error { return nil })
	}
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

func copyFile(from, to string) error {
	src, err := os.Open(from)
	if err != nil {
		return err
	}
	defer src.Close()
	dst, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(dst, src)
	return errors.Join(err, dst.Close())
}

// keep fills the new ledger.
func keep(ctx context.Context, from, to *sql.DB, r *Report) error {
	tx, err := to.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	complete := true
	salvage := func(table, key string) error {
		s := salvager{ctx: ctx, from: from, to: tx, table: table, key: key}
		err := s.all()
		complete = complete && !s.holes
		return err
	}
	for _, s := range [][2]string{{"change", "seq"}, {"change_row", "seq"}, {"step", "place"}, {"setting", ""}, {"export", ""}, {"export_player", ""}, {"sound_print", "rowid"}, {"stamp", ""}, {"stream_choice", "rowid"}, {"stream_choice_except", ""}} {
		if err := salvage(s[0], s[1]); err != nil {
			return err
		}
	}
	for _, k := range kinds() {
		if err := salvage(k.named(), "rowid"); err != nil {
			return err
		}
		if err := fromLog(ctx, tx, k); err != nil {
			return err
		}
	}
	if !complete {
		r.add("Parts of the file could not be read. Entries that are also missing from the change log are lost: look through the newest clips.")
		r.add("The steps of undo could not be kept.")
		if _, err := tx.ExecContext(ctx, "DELETE FROM step"); err != nil {
			return err
		}
	}
	if err := dropStrays(ctx, tx, r); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		return err
	}
	return integrity(ctx, to)
}

// fromLog brings back rows that could not be read, as the change log saw them
// last.
func fromLog(ctx context.Context, tx *sql.Tx, k kind) error {
	type last struct {
		after image
		stamp
	}
	lost := map[club.ID]last{}
	rows, err := tx.QueryContext(ctx, fmt.Sprintf(`SELECT r.row_id, r.after, c.author, c.clock FROM change_row r JOIN change c USING (seq)
		WHERE r.kind = ? AND NOT EXISTS (SELECT 1 FROM %s t WHERE t.id = r.row_id) ORDER BY r.seq, r.n`, k.named()), k.named())
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var id club.ID
		var after sql.NullString
		var l last
		if err := rows.Scan(&id, &after, &l.author, &l.clock); err != nil {
			return err
		}
		if after.Valid {
			l.after = image(after.String)
		}
		lost[id] = l
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for _, l := range lost {
		if l.after == nil || k.check(l.after) != nil {
			continue
		}
		if err := k.put(ctx, tx, l.after, l.stamp); err != nil {
			return err
		}
	}
	return nil
}

// dropStrays takes out rows that name others which are lost, and says how many.
func dropStrays(ctx context.Context, tx *sql.Tx, r *Report) error {
	for _, k := range kinds() {
		for _, p := range k.parents() {
			if _, err := tx.ExecContext(ctx, fmt.Sprintf("DELETE FROM %[1]s WHERE gone = 1 AND %[2]s IS NOT NULL AND %[2]s NOT IN (SELECT id FROM %[3]s)", k.named(), p.column, p.table)); err != nil {
				return err
			}
			done, err := tx.ExecContext(ctx, fmt.Sprintf("DELETE FROM %[1]s WHERE gone = 0 AND %[2]s IS NOT NULL AND %[2]s NOT IN (SELECT id FROM %[3]s WHERE gone = 0)", k.named(), p.column, p.table))
			if err != nil {
				return err
			}
			if n, err := done.RowsAffected(); err != nil {
				return err
			} else if n > 0 {
				r.add("%d of the %ss could not be kept, because their %s is lost.", n, k.named(), p.table)
			}
		}
	}
	// A look stands for the faults that are left.
	var looks int
	if err := tx.QueryRowContext(ctx, "SELECT count(DISTINCT l.id) "+unknownFault).Scan(&looks); err != nil {
		return err
	}
	if looks > 0 {
		r.add("%d of the looks were for faults that are lost: they stand for the others only.", looks)
	}
	if _, err := tx.ExecContext(ctx, `UPDATE look SET faults = (SELECT json_group_array(f.value) FROM json_each(look.faults) f
		WHERE f.value IN (SELECT id FROM fault WHERE gone = 0)) WHERE gone = 0`); err != nil {
		return err
	}
	for _, stray := range []string{
		"DELETE FROM look WHERE gone = 0 AND faults = '[]'",
		"DELETE FROM change WHERE target NOT IN (SELECT seq FROM change)",
		"DELETE FROM change_row WHERE seq NOT IN (SELECT seq FROM change)",
		"DELETE FROM stream_choice WHERE clip_id NOT IN (SELECT id FROM clip)",
		"DELETE FROM stream_choice_except WHERE clip_id NOT IN (SELECT clip_id FROM stream_choice)",
		"DELETE FROM export_player WHERE path NOT IN (SELECT path FROM export)",
		"DELETE FROM step WHERE seq NOT IN (SELECT seq FROM change)",
	} {
		if _, err := tx.ExecContext(ctx, stray); err != nil {
			return err
		}
	}
	return nil
}

// integrity returns an error where a database is not whole in itself.
func integrity(ctx context.Context, db *sql.DB) error {
	var say string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&say); err != nil {
		return err
	}
	if say != "ok" {
		return fmt.Errorf("%w: %s", errIntegrity, say)
	}
	rows, err := db.QueryContext(ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return err
	}
	defer rows.Close()
	if rows.Next() {
		return fmt.Errorf("%w: a row names another that is not there", errIntegrity)
	}
	return rows.Err()
}

var errIntegrity = errors.New("database is not sound")
