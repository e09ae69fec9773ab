package store

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// What is written about the player of these tests, in every place where a name or
// a note can stand.
const (
	secretName  = "Zoraida Quillfeather"
	secretNote  = "grandmother collects her at the side door"
	secretAlias = "Zoquill"
)

// betray fills a library in which the player's name and notes stand everywhere:
// in rows, removed rows, the log, labels, copies, and SQLite's own log.
func betray(t *testing.T, l *Library) {
	ctx := context.Background()
	fill(t, l)
	p := player(0)
	p.Name, p.Note = "Nobody yet", secretNote
	must(t, l, Put(p))
	p.Name, p.Alias, p.ConsentBy = secretName, secretAlias, "mother of "+secretName
	_, err := l.Do(ctx, "a", "change player "+secretName, Put(p))
	require.NoError(t, err)
	must(t, l, Put(turn(0, 0, 0, 0, 0, 100)), Put(turn(1, 1, 0, 0, 0, 100)), Put(turn(2, 1, 1, 0, 200, 300)), Put(turn(3, 2, 1, 0, 0, 500)))
	for i, on := range []struct{ clip, frame int }{{0, 10}, {1, 10}, {1, 210}, {2, 10}} {
		s, m := stroke(i, on.clip, on.frame), mark(i, on.clip, 0, on.frame)
		if i < 2 {
			m.Note = secretNote
		}
		must(t, l, Put(s), Put(m))
	}
	must(t, l, Put(look(0, 0, 0, 100, 0)), Put(look(1, 1, 0, 100, 0)), Put(look(2, 1, 50, 250, 0)), Put(look(3, 2, 0, 500, 0)), Put(look(4, 1, 0, 50, 0)), Put(look(5, 1, 50, 250, 0)))
	must(t, l, Remove[club.Look](id("look", 4)), Remove[club.Look](id("look", 5)))
	gone := mark(9, 1, 0, 20)
	gone.Note = secretNote
	must(t, l, Put(gone))
	must(t, l, Remove[club.Mark](gone.ID))
	day, about := session(0), mark(3, 2, 0, 10)
	day.Note, about.Note = "with "+secretName+" and others", "as zoraida does it"
	must(t, l, Put(day), Put(about))
	must(t, l, Put(club.Ruling{ID: "r", PlayerID: p.ID, DrillID: id("drill", 0), CoachID: id("coach", 0), Date: "2026-03-14", Reason: secretNote}))
	require.NoError(t, l.NoteExport(ctx, Export{"/out/" + secretName + ".html", "html", time.Unix(1, 0).UTC(), []club.ID{p.ID}}))
	require.NoError(t, l.NoteExport(ctx, Export{"/out/other.html", "html", time.Unix(2, 0).UTC(), []club.ID{player(1).ID}}))
	require.NoError(t, l.NoteExport(ctx, Export{"/out/both.html", "html", time.Unix(3, 0).UTC(), []club.ID{p.ID, player(1).ID}}))
	r, f, c := drill(7), fault(7), coach(7) // removed again: nobody sees them, the bytes are there
	r.Name, f.Label, f.Cue, c.Name = secretName+"'s own", "as "+secretName, secretNote, secretName
	must(t, l, Put(r), Put(f), Put(c))
	must(t, l, Remove[club.Drill](r.ID), Remove[club.Fault](f.ID), Remove[club.Coach](c.ID))
	require.NoError(t, l.PutHeard(ctx, "of no clip", []byte("x")))
	_, kept, err := l.Heard(ctx, "of no clip")
	require.NoError(t, err)
	require.False(t, kept)
	require.NoError(t, l.PutHeard(ctx, "print0", []byte("x")))
	require.NoError(t, l.PutHeard(ctx, "print1", []byte("x")))
	require.NoError(t, l.Backup(ctx, filepath.Join(l.Dir(), backupFolder, "ledger-daily-20260101.db")))
	require.NoError(t, os.WriteFile(filepath.Join(l.Dir(), "ledger-repaired-20260101-000000.db"), []byte(secretName), 0o600))
	_, err = l.Undo(ctx, "a")
	require.NoError(t, err)
	_, err = l.Redo(ctx, "a")
	require.NoError(t, err)
}

// filesWith looks through every byte of every file of a folder.
func filesWith(t *testing.T, dir string, words ...string) (found []string) {
	require.NoError(t, filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || !e.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(path)
		for _, w := range words {
			if bytes.Contains(bytes.ToLower(data), bytes.ToLower([]byte(w))) {
				found = append(found, filepath.Base(path)+": "+w)
			}
		}
		return err
	}))
	return found
}

func TestForgetLeavesNoByte(t *testing.T) {
	ctx := context.Background()
	for name, keep := range map[string]bool{"with the numbers": false, "keeping the numbers": true} {
		t.Run(name, func(t *testing.T) {
			l := fresh(t)
			betray(t, l)
			before, err := l.Latest(ctx)
			require.NoError(t, err)
			require.NotEmpty(t, filesWith(t, l.Dir(), secretName))
			require.NotEmpty(t, filesWith(t, l.Dir(), secretNote))

			tr, err := l.PlayerData(ctx, player(0).ID)
			require.NoError(t, err)
			require.Equal(t, []int{2, 2, 2, 1}, []int{tr.Turns, tr.Strokes, tr.Marks, tr.Rulings})
			require.Equal(t, []playerClip{{clip(0, 0), nil, 1}, {clip(1, 0), []club.ID{player(1).ID}, 1}}, tr.Clips)
			require.Equal(t, []Mention{
				{"session", session(0).ID, "note", "with " + secretName + " and others", true, true},
				{"mark", id("mark", 3), "note", "as zoraida does it", false, true},
			}, tr.Mentions)
			require.Len(t, tr.Exports, 2)
			require.Len(t, tr.Copies, 2)
			require.EqualValues(t, before, tr.Steps)

			require.NoError(t, l.Forget(ctx, "a", Forgetting{Player: player(0).ID, Clips: []club.ID{id("clip", 0)}, Notes: true, KeepCounts: keep}))
			words := []string{secretName, secretNote, secretAlias, "zoraida", "quillfeather"}
			require.Empty(t, filesWith(t, l.Dir(), words...), "while the library is open")
			require.NoError(t, l.Close())
			require.Empty(t, filesWith(t, l.Dir(), words...), "when it is closed")

			l = open(t, l.Dir(), Options{})
			r, err := l.Check(ctx)
			require.NoError(t, err)
			require.True(t, r.OK, "%v", r.Findings)
			rows := 0
			require.NoError(t, l.read.QueryRow("SELECT count(*) FROM look WHERE gone = 1").Scan(&rows))
			require.Zero(t, rows)
			undo, redo, err := l.History(ctx)
			require.NoError(t, err)
			require.Empty(t, undo+redo)
			latest, err := l.Latest(ctx)
			require.NoError(t, err)
			require.Equal(t, before+1, latest, "the log goes on counting")
			_, err = l.PlayerData(ctx, player(0).ID)
			require.ErrorIs(t, err, ErrUnknown)
			files, err := l.Exports(ctx)
			require.NoError(t, err)
			require.Equal(t, []Export{
				{"/out/other.html", "html", time.Unix(2, 0).UTC(), []club.ID{player(1).ID}},
				{"/out/both.html", "html", time.Unix(3, 0).UTC(), []club.ID{player(1).ID}},
			}, files, "forgetting the other player finds the document still")
			copies, err := l.copies()
			require.NoError(t, err)
			require.Len(t, copies, 1, "one new backup")

			c := contents(t, l)
			require.Contains(t, c["clip"], id("clip", 1), "the shared clip stays")
			require.Equal(t, mark(2, 1, 0, 210), c["mark"][id("mark", 2)], "the other's entries stay")
			_, kept, err := l.Heard(ctx, "print1")
			require.NoError(t, err)
			require.True(t, kept)
			_, kept, err = l.Heard(ctx, "print0")
			require.NoError(t, err)
			require.False(t, kept)
			record, err := l.Record(ctx, Filter{})
			require.NoError(t, err)
			if !keep {
				require.Len(t, record, 2)
				require.NotContains(t, c["clip"], id("clip", 0))
				require.Len(t, c["mark"], 2)
				require.Equal(t, map[club.ID]any{id("look", 2): look(2, 1, 50, 250, 0), id("look", 3): look(3, 2, 0, 500, 0)}, c["look"], "what shows others stays")
				return
			}
			require.Len(t, c["look"], 4)
			require.Len(t, record, 4, "the team's totals are what they were")
			strokes, marks := 0, 0
			for _, turn := range record {
				strokes, marks = strokes+len(turn.Strokes), marks+len(turn.Marks)
			}
			require.Equal(t, []int{4, 4}, []int{strokes, marks})
			removed := c["clip"][id("clip", 0)].(club.Clip)
			require.Equal(t, []string{"film removed", "", ""}, []string{removed.Name, removed.Path, removed.Fingerprint})
			must(t, l, Put(turn(9, 2, 1, 0, 600, 700)))
		})
	}
}

// A second forgotten player's numbers join those of the first.
func TestFormerPlayersAreOne(t *testing.T) {
	ctx := context.Background()
	l := fresh(t)
	betray(t, l)
	for n := range 2 {
		require.NoError(t, l.Forget(ctx, "a", Forgetting{Player: player(n).ID, KeepCounts: true}))
	}
	cat, err := l.Catalogue(ctx)
	require.NoError(t, err)
	require.Len(t, cat.Players, 1)
	require.Equal(t, formerPlayers, cat.Players[0].Name)
	require.True(t, cat.Players[0].Retired)
}

// A program that is killed between taking the player out and rewriting the file,
// or that another keeps from it, leaves the rest to the next start.
func TestForgettingIsFinishedAtTheNextStart(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	l := fresh(t)
	betray(t, l)
	reader := open(t, l.Dir(), Options{})
	tx, err := reader.read.BeginTx(ctx, nil)
	require.NoError(t, err)
	var n int
	require.NoError(t, tx.QueryRow("SELECT count(*) FROM player").Scan(&n))

	err = l.Forget(ctx, "a", Forgetting{Player: player(0).ID, Notes: true})
	requireSentence(t, err, ErrBusy, l.Dir())
	require.ErrorContains(t, err, "The player is out of the ledger, but")
	copies, err := l.copies()
	require.NoError(t, err)
	require.Len(t, copies, 2, "nothing to go back to is deleted before the file is whole")
	_, err = l.PlayerData(ctx, player(0).ID)
	require.ErrorIs(t, err, ErrUnknown, "the player is out all the same")
	require.NoError(t, tx.Rollback())
	require.NotEmpty(t, filesWith(t, l.Dir(), secretName))

	open(t, l.Dir(), Options{})
	require.Empty(t, filesWith(t, l.Dir(), secretName, secretNote))
}

func TestForgetUnknownPlayer(t *testing.T) {
	l := filled(t)
	require.ErrorIs(t, l.Forget(context.Background(), "a", Forgetting{Player: "nobody"}), ErrUnknown)
	undo, _, err := l.History(context.Background())
	require.NoError(t, err)
	require.NotEmpty(t, undo, "nothing was touched")
}

func TestNamesAreFoundAsWholeWords(t *testing.T) {
	for text, want := range map[string]string{
		"Al":                 "(removed)",
		"al and AL":          "(removed) and (removed)",
		"Alternate, royal":   "Alternate, royal",
		"al_forehand.mp4":    "(removed)_forehand.mp4",
		"ball al-ball (al).": "ball (removed)-ball ((removed)).",
		"":                   "",
	} {
		require.Equal(t, want, without(text, " Al "), text)
	}
	require.Equal(t, "ÄÖ (removed) ß", without("ÄÖ çELİK ß", "Çelİk"))
	require.Equal(t, "x", without("x", "  "))
}

func TestDailyBackups(t *testing.T) {
	ctx := context.Background()
	day := time.Date(2026, 3, 1, 22, 0, 0, 0, time.Local)
	l := open(t, filepath.Join(t.TempDir(), "a [club]*"), Options{Create: true, Now: func() time.Time { return day }})
	fill(t, l)
	var last string
	for n := range 15 {
		file, err := l.BackupDaily(ctx)
		require.NoError(t, err)
		require.NotEmpty(t, file)
		again, err := l.BackupDaily(ctx)
		require.NoError(t, err)
		require.Empty(t, again, "once a day")
		must(t, l, Put(mark(n, 0, 0, n)))
		day, last = day.AddDate(0, 0, 1), file
	}
	names, err := os.ReadDir(filepath.Join(l.Dir(), backupFolder))
	require.NoError(t, err)
	require.Len(t, names, keptBackups)
	require.Equal(t, "ledger-daily-20260306.db", names[0].Name())
	for _, n := range names {
		info, err := n.Info()
		require.NoError(t, err)
		require.Equal(t, fs.FileMode(0o600), info.Mode().Perm())
	}
	require.NoError(t, Restore(ctx, l.Dir(), last, Options{}))
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Len(t, led.Marks, 14)
}

// Whoever has to wait is told for whom.
func TestBusySaysWhoHasIt(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	l := filled(t)
	other := open(t, l.Dir(), Options{Who: "the window"})
	tx, err := other.write.BeginTx(ctx, nil)
	require.NoError(t, err)
	defer tx.Rollback()
	_, err = l.Do(ctx, "a", "x", Put(player(9)))
	requireSentence(t, err, ErrBusy, l.Dir())
	require.Regexp(t, `^The window of \S+ on this computer \(process \d+, since \d\d:\d\d\) is writing`, err.Error())
	require.NoError(t, errors.Join(tx.Rollback(), other.Close()))
	left, err := filepath.Glob(filepath.Join(l.Dir(), ".in-use-*"))
	require.NoError(t, err)
	require.Equal(t, []string{l.note}, left, "who has closed it is not named")
}

// What a killed program leaves unfinished goes at the next start; what belongs to
// one that runs stays.
func TestLeftOversAreSwept(t *testing.T) {
	l := filled(t)
	require.NoError(t, l.Close())
	const nobody = 1 << 30 // above every number that Linux gives
	var dead, alive []string
	for _, kind := range []string{"new", "backup", "repair", "restored", "in-use"} {
		for pid, list := range map[int]*[]string{nobody: &dead, 1: &alive} {
			name := filepath.Join(l.Dir(), "."+kind+"-"+strconv.Itoa(pid)+"-123.db")
			*list = append(*list, name)
			write(t, name, "left")
		}
	}
	write(t, filepath.Join(l.Dir(), backupFolder, ".backup-"+strconv.Itoa(nobody)+"-1.db"), "left")
	l = open(t, l.Dir(), Options{})
	for _, name := range dead {
		require.NoFileExists(t, name)
	}
	for _, name := range alive {
		require.FileExists(t, name)
	}
	require.NoFileExists(t, filepath.Join(l.Dir(), backupFolder, ".backup-"+strconv.Itoa(nobody)+"-1.db"))
	require.NotEmpty(t, l.note)
}

func TestOneFilmOneClip(t *testing.T) {
	l := filled(t)
	twin, day := clip(7, 0), session(7)
	twin.Fingerprint, day.Date = clip(0, 0).Fingerprint, session(0).Date
	_, err := l.Do(context.Background(), "a", "x", Put(twin))
	p, ok := club.AsProblem(err)
	require.True(t, ok, "%v", err)
	require.Equal(t, "fingerprint", p.Field)
	_, err = l.Do(context.Background(), "a", "x", Put(day))
	p, ok = club.AsProblem(err)
	require.True(t, ok, "%v", err)
	require.Equal(t, "date", p.Field)
	must(t, l, Remove[club.Clip](clip(0, 0).ID), Put(twin))
}

// What the deleting of clips builds for itself is gone with it.
func TestForgetLeavesTheSchema(t *testing.T) {
	ctx := context.Background()
	l := open(t, filepath.Join(t.TempDir(), "club"), Options{Create: true})
	betray(t, l)
	schema := func() (all string) {
		require.NoError(t, l.read.QueryRowContext(ctx, "SELECT group_concat(name || coalesce(sql, ''), ';') FROM (SELECT name, sql FROM sqlite_schema ORDER BY name)").Scan(&all))
		return all
	}
	before := schema()
	require.NoError(t, l.Forget(ctx, "a", Forgetting{Player: id("player", 0), Clips: []club.ID{id("clip", 0), id("clip", 1)}}))
	require.Equal(t, before, schema())
	clips, err := l.Clips(ctx)
	require.NoError(t, err)
	require.Equal(t, []club.ID{id("clip", 2)}, idsOf(clips))
}

func idsOf(clips []club.Clip) (ids []club.ID) {
	for _, c := range clips {
		ids = append(ids, c.ID)
	}
	return ids
}
