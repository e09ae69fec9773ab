package desk_test

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/erase"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// bytesOf looks for words in every file of a folder, hidden ones and SQLite's own
// included, and in their names.
func bytesOf(t *testing.T, dir string, words ...string) (found []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || !e.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(path)
		for _, w := range words {
			if bytes.Contains(bytes.ToLower(append(data, path...)), []byte(strings.ToLower(w))) {
				found = append(found, path+": "+w)
			}
		}
		return err
	}))
	return found
}

// The whole of it, as the window does it: a player who is on a film of their own
// and on one with another, whose page was written, is forgotten with film and
// page, and nothing is left in the library's folder.
func TestForgetAPlayer(t *testing.T) {
	ctx := t.Context()
	root := t.TempDir()
	own, both := filepath.Join(root, "films", "own.mp4"), filepath.Join(root, "films", "both.mp4")
	copyFile(t, clips+"a01_baseline.mp4", own)
	copyFile(t, clips+"a12_120fps.mp4", both)
	b := &bench{dir: filepath.Join(root, "library")}
	b.reopen(t)
	added, err := b.Sessions.Add(ctx, "2026-03-14", []string{own, both}, nil)
	require.NoError(t, err)
	b.cat, err = b.Library.Catalogue(ctx)
	require.NoError(t, err)
	const name, note = "Wilhelmina Starboard", "allergic to the glue of rubbers"
	w, err := b.Catalogue.SavePlayer(ctx, club.Player{Name: name, Alias: "Willie", Hand: club.LeftHand, Note: note, ConsentFrom: "2026-01-01", ConsentBy: "her father"})
	require.NoError(t, err)
	other, err := b.Catalogue.SavePlayer(ctx, club.Player{Name: "Ines Varga", Hand: club.RightHand, Note: "plays with " + name})
	require.NoError(t, err)
	turn := func(clip int, p club.Player, first int) {
		_, err := b.Turns.Save(ctx, club.Turn{ClipID: added[clip].ClipID, PlayerID: p.ID, DrillID: b.cat.Drills[0].ID, First: first, Last: first + 20})
		require.NoError(t, err)
		_, err = b.Strokes.Add(ctx, added[clip].ClipID, first+5, club.Good)
		require.NoError(t, err)
		m, err := b.Marks.Add(ctx, added[clip].ClipID, first+6, b.cat.Faults[0].ID)
		require.NoError(t, err)
		_, err = b.Marks.Save(ctx, m.ID, m.FaultID, m.Frame, "as "+p.Name+" does")
		require.NoError(t, err)
	}
	turn(0, w, 5)
	turn(1, w, 5)
	turn(1, other, 40)
	page, list := filepath.Join(root, "out", name+".html"), filepath.Join(root, "out", "team.csv")
	for path, players := range map[string][]club.ID{page: {w.ID}, list: {w.ID, other.ID}} {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(t, os.WriteFile(path, []byte(name), 0o600))
		require.NoError(t, b.Documents.Wrote(ctx, path, "html", players))
	}
	require.NoError(t, b.Library.KeepBackup(ctx))
	before, err := b.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)
	require.Equal(t, 3, before.Team.All.Strokes)

	f, err := b.Erase.Preview(ctx, w.ID)
	require.NoError(t, err)
	require.Equal(t, []int{2, 2, 2, 1}, []int{f.Turns, f.Strokes, f.Marks, f.Copies})
	require.Equal(t, [][]string{{}, {"Ines Varga"}}, [][]string{f.Clips[0].Others, f.Clips[1].Others})
	require.Len(t, f.Documents, 2)
	o := f.Alone()
	require.Equal(t, []club.ID{added[0].ClipID}, o.Clips)
	require.Equal(t, []string{page}, o.Documents)
	o.Films = true
	_, release, err := b.Footage.Open(ctx, added[0].ClipID) // open when it goes
	require.NoError(t, err)
	release()

	left, err := b.Erase.Forget(ctx, o)
	require.NoError(t, err)
	require.Len(t, left, 1)
	requireSentence(t, left[0])
	require.Contains(t, left[0], list, "it stays, and is told")
	of, err := b.Erase.Preview(ctx, other.ID)
	require.NoError(t, err)
	require.Equal(t, list, of.Documents[0].Path, "and forgetting the other finds it")
	require.Empty(t, bytesOf(t, b.dir, name, note, "willie", "wilhelmina", "her father"))
	require.NoFileExists(t, own)
	require.FileExists(t, both)
	require.NoFileExists(t, page)
	require.FileExists(t, list)

	after, err := b.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)
	require.Len(t, after.Players, 1)
	require.Equal(t, 1, after.Team.All.Strokes)
	_, err = b.Library.Undo(ctx)
	require.ErrorIs(t, err, store.ErrNothing)
	ledger, files, err := b.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, append(ledger, files...))
	_, err = b.Erase.Preview(ctx, w.ID)
	require.ErrorIs(t, err, store.ErrUnknown)
	b.reopen(t)
	require.Empty(t, bytesOf(t, b.dir, name, note))
}

// The team's totals can stay, as numbers of nobody.
func TestForgetKeepsTheTeamsNumbers(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 5, Last: 70})
	require.NoError(t, err)
	for _, frame := range []int{10, 20, 30} {
		_, err := b.Strokes.Add(ctx, b.clip, frame, club.Good)
		require.NoError(t, err)
	}
	_, err = b.Marks.Add(ctx, b.clip, 21, b.cat.Faults[0].ID)
	require.NoError(t, err)
	before, err := b.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)
	f, err := b.Erase.Preview(ctx, b.player.ID)
	require.NoError(t, err)
	o := f.Alone()
	o.KeepCounts = true
	_, err = b.Erase.Forget(ctx, o)
	require.NoError(t, err)

	after, err := b.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)
	require.Equal(t, before.Team.All.Strokes, after.Team.All.Strokes)
	require.Equal(t, before.Team.All.Faults[0].PerStroke, after.Team.All.Faults[0].PerStroke)
	require.Empty(t, after.Players, "former players are no player")
	require.Empty(t, bytesOf(t, b.dir, b.player.Name))

	rows, err := b.Sessions.List(ctx, session.Page{})
	require.NoError(t, err)
	require.Equal(t, 1, rows.Sessions[0].Removed)
	require.Len(t, rows.Sessions[0].Clips, 1, "a clip without a film is not offered")
	_, _, err = b.Footage.Open(ctx, b.clip)
	require.Error(t, err)
	requireSentence(t, sentence.Of(err))
	_, files, err := b.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, files)
	r, err := b.Consent.Reminders(ctx)
	require.NoError(t, err)
	require.Empty(t, r, "nobody has to be asked about numbers")
	// The same film may come again.
	added, err := b.Sessions.Add(ctx, "2026-03-14", []string{clips + "a01_baseline.mp4"}, nil)
	require.NoError(t, err)
	require.Empty(t, added[0].Say)
}

// What cannot be deleted is told, and another film under the old name is left.
func TestForgetTellsWhatItLeaves(t *testing.T) {
	d, _, film, id := oneClip(t)
	ctx := t.Context()
	p, err := d.Catalogue.SavePlayer(ctx, club.Player{Name: "Ottoline", Hand: club.RightHand})
	require.NoError(t, err)
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	_, err = d.Turns.Save(ctx, club.Turn{ClipID: id, PlayerID: p.ID, DrillID: cat.Drills[0].ID, First: 0, Last: 70})
	require.NoError(t, err)
	_, err = d.Catalogue.SaveDrill(ctx, club.Drill{Name: "Ottoline corner", Method: club.Free, Placement: club.FreePlacement, Ball: club.OpenRally, Rung: 1, Streak: 1})
	require.NoError(t, err)
	copyFile(t, clips+"a12_120fps.mp4", film)
	f, err := d.Erase.Preview(ctx, p.ID)
	require.NoError(t, err)
	o := f.Alone()
	o.Films = true
	left, err := d.Erase.Forget(ctx, o)
	require.NoError(t, err)
	require.Len(t, left, 2)
	for _, say := range left {
		requireSentence(t, say)
	}
	require.Contains(t, left[0], film)
	require.Contains(t, left[1], "Ottoline corner")
	require.FileExists(t, film, "it is not the film that was marked")

	_, err = d.Erase.Forget(ctx, erase.Request{PlayerID: p.ID})
	require.ErrorIs(t, err, store.ErrUnknown)
	p, err = d.Catalogue.SavePlayer(ctx, club.Player{Name: "Second", Hand: club.RightHand})
	require.NoError(t, err)
	_, err = d.Erase.Forget(ctx, erase.Request{PlayerID: p.ID, Clips: []club.ID{"none"}})
	requireProblem(t, err, "clips")
}

// What cannot be told for the film that was marked is not deleted.
func TestForgetDeletesNothingUnknown(t *testing.T) {
	d, _, film, id := oneClip(t)
	ctx := t.Context()
	p, err := d.Catalogue.SavePlayer(ctx, club.Player{Name: "Ottoline", Hand: club.RightHand})
	require.NoError(t, err)
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	_, err = d.Turns.Save(ctx, club.Turn{ClipID: id, PlayerID: p.ID, DrillID: cat.Drills[0].ID, First: 0, Last: 70})
	require.NoError(t, err)
	require.NoError(t, os.Remove(film))
	require.NoError(t, os.Mkdir(film, 0o700))
	left, err := d.Erase.Forget(ctx, erase.Request{PlayerID: p.ID, Clips: []club.ID{id}, Films: true})
	require.NoError(t, err)
	require.DirExists(t, film)
	require.Len(t, left, 1)
	requireSentence(t, left[0])
	require.Contains(t, left[0], film)
}

// A document is on the list before it is written, and one that somebody has changed
// since is not deleted.
func TestDocumentsAreListedFirst(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	path := filepath.Join(t.TempDir(), "page.html")
	q := summary.Query{Players: []club.ID{b.player.ID}}
	listed := func() (made []string) {
		f, err := b.Erase.Preview(ctx, b.player.ID)
		require.NoError(t, err)
		for _, doc := range f.Documents {
			made = append(made, doc.Made)
		}
		return made
	}
	err := b.Documents.WriteOf(ctx, q, "html", path, func(*os.File) error {
		require.Equal(t, []string{""}, listed())
		return fs.ErrInvalid
	})
	require.Error(t, err)
	require.Empty(t, listed(), "nothing was written")
	require.NoError(t, b.Documents.WriteOf(ctx, q, "html", path, func(*os.File) error { return nil }))
	require.Equal(t, []string{time.Now().Format(time.DateOnly)}, listed())

	require.NoError(t, os.Chtimes(path, time.Time{}, time.Now().Add(time.Minute)))
	left, err := b.Erase.Forget(ctx, erase.Request{PlayerID: b.player.ID, Documents: []string{path}})
	require.NoError(t, err)
	require.Len(t, left, 1)
	requireSentence(t, left[0])
	require.Contains(t, left[0], "changed")
	require.FileExists(t, path)
}

func TestReminders(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	kinds := func(change func(*club.Player)) (out []string) {
		p := b.player
		change(&p)
		_, err := b.Catalogue.SavePlayer(ctx, p)
		require.NoError(t, err)
		all, err := b.Consent.Reminders(ctx)
		require.NoError(t, err)
		for _, r := range all {
			requireSentence(t, r.Say)
			require.Contains(t, r.Say, p.Name)
			out = append(out, string(r.Kind))
		}
		return out
	}
	require.Empty(t, kinds(func(*club.Player) {}), "who is not filmed needs no consent")
	_, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 0, Last: 70})
	require.NoError(t, err)
	require.Equal(t, []string{"missing"}, kinds(func(*club.Player) {}))
	require.Equal(t, []string{"missing"}, kinds(func(p *club.Player) { p.ConsentFrom = "2999-01-01" }))
	require.Empty(t, kinds(func(p *club.Player) { p.ConsentFrom = "2020-01-01" }))
	require.Equal(t, []string{"over"}, kinds(func(p *club.Player) { p.ConsentFrom, p.ConsentUntil = "2020-01-01", "2020-12-31" }))
	require.Equal(t, []string{"due"}, kinds(func(p *club.Player) { p.ConsentFrom, p.DeleteAfter = "2020-01-01", "2020-12-31" }))
	without, err := b.Consent.Without(ctx)
	require.NoError(t, err)
	require.Len(t, without, 1, "whose film should be gone is shown to nobody")
}

// What is written from the library is on the list of documents, and pictures of
// whoever gave no consent are left out unless the coach asks for them.
func TestDocumentsOfPlayersWithoutConsent(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 5, Last: 70})
	require.NoError(t, err)
	_, err = b.Strokes.Add(ctx, b.clip, 20, club.Good)
	require.NoError(t, err)
	_, err = b.Marks.Add(ctx, b.clip, 21, b.cat.Faults[0].ID)
	require.NoError(t, err)
	dir := t.TempDir()
	page := func(name string, q summary.Query) string {
		path := filepath.Join(dir, name)
		require.NoError(t, b.Documents.WriteOf(ctx, q, "html", path, func(f *os.File) error { return b.Documents.Export(ctx, q, publish.HTML, f) }))
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		return string(text)
	}
	const picture = "data:image/jpeg"
	require.NotContains(t, page("without.html", summary.Query{}), picture)
	require.Contains(t, page("asked.html", summary.Query{Unconsented: true}), picture)
	_, err = b.Documents.Reel(ctx, publish.ReelQuery{Player: b.player.ID}, filepath.Join(dir, "no.mp4"), nil)
	requireProblem(t, err, "consent")
	require.NoFileExists(t, filepath.Join(dir, "no.mp4"))
	b.player.ConsentFrom = "2020-01-01"
	_, err = b.Catalogue.SavePlayer(ctx, b.player)
	require.NoError(t, err)
	require.Contains(t, page("given.html", summary.Query{}), picture)
	due := b.player
	due.DeleteAfter = "2020-12-31"
	_, err = b.Catalogue.SavePlayer(ctx, due)
	require.NoError(t, err)
	_, err = b.Documents.Reel(ctx, publish.ReelQuery{Player: due.ID}, filepath.Join(dir, "no.mp4"), nil)
	requireProblem(t, err, "consent")
	_, err = b.Catalogue.SavePlayer(ctx, b.player)
	require.NoError(t, err)
	_, err = b.Documents.Reel(ctx, publish.ReelQuery{Player: b.player.ID}, filepath.Join(dir, "film.mp4"), nil)
	require.NoError(t, err)

	f, err := b.Erase.Preview(ctx, b.player.ID)
	require.NoError(t, err)
	var listed []string
	for _, doc := range f.Documents {
		listed = append(listed, filepath.Base(doc.Path))
		info, err := os.Stat(doc.Path)
		require.NoError(t, err)
		require.Equal(t, fs.FileMode(0o600), info.Mode().Perm(), doc.Path)
	}
	require.ElementsMatch(t, []string{"without.html", "asked.html", "given.html", "film.mp4"}, listed)

	// What a killed program left of a document goes with the next.
	write := func(name string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte("half"), 0o600))
		return path
	}
	part, film, mine := write(".strokeledger-part-1073741824-1"), write(".strokeledger-film-1073741824-1.part"), write(".backup-1073741824-1")
	ours := filepath.Join(dir, ".strokeledger-part-1073741824-2")
	require.NoError(t, os.Mkdir(ours, 0o700))
	page("next.html", summary.Query{})
	require.NoFileExists(t, part)
	require.NoFileExists(t, film)
	require.FileExists(t, mine, "another's file is left, whatever it is called")
	require.DirExists(t, ours, "and so is every folder")
}
