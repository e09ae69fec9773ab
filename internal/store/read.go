package store

import (
	"context"
	"database/sql"
	"fmt"
	"strings"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/sighting"
)

// Catalogue returns all definitions, the retired included: coaches and players
// by name, drills by rung and name, faults by code.
func (l *Library) Catalogue(ctx context.Context) (c club.Catalogue, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		c, err = catalogue(ctx, tx)
		return err
	})
	return c, err
}

func catalogue(ctx context.Context, tx *sql.Tx) (c club.Catalogue, err error) {
	if c.Coaches, err = coaches().all(ctx, tx, "WHERE gone = 0 ORDER BY name COLLATE NOCASE, id"); err != nil {
		return c, err
	}
	if c.Players, err = players().all(ctx, tx, "WHERE gone = 0 ORDER BY name COLLATE NOCASE, id"); err != nil {
		return c, err
	}
	if c.Drills, err = drills().all(ctx, tx, "WHERE gone = 0 ORDER BY rung, name COLLATE NOCASE, id"); err != nil {
		return c, err
	}
	c.Faults, err = faults().all(ctx, tx, "WHERE gone = 0 ORDER BY code COLLATE NOCASE, id")
	return c, err
}

// Sessions returns all sessions by date, the earliest first.
func (l *Library) Sessions(ctx context.Context) ([]club.Session, error) {
	return list(ctx, l, sessions(), "WHERE gone = 0 ORDER BY date, id")
}

// Clips returns all clips in the order in which they were added.
func (l *Library) Clips(ctx context.Context) ([]club.Clip, error) {
	return list(ctx, l, clips(), "WHERE gone = 0 ORDER BY id")
}

// Clip returns one clip, or ErrUnknown.
func (l *Library) Clip(ctx context.Context, id club.ID) (club.Clip, error) {
	return Get[club.Clip](ctx, l, id)
}

// Get returns one row of any kind, or ErrUnknown.
func Get[T Row](ctx context.Context, l *Library, id club.ID) (row T, err error) {
	t := tableOf[T]()
	found, err := list(ctx, l, t, "WHERE id = ? AND gone = 0", id)
	switch {
	case err != nil:
		return row, err
	case len(found) == 0:
		return row, goneAlready(t)
	}
	return found[0], nil
}

func goneAlready(k kind) error {
	return &club.Problem{Code: ErrUnknown, Say: fmt.Sprintf("This %s is not in the library any more: somebody has removed it.", strings.ReplaceAll(k.named(), "_", " "))}
}

// ClipByFingerprint returns the clip with that content, the first added of
// several, and whether there is one.
func (l *Library) ClipByFingerprint(ctx context.Context, fingerprint string) (club.Clip, bool, error) {
	found, err := list(ctx, l, clips(), "WHERE fingerprint = ? AND gone = 0 ORDER BY id LIMIT 1", fingerprint)
	if err != nil || len(found) == 0 {
		return club.Clip{}, false, err
	}
	return found[0], true, nil
}

// MarksByID returns the marks with these IDs that are there, in order of clip
// and frame.
func (l *Library) MarksByID(ctx context.Context, ids []club.ID) ([]club.Mark, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	return list(ctx, l, marks(), "WHERE id IN (SELECT value FROM json_each(?)) AND gone = 0 ORDER BY clip_id, frame, id", idList(ids))
}

func list[T Row](ctx context.Context, l *Library, t table[T], rest string, args ...any) (all []T, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		if all, err = t.all(ctx, tx, rest, args...); err != nil || !hides[T]() || len(all) == 0 {
			return err
		}
		v, err := sightOf(ctx, tx)
		all = seen(v, all)
		return err
	})
	return all, err
}

// Ledger is all that was logged on one clip.
type Ledger struct {
	Turns    []club.Turn         // in order of frame
	Strokes  []club.Stroke       // in order of frame
	Marks    []club.Mark         // in order of frame
	Looks    []club.Look         // in order of first frame
	Rulers   []sighting.Ruler    // a clip has one at most
	Pairings []alignment.Pairing // of all clips that it is lined up with, its own among them
	Pairs    []picture.Pair      // in which it is the left one, or the other
	Drawings []picture.Drawing   // in order of frame
}

// OfClip returns what was logged on a clip, as the coach who marks may see it.
func (l *Library) OfClip(ctx context.Context, clip club.ID) (led Ledger, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		v, err := sightOf(ctx, tx)
		if err != nil {
			return err
		}
		led, err = ledgerOf(ctx, tx, clip, v)
		return err
	})
	return led, err
}

func ledgerOf(ctx context.Context, tx *sql.Tx, clip club.ID, v *sight) (led Ledger, err error) {
	if led.Turns, err = turns().all(ctx, tx, "WHERE clip_id = ? AND gone = 0 ORDER BY first, id", clip); err != nil {
		return led, err
	}
	if led.Strokes, err = strokes().all(ctx, tx, "WHERE clip_id = ? AND gone = 0 ORDER BY frame, id", clip); err != nil {
		return led, err
	}
	if led.Marks, err = marks().all(ctx, tx, "WHERE clip_id = ? AND gone = 0 ORDER BY frame, id", clip); err != nil {
		return led, err
	}
	if led.Looks, err = looks().all(ctx, tx, "WHERE clip_id = ? AND gone = 0 ORDER BY first, id", clip); err != nil {
		return led, err
	}
	led.Strokes, led.Marks, led.Looks = seen(v, led.Strokes), seen(v, led.Marks), seen(v, led.Looks)
	if led.Rulers, err = rulers().all(ctx, tx, "WHERE id = ? AND gone = 0", clip); err != nil {
		return led, err
	}
	if led.Pairings, err = linedUp(ctx, tx, clip); err != nil {
		return led, err
	}
	if led.Pairs, err = pairs().all(ctx, tx, "WHERE gone = 0 AND (clip_id = ?1 OR other_id = ?1) ORDER BY name, id", clip); err != nil {
		return led, err
	}
	led.Pairs = seen(v, led.Pairs)
	led.Drawings, err = drawings().all(ctx, tx, "WHERE clip_id = ? AND gone = 0 ORDER BY frame, id", clip)
	led.Drawings = seen(v, led.Drawings)
	return led, err
}

// TurnBefore returns the last turn of the clip that was added before this one to the
// same session, of those that have turns; the zero Turn where there is none.
func (l *Library) TurnBefore(ctx context.Context, c club.Clip) (club.Turn, error) {
	found, err := list(ctx, l, turns(), `WHERE gone = 0 AND clip_id = (SELECT c.id FROM clip c WHERE c.gone = 0 AND c.session_id = ? AND c.id < ?
		AND EXISTS (SELECT 1 FROM turn t WHERE t.clip_id = c.id AND t.gone = 0) ORDER BY c.id DESC LIMIT 1) ORDER BY last DESC LIMIT 1`, c.SessionID, c.ID)
	if err != nil || len(found) == 0 {
		return club.Turn{}, err
	}
	return found[0], nil
}
