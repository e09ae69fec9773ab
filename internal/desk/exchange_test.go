package desk_test

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/erase"
	"strokeledger/internal/desk/exchange"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/merge"
	"strokeledger/internal/store"
	"strokeledger/internal/timecode"
)

// laptop is a library of one coach, at a clock that may be off.
type laptop struct {
	*desk.Desk
	t     testing.TB
	name  string
	files string
	cat   club.Catalogue
}

func newLaptop(t testing.TB, name string, off time.Duration) *laptop {
	now := time.Date(2026, 3, 20, 12, 0, 0, 0, time.UTC).Add(off)
	l := &laptop{t: t, name: name, files: t.TempDir()}
	var err error
	l.Desk, err = desk.Open(context.Background(), filepath.Join(t.TempDir(), name), library.Options{Create: true, Now: func() time.Time { now = now.Add(time.Second); return now }})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, l.Close()) })
	l.cat, err = l.Library.Catalogue(context.Background())
	require.NoError(t, err)
	return l
}

func (l *laptop) do(edits ...store.Edit) {
	l.t.Helper()
	_, err := l.Library.Do(context.Background(), "work", edits...)
	require.NoError(l.t, err)
}

func filmOf(id, session string, print string) club.Clip {
	return club.Clip{ID: club.ID(id), SessionID: club.ID(session), Name: print + ".mp4", Path: "/films/" + print + ".mp4", Fingerprint: print,
		Bytes: 7, Frames: 1000, Base: timecode.Base{Num: 1, Den: 12800}, Seconds: 20, Width: 1920, Height: 1080}
}

func (l *laptop) stroke(id, clip string, frame int) store.Edit {
	return store.Put(club.Stroke{ID: club.ID(id), ClipID: club.ID(clip), Frame: frame, Ticks: int64(frame) * 256, Outcome: club.Good, Source: club.ByHand, Confidence: 1})
}

func (l *laptop) mark(id, clip string, fault club.ID, frame int, note string) store.Edit {
	return store.Put(club.Mark{ID: club.ID(id), ClipID: club.ID(clip), FaultID: fault, Frame: frame, Ticks: int64(frame) * 256, Note: note, Source: club.ByHand, Confidence: 1, Made: time.Date(2026, 3, 14, 18, 0, 0, 0, time.UTC)})
}

func (l *laptop) turn(id, clip string, player, drill club.ID, first, last int) store.Edit {
	return store.Put(club.Turn{ID: club.ID(id), ClipID: club.ID(clip), PlayerID: player, DrillID: drill, First: first, Last: last, FirstTicks: int64(first) * 256, LastTicks: int64(last) * 256})
}

// trained is an evening: a film with a turn of Ada's, strokes, marks and a look.
func (l *laptop) trained() {
	l.do(store.Put(club.Session{ID: "s1", Date: "2026-03-14"}), store.Put(filmOf("k1", "s1", "one")), store.Put(club.Player{ID: "ada", Name: "Ada Lovelace", Hand: club.RightHand}),
		store.Put(club.Player{ID: "bo", Name: "Bo Ek", Hand: club.LeftHand}),
		l.turn("t1", "k1", "ada", l.cat.Drills[0].ID, 0, 399), l.turn("t2", "k1", "bo", l.cat.Drills[1].ID, 400, 799))
	var edits []store.Edit
	for i := range 12 {
		edits = append(edits, l.stroke(fmt.Sprint("x", i), "k1", 50*i+20))
	}
	edits = append(edits, l.mark("m1", "k1", l.cat.Faults[0].ID, 80, "Ada told"), l.mark("m2", "k1", l.cat.Faults[1].ID, 430, ""),
		store.Put(club.Look{ID: "l1", ClipID: "k1", First: 0, Last: 799, FirstTicks: 0, LastTicks: 799 * 256, Faults: []club.ID{l.cat.Faults[0].ID, l.cat.Faults[1].ID}, Made: time.Date(2026, 3, 14, 18, 0, 0, 0, time.UTC)}))
	l.do(edits...)
}

// copyOf is another laptop that began with all that this one has.
func (l *laptop) copyOf(name string, off time.Duration) *laptop {
	file := l.write(exchange.Wanted{Names: true})
	dir := filepath.Join(l.t.TempDir(), name)
	now := time.Date(2026, 3, 20, 13, 0, 0, 0, time.UTC).Add(off)
	clock := func() time.Time { now = now.Add(time.Second); return now }
	_, err := desk.AddRecord(context.Background(), dir, file, library.Options{Now: clock})
	require.NoError(l.t, err)
	c := &laptop{t: l.t, name: name, files: l.t.TempDir()}
	c.Desk, err = desk.Open(context.Background(), dir, library.Options{Now: clock})
	require.NoError(l.t, err)
	l.t.Cleanup(func() { require.NoError(l.t, c.Close()) })
	c.cat, err = c.Library.Catalogue(context.Background())
	require.NoError(l.t, err)
	return c
}

func (l *laptop) write(w exchange.Wanted) string {
	l.t.Helper()
	file := filepath.Join(l.files, fmt.Sprintf("%s-%d.json", l.name, time.Now().UnixNano()))
	_, err := l.Exchange.Write(context.Background(), w, file, nil)
	require.NoError(l.t, err)
	return file
}

func (l *laptop) preview(file string, choices map[string]string) exchange.Preview {
	l.t.Helper()
	p, err := l.Exchange.Preview(context.Background(), file, choices)
	require.NoError(l.t, err)
	return p
}

// take answers each question by its kind, and what is not named by what is proposed.
func (l *laptop) take(file string, by map[string]string) exchange.Preview {
	l.t.Helper()
	choices := map[string]string{}
	for range 3 {
		for _, d := range l.preview(file, choices).Doubts {
			if v := by[d.Kind]; v != "" {
				choices[d.Key] = v
			}
		}
	}
	p, err := l.Exchange.Take(context.Background(), file, choices, "", nil)
	require.NoError(l.t, err)
	return p
}

// holds is all that a library holds, but for where films lie; and what its summary says.
func (l *laptop) holds() (rows, sum string) {
	l.t.Helper()
	s, err := l.Library.Work(context.Background(), merge.Selection{All: true})
	require.NoError(l.t, err)
	var all strings.Builder
	for _, table := range merge.Carried() {
		for _, r := range s.Side[table] {
			if !r.Gone && table != "same" {
				fmt.Fprintln(&all, table, string(r.Image), r.Stamp, merge.Age(r.Older))
			}
		}
	}
	got, err := l.Summary.Sum(context.Background(), summary.Query{Names: true})
	require.NoError(l.t, err)
	text, err := json.Marshal(got)
	require.NoError(l.t, err)
	return all.String(), string(text)
}

func requireOne(t *testing.T, a, b *laptop) {
	t.Helper()
	rowsA, sumA := a.holds()
	rowsB, sumB := b.holds()
	require.Equal(t, rowsA, rowsB)
	require.Equal(t, sumA, sumB)
}

// Two laptops go on from one library, each with its own work, and exchange files: both
// hold the same, twice is once, and undo leaves what was there before.
func TestWorkGoesBothWays(t *testing.T) {
	ctx := t.Context()
	a := newLaptop(t, "a", 0)
	a.trained()
	b := a.copyOf("b", 3*time.Hour)
	requireOne(t, a, b)

	late := a.cat.Faults[0]
	late.Cue = "From A."
	a.do(store.Put(late), a.stroke("xa", "k1", 900), a.mark("ma", "k1", late.ID, 130, "of A"))
	m, err := store.Get[club.Mark](ctx, b.Library.Library, "m1")
	require.NoError(t, err)
	m.Note = "of B"
	late.Cue, late.Weight = b.cat.Faults[0].Cue, 1+late.Weight%3
	b.do(store.Put(m), store.Put(late), store.Remove[club.Mark]("m2"), b.stroke("xb", "k1", 910), store.Put(club.Session{ID: "s2", Date: "2026-03-18"}), store.Put(filmOf("k2", "s2", "two")))

	before, sumBefore := a.holds()
	fromA, fromB := a.write(exchange.Wanted{Names: true, Since: 0}), b.write(exchange.Wanted{Names: true})
	p := a.preview(fromB, nil)
	require.Zero(t, p.Open)
	require.Contains(t, p.Tables, merge.Count{Table: "mark", Changed: 1, Removed: 1})
	require.Contains(t, p.Tables, merge.Count{Table: "session", New: 1})
	require.Equal(t, []string{"two.mp4"}, p.Missing)
	rows, _ := a.holds()
	require.Equal(t, before, rows, "a preview changes nothing")

	a.take(fromB, nil)
	b.take(fromA, nil)
	requireOne(t, a, b)
	merged, err := store.Get[club.Fault](ctx, a.Library.Library, late.ID)
	require.NoError(t, err)
	require.Equal(t, "From A.", merged.Cue, "each side changed another field")
	require.Equal(t, late.Weight, merged.Weight)

	require.True(t, a.preview(fromB, nil).Nothing)
	after, _ := a.holds()
	a.take(fromB, nil)
	rows, _ = a.holds()
	require.Equal(t, after, rows, "taken twice")

	_, err = a.Library.Undo(ctx)
	require.NoError(t, err)
	rows, sum := a.holds()
	require.Equal(t, before, rows, "undo, down to the moments of each part")
	require.Equal(t, sumBefore, sum)
	_, err = a.Library.Redo(ctx)
	require.NoError(t, err)
	requireOne(t, a, b)

	// What has changed since, and only that; a file that was left out is missed.
	a.take(b.write(exchange.Wanted{Names: true}), nil)
	handed, err := b.Exchange.Handed(ctx)
	require.NoError(t, err)
	b.do(b.mark("mb", "k2", late.ID, 100, "later"))
	small := b.write(exchange.Wanted{Names: true, Since: handed[0].Seq})
	text, err := os.ReadFile(small)
	require.NoError(t, err)
	require.NotContains(t, string(text), `"x1"`, "a stroke that did not change")
	require.NotContains(t, string(text), "Ada", "nor a player whom it does not show")
	require.NotContains(t, strings.Join(a.preview(small, nil).Notes, " "), "before this one")
	require.Contains(t, strings.Join(a.preview(small, nil).Notes, " "), "4h0m0s ahead")
	a.take(small, nil)
	requireOne(t, a, b)
	handed, err = b.Exchange.Handed(ctx)
	require.NoError(t, err)
	b.do(b.mark("mc", "k2", late.ID, 110, "lost on the way"))
	b.write(exchange.Wanted{Names: true, Since: handed[0].Seq})
	handed, err = b.Exchange.Handed(ctx)
	require.NoError(t, err)
	b.do(b.mark("md", "k2", late.ID, 120, "after that"))
	require.Contains(t, strings.Join(a.preview(b.write(exchange.Wanted{Names: true, Since: handed[0].Seq}), nil).Notes, " "), "before this one")
}

// A removal on one side and a change on the other is the coach's to decide.
func TestRemovedHereChangedThere(t *testing.T) {
	ctx := t.Context()
	for answer, want := range map[string]int{"keep": 1, "remove": 0} {
		a := newLaptop(t, "a", 0)
		a.trained()
		b := a.copyOf("b", -26*time.Hour)
		a.do(store.Remove[club.Mark]("m1"))
		m, err := store.Get[club.Mark](ctx, b.Library.Library, "m1")
		require.NoError(t, err)
		m.Note = "changed"
		b.do(store.Put(m))
		fromA, fromB := a.write(exchange.Wanted{Names: true}), b.write(exchange.Wanted{Names: true})
		p := a.preview(fromB, nil)
		require.Equal(t, 1, p.Open)
		require.Equal(t, "removed", p.Doubts[0].Kind)
		_, err = a.Exchange.Take(ctx, fromB, nil, "", nil)
		requireProblem(t, err, "choices")
		a.take(fromB, map[string]string{"removed": answer})
		b.take(fromA, map[string]string{"removed": answer})
		for _, l := range []*laptop{a, b} {
			led, err := l.Library.OfClip(ctx, "k1")
			require.NoError(t, err)
			n := 0
			for _, m := range led.Marks {
				if m.ID == "m1" {
					n++
					require.Equal(t, "changed", m.Note)
				}
			}
			require.Equal(t, want, n)
		}
		require.True(t, a.preview(fromB, map[string]string{}).Nothing, "it is not asked again")
	}
}

// Two libraries of their own have the same film, the same player by name and the same
// starter definitions, all under other IDs.
func TestLibrariesThatNeverMet(t *testing.T) {
	ctx := t.Context()
	a, b := newLaptop(t, "a", 0), newLaptop(t, "b", time.Minute)
	a.trained()
	b.do(store.Put(club.Session{ID: "s9", Date: "2026-03-14"}), store.Put(filmOf("k9", "s9", "one")), store.Put(club.Player{ID: "ada9", Name: "ADA  Lovelace", Hand: club.RightHand}),
		b.turn("t9", "k9", "ada9", b.cat.Drills[0].ID, 5, 390), b.stroke("y1", "k9", 22), b.stroke("y2", "k9", 70), b.stroke("y3", "k9", 345), b.mark("n1", "k9", b.cat.Faults[2].ID, 70, ""))
	fromA, fromB := a.write(exchange.Wanted{Names: true}), b.write(exchange.Wanted{Names: true})
	p := a.preview(fromB, nil)
	kinds := map[string]int{}
	for _, d := range p.Doubts {
		kinds[d.Kind]++
	}
	require.Equal(t, len(b.cat.Faults)+len(b.cat.Drills)+2, kinds["same"], "and a coach, and a player")
	require.Equal(t, 1, kinds["strokes"])
	require.Equal(t, 3, p.Open, "people are asked about, and so their turns; definitions that agree are proposed")
	by := map[string]string{"same": "same"}
	a.take(fromB, by)
	b.take(fromA, by)
	for _, l := range []*laptop{a, b} {
		cat, err := l.Library.Catalogue(ctx)
		require.NoError(t, err)
		require.Len(t, cat.Faults, len(a.cat.Faults))
		require.Len(t, cat.Drills, len(a.cat.Drills))
		require.Len(t, cat.Players, 2)
		clips, err := l.Library.Clips(ctx)
		require.NoError(t, err)
		require.Len(t, clips, 1)
		led, err := l.Library.OfClip(ctx, clips[0].ID)
		require.NoError(t, err)
		require.Len(t, led.Turns, 2)
		require.Len(t, led.Strokes, 13, "two of theirs are ours")
		require.Len(t, led.Marks, 3)
	}
	_, sumA := a.holds()
	_, sumB := b.holds()
	require.Equal(t, sumA, sumB)
	require.True(t, a.preview(fromB, nil).Nothing)

	// Apart: one of two with one name gets a number.
	c := newLaptop(t, "c", 0)
	c.take(fromB, map[string]string{"same": "apart"})
	cat, err := c.Library.Catalogue(ctx)
	require.NoError(t, err)
	require.Len(t, cat.Faults, 2*len(a.cat.Faults))
}

// A player who was forgotten comes back only when the coach says so.
func TestForgottenPlayersStayOut(t *testing.T) {
	ctx := t.Context()
	a := newLaptop(t, "a", 0)
	a.trained()
	a.do(store.Put(filmOf("k3", "s1", "three")), a.turn("t3", "k3", "ada", a.cat.Drills[0].ID, 0, 99), a.stroke("x3", "k3", 10))
	b := a.copyOf("b", 0)
	all, err := a.Erase.Preview(ctx, "ada")
	require.NoError(t, err)
	o := all.Alone()
	require.IsType(t, erase.Request{}, o)
	_, err = a.Erase.Forget(ctx, o)
	require.NoError(t, err)
	b.do(b.mark("mb", "k1", b.cat.Faults[0].ID, 100, ""), b.mark("mc", "k1", b.cat.Faults[0].ID, 500, ""))
	file := b.write(exchange.Wanted{Names: true})
	p := a.take(file, nil)
	require.Equal(t, "forgotten", p.Doubts[0].Kind)
	led, err := a.Library.OfClip(ctx, "k1")
	require.NoError(t, err)
	require.Len(t, led.Turns, 1)
	require.Len(t, led.Marks, 2, "Bo's")
	_, err = a.Library.Clip(ctx, "k3")
	require.ErrorIs(t, err, store.ErrUnknown, "a film that shows nobody else")
	require.NoError(t, a.Library.Close())
	for _, name := range []string{"ledger.db", "ledger.db-wal"} {
		text, err := os.ReadFile(filepath.Join(a.Library.Dir, name))
		if err == nil {
			require.NotContains(t, string(text), "Lovelace")
		}
	}
	a.Desk, err = desk.Open(ctx, a.Library.Dir, library.Options{})
	require.NoError(t, err)
	a.take(file, map[string]string{"forgotten": "in"})
	led, err = a.Library.OfClip(ctx, "k1")
	require.NoError(t, err)
	require.Len(t, led.Turns, 2)
}

// A record without names changes no name, and one of an older version no row.
func TestRecordsThatTellLess(t *testing.T) {
	ctx := t.Context()
	a := newLaptop(t, "a", 0)
	a.trained()
	b := a.copyOf("b", time.Hour)
	m, err := store.Get[club.Mark](ctx, b.Library.Library, "m1")
	require.NoError(t, err)
	m.Note, m.Frame, m.Ticks = "secret", 81, 81*256
	b.do(store.Put(m), b.mark("mb", "k1", b.cat.Faults[0].ID, 100, "secret"))
	file := b.write(exchange.Wanted{})
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NotContains(t, string(text), "Lovelace")
	require.NotContains(t, string(text), "secret")
	a.take(file, nil)
	m, err = store.Get[club.Mark](ctx, a.Library.Library, "m1")
	require.NoError(t, err)
	require.Equal(t, 81, m.Frame)
	require.Equal(t, "Ada told", m.Note)
	p, err := store.Get[club.Player](ctx, a.Library.Library, "ada")
	require.NoError(t, err)
	require.Equal(t, "Ada Lovelace", p.Name)
	a.take(b.write(exchange.Wanted{Names: true}), nil)
	requireOne(t, a, b)

	var old map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(text, &old))
	for _, later := range []string{"changed", "removed", "same", "sounds", "since", "until", "looks"} {
		delete(old, later)
	}
	text, err = json.Marshal(old)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, text, 0o600))
	before, _ := a.holds()
	a.take(file, nil)
	rows, _ := a.holds()
	require.Equal(t, before, rows)
	c := newLaptop(t, "c", 0)
	by := map[string]string{"same": "apart"}
	c.take(file, by)
	led, err := c.Library.OfClip(ctx, "k1")
	require.NoError(t, err)
	require.Len(t, led.Strokes, 12)
	require.Len(t, led.Looks, 2, "marks stand for looks")
	require.True(t, c.preview(file, nil).Nothing)
}
