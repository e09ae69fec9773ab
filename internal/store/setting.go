package store

import (
	"context"
	"database/sql"
	"errors"
	"slices"

	"strokeledger/internal/club"
)

// Setting returns what was kept under a key, "" for nothing. Settings are not
// part of the change log.
func (l *Library) Setting(ctx context.Context, key string) (value string, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		return absentIsFine(tx.QueryRowContext(ctx, "SELECT value FROM setting WHERE key = ?", key).Scan(&value))
	})
	return value, err
}

// SetSetting keeps a value under a key, in the place of what was there.
func (l *Library) SetSetting(ctx context.Context, key, value string) error {
	return l.SetSettings(ctx, map[string]string{key: value})
}

// SetSettings is SetSetting for several keys: all of them are kept, or none.
func (l *Library) SetSettings(ctx context.Context, values map[string]string) error {
	return l.transact(ctx, func(tx *sql.Tx) error {
		for key, value := range values {
			if _, err := tx.ExecContext(ctx, "INSERT INTO setting (key, value) VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value", key, value); err != nil {
				return err
			}
		}
		return nil
	})
}

// Index returns the frame index that was kept for the clip with that
// fingerprint, and whether there is one.
func (l *Library) Index(ctx context.Context, fingerprint string) (data []byte, ok bool, err error) {
	return l.cached(ctx, "frame_index", fingerprint)
}

// PutIndex keeps a frame index. It is a cache and no part of the change log.
func (l *Library) PutIndex(ctx context.Context, fingerprint string, data []byte) error {
	return l.cache(ctx, "frame_index", fingerprint, data)
}

// Heard returns the contacts that were kept for the clip with that fingerprint,
// and whether there are any on record.
func (l *Library) Heard(ctx context.Context, fingerprint string) (data []byte, ok bool, err error) {
	return l.cached(ctx, "heard", fingerprint)
}

// PutHeard keeps the contacts heard in a clip of the library; of one that went
// meanwhile nothing is kept. It is a cache and no part of the change log.
func (l *Library) PutHeard(ctx context.Context, fingerprint string, data []byte) error {
	return l.transact(ctx, func(tx *sql.Tx) error { return cacheOfClip(ctx, tx, "heard", fingerprint, data) })
}

// Bodies returns where the near player's joints were found in the clip with that
// fingerprint, nil where that is not on record, and a text that changes whenever a player is
// forgotten, for PutBodies.
func (l *Library) Bodies(ctx context.Context, fingerprint string) (data []byte, since string, err error) {
	// First: what is read after a forgetting holds nobody who was forgotten.
	if since, err = l.Setting(ctx, settingForgotten); err == nil {
		data, _, err = l.cached(ctx, "body", fingerprint)
	}
	return data, since, err
}

// PutBodies keeps where joints were found in a clip of the library; of one that went
// meanwhile nothing is kept. It is a cache and no part of the change log; forgetting a
// player empties it, and since is what Bodies said before anything of data was found: where a
// player was forgotten meanwhile, nothing is kept and the error is a *club.Problem.
func (l *Library) PutBodies(ctx context.Context, fingerprint, since string, data []byte) error {
	return l.transact(ctx, func(tx *sql.Tx) error {
		now := ""
		if err := absentIsFine(tx.QueryRowContext(ctx, "SELECT value FROM setting WHERE key = ?", settingForgotten).Scan(&now)); err != nil {
			return err
		}
		if now != since {
			return &club.Problem{Field: "clip", Say: "A player was forgotten while this clip was looked at: measure its strokes again."}
		}
		return cacheOfClip(ctx, tx, "body", fingerprint, data)
	})
}

// settingForgotten changes whenever a player is forgotten.
const settingForgotten = "forgotten"

func cacheOfClip(ctx context.Context, tx *sql.Tx, table, fingerprint string, data []byte) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO `+table+` (fingerprint, data) SELECT ?1, ?2
		WHERE EXISTS (SELECT 1 FROM clip WHERE fingerprint = ?1 AND gone = 0) ON CONFLICT DO UPDATE SET data = excluded.data`, fingerprint, data)
	return err
}

// SoundPrint returns how the clip with that fingerprint sounds, and whether that
// is on record.
func (l *Library) SoundPrint(ctx context.Context, fingerprint string) (data []byte, ok bool, err error) {
	return l.cached(ctx, "sound_print", fingerprint)
}

// PutSoundPrint keeps how a clip sounds. It is a cache and no part of the change
// log.
func (l *Library) PutSoundPrint(ctx context.Context, fingerprint string, data []byte) error {
	return l.cache(ctx, "sound_print", fingerprint, data)
}

func (l *Library) cached(ctx context.Context, table, fingerprint string) (data []byte, ok bool, err error) {
	err = l.viewCached(ctx, func(tx *sql.Tx, usable bool) error {
		if data = nil; !usable && slices.Contains(caches(), table) {
			return nil
		}
		return absentIsFine(tx.QueryRowContext(ctx, "SELECT data FROM "+table+" WHERE fingerprint = ?", fingerprint).Scan(&data))
	})
	return data, data != nil, err
}

func (l *Library) cache(ctx context.Context, table, fingerprint string, data []byte) error {
	return l.transact(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO "+table+" (fingerprint, data) VALUES (?, ?) ON CONFLICT DO UPDATE SET data = excluded.data", fingerprint, data)
		return err
	})
}

func absentIsFine(err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	return err
}
