package desk_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/ladder"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/document"
	"strokeledger/internal/report/record"
	"strokeledger/internal/sentence"
)

// played is a library with a turn, strokes, marks with and without a sign, and
// words that may hold names wherever a coach can write some.
func newPlayed(t *testing.T) *bench {
	t.Helper()
	b, ctx := newBench(t), t.Context()
	_, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 0, Last: 74})
	require.NoError(t, err)
	for _, frame := range []int{5, 12, 20, 27, 35, 42, 50, 57, 65} {
		_, err := b.Strokes.Add(ctx, b.clip, frame, club.Good)
		require.NoError(t, err)
	}
	m, err := b.Marks.Add(ctx, b.clip, 36, b.cat.Faults[0].ID)
	require.NoError(t, err)
	_, err = b.Marks.Save(ctx, m.ID, b.cat.Faults[0].ID, 36, "told Ines Varga twice")
	require.NoError(t, err)
	_, err = b.Marks.DrawSign(ctx, m.ID, &club.Sign{Kind: club.Arrow, X1: .2, Y1: .8, X2: .5, Y2: .5})
	require.NoError(t, err)
	_, err = b.Marks.Add(ctx, b.clip, 51, b.cat.Faults[1].ID)
	require.NoError(t, err)
	coach, err := b.Catalogue.SaveCoach(ctx, club.Coach{Name: "Told Ines"})
	require.NoError(t, err)
	b.look(t, 0, 40, coach.ID, b.cat.Faults[0].ID, b.cat.Faults[1].ID)
	b.look(t, 0, 74, "", b.cat.Faults[0].ID)
	p := b.player
	p.Note, p.ConsentFrom, p.ConsentBy = "Ines Varga lives near", "2026-01-01", "Mother Varga"
	_, err = b.Catalogue.SavePlayer(ctx, p)
	require.NoError(t, err)
	sessions, err := b.Sessions.List(ctx, session.Page{})
	require.NoError(t, err)
	_, err = b.Sessions.Save(ctx, club.Session{ID: sessions.Sessions[0].ID, Date: sessions.Sessions[0].Date, Note: "Varga came late"})
	require.NoError(t, err)
	drill := b.cat.Drills[0]
	drill.Note = "as Varga plays it"
	_, err = b.Catalogue.SaveDrill(ctx, drill)
	require.NoError(t, err)
	b.cat, err = b.Library.Catalogue(ctx)
	require.NoError(t, err)
	return b
}

// unzipped is a workbook's text.
func unzipped(t *testing.T, raw []byte) string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	require.NoError(t, err)
	var all strings.Builder
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		_, err = io.Copy(&all, r)
		require.NoError(t, err)
	}
	return all.String()
}

// No document that goes without names holds one, nor what a coach wrote freely, nor
// where a file lies; with names it holds them. Each says what it was made from.
func TestDocumentsHoldNamesOnlyWhenAsked(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	write := map[string]func(q summary.Query, w io.Writer) error{
		"captions": func(q summary.Query, w io.Writer) error { return b.Documents.Captions(ctx, b.clip, q.Names, w) },
		"chapters": func(q summary.Query, w io.Writer) error { return b.Documents.Chapters(ctx, b.clip, q.Names, w) },
	}
	for _, f := range []publish.Format{publish.Text, publish.HTML, publish.CSV, publish.XLSX, publish.JSON, publish.Record} {
		write[string(f)] = func(q summary.Query, w io.Writer) error { return b.Documents.Export(ctx, q, f, w) }
	}
	for _, which := range []string{"faults", "marks", "strokes", "looks"} {
		write[which] = func(q summary.Query, w io.Writer) error {
			return b.Documents.Table(ctx, q, publish.TableForm{Which: which}, w)
		}
	}
	for name, to := range write {
		for _, names := range []bool{false, true} {
			var out bytes.Buffer
			require.NoError(t, to(summary.Query{Names: names}, &out), name)
			text := out.String()
			if name == "xlsx" {
				text = unzipped(t, out.Bytes())
			}
			require.Regexp(t, `[Dd]efinitions[": ]+[0-9a-f]{8}`, text, "%s says which definitions", name)
			if names {
				require.Contains(t, text, "Ines Varga", name)
				continue
			}
			require.Contains(t, text, "IV", name)
			for _, word := range []string{"Varga", "Ines", "told", "came late", "a01_baseline", "testdata", b.dir} {
				require.NotContains(t, text, word, "%s without names", name)
			}
		}
	}
	err := b.Documents.Table(ctx, summary.Query{}, publish.TableForm{Which: "beads"}, io.Discard)
	requireProblem(t, err, "table")
}

// A record of a time when looks were not kept means what an older library does: marks
// stand for looks, for all faults. One of a library in which nobody has looked says so.
func TestRecordsWithoutLooks(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	for _, l := range b.ledger(t).Looks {
		require.NoError(t, b.RemoveLook(ctx, l.ID))
	}
	var out bytes.Buffer
	require.NoError(t, b.Documents.WriteRecord(ctx, summary.Query{Names: true}, &out))
	var record map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(out.Bytes(), &record))
	require.JSONEq(t, "[]", string(record["looks"]))
	for _, c := range []struct {
		name           string
		looks, assumed int
	}{{"none", 0, 0}, {"of old", 1, 1}} {
		name := c.name
		if name == "of old" {
			delete(record, "looks")
		}
		text, err := json.Marshal(record)
		require.NoError(t, err)
		dir := t.TempDir()
		file, folder := filepath.Join(dir, "record.json"), filepath.Join(dir, "library")
		require.NoError(t, os.WriteFile(file, text, 0o600))
		_, err = desk.AddRecord(ctx, folder, file, library.Options{})
		require.NoError(t, err)
		d, err := desk.Open(ctx, folder, library.Options{})
		require.NoError(t, err)
		defer d.Close()
		led, err := d.Library.OfClip(ctx, b.clip)
		require.NoError(t, err)
		require.Len(t, led.Looks, c.looks, name)
		s, err := d.Summary.Sum(ctx, summary.Query{})
		require.NoError(t, err)
		require.Equal(t, []int{c.assumed, 1 - c.assumed}, []int{s.Team.All.Looked.AssumedTurns, s.Team.All.Looked.NoTurns}, name)
		if c.looks > 0 {
			require.Len(t, led.Looks[0].Faults, len(b.cat.Faults))
			require.Equal(t, []int{0, 74}, []int{led.Looks[0].First, led.Looks[0].Last})
		}
	}
}

// What a record holds gives the same summary in an empty library.
func TestRecordReadsBack(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	loose, err := b.Marks.Add(ctx, b.clip, 74, b.cat.Faults[2].ID)
	require.NoError(t, err)
	_, err = b.Ladder.SaveRuling(ctx, club.Ruling{PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, Date: "2026-03-14", Passed: true, Reason: "seen in training"})
	require.NoError(t, err)
	require.NoError(t, b.Ladder.SetGoals(ctx, ladder.Goals{TriesCap: 3, Irregular: 0.4}))
	for _, names := range []bool{true, false} {
		dir := t.TempDir()
		file, folder := filepath.Join(dir, "record.json"), filepath.Join(dir, "library")
		require.NoError(t, document.Write(file, func(f *os.File) error { return b.Documents.WriteRecord(ctx, summary.Query{Names: names}, f) }))
		n, err := desk.AddRecord(ctx, folder, file, library.Options{})
		require.NoError(t, err)
		require.Equal(t, desk.RecordAdded{Players: 1, Sessions: 1, Clips: 2, Strokes: 9, Marks: 3}, n)
		d, err := desk.Open(ctx, folder, library.Options{})
		require.NoError(t, err)
		want, err := b.Summary.Sum(ctx, summary.Query{})
		require.NoError(t, err)
		got, err := d.Summary.Sum(ctx, summary.Query{})
		require.NoError(t, err)
		if !names {
			want, got = want.Aliased(), got.Aliased()
		}
		requireSame(t, want, got)
		cat, err := d.Library.Catalogue(ctx)
		require.NoError(t, err)
		if names {
			requireSame(t, b.cat, cat)
			mine, err := b.Library.OfClip(ctx, b.clip)
			require.NoError(t, err)
			theirs, err := d.Library.OfClip(ctx, b.clip)
			require.NoError(t, err)
			require.Contains(t, mine.Marks, loose)
			requireSame(t, mine, theirs)
		} else {
			require.Equal(t, "IV", cat.Players[0].Name)
		}
		ledger, _, err := d.Check(ctx)
		require.NoError(t, err)
		require.Empty(t, ledger)
		require.NoError(t, d.Close())

		_, err = desk.AddRecord(ctx, folder, file, library.Options{})
		require.ErrorContains(t, err, "sessions already: take the record in with merge")
	}
	// A record of one player holds no other.
	other, err := b.Catalogue.SavePlayer(ctx, club.Player{Name: "Tomé Okafor", Hand: club.LeftHand})
	require.NoError(t, err)
	var out bytes.Buffer
	require.NoError(t, b.Documents.WriteRecord(ctx, summary.Query{Names: true, Players: []club.ID{b.player.ID}}, &out))
	require.NotContains(t, out.String(), other.ID)
	require.Contains(t, out.String(), "Ines Varga")

	// Whatever a record picks, it calls players and clips as every document does.
	_, err = b.Catalogue.SavePlayer(ctx, club.Player{Name: "Ian Vogel", Hand: club.LeftHand})
	require.NoError(t, err)
	rows, err := b.Sessions.List(ctx, session.Page{})
	require.NoError(t, err)
	second := rows.Sessions[0].Clips[1].ID
	if second == b.clip {
		second = rows.Sessions[0].Clips[0].ID
	}
	_, err = b.Turns.Save(ctx, club.Turn{ClipID: second, PlayerID: other.ID, DrillID: b.cat.Drills[0].ID, First: 0, Last: 3})
	require.NoError(t, err)
	called := map[club.ID]string{}
	for _, q := range []summary.Query{{}, {Players: []club.ID{b.player.ID}}, {Players: []club.ID{other.ID}}} {
		out.Reset()
		require.NoError(t, b.Documents.WriteRecord(ctx, q, &out))
		r, err := record.Read(&out)
		require.NoError(t, err)
		require.NotEmpty(t, r.Clips)
		for _, c := range r.Clips {
			if called[c.ID] == "" {
				called[c.ID] = c.Name
			}
			require.Equal(t, called[c.ID], c.Name)
		}
		for _, p := range r.Catalogue.Players {
			if called[p.ID] == "" {
				called[p.ID] = p.Alias
			}
			require.Equal(t, called[p.ID], p.Alias)
		}
	}
	require.Equal(t, "IV 2", called[b.player.ID])
}

// requireSame compares two values by their JSON, line by line.
func requireSame(t *testing.T, want, got any) {
	t.Helper()
	lines := func(v any) []string {
		raw, err := json.MarshalIndent(v, "", " ")
		require.NoError(t, err)
		return strings.Split(string(raw), "\n")
	}
	w, g := lines(want), lines(got)
	for i := range min(len(w), len(g)) {
		require.Equal(t, w[i], g[i], "line %d", i+1)
	}
	require.Len(t, g, len(w))
}

func TestWhatIsNoRecordIsRefused(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	var out bytes.Buffer
	require.NoError(t, b.Documents.WriteRecord(ctx, summary.Query{Names: true}, &out))
	good := out.String()
	for name, c := range map[string]struct{ text, say string }{
		"empty":            {"", "is not a record"},
		"a film":           {"\x00\x00\x00\x18ftyp", "is not a record"},
		"a summary":        {`{"version": 1, "team": {}}`, "is not a record"},
		"cut":              {good[:len(good)/2], "is not a record"},
		"newer":            {strings.Replace(good, `"version": 1`, `"version": 2`, 1), "newer version"},
		"a wish too low":   {strings.Replace(good, `"tries_cap": 5`, `"tries_cap": -5`, 1), "from 0 (no limit) to 100"},
		"a stroke nowhere": {strings.ReplaceAll(good, `"frame": 65`, `"frame": 6500`), "."},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			file := filepath.Join(dir, "record.json")
			require.NoError(t, os.WriteFile(file, []byte(c.text), 0o600))
			_, err := desk.AddRecord(ctx, filepath.Join(dir, "library"), file, library.Options{})
			require.ErrorContains(t, err, c.say)
			requireSentence(t, sentence.Of(err))
			require.NoDirExists(t, filepath.Join(dir, "library"), "nothing is left of the try")
		})
	}
	_, err := desk.AddRecord(ctx, t.TempDir(), filepath.Join(t.TempDir(), "absent"), library.Options{})
	requireSentence(t, sentence.Of(err))
}

// pictures counts the pictures of a film by decoding it.
func pictures(t *testing.T, path string) int {
	t.Helper()
	out, err := exec.Command("ffprobe", "-v", "error", "-count_frames", "-select_streams", "v", "-show_entries", "stream=nb_read_frames", "-of", "csv=p=0", path).Output()
	require.NoError(t, err)
	n, err := strconv.Atoi(strings.Trim(string(out), ",\n"))
	require.NoError(t, err)
	return n
}

func TestFilmOfAPlayer(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	path := filepath.Join(t.TempDir(), "marks.mp4")
	told := 0
	q := publish.ReelQuery{Player: b.player.ID, Lead: 0.4, Follow: 0.4}
	done, err := b.Documents.Reel(ctx, q, path, func(done, total int) { told = done })
	require.NoError(t, err)
	require.Equal(t, publish.ReelDone{Path: path, Pieces: 2, Seconds: done.Seconds}, done)
	require.Equal(t, told, pictures(t, path))
	require.InDelta(t, float64(told)/25, done.Seconds, 1e-9, "a01 has 25 pictures a second (manifest)")
	// Each moment: 21 pictures as filmed, 0.4 s before and after four times slower,
	// 0.8 s still; then three seconds of card.
	require.Equal(t, 2*(21+81+19)+75, told)
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	q.Fault = b.cat.Faults[1].ID
	done, err = b.Documents.Reel(ctx, q, path, nil)
	require.NoError(t, err)
	require.Equal(t, 1, done.Pieces)

	// Nobody is in the shared clips: the film is that of whole pictures, and says so.
	q.CutOut = true
	cut, err := b.Documents.Reel(ctx, q, path, nil)
	require.NoError(t, err)
	require.Contains(t, cut.Say, "found in none of the pieces")
	require.Equal(t, done.Seconds, cut.Seconds)
	q.CutOut = false

	good := publish.ReelQuery{Player: b.player.ID, Good: true}
	done, err = b.Documents.Reel(ctx, good, path, nil)
	require.NoError(t, err)
	require.Equal(t, 1, done.Pieces, "the strokes before the first mark; marked strokes are not what right looks like")

	q.Fault = b.cat.Faults[3].ID
	_, err = b.Documents.Reel(ctx, q, path, nil)
	require.ErrorContains(t, err, "There is no mark to show")
	_, err = b.Documents.Reel(ctx, publish.ReelQuery{Player: "nobody"}, path, nil)
	requireSentence(t, sentence.Of(err))
	for _, wrong := range []publish.ReelQuery{{Lead: -1}, {Follow: 1e9}, {Slow: 99}, {Most: -3}, {From: "x"}, {From: "2026-02-02", To: "2026-02-01"}} {
		wrong.Player = b.player.ID
		_, err := b.Documents.Reel(ctx, wrong, path, nil)
		requireSentence(t, sentence.Of(err))
	}
	for _, place := range []string{filepath.Join(t.TempDir(), "absent", "x.mp4"), t.TempDir()} {
		_, err := b.Documents.Reel(ctx, good, place, nil)
		require.ErrorContains(t, err, "Could not write")
		requireSentence(t, sentence.Of(err))
	}
}

// Pieces whose clips are missing are left out, and told; where all are, it says
// what to do.
func TestFilmWithoutItsClips(t *testing.T) {
	d, film, _ := marked(t)
	ctx := t.Context()
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	p := cat.Players[0]
	require.NoError(t, os.Remove(film))
	_, err = d.Documents.Reel(ctx, publish.ReelQuery{Player: p.ID, Unconsented: true}, filepath.Join(t.TempDir(), "x.mp4"), nil)
	require.ErrorContains(t, err, "None of the clips")
}

// A disk that fills up while a film is written leaves nothing of it.
func TestFilmOnAFullDisk(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	dir := t.TempDir()
	if err := unix.Mount("none", dir, "tmpfs", 0, "size=48k"); err != nil {
		t.Logf("no disk can be made small here: %v", err)
		return
	}
	t.Cleanup(func() { require.NoError(t, unix.Unmount(dir, unix.MNT_DETACH)) })
	_, err := b.Documents.Reel(ctx, publish.ReelQuery{Player: b.player.ID}, filepath.Join(dir, "x.mp4"), nil)
	require.ErrorContains(t, err, "the disk is full")
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, list)
	for _, f := range []publish.Format{publish.HTML, publish.XLSX, publish.Record} {
		err := document.Write(filepath.Join(dir, "x"), func(w *os.File) error {
			for range 200 {
				if err := b.Documents.Export(ctx, summary.Query{}, f, w); err != nil {
					return err
				}
			}
			return fmt.Errorf("all of it fitted")
		})
		require.ErrorContains(t, err, "the disk is full", f)
	}
}

// A family's page holds names and notes only where each is asked for, and nothing of
// another child; all pages are on the list of documents, each for its player alone.
func TestFamilyPages(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	other, err := b.Catalogue.SavePlayer(ctx, club.Player{Name: "Robin Adler", Hand: club.RightHand, ConsentFrom: "2026-01-01"})
	require.NoError(t, err)
	for _, c := range []struct{ names, notes bool }{{false, false}, {true, false}, {false, true}, {true, true}} {
		var out bytes.Buffer
		require.NoError(t, b.Documents.FamilyPage(ctx, publish.FamilyQuery{Names: c.names, Notes: c.notes}, b.player.ID, &out))
		text := out.String()
		require.Equal(t, c.names, strings.Contains(text, "Ines Varga</h1>"), "%+v", c)
		for _, never := range []string{"Adler", "Robin", "Mother", "lives near", "came late", "as Varga plays", b.cat.Faults[0].Code + "<", b.dir} {
			require.NotContains(t, text, never)
		}
	}
	requireProblem(t, b.Documents.FamilyPage(ctx, publish.FamilyQuery{}, other.ID, io.Discard), "")

	dir := filepath.Join(t.TempDir(), "pages", "autumn")
	var progress []int
	done, err := b.Documents.Families(ctx, publish.FamilyQuery{}, dir, func(n, total int) { progress = append(progress, n, total) })
	require.NoError(t, err)
	require.Equal(t, 1, done.Pages)
	require.Contains(t, done.Say, "One player has no turn in this period")
	require.Equal(t, []int{1, 1}, progress)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 1)
	require.Equal(t, "family-IV.html", left[0].Name())
	all, err := b.Library.Exports(ctx)
	require.NoError(t, err)
	require.Equal(t, []club.ID{b.player.ID}, all[len(all)-1].Players)

	// Where one page cannot be written none is, and the folder is as it was.
	require.NoError(t, os.Mkdir(filepath.Join(dir, "family-Ines-Varga.html"), 0o700))
	_, err = b.Documents.Families(ctx, publish.FamilyQuery{Names: true}, dir, nil)
	require.Error(t, err)
	_, err = b.Documents.Families(ctx, publish.FamilyQuery{From: "2031-01-01"}, filepath.Join(dir, "none"), nil)
	requireProblem(t, err, "")
	require.NoDirExists(t, filepath.Join(dir, "none"))
}
