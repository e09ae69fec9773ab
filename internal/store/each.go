package store

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/timecode"
)

// Each calls do with every turn that the filter picks, in order of date, clip and
// frame, with what a summary counts: of a stroke its place, side, outcome,
// readiness and the partner's answer, of a mark its place, fault and the stroke it
// was hung on, of a look its stretch, coach and faults; of the turn itself also
// whether it is settled. With names the marks have their IDs, and so have the strokes
// with a ready moment. The record is used again for the next turn: do keeps nothing of
// it but strings. An error of do ends the reading and is returned. Turns at which the
// coach who marks looks blind are left out, and so is what does not count: see counted.
//
// It reads the packed clips, and packs those that have changed since they were
// read last; the first reading of a large library takes its time, of which
// Options.Waiting is told.
func (l *Library) Each(ctx context.Context, f Filter, names bool, do func(*club.TurnRecord) error) error {
	films, err := l.films(ctx, f, names)
	if err != nil {
		return err
	}
	if err := l.fill(ctx, films); err != nil {
		return err
	}
	players, drills := setOf(f.Players), setOf(f.Drills)
	var v *sight
	if err := l.view(ctx, func(tx *sql.Tx) (err error) { v, err = sightOf(ctx, tx); return err }); err != nil {
		return err
	}
	if v.blind() {
		counted := do
		do = func(r *club.TurnRecord) error {
			if v.hidden(r.ID) {
				return nil
			}
			return counted(r)
		}
	}
	wanted := func(player, drill club.ID) bool {
		return (players == nil || players[player]) && (drills == nil || drills[drill])
	}
	return l.unpack(ctx, films, names, wanted, do)
}

// slots is how many turns may be unpacked ahead of the one that is counted.
const slots = 64

// unpack reads the films one after another on a goroutine of its own, while do has
// the turns before.
func (l *Library) unpack(ctx context.Context, films []film, names bool, wanted func(player, drill club.ID) bool, do func(*club.TurnRecord) error) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	full, empty := make(chan *slot, slots), make(chan *slot, slots)
	for range slots {
		empty <- new(slot)
	}
	var failed error // of the goroutine; read once full is closed
	go func() {
		defer close(full)
		u := unpacker{slot: new(slot)}
		for i := range films {
			f := &films[i]
			if failed = ctx.Err(); failed != nil {
				return
			}
			failed = u.each(*f.packed, names, wanted, func() error {
				u.r.ClipID, u.r.Date, u.r.Base, u.r.Zero, u.r.Picture = f.clip, f.date, f.base, f.zero, f.picture
				select {
				case full <- u.slot:
				case <-ctx.Done():
					return ctx.Err()
				}
				u.slot = <-empty // one is there: not all can be full
				return nil
			})
			if failed != nil {
				return
			}
		}
	}()
	var err error
	for s := range full {
		if err == nil {
			if err = do(&s.r); err != nil {
				stop() // and take in what is on its way
			}
		}
		empty <- s
	}
	if err == nil && errors.Is(failed, errPack) {
		return broken(ErrDamaged, l.dir, failed)
	}
	if err != nil {
		return err
	}
	return l.classify(failed)
}

func setOf(ids []club.ID) map[club.ID]bool {
	if len(ids) == 0 {
		return nil
	}
	set := make(map[club.ID]bool, len(ids))
	for _, id := range ids {
		set[id] = true
	}
	return set
}

// film is one clip with its pack, nil where there is none yet.
type film struct {
	clip    club.ID
	date    club.Date
	base    timecode.Base
	zero    int64   // ticks of the first picture
	picture float64 // seconds for which one stands
	*packed
}

// films reads the clips on which something that the filter picks may have been
// entered, in order of date and clip.
func (l *Library) films(ctx context.Context, f Filter, names bool) (films []film, err error) {
	err = l.viewCached(ctx, func(tx *sql.Tx, usable bool) error {
		films = nil
		query, args := f.films(usable, names)
		rows, err := tx.QueryContext(ctx, query, args...)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var v film
			var data, ids []byte
			if err := rows.Scan(&v.clip, &v.date, &v.base.Num, &v.base.Den, &v.zero, &v.picture, &data, &ids); err != nil {
				return err
			}
			if p, ok := openPack(data, ids, names); ok {
				v.packed = &p
			}
			films = append(films, v)
		}
		return rows.Err()
	})
	slices.SortFunc(films, func(a, b film) int { return cmp.Or(cmp.Compare(a.date, b.date), cmp.Compare(a.clip, b.clip)) })
	return films, err
}

// films makes the statement, with the packs where they can be read: from the
// players' or drills' turns where the filter has some, else from the sessions.
func (f Filter) films(packs, names bool) (query string, args []any) {
	data, ids, join := "NULL", "NULL", ""
	if packs {
		data, join = "p.data", " LEFT JOIN pack p ON p.clip_id = c.id"
	}
	if packs && names {
		ids = "p.ids"
	}
	query = "SELECT c.id, d.date, c.base_num, c.base_den, c.first_ticks, " + onePicture + ", " + data + ", " + ids + " FROM "
	if len(f.Players) > 0 || len(f.Drills) > 0 {
		query += "(SELECT DISTINCT clip_id FROM turn WHERE gone = 0"
		for _, in := range []struct {
			column string
			ids    []club.ID
		}{{"player_id", f.Players}, {"drill_id", f.Drills}} {
			if len(in.ids) > 0 {
				query += " AND " + in.column + " IN (SELECT value FROM json_each(?))"
				args = append(args, idList(in.ids))
			}
		}
		query += ") t CROSS JOIN clip c ON c.id = t.clip_id AND c.gone = 0 CROSS JOIN session d ON d.id = c.session_id"
	} else {
		query += "session d CROSS JOIN clip c ON c.session_id = d.id AND c.gone = 0"
	}
	query += join + " WHERE d.gone = 0"
	if f.From != "" {
		query += " AND d.date >= ?"
		args = append(args, f.From)
	}
	if f.To != "" {
		query += " AND d.date <= ?"
		args = append(args, f.To)
	}
	return query, args
}
