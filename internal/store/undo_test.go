package store

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/merge"
	"strokeledger/internal/picture"
	"strokeledger/internal/sighting"
)

// model is what a library should hold, kept the plain way: rows by table and id.
type model map[string]map[club.ID]any

func (m model) clone() model {
	c := model{}
	for kind, rows := range m {
		c[kind] = maps.Clone(rows)
	}
	return c
}

func put[T Row](m model, row T) Edit {
	t := tableOf[T]()
	if m[t.name] == nil {
		m[t.name] = map[club.ID]any{}
	}
	m[t.name][t.id(&row)] = row
	return Put(row)
}

func remove[T Row](m model, id club.ID) Edit {
	delete(m[tableOf[T]().name], id)
	return Remove[T](id)
}

// contents reads all that a library holds.
func contents(t require.TestingT, l *Library) model {
	m := model{}
	readAll[club.Coach](t, l, m)
	readAll[club.Player](t, l, m)
	readAll[club.Drill](t, l, m)
	readAll[club.Fault](t, l, m)
	readAll[club.Session](t, l, m)
	readAll[club.Clip](t, l, m)
	readAll[club.Turn](t, l, m)
	readAll[club.Stroke](t, l, m)
	readAll[club.Mark](t, l, m)
	readAll[club.Look](t, l, m)
	readAll[club.Ruling](t, l, m)
	readAll[sighting.Ruler](t, l, m)
	readAll[alignment.Pairing](t, l, m)
	readAll[merge.Same](t, l, m)
	readAll[picture.Adjustment](t, l, m)
	readAll[picture.Pair](t, l, m)
	readAll[picture.Drawing](t, l, m)
	readAll[merge.Taken](t, l, m)
	return m
}

func readAll[T Row](t require.TestingT, l *Library, m model) {
	rows, err := list(context.Background(), l, tableOf[T](), "WHERE gone = 0")
	require.NoError(t, err)
	for _, r := range rows {
		put(m, r)
	}
}

func (m model) same(o model) bool {
	for kind := range maps.Keys(m) {
		if len(m[kind]) > 0 && !reflect.DeepEqual(m[kind], o[kind]) {
			return false
		}
	}
	for kind, rows := range o {
		if len(m[kind]) != len(rows) {
			return false
		}
	}
	return true
}

// Any sequence of edits, undos and redos, with the library closed and opened
// again in between, leaves what a list of past states says.
func TestUndoAgainstAModel(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	rapid.Check(t, func(rt *rapid.T) {
		dir := filepath.Join(t.TempDir(), "club")
		l, err := Open(ctx, dir, Options{Create: true})
		require.NoError(rt, err)
		defer func() { require.NoError(rt, l.Close()) }()
		fill(rt, l)
		base := contents(rt, l)

		past, at := []model{{}, base}, 1 // past[at] is now; the furnishing is a step too
		n := 0
		rt.Repeat(map[string]func(*rapid.T){
			"": func(rt *rapid.T) {
				if got := contents(rt, l); !past[at].same(got) {
					rt.Fatalf("the library holds\n%v\nwant\n%v", got, past[at])
				}
				undo, redo, err := l.History(ctx)
				require.NoError(rt, err)
				require.Equal(rt, at > 0, undo != "")
				require.Equal(rt, at < len(past)-1, redo != "")
			},
			"do": func(rt *rapid.T) {
				if len(past[at]["clip"]) == 0 {
					rt.Skip()
				}
				next := past[at].clone()
				var edits []Edit
				for range rapid.IntRange(1, 4).Draw(rt, "edits") {
					edits = append(edits, randomEdit(rt, next))
				}
				n++
				_, err := l.Do(ctx, "a", fmt.Sprint("change ", n), edits...)
				require.NoError(rt, err)
				if !next.same(past[at]) || len(edits) > 1 && changedOnTheWay(ctx, l, n) {
					past, at = append(past[:at+1:at+1], next), at+1
				}
			},
			"undo": func(rt *rapid.T) {
				_, err := l.Undo(ctx, "a")
				if at == 0 {
					require.ErrorIs(rt, err, ErrNothing)
					return
				}
				require.NoError(rt, err)
				at--
			},
			"redo": func(rt *rapid.T) {
				_, err := l.Redo(ctx, "b")
				if at == len(past)-1 {
					require.ErrorIs(rt, err, ErrNothing)
					return
				}
				require.NoError(rt, err)
				at++
			},
			"refused": func(rt *rapid.T) {
				_, err := l.Do(ctx, "a", "half", Put(coach(7)), Put(mark(99, 77, 0, 1)))
				_, isProblem := club.AsProblem(err)
				require.True(rt, isProblem, "%v", err)
			},
			"reopen": func(rt *rapid.T) {
				require.NoError(rt, l.Close())
				l, err = Open(ctx, dir, Options{})
				require.NoError(rt, err)
			},
		})
		report, err := l.Check(ctx)
		require.NoError(rt, err)
		require.True(rt, report.OK, "%v", report.Findings)
	})
}

// changedOnTheWay reports whether the last change, which left everything as it
// was, touched rows and put them back.
func changedOnTheWay(ctx context.Context, l *Library, n int) bool {
	undo, _, err := l.History(ctx)
	return err == nil && undo == fmt.Sprint("change ", n)
}

// randomEdit draws one valid edit and makes it in the model too.
func randomEdit(rt *rapid.T, m model) Edit {
	n := rapid.IntRange(0, 5).Draw(rt, "row")
	clips := slices.Sorted(maps.Keys(m["clip"]))
	onClip := func() int {
		var c int
		_, err := fmt.Sscanf(string(rapid.SampledFrom(clips).Draw(rt, "clip")), "clip-%d", &c)
		require.NoError(rt, err)
		return c
	}
	frame := rapid.IntRange(0, 165).Draw(rt, "frame")*6 + n // no two rows of a kind on one picture
	what := rapid.IntRange(0, 16).Draw(rt, "what")
	if len(clips) == 0 {
		what %= 2
	}
	switch what {
	case 0:
		p := player(n)
		p.Note = rapid.String().Draw(rt, "note")
		return put(m, p)
	case 1:
		s := session(0)
		s.Note = rapid.String().Draw(rt, "note")
		return put(m, s)
	case 2, 3:
		r := mark(n, onClip(), n%2, frame)
		r.Note = rapid.String().Draw(rt, "note")
		return put(m, r)
	case 4:
		s := stroke(n, onClip(), frame)
		s.Confidence = rapid.Float64Range(0, 1).Draw(rt, "confidence")
		return put(m, s)
	case 5: // turns of one row each have their own hundred frames
		return put(m, turn(n, onClip(), n%2, n%2, n*100, n*100+frame%100))
	case 6:
		if _, there := m["mark"][id("mark", n)]; there {
			return remove[club.Mark](m, id("mark", n))
		}
		return put(m, mark(n, onClip(), 0, frame))
	case 7:
		if _, there := m["turn"][id("turn", n)]; there {
			return remove[club.Turn](m, id("turn", n))
		}
		return put(m, stroke(n, onClip(), frame))
	case 8:
		p := player(n)
		p.ConsentFrom, p.ConsentUntil = "2026-01-01", club.Date(fmt.Sprintf("2026-12-%02d", 1+frame%31))
		p.ConsentBy, p.DeleteAfter = rapid.String().Draw(rt, "by"), rapid.SampledFrom([]club.Date{"", "2027-01-01"}).Draw(rt, "delete after")
		if p.Check() != nil { // too long a text
			p.ConsentBy = ""
		}
		return put(m, p)
	case 9:
		r := club.Ruling{ID: id("ruling", n), PlayerID: id("player", n%2), DrillID: id("drill", n%2), CoachID: id("coach", 0),
			Date: "2026-03-14", Passed: frame%2 == 0, Reason: fmt.Sprint("seen ", frame)}
		if _, there := m["ruling"][r.ID]; there && frame%3 == 0 {
			return remove[club.Ruling](m, r.ID)
		}
		return put(m, r)
	case 10: // an entry with all the parts that may be missing, then without
		s, anchor, answer := stroke(n, onClip(), frame), int64(frame), float64(frame)/50
		t := turn(n, onClip(), n%2, n%2, n*100, n*100+frame%100)
		if frame%2 == 0 {
			s.Ready, s.Answer = &club.Moment{Frame: frame + 1, Ticks: 1}, &answer
		} else {
			t.Anchor, t.Settled, t.HeardFrom = &anchor, true, 0.5
			return put(m, t)
		}
		return put(m, s)
	case 11:
		k := look(n, onClip(), frame/2, frame, n%2)
		if _, there := m["look"][k.ID]; there && frame%3 == 0 {
			return remove[club.Look](m, k.ID)
		}
		return put(m, k)
	case 12:
		c := onClip()
		r := ruler(c, frame)
		if _, there := m["ruler"][r.ID]; there && frame%3 == 0 {
			return remove[sighting.Ruler](m, r.ID)
		}
		r.Clicked.Corners[n%4].X = rapid.Float64Range(-1920, 3840).Draw(rt, "x")
		return put(m, r)
	case 13:
		a := adjustment(onClip(), n%4)
		if _, there := m["adjustment"][a.ID]; there && frame%3 == 0 {
			return remove[picture.Adjustment](m, a.ID)
		}
		return put(m, a)
	case 14:
		p := pair(n, onClip(), onClip(), frame/2)
		if _, there := m["pair"][p.ID]; there && frame%3 == 0 {
			return remove[picture.Pair](m, p.ID)
		}
		return put(m, p)
	case 15:
		d := drawing(n, onClip(), 2+frame%900)
		if _, there := m["drawing"][d.ID]; there && frame%3 == 0 {
			return remove[picture.Drawing](m, d.ID)
		}
		d.Places[n%3].X = rapid.Float64Range(0, 1).Draw(rt, "x")
		return put(m, d)
	default:
		if frame%3 > 0 && len(clips) > 0 {
			r := mark(n, onClip(), n%2, frame)
			r.StrokeID, r.Sign = id("stroke", n), &club.Sign{Kind: club.Arrow, X1: 0.25, Y2: 0.5}
			return put(m, r)
		}
		gone := id("clip", onClip())
		for kind, rows := range m {
			maps.DeleteFunc(rows, func(_ club.ID, row any) bool {
				if p, ok := row.(picture.Pair); ok && p.OtherID == gone {
					return true
				}
				v := reflect.ValueOf(row).FieldByName("ClipID")
				return kind != "clip" && v.IsValid() && v.String() == string(gone)
			})
		}
		return remove[club.Clip](m, gone)
	}
}

func TestUndoIsAThousandDeepAcrossRestarts(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "club")
	l := open(t, dir, Options{Create: true})
	fill(t, l)
	for i := range maxSteps + 5 {
		m := mark(0, 0, 0, 1)
		m.Note = fmt.Sprint(i)
		must(t, l, Put(m))
	}
	require.NoError(t, l.Close())

	l = open(t, dir, Options{})
	steps := 0
	for ; ; steps++ {
		_, err := l.Undo(ctx, "a")
		if errors.Is(err, ErrNothing) {
			break
		}
		require.NoError(t, err)
	}
	require.Equal(t, maxSteps, steps)
	m, err := Get[club.Mark](ctx, l, id("mark", 0))
	require.NoError(t, err)
	require.Equal(t, "4", m.Note)
	require.NoError(t, l.Close())

	l = open(t, dir, Options{})
	for range steps {
		_, err := l.Redo(ctx, "a")
		require.NoError(t, err)
	}
	m, err = Get[club.Mark](ctx, l, id("mark", 0))
	require.NoError(t, err)
	require.Equal(t, fmt.Sprint(maxSteps+4), m.Note)
}

// The log is enough to tell every state that the library ever had, undos
// included, and nothing in it can be changed.
func TestLogIsOnlyAddedTo(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(mark(0, 0, 0, 1)))
	before := logged(t, l)
	_, err := l.Undo(ctx, "b")
	require.NoError(t, err)
	after := logged(t, l)
	require.Equal(t, before, after[:len(before)])
	require.Equal(t, "3 undo 2 b edit mark mark-0000", after[len(before)])
	for _, change := range []string{"UPDATE change SET label = 'x'", "UPDATE change_row SET after = NULL"} {
		_, err = l.write.ExecContext(ctx, change)
		require.ErrorContains(t, err, "only ever added to")
	}
}

func logged(t *testing.T, l *Library) (lines []string) {
	rows, err := l.read.Query(`SELECT concat_ws(' ', c.seq, c.kind, c.target, c.author, c.label, r.kind, r.row_id)
		FROM change c JOIN change_row r USING (seq) ORDER BY c.seq, r.n`)
	require.NoError(t, err)
	defer rows.Close()
	for rows.Next() {
		var line string
		require.NoError(t, rows.Scan(&line))
		lines = append(lines, line)
	}
	require.NoError(t, rows.Err())
	return lines
}

// The clock of changes goes on when the computer's own is set back, so that a
// later change is never taken for the earlier one.
func TestClockNeverRunsBackwards(t *testing.T) {
	l := filled(t)
	var first, second int64
	must(t, l, Put(player(5)))
	require.NoError(t, l.read.QueryRow("SELECT clock FROM player WHERE id = ?", player(5).ID).Scan(&first))
	_, err := l.write.Exec("INSERT INTO change (seq, id, kind, label, author, clock) SELECT max(seq) + 1, 'x', 'do', '', '', ? FROM change", first+1_000_000_000_000)
	require.NoError(t, err)
	must(t, l, Put(player(6)))
	require.NoError(t, l.read.QueryRow("SELECT clock FROM player WHERE id = ?", player(6).ID).Scan(&second))
	require.Equal(t, first+1_000_000_000_001, second)
}
