package desk_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/place"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/store"
	"strokeledger/internal/timecode"
)

// evenings is a library of so many sessions, one a day of March 2026, each with two
// clips whose files are nowhere.
func evenings(t *testing.T, n int) (*desk.Desk, *store.Library) {
	t.Helper()
	ctx := t.Context()
	dir := filepath.Join(t.TempDir(), "library")
	d, err := desk.Open(ctx, dir, library.Options{Create: true})
	require.NoError(t, err)
	t.Cleanup(func() { d.Close() })
	beside, err := store.Open(ctx, dir, store.Options{})
	require.NoError(t, err)
	t.Cleanup(func() { beside.Close() })
	var edits []store.Edit
	for i := 1; i <= n; i++ {
		s := club.Session{ID: club.ID(fmt.Sprintf("s%02d", i)), Date: club.Date(fmt.Sprintf("2026-03-%02d", i))}
		edits = append(edits, store.Put(s))
		for _, name := range []string{"a", "b"} {
			id := string(s.ID) + name
			edits = append(edits, store.Put(club.Clip{
				ID: club.ID(id), SessionID: s.ID, Name: id + ".mp4", Path: filepath.Join(dir, "films-"+name, id+".mp4"), Fingerprint: id,
				Bytes: 7, Frames: 100, Base: timecode.Base{Num: 1, Den: 12800}, Seconds: 4, Width: 64, Height: 36,
			}))
		}
	}
	_, err = beside.Do(ctx, "", "evenings", edits...)
	require.NoError(t, err)
	return d, beside
}

// days is what a page shows, as days of the month.
func days(t *testing.T, p session.SessionPage) (out []string) {
	t.Helper()
	for _, s := range p.Sessions {
		require.Len(t, s.Clips, 2, s.Date)
		require.Equal(t, string(s.ID)+"a", string(s.Clips[0].ID))
		out = append(out, string(s.Date[8:]))
	}
	return out
}

func TestSessionsByPages(t *testing.T) {
	d, beside := evenings(t, 7)
	ctx := t.Context()
	for _, c := range []struct {
		page    session.Page
		days    []string
		upTo    club.Date
		earlier int
	}{
		{session.Page{}, []string{"07", "06", "05", "04", "03", "02", "01"}, "", 0},
		{session.Page{Count: 3}, []string{"07", "06", "05"}, "", 4},
		{session.Page{Count: 3, UpTo: "2026-03-04"}, []string{"04", "03", "02"}, "2026-03-04", 1},
		{session.Page{Count: 3, UpTo: "2026-03-03"}, []string{"03", "02", "01"}, "2026-03-03", 0},
		{session.Page{UpTo: "2026-03-02"}, []string{"02", "01"}, "2026-03-02", 0},
		{session.Page{Count: 3, UpTo: "2027-01-01"}, []string{"07", "06", "05"}, "2027-01-01", 4},
		{session.Page{Count: 3, UpTo: "2025-12-31"}, nil, "2025-12-31", 0},
		{session.Page{Count: 3, Clip: "s06b"}, []string{"07", "06", "05"}, "", 4},
		{session.Page{Count: 3, Clip: "s04b"}, []string{"04", "03", "02"}, "2026-03-04", 1},
		{session.Page{Count: 3, Clip: "none"}, []string{"07", "06", "05"}, "", 4},
	} {
		p, err := d.Sessions.List(ctx, c.page)
		require.NoError(t, err)
		require.Equal(t, c.days, days(t, p), "%+v", c.page)
		require.Equal(t, []any{c.upTo, c.earlier, 7, club.Date("2026-03-01")}, []any{p.UpTo, p.Earlier, p.Total, p.First}, "%+v", c.page)
	}

	// What was logged is counted, packed or not, and each clip's is its own.
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	_, err = beside.Do(ctx, "", "marks",
		store.Put(club.Mark{ID: "m1", ClipID: "s04b", FaultID: cat.Faults[0].ID, Frame: 3, Source: club.ByHand, Confidence: 1}),
		store.Put(club.Mark{ID: "m2", ClipID: "s04b", FaultID: cat.Faults[0].ID, Frame: 4, Source: club.ByHand, Confidence: 1}))
	require.NoError(t, err)
	for range 2 {
		p, err := d.Sessions.List(ctx, session.Page{Count: 2, UpTo: "2026-03-04"})
		require.NoError(t, err)
		require.Equal(t, []int{0, 2}, []int{p.Sessions[0].Clips[0].Marks, p.Sessions[0].Clips[1].Marks})
		row, err := d.Footage.Row(ctx, "s04b")
		require.NoError(t, err)
		require.Equal(t, p.Sessions[0].Clips[1], row.ListedClip)
		_, err = d.Summary.Sum(ctx, summary.Query{}) // packs
		require.NoError(t, err)
	}

	// An empty library has a page too.
	empty, err := desk.Open(ctx, filepath.Join(t.TempDir(), "empty"), library.Options{Create: true})
	require.NoError(t, err)
	defer empty.Close()
	p, err := empty.Sessions.List(ctx, session.Page{Count: 3})
	require.NoError(t, err)
	require.Equal(t, session.SessionPage{Sessions: []session.SessionRow{}, Looked: []session.LookedBy{}}, p)
}

// Which files are there is asked apart: a list does not wait for a drive, and what
// a drive does not tell is not said to be gone.
func TestFilesOfTheList(t *testing.T) {
	d, _ := evenings(t, 2)
	ctx := t.Context()
	film := filepath.Join(d.Library.Dir, "films-a", "s01a.mp4")
	require.NoError(t, os.MkdirAll(filepath.Dir(film), 0o700))
	require.NoError(t, os.WriteFile(film, []byte("12345678"), 0o600))
	all := []club.ID{"s02a", "s01a", "s02b", "none"}

	look := func() []place.Absent {
		t.Helper()
		found, err := d.Place.Absent(ctx, all)
		require.NoError(t, err)
		return found
	}
	require.Equal(t, []place.Absent{{ClipID: "s01a"}, {ClipID: "s02a"}, {ClipID: "s02b"}}, look(), "one is there, but as long as another film")
	require.NoError(t, os.WriteFile(film, []byte("1234567"), 0o600))
	require.Equal(t, []place.Absent{{ClipID: "s02a"}, {ClipID: "s02b"}}, look())

	d.Hang(filepath.Join(d.Library.Dir, "films-b"))
	require.Equal(t, []place.Absent{{ClipID: "s02a"}, {ClipID: "s02b", Slow: true}}, look(), "the other folder is looked at")
	p, err := d.Sessions.List(ctx, session.Page{})
	require.NoError(t, err)
	require.Equal(t, []string{"02", "01"}, days(t, p))
	found, err := d.Place.Absent(ctx, nil)
	require.NoError(t, err)
	require.Equal(t, []place.Absent{}, found, "a list that is empty, not null")
}

// The next clip goes on over the end of a day, and ends with the last.
func TestClipBeside(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	earlier, err := b.Sessions.Add(ctx, "2026-03-13", []string{clips + "a12_120fps.mp4"}, nil)
	require.NoError(t, err)
	page, err := b.Sessions.List(ctx, session.Page{})
	require.NoError(t, err)
	last := page.Sessions[0].Clips
	var got []club.ID
	for id := earlier[0].ClipID; id != ""; {
		got = append(got, id)
		id, err = b.Sessions.Beside(ctx, id, 1)
		require.NoError(t, err)
	}
	require.Equal(t, []club.ID{earlier[0].ClipID, last[0].ID, last[1].ID}, got)
	back, err := b.Sessions.Beside(ctx, last[0].ID, -1)
	require.NoError(t, err)
	require.Equal(t, earlier[0].ClipID, back)
	for _, id := range []club.ID{earlier[0].ClipID, "nothing"} {
		none, err := b.Sessions.Beside(ctx, id, -1)
		require.NoError(t, err)
		require.Empty(t, none)
	}
}
