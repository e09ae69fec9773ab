package store

import (
	"context"
	"database/sql"

	"strokeledger/internal/club"
)

// Streams is by which of a film's videos and sounds a clip is looked at: places counted
// from 1, 0 for the film's own default.
type Streams struct{ Video, Sound int }

// StreamsOf returns what was chosen for a clip, both defaults where nothing was, or
// where it does not hold for the film that the clip has now.
func (l *Library) StreamsOf(ctx context.Context, clip club.Clip) (s Streams, err error) {
	err = l.view(ctx, func(tx *sql.Tx) error {
		return absentIsFine(tx.QueryRowContext(ctx, `SELECT video, sound FROM stream_choice c WHERE clip_id = ?1
			AND NOT EXISTS (SELECT 1 FROM stream_choice_except e WHERE e.clip_id = ?1 AND e.fingerprint = ?2)`, clip.ID, clip.Fingerprint).Scan(&s.Video, &s.Sound))
	})
	return s, err
}

// ChooseStreams keeps what was chosen for a clip, whatever its film. It is no part of the
// change log, and goes with the clip for good.
func (l *Library) ChooseStreams(ctx context.Context, clip club.ID, s Streams) error {
	return l.transact(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO stream_choice (clip_id, video, sound) VALUES (?, ?, ?)", clip, s.Video, s.Sound)
		return err
	})
}

// ExceptStreams says that what was chosen for a clip does not hold for a film with this
// fingerprint.
func (l *Library) ExceptStreams(ctx context.Context, clip club.ID, fingerprint string) error {
	return l.transact(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT OR IGNORE INTO stream_choice_except SELECT clip_id, ? FROM stream_choice WHERE clip_id = ?", fingerprint, clip)
		return err
	})
}
