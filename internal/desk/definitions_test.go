package desk_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/definition"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/desk/wall"
	"strokeledger/internal/standard"
)

// What a fault means has a history; where there are marks, what they mean is asked for.
func TestDefinitions(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	marked, unmarked := b.cat.Faults[0].ID, b.cat.Faults[2].ID
	row := func(fault club.ID) definition.Row {
		rows, err := b.Definitions.List(ctx)
		require.NoError(t, err)
		for _, r := range rows {
			if r.FaultID == fault {
				return r
			}
		}
		t.Fatal("no such fault")
		return definition.Row{}
	}
	_, err := b.Definitions.Define(ctx, definition.Text{FaultID: marked, Counts: "The elbow leads."})
	requireProblem(t, err, "older")
	require.Empty(t, row(marked).History)
	d, err := b.Definitions.Define(ctx, definition.Text{FaultID: unmarked, Counts: "The feet stand.", Older: standard.OlderOther})
	require.NoError(t, err)
	require.Empty(t, d.Older, "there are no older marks")
	first, err := b.Definitions.Define(ctx, definition.Text{FaultID: marked, Counts: "The elbow leads.", Older: standard.OlderSame})
	require.NoError(t, err)
	second, err := b.Definitions.Define(ctx, definition.Text{FaultID: marked, Counts: "The elbow leads.", Not: "A high ball. ", Older: standard.OlderUnknown})
	require.NoError(t, err)
	require.Equal(t, []standard.Definition{second, first}, row(marked).History)
	require.Equal(t, "A high ball.", row(marked).Not)
	again, err := b.Definitions.Define(ctx, definition.Text{FaultID: marked, Counts: "The elbow leads.", Not: "A high ball."})
	require.NoError(t, err)
	require.Equal(t, second, again, "the same text is no change")
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, []standard.Definition{first}, row(marked).History)
	for field, bad := range map[string]definition.Text{
		"counts": {FaultID: b.cat.Faults[3].ID, Counts: " "}, "not": {FaultID: marked, Not: strings.Repeat("n", club.MaxNote+1)}, "older": {FaultID: marked, Counts: "x", Older: "perhaps"},
	} {
		_, err := b.Definitions.Define(ctx, bad)
		requireProblem(t, err, field)
	}
	_, err = b.Definitions.Define(ctx, definition.Text{FaultID: "nobody's"})
	require.Error(t, err)
}

// A model picture is flipped by one key, goes back by undo, and is gone with its player.
func TestModelPictures(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	fault := b.cat.Faults[0].ID
	models := func() (all []string) {
		rows, err := b.Definitions.List(ctx)
		require.NoError(t, err)
		for _, m := range rows[0].Models {
			all = append(all, map[bool]string{true: "is", false: "is not"}[m.Is])
		}
		return all
	}
	flip := func(frame int, as definition.As) definition.As {
		now, err := b.Definitions.Flip(ctx, definition.Shown{ClipID: b.clip, Frame: frame, FaultID: fault, As: as})
		require.NoError(t, err)
		return now
	}
	require.Equal(t, definition.Is, flip(36, definition.Is))
	require.Equal(t, definition.IsNot, flip(40, definition.IsNot))
	require.Equal(t, []string{"is", "is not"}, models())
	require.Equal(t, definition.IsNot, flip(36, definition.IsNot), "the other key changes what it shows")
	require.Equal(t, definition.Nothing, flip(36, definition.IsNot), "the same key takes it back")
	require.Equal(t, []string{"is not"}, models())
	_, err := b.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, []string{"is not", "is not"}, models())
	require.NoError(t, b.Definitions.Show(ctx, definition.Shown{ClipID: b.clip, Frame: 36, FaultID: fault, As: definition.Nothing}))
	require.NoError(t, b.Definitions.Show(ctx, definition.Shown{ClipID: b.clip, Frame: 36, FaultID: fault, As: definition.Nothing}))
	requireProblem(t, b.Definitions.Show(ctx, definition.Shown{ClipID: b.clip, Frame: 40, FaultID: fault, As: "perhaps"}), "as")

	turn := b.ledger(t).Turns[0]
	turn.Last = 50
	_, err = b.Turns.Save(ctx, turn)
	require.NoError(t, err)
	requireProblem(t, b.Definitions.Show(ctx, definition.Shown{ClipID: b.clip, Frame: 60, FaultID: fault, As: definition.Is}), "frame")

	before, err := b.Erase.Preview(ctx, b.player.ID)
	require.NoError(t, err)
	_, err = b.Erase.Forget(ctx, before.Alone())
	require.NoError(t, err)
	require.Empty(t, models())
}

// The page for the wall shows nobody without consent, and is on the list of documents with
// whom it shows.
func TestWall(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	fault := b.cat.Faults[0]
	_, err := b.Definitions.Define(ctx, definition.Text{FaultID: fault.ID, Counts: "<script>alert(1)</script>\nand more", Older: standard.OlderSame})
	require.NoError(t, err)
	require.NoError(t, b.Definitions.Show(ctx, definition.Shown{ClipID: b.clip, Frame: 36, FaultID: fault.ID, As: definition.Is}))
	var page bytes.Buffer
	done, err := b.Wall.Page(ctx, wall.Query{}, &page)
	require.NoError(t, err)
	require.Zero(t, done.Pictures)
	require.Contains(t, done.Say, "One picture is left out: the film is not in its place, or shows no player alone.")
	require.Contains(t, page.String(), "&lt;script&gt;alert(1)&lt;/script&gt; and more")
	for _, never := range []string{"<script", "Ines", "Varga", b.dir} {
		require.NotContains(t, page.String(), never)
	}
	for _, f := range b.cat.Faults {
		require.Contains(t, page.String(), ">"+f.Code+"<")
	}
	p := b.player
	p.ConsentFrom, p.ConsentUntil, p.ConsentBy = "2020-01-01", "2020-12-31", "Mother Varga"
	_, err = b.Catalogue.SavePlayer(ctx, p)
	require.NoError(t, err)
	done, err = b.Wall.Page(ctx, wall.Query{}, &page)
	require.NoError(t, err)
	require.Contains(t, done.Say, "no consent to the player's film is on record")
	done, err = b.Wall.Page(ctx, wall.Query{Unconsented: true}, &page)
	require.NoError(t, err)
	require.NotContains(t, done.Say, "consent")

	path := filepath.Join(t.TempDir(), "wall.html")
	done, err = b.Wall.Write(ctx, wall.Query{}, path)
	require.NoError(t, err)
	require.Equal(t, path, done.Path)
	all, err := b.Library.Exports(ctx)
	require.NoError(t, err)
	require.Equal(t, "wall", all[len(all)-1].Format)
	_, err = b.Wall.Write(ctx, wall.Query{}, filepath.Join(b.dir, "ledger.db"))
	require.Error(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(text), "What each fault means")
}

// A summary over a change of what a fault means says so, wherever it goes; one that is not
// over it does not.
func TestSummarySaysWhatWasRedefined(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	fault := b.cat.Faults[0]
	say := func() []string {
		team, err := b.Summary.Sheet(ctx, summary.Query{}, "")
		require.NoError(t, err)
		own, err := b.Summary.Sheet(ctx, summary.Query{}, b.player.ID)
		require.NoError(t, err)
		all := []string{team.Team.Redefined, own.Players[0].Redefined}
		for _, f := range []publish.Format{publish.Text, publish.HTML, publish.JSON} {
			var out bytes.Buffer
			require.NoError(t, b.Documents.Export(ctx, summary.Query{}, f, &out))
			text := strings.Join(strings.Fields(out.String()), " ")
			if at := strings.Index(text, fault.Code+" was defined on"); at >= 0 {
				all = append(all, string(f))
			}
		}
		return all
	}
	require.Equal(t, []string{"", ""}, say())
	_, err := b.Definitions.Define(ctx, definition.Text{FaultID: fault.ID, Counts: "The elbow leads.", Older: standard.OlderSame})
	require.NoError(t, err)
	require.Equal(t, []string{"", ""}, say(), "older marks mean the same")
	_, err = b.Definitions.Define(ctx, definition.Text{FaultID: fault.ID, Counts: "The elbow leads far.", Older: standard.OlderOther})
	require.NoError(t, err)
	all := say()
	require.Contains(t, all[0], "its one mark here is from before and means something else")
	require.Equal(t, all[0], all[1])
	require.Equal(t, []string{"text", "html", "json"}, all[2:])
	_, err = b.Marks.Add(ctx, b.clip, 20, fault.ID)
	require.NoError(t, err)
	require.Contains(t, say()[0], "1 of its 2 marks here is from before and means something else: only marks since then compare.")
	var book bytes.Buffer
	require.NoError(t, b.Documents.Export(ctx, summary.Query{}, publish.XLSX, &book))
	zipped, err := zip.NewReader(bytes.NewReader(book.Bytes()), int64(book.Len()))
	require.NoError(t, err)
	shared, err := zipped.Open("xl/worksheets/sheet1.xml")
	require.NoError(t, err)
	words, err := io.ReadAll(shared)
	require.NoError(t, err)
	require.Contains(t, string(words), "only marks since then compare")
	var page, table bytes.Buffer
	require.NoError(t, b.Documents.Table(ctx, summary.Query{}, publish.TableForm{NoMark: true}, &table))
	rows, err := csv.NewReader(&table).ReadAll()
	require.NoError(t, err)
	last := slices.Index(rows[0], "redefined")
	for _, r := range rows[1:] {
		group, code := r[slices.Index(rows[0], "group")], r[slices.Index(rows[0], "fault")]
		if group == "all" && code == fault.Code {
			require.Contains(t, r[last], "1 of its 2 marks here is from before")
		} else {
			require.Empty(t, r[last], "%s %s", group, code)
		}
	}
	require.NoError(t, b.Documents.FamilyPage(ctx, publish.FamilyQuery{}, b.player.ID, &page))
	require.NotContains(t, page.String(), "The coaches changed", "this page names no fault")
	for range 2 {
		_, err = b.Library.Undo(ctx)
		require.NoError(t, err)
	}
	require.Equal(t, []string{"", ""}, say(), "undone")
}
