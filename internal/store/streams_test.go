package store

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// streams is what holds for a clip with such a film.
func streams(t *testing.T, l *Library, clip club.ID, fingerprint string) Streams {
	t.Helper()
	s, err := l.StreamsOf(context.Background(), club.Clip{ID: clip, Fingerprint: fingerprint})
	require.NoError(t, err)
	return s
}

func TestStreams(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	c := id("clip", 0)
	require.NoError(t, l.ExceptStreams(ctx, c, "other"), "nothing was chosen")
	require.Zero(t, streams(t, l, c, "film"))
	require.NoError(t, l.ChooseStreams(ctx, c, Streams{2, 1}))
	require.Equal(t, Streams{2, 1}, streams(t, l, c, "film"))
	require.Equal(t, Streams{2, 1}, streams(t, l, c, "other"), "of before it was chosen")
	require.Zero(t, streams(t, l, id("clip", 1), "film"))
	for range 2 {
		require.NoError(t, l.ExceptStreams(ctx, c, "other"))
	}
	require.Zero(t, streams(t, l, c, "other"))
	require.Equal(t, Streams{2, 1}, streams(t, l, c, "film"))
	require.NoError(t, l.ChooseStreams(ctx, c, Streams{0, 3}))
	require.Equal(t, Streams{0, 3}, streams(t, l, c, "other"), "chosen anew")
	require.Error(t, l.ChooseStreams(ctx, "no clip", Streams{1, 1}))
	require.Error(t, l.ChooseStreams(ctx, c, Streams{-1, 1}))
	require.Equal(t, Streams{0, 3}, streams(t, l, c, "film"))
}

// What libraries of version 6 kept as a setting is taken over, and nothing of it is
// left behind.
func TestChosenStreamsAreTakenOver(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	ledger := filepath.Join(dir, fileName)
	write(t, ledger, string(oldData(t, 6)))
	db := connect(ledger, "", 1)
	exec := func(query string, args ...any) {
		_, err := db.Exec(query, args...)
		require.NoError(t, err, query)
	}
	values := map[club.ID]string{
		"plain": "2 1", "zero": "0 3", "except": "1 2 not aa not bb", "long": "3 0 not " + fmt.Sprintf("%064x", 7),
		"empty": "", "words": "two one", "one": "2", "three": "1 2 3", "minus": "-1 2", "half": "1.5 2", "huge": "1 99999999999999999999", "noted": "not aa",
	}
	for clip, value := range values {
		exec("INSERT INTO clip SELECT ?, session_id, name, path, ?, bytes, frames, first_ticks, base_num, base_den, seconds, width, height, author, clock, gone FROM clip WHERE id = 'clip-0000'", clip, clip)
		exec("INSERT INTO setting VALUES (?, ?)", "streams of "+clip, value)
	}
	exec("INSERT INTO setting VALUES ('streams of nobody', '2 2 not aa')")
	exec("INSERT INTO setting VALUES ('streams', '4 4')")
	require.NoError(t, db.Close())

	l := open(t, dir, Options{})
	want := map[club.ID]Streams{"plain": {2, 1}, "zero": {0, 3}, "except": {1, 2}, "long": {3, 0}}
	for clip := range values {
		require.Equal(t, want[clip], streams(t, l, clip, "film"), clip)
	}
	require.Zero(t, streams(t, l, "except", "aa"))
	require.Zero(t, streams(t, l, "except", "bb"))
	require.Equal(t, Streams{1, 2}, streams(t, l, "except", "a"))
	require.Zero(t, streams(t, l, "long", fmt.Sprintf("%064x", 7)))
	left, err := texts(ctx, l.read, "SELECT key FROM setting WHERE key LIKE 'streams%'")
	require.NoError(t, err)
	require.Equal(t, []string{"streams"}, left)
	r, err := l.Check(ctx)
	require.NoError(t, err)
	require.True(t, r.OK, "%v", r.Findings)
}

// What was chosen for a clip goes when a player is forgotten with it, and stays with the
// others, in a backup and through a repair.
func TestChosenStreamsGoWithTheirClip(t *testing.T) {
	ctx := context.Background()
	for _, keep := range []bool{false, true} {
		l := filled(t)
		must(t, l, Put(turn(0, 0, 0, 0, 0, 10)), Put(stroke(0, 0, 5)), Remove[club.Clip](id("clip", 2)))
		for n := range 3 {
			require.NoError(t, l.ChooseStreams(ctx, id("clip", n), Streams{2, 1 + n}))
			require.NoError(t, l.ExceptStreams(ctx, id("clip", n), "other"))
		}
		must(t, l, Put(clip(2, 0)), Remove[club.Clip](id("clip", 2)))
		require.Equal(t, Streams{2, 3}, streams(t, l, id("clip", 2), "film"), "what is removed can come back")

		backup := filepath.Join(t.TempDir(), "backup.db")
		require.NoError(t, l.Backup(ctx, backup))
		require.NoError(t, l.Forget(ctx, "", Forgetting{Player: id("player", 0), Clips: []club.ID{id("clip", 0)}, KeepCounts: keep}))
		require.Zero(t, streams(t, l, id("clip", 0), "film"))
		require.Zero(t, streams(t, l, id("clip", 2), "film"), "no undo brings it back")
		require.Equal(t, Streams{2, 2}, streams(t, l, id("clip", 1), "film"))
		require.Zero(t, streams(t, l, id("clip", 1), "other"))
		left, err := texts(ctx, l.read, "SELECT clip_id FROM stream_choice_except")
		require.NoError(t, err)
		require.Equal(t, []string{string(id("clip", 1))}, left)

		restored := filepath.Join(t.TempDir(), "restored")
		require.NoError(t, Restore(ctx, restored, backup, Options{}))
		again := open(t, restored, Options{})
		require.Equal(t, Streams{2, 1}, streams(t, again, id("clip", 0), "film"))
		require.Zero(t, streams(t, again, id("clip", 0), "other"))
		require.NoError(t, again.Close())

		// One for a clip that is lost is found, and a repair leaves it out alone.
		db := connect(filepath.Join(restored, fileName), "_foreign_keys=0", 1)
		_, err = db.Exec("INSERT INTO stream_choice VALUES ('lost', 1, 1); INSERT INTO stream_choice_except VALUES ('lost', 'x')")
		require.NoError(t, err)
		require.NoError(t, db.Close())
		again = open(t, restored, Options{})
		r, err := again.Check(ctx)
		require.NoError(t, err)
		require.Equal(t, []string{"1 of the choices of a video or a sound are for a clip that is not there."}, r.Findings)
		require.NoError(t, again.Close())
		file, _, err := Repair(ctx, restored, Options{})
		require.NoError(t, err)
		require.NoError(t, Restore(ctx, restored, file, Options{}))
		again = open(t, restored, Options{})
		require.Equal(t, Streams{2, 1}, streams(t, again, id("clip", 0), "film"))
		require.Zero(t, streams(t, again, id("clip", 0), "other"))
		require.Zero(t, streams(t, again, "lost", "film"))
		r, err = again.Check(ctx)
		require.NoError(t, err)
		require.True(t, r.OK, "%v", r.Findings)
	}
}
