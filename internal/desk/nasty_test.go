package desk_test

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/sentence"
)

// nasty are texts that some program somewhere has taken for more than text.
func nasty() []string {
	return []string{
		`<img src=x onerror=alert(1)>`, `</script><script>alert(1)</script>`, `"><svg onload=alert(1)>`, `{{.Constructor}}`, `${7*7}`,
		"=1+1", "+1", "-1", "@SUM(A1)", "\t=1+1", "=cmd|' /C calc'!A0", `"; DROP TABLE mark; --`, `' OR '1'='1`, `a"b,c;d`,
		"\u202egnp.exe", "שלום עולם", "مرحبا", "👩‍👩‍👧‍👦🏓", "e\u0301\u0302", "乒乓球", "a\u200bb", "NULL", "-->", "00:00:01.000 --> 00:00:02.000", "WEBVTT",
		"%s%n%d", "../../etc/passwd", `C:\x`, "&lt;b&gt;", "&", "'", "`", "\\", "line one\nline two", "\x1b[2J", "a\u2028b",
	}
}

// Whatever people are called and whatever is noted of them goes through the
// ledger, undo, and every document as the text that it is.
func TestNastyNamesGoThroughEverything(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 0, Last: 74})
	require.NoError(t, err)
	_, err = b.Strokes.Add(ctx, b.clip, 20, club.Good)
	require.NoError(t, err)
	mark, err := b.Marks.Add(ctx, b.clip, 21, b.cat.Faults[0].ID)
	require.NoError(t, err)
	through := func(t require.TestingT, s string) {
		p, drill, fault, coach := b.player, b.cat.Drills[0], b.cat.Faults[0], b.cat.Coaches[0]
		p.Name, p.Alias, p.Group, p.Note, p.ConsentBy = s, s, s, s, s
		drill.Name, drill.Note, fault.Label, fault.Cue, coach.Name = s, s, s, s, s
		for _, save := range []func() error{
			func() error { _, err := b.Catalogue.SavePlayer(ctx, p); return err },
			func() error { _, err := b.Catalogue.SaveDrill(ctx, drill); return err },
			func() error { _, err := b.Catalogue.SaveFault(ctx, fault); return err },
			func() error { _, err := b.Catalogue.SaveCoach(ctx, coach); return err },
			func() error { _, err := b.Marks.Save(ctx, mark.ID, fault.ID, 21, s); return err },
		} {
			require.NoError(t, save(), "%q", s)
		}
		cat, err := b.Library.Catalogue(ctx)
		require.NoError(t, err)
		want := strings.TrimSpace(s)
		require.Equal(t, []string{want, s}, []string{cat.Players[0].Name, cat.Players[0].Note}, "as it was written")
		_, err = b.Library.Undo(ctx)
		require.NoError(t, err)
		_, err = b.Library.Redo(ctx)
		require.NoError(t, err)
		led, err := b.Library.OfClip(ctx, b.clip)
		require.NoError(t, err)
		require.Equal(t, s, led.Marks[0].Note)
		for _, names := range []bool{true, false} {
			documents(t, b, summary.Query{Names: names}, want)
		}
	}
	for _, s := range nasty() {
		through(t, s)
	}
	drawn := rapid.StringOfN(rapid.OneOf(rapid.SampledFrom([]rune("<>&\"'=+-@;,{}\n\t\u202e🏓é")), rapid.Rune()), 1, 30, -1)
	for seed := range 15 { // each writes twenty documents
		if s := drawn.Example(seed); strings.TrimSpace(s) != "" {
			through(t, s)
		}
	}
	ledger, _, err := b.Check(ctx)
	require.NoError(t, err)
	require.Empty(t, ledger)
}

// documents writes every document and reads it back with the usual readers.
func documents(t require.TestingT, b *bench, q summary.Query, name string) {
	ctx := context.Background()
	write := func(f publish.Format) []byte {
		var out bytes.Buffer
		require.NoError(t, b.Documents.Export(ctx, q, f, &out), "%s of %q", f, name)
		return out.Bytes()
	}
	page := string(write(publish.HTML))
	for _, tag := range []string{"<img src=x", "<script>alert", "<svg onload"} {
		require.NotContains(t, page, tag)
	}
	write(publish.Text)
	require.True(t, json.Valid(write(publish.JSON)))
	require.True(t, json.Valid(write(publish.Record)))
	for _, which := range []string{"faults", "marks", "strokes", "looks"} {
		var out bytes.Buffer
		require.NoError(t, b.Documents.Table(ctx, q, publish.TableForm{Which: which, NoMark: true}, &out))
		rows, err := csv.NewReader(&out).ReadAll()
		require.NoError(t, err, "%s of %q", which, name)
		for _, row := range rows[1:] {
			require.Len(t, row, len(rows[0]))
			for _, cell := range row {
				if _, err := fmt.Sscanf(cell, "%f", new(float64)); err != nil && cell != "" {
					require.NotContains(t, "=+-@\t\r", cell[:1], "a spreadsheet would work out %q", cell)
				}
			}
		}
	}
	book := write(publish.XLSX)
	parts, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	require.NoError(t, err)
	for _, p := range parts.File {
		r, err := p.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		require.NotContains(t, string(text), "<f>", "no cell is a formula")
	}
	for _, track := range []func() error{
		func() error { return b.Documents.Captions(ctx, b.clip, q.Names, io.Discard) },
		func() error { return b.Documents.Chapters(ctx, b.clip, q.Names, io.Discard) },
	} {
		require.NoError(t, track())
	}
}

// A name as long as it may be is taken whole; a longer one is refused in one
// sentence, not cut.
func TestLongTexts(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	for n, fits := range map[int]bool{club.MaxName: true, club.MaxName + 1: false, 10_000: false} {
		p := b.player
		p.Name = strings.Repeat("é", n)
		got, err := b.Catalogue.SavePlayer(ctx, p)
		require.Equal(t, fits, err == nil, n)
		if !fits {
			requireProblem(t, err, "name")
			continue
		}
		require.Equal(t, p.Name, got.Name)
	}
	p := b.player
	p.Note = strings.Repeat("🏓", club.MaxNote)
	_, err := b.Catalogue.SavePlayer(ctx, p)
	require.NoError(t, err)
}

// A clip whose file is taken away while it is open says so and takes the rest
// along: nothing that was entered is lost, and the window goes on.
func TestClipTakenAwayWhileOpen(t *testing.T) {
	d, film, id := marked(t)
	ctx := t.Context()
	before, err := d.Library.OfClip(ctx, id)
	require.NoError(t, err)
	c, release, err := d.Footage.Open(ctx, id)
	require.NoError(t, err)
	require.NoError(t, os.Rename(film, filepath.Join(filepath.Dir(film), "gone")))
	_, _ = c.JPEG(ctx, 60, 160) // what is open may go on
	release()
	require.NoError(t, os.Remove(filepath.Join(filepath.Dir(film), "gone")))
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	_, err = d.Marks.Add(ctx, id, 50, cat.Faults[0].ID)
	require.NoError(t, err, "frames are known without the file")
	row, err := d.Footage.Row(ctx, id)
	require.NoError(t, err)
	require.True(t, row.Missing)
	require.NoError(t, d.Close())
	d, err = desk.Open(ctx, d.Library.Dir, library.Options{})
	require.NoError(t, err)
	defer d.Close()
	_, _, err = d.Footage.Open(ctx, id)
	require.Error(t, err)
	requireSentence(t, sentence.Of(err))
	after, err := d.Library.OfClip(ctx, id)
	require.NoError(t, err)
	require.Len(t, after.Marks, len(before.Marks)+1)
}
