package desk_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/exchange"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/store"
)

// Whether a coach, the sound or the pictures said that there is a stroke or a mark goes
// along into each table, the workbook and the record, and from there into other libraries.
func TestSourcesGoAlong(t *testing.T) {
	ctx := t.Context()
	a := newLaptop(t, "a", 0)
	a.trained()
	b := a.copyOf("b", time.Hour)
	sources := []string{"hand", "machine", "seen"}
	var edits []store.Edit
	for i, source := range sources {
		x, err := store.Get[club.Stroke](ctx, a.Library.Library, club.ID([]string{"x0", "x1", "x2"}[i]))
		require.NoError(t, err)
		x.Source = club.Source(source)
		edits = append(edits, store.Put(x), store.Put(club.Mark{ID: club.ID("of " + source), ClipID: "k1", FaultID: a.cat.Faults[i].ID, Frame: 300, Ticks: 300 * 256, Source: x.Source, Confidence: .8,
			Made: time.Date(2026, 3, 14, 18, 0, 0, 0, time.UTC)}))
	}
	a.do(edits...)

	b.take(a.write(exchange.Wanted{Names: true}), nil)
	requireOne(t, a, b)
	c := a.copyOf("c", 2*time.Hour)
	for _, l := range []*laptop{a, b, c} {
		for _, table := range []string{"strokes", "marks"} {
			var out bytes.Buffer
			require.NoError(t, l.Documents.Table(ctx, summary.Query{}, publish.TableForm{Which: table, NoMark: true}, &out))
			rows, err := csv.NewReader(&out).ReadAll()
			require.NoError(t, err)
			at, found := slices.Index(rows[0], "source"), map[string]bool{}
			for _, row := range rows[1:] {
				found[row[at]] = true
			}
			require.Equal(t, map[string]bool{"hand": true, "machine": true, "seen": true}, found, "%s of %s", table, l.name)
		}
	}
	var book bytes.Buffer
	require.NoError(t, c.Documents.Export(ctx, summary.Query{}, publish.XLSX, &book))
	z, err := zip.NewReader(bytes.NewReader(book.Bytes()), int64(book.Len()))
	require.NoError(t, err)
	sheets := 0
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		if strings.Contains(string(text), ">seen<") {
			sheets++
		}
	}
	require.Equal(t, 2, sheets, "strokes and marks")
}

// An entry whose source nobody knows is refused where it is written.
func TestUnknownSourceIsRefused(t *testing.T) {
	a := newLaptop(t, "a", 0)
	a.trained()
	x, err := store.Get[club.Stroke](t.Context(), a.Library.Library, "x0")
	require.NoError(t, err)
	x.Source = "guessed"
	_, err = a.Library.Do(t.Context(), "work", store.Put(x))
	p, ok := club.AsProblem(err)
	require.True(t, ok, "%v", err)
	require.Equal(t, "source", p.Field)
}
