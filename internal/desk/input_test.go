package desk_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/erase"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/document"
	"strokeledger/internal/sentence"
)

// Whatever is entered into any field gets one plain sentence and changes nothing,
// or is taken as it is.
func TestEveryFieldTakesOrRefuses(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	drill, fault, coach := b.cat.Drills[0], b.cat.Faults[0], b.cat.Coaches[0]
	turn, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: drill.ID, First: 10, Last: 20})
	require.NoError(t, err)
	mark, err := b.Marks.Add(ctx, b.clip, 12, fault.ID)
	require.NoError(t, err)
	stroke, err := b.Strokes.Add(ctx, b.clip, 12, club.Good)
	require.NoError(t, err)
	sessions, err := b.Sessions.List(ctx, session.Page{})
	require.NoError(t, err)

	texts := []string{
		"", " ", "\x00", "a\x00b", "\xff\xfe", strings.Repeat("x", 10_001), "\u202egnp", "👩‍👩‍👧 乒乓", "<img src=x onerror=alert(1)>",
		"=1+1", `"; DROP TABLE mark; --`, "a\nb", "\x1b[2J", "../../etc/passwd", "%s%n", "nobody's", string(b.clip),
	}
	numbers := []int{-1 << 62, -1, 0, 1, 9, 15, 74, 75, 76, 1 << 31, 1<<62 + 1}
	ask := func(name string, err error) {
		t.Helper()
		if err != nil {
			requireSentence(t, sentence.Of(err))
		}
	}
	for _, s := range texts {
		id := club.ID(s)
		edit := func(name string, change func() error) { t.Helper(); ask(name, change()) }
		edit("coach name", func() error { c := coach; c.Name = s; _, err := b.Catalogue.SaveCoach(ctx, c); return err })
		edit("coach id", func() error {
			c := coach
			c.ID, c.Name = id, "N "+s
			_, err := b.Catalogue.SaveCoach(ctx, c)
			return err
		})
		edit("coach who marks", func() error { return b.Library.SetCoach(ctx, id) })
		for _, field := range []func(*club.Player){
			func(p *club.Player) { p.Name = s }, func(p *club.Player) { p.Alias = s }, func(p *club.Player) { p.Hand = club.Hand(s) },
			func(p *club.Player) { p.Group = s }, func(p *club.Player) { p.Note = s }, func(p *club.Player) { p.ID = id },
			func(p *club.Player) { p.ConsentFrom = club.Date(s) }, func(p *club.Player) { p.ConsentBy = s },
			func(p *club.Player) { p.ConsentFrom, p.ConsentUntil = "2026-01-01", club.Date(s) }, func(p *club.Player) { p.DeleteAfter = club.Date(s) },
		} {
			p := b.player
			field(&p)
			_, err := b.Catalogue.SavePlayer(ctx, p)
			ask("player", err)
		}
		for _, field := range []func(*club.Drill){
			func(d *club.Drill) { d.Name = s }, func(d *club.Drill) { d.Method = club.Method(s) }, func(d *club.Drill) { d.Pattern = club.Pattern(s) },
			func(d *club.Drill) { d.Placement = club.Placement(s) }, func(d *club.Drill) { d.Ball = club.Ball(s) }, func(d *club.Drill) { d.Note = s },
		} {
			d := drill
			field(&d)
			_, err := b.Catalogue.SaveDrill(ctx, d)
			ask("drill", err)
		}
		for _, field := range []func(*club.Fault){
			func(f *club.Fault) { f.Code = s }, func(f *club.Fault) { f.Label = s }, func(f *club.Fault) { f.Phase = club.Phase(s) },
			func(f *club.Fault) { f.Sides = club.Sides(s) }, func(f *club.Fault) { f.Cue = s }, func(f *club.Fault) { f.Key = s },
		} {
			f := fault
			field(&f)
			_, err := b.Catalogue.SaveFault(ctx, f)
			ask("fault", err)
		}
		edit("session date", func() error {
			_, err := b.Sessions.Save(ctx, club.Session{ID: sessions.Sessions[0].ID, Date: club.Date(s)})
			return err
		})
		edit("session note", func() error {
			_, err := b.Sessions.Save(ctx, club.Session{ID: sessions.Sessions[0].ID, Date: "2026-03-14", Note: s})
			return err
		})
		edit("session", func() error { _, err := b.Sessions.Save(ctx, club.Session{ID: id, Date: "2026-03-14"}); return err })
		edit("day", func() error { _, err := b.Sessions.Add(ctx, s, []string{clips + "a05_rot90cw.mov"}, nil); return err })
		added, err := b.Sessions.Add(ctx, "2026-03-14", []string{s}, nil)
		require.NoError(t, err)
		require.Empty(t, added[0].ClipID)
		_, err = b.Relink.Relink(ctx, b.clip, s)
		require.Error(t, err)
		if !strings.Contains(s, "\x00") { // no dialog gives such a path
			requireSentence(t, added[0].Say)
			requireSentence(t, sentence.Of(err))
		}
		if id != b.clip {
			edit("clip", func() error { _, err := b.Sessions.RemoveClip(ctx, id); require.Error(t, err); return err })
			edit("clip of a mark", func() error { _, err := b.Marks.Add(ctx, id, 1, fault.ID); require.Error(t, err); return err })
			edit("clip of a stroke", func() error { _, err := b.Strokes.Add(ctx, id, 1, club.Good); require.Error(t, err); return err })
			edit("footage", func() error { _, _, err := b.Footage.Open(ctx, id); require.Error(t, err); return err })
		}
		edit("fault of a mark", func() error { _, err := b.Marks.Add(ctx, b.clip, 1, id); require.Error(t, err); return err })
		edit("note", func() error { _, err := b.Marks.Save(ctx, mark.ID, fault.ID, 12, s); return err })
		edit("mark", func() error { require.Error(t, b.Marks.Remove(ctx, id)); return b.Marks.Remove(ctx, id) })
		edit("outcome", func() error {
			_, err := b.Strokes.Add(ctx, b.clip, 3, club.Outcome(s))
			require.Error(t, err)
			return err
		})
		edit("side", func() error { _, err := b.Strokes.Save(ctx, stroke.ID, 12, club.Side(s), club.Good); return err })
		edit("player of a turn", func() error {
			n := turn
			n.PlayerID = id
			_, err := b.Turns.Save(ctx, n)
			require.Error(t, err)
			return err
		})
		edit("drill of a turn", func() error {
			n := turn
			n.DrillID = id
			_, err := b.Turns.Save(ctx, n)
			require.Error(t, err)
			return err
		})
		edit("farewell", func() error { _, err := b.Erase.Preview(ctx, id); require.Error(t, err); return err })
		edit("forget", func() error {
			_, err := b.Erase.Forget(ctx, erase.Request{PlayerID: id})
			require.Error(t, err)
			return err
		})
		edit("clips that go", func() error {
			if id == b.clip { // which does show the player
				return nil
			}
			_, err := b.Erase.Forget(ctx, erase.Request{PlayerID: b.player.ID, Clips: []club.ID{id}})
			require.Error(t, err)
			return err
		})
		edit("ruling", func() error {
			_, err := b.Ladder.SaveRuling(ctx, club.Ruling{PlayerID: b.player.ID, DrillID: drill.ID, Date: club.Date(s), Reason: s})
			return err
		})
		edit("film taken for another", func() error {
			if strings.Contains(s, "\x00") { // no dialog gives such a path
				return nil
			}
			_, err := b.Relink.Adopt(ctx, b.clip, s)
			require.Error(t, err)
			return err
		})
		edit("name of the coach", func() error { return b.Catalogue.NameCoach(ctx, s) })
		edit("format", func() error { return b.Documents.Export(ctx, summary.Query{}, publish.Format(s), new(bytes.Buffer)) })
		edit("period", func() error { _, err := b.Summary.Sum(ctx, summary.Query{From: club.Date(s)}); return err })
		edit("player of a summary", func() error { _, err := b.Summary.Sum(ctx, summary.Query{Players: []club.ID{id}}); return err })
		_, err = b.Catalogue.ImportRoster(ctx, strings.NewReader(s))
		requireSentence(t, sentence.Of(err))
		_, err = b.Catalogue.ImportRoster(ctx, strings.NewReader("name,hand\n\""+s+"\n"))
		ask("roster", err)
		ask("backup", b.Documents.Backup(ctx, filepath.Join(t.TempDir(), s)))
	}
	for _, n := range numbers {
		inside := n >= 0 && n < 75
		m, err := b.Marks.Add(ctx, b.clip, n, b.cat.Faults[1].ID)
		require.Equal(t, inside, err == nil, n)
		ask("frame of a mark", err)
		if inside {
			require.Equal(t, int64(512*n), m.Ticks)
		}
		_, err = b.Strokes.Add(ctx, b.clip, n, club.Good)
		require.Equal(t, inside, err == nil, n)
		ask("frame of a stroke", err)
		_, err = b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: drill.ID, First: n, Last: n})
		require.Equal(t, inside && n != 15, err == nil, n) // 15 lies in the turn that is there
		ask("turn", err)
		for _, field := range []func(*club.Drill){func(d *club.Drill) { d.Rung = n }, func(d *club.Drill) { d.Streak = n }} {
			d := drill
			field(&d)
			_, err := b.Catalogue.SaveDrill(ctx, d)
			ask("drill", err)
		}
		f := fault
		f.Weight = n
		_, err = b.Catalogue.SaveFault(ctx, f)
		ask("weight", err)
	}
	_, err = b.Summary.Sum(ctx, summary.Query{From: "2026-03-15", To: "2026-03-14"})
	requireProblem(t, err, "to")
	for _, f := range []publish.Format{publish.Text, publish.CSV, publish.JSON, publish.HTML} {
		require.NoError(t, b.Documents.Export(ctx, summary.Query{Names: true}, f, new(bytes.Buffer)), "whatever was taken can be written")
	}
	ledger, _, err := b.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, ledger)
}

// A document that cannot be written leaves everything as it was.
func TestWhereNothingCanBeWritten(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "file"), []byte("mine"), 0o600))
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "pipe"), 0o600))
	for _, name := range []string{"missing/page.html", "file/page.html", ".", "pipe", strings.Repeat("x", 256), strings.Repeat("x/", 3000), "a\x00b"} {
		path := dir + "/" + name
		err := document.Write(path, func(f *os.File) error { return b.Documents.Export(ctx, summary.Query{}, publish.Text, f) })
		require.Error(t, err, name)
		requireSentence(t, sentence.Of(err))
		if strings.Contains(name, "/") && !strings.HasPrefix(name, "file/") {
			continue // a backup makes its folders
		}
		err = b.Documents.Backup(ctx, path)
		require.Error(t, err, name)
		requireSentence(t, sentence.Of(err))
		require.NotContains(t, sentence.Of(err), "library")
	}
	if full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0); err == nil {
		defer full.Close()
		for _, f := range []publish.Format{publish.Text, publish.CSV, publish.JSON, publish.HTML} {
			err := sentence.File("write", "/dev/full", b.Documents.Export(ctx, summary.Query{}, f, full))
			require.ErrorIs(t, err, syscall.ENOSPC)
			requireSentence(t, sentence.Of(err))
		}
	}
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 2)
}

// A name that differs in case alone is the same player in every script.
func TestRosterKnowsNamesInEveryScript(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	for _, name := range []string{"Άννα Ζέρβας", "Weiß", "Kelvin"} {
		_, err := b.Catalogue.SavePlayer(ctx, club.Player{Name: name, Hand: club.RightHand})
		require.NoError(t, err)
	}
	got, err := b.Catalogue.ImportRoster(ctx, strings.NewReader("name\nΆΝΝΑ ΖΈΡΒΑΣ\nweiẞ\n\u212aelvin\nNew One\n"))
	require.NoError(t, err)
	require.Equal(t, 3, got.Skipped)
	require.Equal(t, 1, got.Added)
}
