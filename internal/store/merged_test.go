package store

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/club"
	"strokeledger/internal/merge"
)

var merges = flag.Int("merges", 15, "how often three libraries are worked in and brought together")

// A new table of the ledger is carried from library to library, or somebody has said why
// it is not.
func TestEveryTableIsCarriedOrKept(t *testing.T) {
	l := fresh(t)
	rows, err := l.read.Query("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT GLOB 'sqlite_*'")
	require.NoError(t, err)
	defer rows.Close()
	carried, kept := merge.Carried(), merge.Kept()
	seen := 0
	for rows.Next() {
		var name string
		require.NoError(t, rows.Scan(&name))
		seen++
		_, why := kept[name]
		require.NotEqual(t, slices.Contains(carried, name), why, "table %s: name it in tables or in Kept of package merge, and in one of them", name)
	}
	require.Equal(t, len(carried)+len(kept), seen, "what is named there is a table")
	for _, k := range kinds() {
		_, why := kept[k.named()]
		require.True(t, why || merge.Named(k.named()) != nil, k.named())
	}
}

// branch is one of several libraries that began as one.
type branch struct {
	*Library
	name string
	n    int // of what it made
}

// original makes the library that others begin as, and returns its file.
func original(t *testing.T) []byte {
	l := filled(t)
	must(t, l, Put(turn(0, 0, 0, 0, 0, 399)), Put(turn(1, 0, 1, 1, 500, 899)), Put(turn(2, 1, 0, 1, 0, 399)), Put(ruler(0, 3)))
	for i := range 6 {
		must(t, l, Put(stroke(i, i%2, 50*i+7)), Put(mark(i, i%2, i%2, 50*i+3)), Put(look(i, i%2, 0, 399, i%2)))
	}
	require.NoError(t, l.Close())
	data, err := os.ReadFile(filepath.Join(l.Dir(), fileName))
	require.NoError(t, err)
	return data
}

// begin opens a copy of a library's file, with a clock that is off.
func beginBranch(rt tester, dir, name string, data []byte, off time.Duration) *branch {
	at := filepath.Join(dir, name)
	require.NoError(rt, os.MkdirAll(at, 0o700))
	require.NoError(rt, os.WriteFile(filepath.Join(at, fileName), data, 0o600))
	now := time.Now().Add(off)
	l, err := Open(context.Background(), at, Options{Now: func() time.Time { now = now.Add(time.Second); return now }})
	require.NoError(rt, err)
	return &branch{Library: l, name: name}
}

func (b *branch) id() club.ID {
	b.n++
	return club.ID(fmt.Sprintf("%s-%04d", b.name, b.n))
}

// work makes a random change as its coach would; what the rules refuse is left. residue
// tells the frames of the libraries apart, so that no two put different things at one
// picture, but for what they are meant to find together.
func (b *branch) work(rt *rapid.T, residue int) {
	led, err := b.Snapshot(context.Background(), nil)
	require.NoError(rt, err)
	pick := func(n int) int { return rapid.IntRange(0, n-1).Draw(rt, "which") }
	frame := func() int { return 5*rapid.IntRange(0, 79).Draw(rt, "frame") + residue }
	words := func() string { return rapid.SampledFrom([]string{"", "a", "b", "later"}).Draw(rt, "words") }
	clipID := id("clip", pick(2))
	at := func(f int) int64 { return int64(f) * 256 }
	var e []Edit
	switch rapid.IntRange(0, 22).Draw(rt, "what") {
	case 0, 1:
		f := frame()
		e = append(e, Put(club.Stroke{ID: b.id(), ClipID: clipID, Frame: f, Ticks: at(f), Outcome: club.Good, Source: club.ByHand, Confidence: 1, CoachID: "coach-0000"}))
	case 2, 3:
		f := frame()
		m := mark(0, 0, pick(2), f)
		m.ID, m.ClipID, m.Note = b.id(), clipID, words()
		e = append(e, Put(m))
	case 4:
		s := led.Strokes[pick(len(led.Strokes))]
		s.Outcome = rapid.SampledFrom([]club.Outcome{club.Good, club.Missed}).Draw(rt, "outcome")
		e = append(e, Put(s))
	case 5:
		s := led.Strokes[pick(len(led.Strokes))]
		s.Side = rapid.SampledFrom([]club.Side{"", club.Forehand, club.Backhand}).Draw(rt, "side")
		e = append(e, Put(s))
	case 6:
		s := led.Strokes[pick(len(led.Strokes))]
		s.Frame = frame()
		s.Ticks, s.Ready = at(s.Frame), &club.Moment{Frame: s.Frame + 3, Ticks: at(s.Frame + 3)}
		e = append(e, Put(s))
	case 7:
		m := led.Marks[pick(len(led.Marks))]
		m.Note = words()
		e = append(e, Put(m))
	case 8:
		m := led.Marks[pick(len(led.Marks))]
		m.StrokeID = led.Strokes[pick(len(led.Strokes))].ID
		e = append(e, Put(m))
	case 9:
		e = append(e, Remove[club.Mark](led.Marks[pick(len(led.Marks))].ID))
	case 10:
		e = append(e, Remove[club.Stroke](led.Strokes[pick(len(led.Strokes))].ID))
	case 11:
		p := player(pick(2))
		p.Note, p.ConsentFrom, p.ConsentBy = words(), "2026-01-01", words()
		e = append(e, Put(p))
	case 12:
		f := fault(pick(2))
		f.Cue, f.Weight = words(), 1+pick(3)
		e = append(e, Put(f))
	case 13: // a day, and a film on it, that another may have added too
		day, film := pick(3), pick(3)
		s := club.Session{ID: b.id(), Date: club.Date(fmt.Sprintf("2026-04-%02d", day+1))}
		for _, have := range led.Sessions {
			if have.Date == s.Date {
				s = have
			}
		}
		c := clip(3+film, 0)
		c.ID, c.SessionID = b.id(), s.ID
		e = append(e, Put(s), Put(c))
	case 14:
		l := look(0, 0, 0, 399, 0)
		l.ID, l.ClipID, l.Faults = b.id(), clipID, []club.ID{id("fault", 1), id("fault", 0)}
		e = append(e, Put(l))
	case 15:
		e = append(e, Put(club.Ruling{ID: b.id(), PlayerID: id("player", pick(2)), DrillID: id("drill", 0), Date: "2026-03-20", Passed: true, Reason: "Seen " + words()}))
	case 16:
		_, err := b.Undo(context.Background(), "coach-0001")
		if _, ok := club.AsProblem(err); !ok {
			require.NoError(rt, err)
		}
		return
	default:
		e = b.agree(rt, led)
	}
	if _, err := b.Do(context.Background(), "coach-0001", "work", e...); err != nil {
		_, ok := club.AsProblem(err)
		require.True(rt, ok, "%v", err)
	}
}

// answers are what a coach says to each kind of question.
func answers() map[string]string {
	return map[string]string{"removed": "keep", "used": "keep", "turns": "first", "strokes": "apart", "same": "same", "film": "same", "forgotten": "out"}
}

// bring works out what taking theirs into a library comes to, every question answered.
func bring(rt require.TestingT, l *Library, theirs merge.Side, clock int64) (merge.State, merge.Plan, merge.Stamp) {
	ours, err := l.Work(context.Background(), merge.Selection{All: true})
	require.NoError(rt, err)
	o := merge.Options{Now: merge.Stamp{Clock: max(ours.Clock, clock) + 1, Author: "coach-0000"}, Told: true, Choices: map[string]string{},
		Forgotten: func(club.ID) bool { return false }, Alike: func(a, b club.Clip) bool { return false },
		Film: func(c club.Clip) merge.Film { return merge.Even{Clip: c} }}
	for {
		p, err := merge.Bring(ours.Side, theirs, o)
		require.NoError(rt, err)
		open := false
		for _, d := range p.Doubts {
			open = open || o.Choices[d.Key] == ""
			o.Choices[d.Key] = answers()[d.Kind]
		}
		if !open {
			require.Zero(rt, p.Open())
			return ours, p, o.Now
		}
	}
}

// takeIn takes one library into another, and reports whether anything was decided on the
// way, by the coach or of itself.
func takeIn(rt require.TestingT, l *Library, theirs merge.State) bool {
	ours, p, now := bring(rt, l, theirs.Side, theirs.Clock)
	require.Empty(rt, p.Left)
	_, err := l.Take(context.Background(), now, ours, merge.Taken{ID: theirs.Last, File: "a file"}, p.Writes)
	require.NoError(rt, err)
	return len(p.Doubts)+len(p.Notes) > 0
}

func stateOf(rt require.TestingT, l *Library) merge.State {
	s, err := l.Work(context.Background(), merge.Selection{All: true})
	require.NoError(rt, err)
	return s
}

// told is all that a library holds, as a text: what is there, and with stamps also what
// was removed and when each part was changed.
func told(s merge.State, stamps bool) string {
	var all strings.Builder
	given := map[string]bool{}
	for _, r := range s.Side["same"] {
		given[strings.Fields(string(r.ID))[1]] = !r.Gone
	}
	for _, table := range merge.Carried() {
		for _, r := range s.Side[table] {
			if given[string(r.ID)] || r.Gone && !stamps || table == "same" { // when a pair was found differs from order to order
				continue
			}
			fmt.Fprintf(&all, "%s %s gone=%v", table, r.Image, r.Gone)
			if stamps {
				fmt.Fprint(&all, r.Stamp, merge.Age(r.Older))
			}
			all.WriteString("\n")
		}
	}
	return all.String()
}

// differing lists the lines in which two texts differ.
func differing(a, b string) string {
	in := func(text string) map[string]bool {
		m := map[string]bool{}
		for l := range strings.Lines(text) {
			m[l] = true
		}
		return m
	}
	x, y := in(a), in(b)
	var all []string
	for l := range x {
		if !y[l] {
			all = append(all, "- "+l)
		}
	}
	for l := range y {
		if !x[l] {
			all = append(all, "+ "+l)
		}
	}
	slices.Sort(all)
	return strings.Join(all, "")
}

// Three libraries that began as one, at clocks that are hours apart, are worked in; then
// they are brought together in every order, both ways, and twice.
func TestMergingComesToTheSame(t *testing.T) {
	t.Parallel()
	data := original(t)
	exact, round := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		if round++; round > *merges {
			return
		}
		dir, err := os.MkdirTemp(t.TempDir(), "round")
		require.NoError(rt, err)
		var files []merge.State
		var copies [][]byte
		for i, off := range []time.Duration{0, 3 * time.Hour, -26 * time.Hour} {
			b := beginBranch(rt, dir, string(rune('A'+i)), data, off)
			for range rapid.IntRange(0, 12).Draw(rt, "changes") {
				b.work(rt, i)
			}
			files = append(files, stateOf(rt, b.Library))
			require.NoError(rt, b.Close())
			ledger, err := os.ReadFile(filepath.Join(b.Dir(), fileName))
			require.NoError(rt, err)
			copies = append(copies, ledger)
		}
		var first string
		asked := false
		var ends []merge.State
		for n, order := range [][]int{{0, 1, 2}, {1, 0, 2}, {2, 0, 1}, {2, 1, 0}} {
			b := beginBranch(rt, dir, fmt.Sprint("end", n), copies[order[0]], time.Hour)
			for _, from := range order[1:] {
				asked = takeIn(rt, b.Library, files[from]) || asked
			}
			for _, from := range order {
				_, p, _ := bring(rt, b.Library, files[from].Side, files[from].Clock)
				require.Empty(rt, p.Writes, "taken in again, it changes nothing")
			}
			report, err := b.Check(context.Background())
			require.NoError(rt, err)
			require.True(rt, report.OK, "%v", report.Findings)
			end := stateOf(rt, b.Library)
			ends = append(ends, end)
			if text := told(end, false); n == 0 {
				first = text
			} else if first != text {
				rt.Fatalf("order %v comes to something else:\n%s", order, differing(first, text))
			}
			require.NoError(rt, b.Close())
		}
		if !asked {
			exact++
			for _, e := range ends[1:] {
				if a, b := told(ends[0], true), told(e, true); a != b {
					rt.Fatalf("the moments differ:\n%s", differing(a, b))
				}
			}
		}
	})
	require.Positive(t, exact, "some rounds ask nothing")
}
