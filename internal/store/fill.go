package store

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"time"

	"github.com/mattn/go-sqlite3"

	"strokeledger/internal/club"
)

const (
	// For so long one transaction packs clips while a reader waits, or while nobody
	// does, and packAtOnce between two looks at the clock: a mark that is entered
	// meanwhile waits for it.
	packFor    = 15 * time.Millisecond
	aheadFor   = 10 * time.Millisecond
	packAtOnce = 5
	// packPause lets writers of other programs in, who look again every few
	// milliseconds; those of this one stand in line.
	packPause = 3 * time.Millisecond
)

// fill packs the clips that have no pack, and keeps the packs where the library
// can be written.
func (l *Library) fill(ctx context.Context, films []film) error {
	at := map[club.ID]int{}
	var missing []club.ID
	for i := range films {
		if films[i].packed == nil {
			missing = append(missing, films[i].clip)
			at[films[i].clip] = i
		}
	}
	keep := func(clip club.ID, p packed) { films[at[clip]].packed = &p }
	l.filling.Add(1)
	defer l.filling.Add(-1)
	write := !l.readOnly
	told := newThrottle(l.waiting, len(missing))
	defer told.end()
	for left := missing; len(left) > 0; {
		n, err := 0, ErrReadOnly
		if write {
			n, err = l.packSome(ctx, packFor, left, keep)
			write = !errors.Is(err, ErrBusy) && !errors.Is(err, ErrFull) && !errors.Is(err, ErrDamaged) // each try would wait anew
		}
		if err != nil && ctx.Err() == nil {
			n = min(packAtOnce, len(left))
			err = l.view(ctx, func(tx *sql.Tx) error { return packClips(ctx, tx, left[:n], false, keep) })
		}
		if err != nil {
			return err
		}
		left = left[n:]
		told.tell(len(missing) - len(left))
		if write && len(left) > 0 {
			pause(ctx, packPause)
		}
	}
	return nil
}

// PackAhead packs every clip that has no pack, those of the last sessions first,
// so that no reader waits for it. It works half of the time in small transactions
// and leaves the other half to others, and returns when all is packed, ctx ends,
// or the library takes no packs. A library that cannot be written stays as it is.
func (l *Library) PackAhead(ctx context.Context) error {
	if l.readOnly {
		return nil
	}
	var left []club.ID
	err := l.viewCached(ctx, func(tx *sql.Tx, usable bool) error {
		if left = nil; !usable {
			return nil
		}
		rows, err := tx.QueryContext(ctx, `SELECT c.id FROM session d CROSS JOIN clip c ON c.session_id = d.id AND c.gone = 0
			WHERE d.gone = 0 AND NOT EXISTS (SELECT 1 FROM pack p WHERE p.clip_id = c.id) ORDER BY d.date DESC, c.id DESC`)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var id club.ID
			if err := rows.Scan(&id); err != nil {
				return err
			}
			left = append(left, id)
		}
		return rows.Err()
	})
	for err == nil && len(left) > 0 {
		began, n := time.Now(), 0
		n, err = l.packSome(ctx, aheadFor, left, func(club.ID, packed) {})
		left = left[n:]
		pause(ctx, time.Since(began))
		for l.filling.Load() > 0 && ctx.Err() == nil {
			pause(ctx, 50*time.Millisecond) // a reader packs: two would keep a mark waiting twice as long
		}
	}
	return cmp.Or(ctx.Err(), err)
}

// packSome packs and keeps the first of some clips in one short transaction, and
// returns how many.
func (l *Library) packSome(ctx context.Context, long time.Duration, clips []club.ID, keep func(club.ID, packed)) (n int, err error) {
	// What is read and what is kept must be the same state of the library.
	err = l.transact(ctx, func(tx *sql.Tx) error {
		for end := time.Now().Add(long); n < len(clips) && (n == 0 || time.Now().Before(end)); {
			next := min(n+packAtOnce, len(clips))
			if err := packClips(ctx, tx, clips[n:next], true, keep); err != nil {
				return err
			}
			n = next
		}
		return nil
	})
	return n, err
}

// pause waits, or until ctx ends.
func pause(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}

// packClips packs clips from the tables, but for those that another has packed
// since, and writes the packs too where it is told to.
func packClips(ctx context.Context, tx *sql.Tx, clips []club.ID, write bool, keep func(club.ID, packed)) error {
	there, err := packsOf(ctx, tx, clips)
	if isCode(err, sqlite3.ErrCorrupt) && !write {
		there, err = nil, nil // there are other ways to come by them
	}
	if err != nil {
		return err
	}
	var missing []club.ID
	for _, clip := range clips {
		if p, ok := there[clip]; ok {
			keep(clip, p)
			continue
		}
		missing = append(missing, clip)
	}
	if len(missing) == 0 {
		return nil
	}
	r := record{}
	if err := r.counted(ctx, tx, Filter{clips: missing}); err != nil {
		return err
	}
	byClip := make(map[club.ID][]club.TurnRecord, len(missing))
	for _, t := range r.all {
		byClip[t.ClipID] = append(byClip[t.ClipID], t)
	}
	counts := map[club.ID]Count{}
	if write {
		if err := count(ctx, tx, missing, counts); err != nil {
			return err
		}
	}
	for _, clip := range missing {
		data, ids := pack(byClip[clip])
		p, _ := openPack(data, ids, true)
		keep(clip, p)
		if !write {
			continue
		}
		n := counts[clip]
		if _, err := tx.ExecContext(ctx, `INSERT OR REPLACE INTO pack (clip_id, turns, strokes, marks, unlooked, data, ids)
			SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7 WHERE EXISTS (SELECT 1 FROM clip WHERE id = ?1 AND gone = 0)`,
			clip, n.Turns, n.Strokes, n.Marks, n.Unlooked, data, ids); err != nil {
			return err
		}
	}
	return nil
}

// packsOf reads the whole packs that some clips have.
func packsOf(ctx context.Context, tx *sql.Tx, clips []club.ID) (map[club.ID]packed, error) {
	rows, err := tx.QueryContext(ctx, "SELECT clip_id, data, ids FROM pack WHERE clip_id IN (SELECT value FROM json_each(?))", idList(clips))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	packs := map[club.ID]packed{}
	for rows.Next() {
		var clip club.ID
		var data, ids []byte
		if err := rows.Scan(&clip, &data, &ids); err != nil {
			return nil, err
		}
		if p, ok := openPack(data, ids, true); ok {
			packs[clip] = p
		}
	}
	return packs, rows.Err()
}

// throttle reports the progress of long work, a few times a second at most.
type throttle struct {
	to    func(done, total int) // or nil
	total int
	next  time.Time
	told  bool
}

// Nothing is told of what is done soon, and then a few times a second.
const (
	remindAfter = 500 * time.Millisecond
	remindEvery = 200 * time.Millisecond
)

func newThrottle(to func(done, total int), total int) *throttle {
	return &throttle{to: to, total: total, next: time.Now().Add(remindAfter)}
}

// tell says that so much is done.
func (r *throttle) tell(done int) {
	if r.to == nil || done == r.total || time.Now().Before(r.next) {
		return
	}
	r.told, r.next = true, time.Now().Add(remindEvery)
	r.to(done, r.total)
}

// end reports for the last time, whether the work is finished or given up, where
// anything was reported before.
func (r *throttle) end() {
	if r.told {
		r.to(r.total, r.total)
	}
}
