package desk_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/group"
)

// Whatever coaches do in whatever order, the summary from packs is that of all rows
// read plainly, and each fault's strokes are those that a count by hand finds: picture
// by picture and row by row.
func TestExposureRecountedByHand(t *testing.T) {
	made := newBench(t)
	for _, name := range []string{"Kim", "Lee"} {
		_, err := made.Catalogue.SaveCoach(t.Context(), club.Coach{Name: name})
		require.NoError(t, err)
	}
	_, err := made.Catalogue.SavePlayer(t.Context(), club.Player{Name: "Second", Hand: club.RightHand})
	require.NoError(t, err)
	require.NoError(t, made.Close())
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := os.MkdirTemp(t.TempDir(), "library")
		require.NoError(rt, err)
		copyFile(t, filepath.Join(made.dir, "ledger.db"), filepath.Join(dir, "ledger.db"))
		d, err := desk.Open(t.Context(), dir, library.Options{})
		require.NoError(rt, err)
		l, err := store.Open(t.Context(), dir, store.Options{})
		require.NoError(rt, err)
		defer func() {
			require.NoError(rt, l.Close())
			require.NoError(rt, d.Close())
			require.NoError(rt, os.RemoveAll(dir))
		}()
		w := &worked{Desk: d, lib: l, t: t, rt: rt, clip: made.clip}
		w.read()
		w.addTurn()
		for range rapid.IntRange(4, 14).Draw(rt, "steps") {
			w.step()
			w.read()
			w.check()
		}
	})
}

// worked is a library that coaches work in at random.
type worked struct {
	*desk.Desk
	lib  *store.Library
	t    *testing.T
	rt   *rapid.T
	clip club.ID
	row  club.Clip
	led  store.Ledger
	cat  club.Catalogue
}

func (w *worked) read() {
	var err error
	w.row, err = w.lib.Clip(w.t.Context(), w.clip)
	require.NoError(w.rt, err)
	w.led, err = w.lib.OfClip(w.t.Context(), w.clip)
	require.NoError(w.rt, err)
	w.cat, err = w.lib.Catalogue(w.t.Context())
	require.NoError(w.rt, err)
}

func (w *worked) frame(what string) int { return rapid.IntRange(0, 74).Draw(w.rt, what) }

// some draws one of a list; false for an empty one.
func some[T any](w *worked, list []T) (v T, ok bool) {
	if len(list) == 0 {
		return v, false
	}
	return list[rapid.IntRange(0, len(list)-1).Draw(w.rt, "which")], true
}

func (w *worked) faults() []club.ID {
	var list []club.ID
	for _, f := range w.cat.Faults[:4] {
		if rapid.Bool().Draw(w.rt, f.Code) {
			list = append(list, f.ID)
		}
	}
	return list
}

func (w *worked) addTurn() {
	player, _ := some(w, w.cat.Players)
	drill, _ := some(w, w.cat.Drills[:4])
	first := w.frame("first")
	_, err := w.Turns.Save(w.t.Context(), club.Turn{ClipID: w.clip, PlayerID: player.ID, DrillID: drill.ID, First: first, Last: min(74, first+rapid.IntRange(0, 40).Draw(w.rt, "length"))})
	w.allowed(err)
}

// allowed lets plain sentences pass: the desk may refuse what was drawn.
func (w *worked) allowed(err error) {
	if err != nil {
		requireSentence(w.t, sentence.Of(err))
	}
}

// seen is who has looked at each picture for which fault.
func (w *worked) seen(led store.Ledger) map[string]bool {
	seen := map[string]bool{}
	for _, l := range led.Looks {
		for n := l.First; n <= l.Last; n++ {
			for _, f := range l.Faults {
				seen[fmt.Sprint(n, " ", f, " ", l.CoachID)] = true
			}
		}
	}
	return seen
}

func (w *worked) step() {
	ctx := w.t.Context()
	turn, turned := some(w, w.led.Turns)
	stroke, struck := some(w, w.led.Strokes)
	mark, marked := some(w, w.led.Marks)
	fault, _ := some(w, w.cat.Faults[:4])
	coach, _ := some(w, w.cat.Coaches)
	before := w.seen(w.led)
	st, err := w.Library.State(ctx)
	require.NoError(w.rt, err)
	what := rapid.SampledFrom([]string{
		"turn", "turn", "move", "join", "remove turn", "strokes", "strokes", "strokes", "side", "remove stroke", "mark", "mark", "mark on", "mark on", "played", "hang", "remove mark",
		"look", "look", "look", "look of a stretch", "assumed", "take back", "take back", "coach", "fault", "undo", "undo", "redo",
	}).Draw(w.rt, "what")
	switch {
	case what == "turn":
		w.addTurn()
	case what == "move" && turned:
		player, _ := some(w, w.cat.Players)
		turn.First, turn.Last, turn.PlayerID = w.frame("first"), w.frame("last"), player.ID
		_, err = w.Turns.Save(ctx, turn)
		w.allowed(err)
	case what == "join" && len(w.led.Turns) > 1:
		a, b := w.led.Turns[0], w.led.Turns[1]
		require.NoError(w.rt, w.Turns.Remove(ctx, b.ID))
		a.Last = b.Last
		_, err = w.Turns.Save(ctx, a)
		require.NoError(w.rt, err)
	case what == "remove turn" && turned:
		require.NoError(w.rt, w.Turns.Remove(ctx, turn.ID))
	case what == "strokes":
		for range 4 {
			_, err = w.Strokes.Add(ctx, w.clip, w.frame("stroke"), club.Good)
			w.allowed(err)
		}
	case what == "side" && struck:
		_, err = w.Strokes.Save(ctx, stroke.ID, stroke.Frame, rapid.SampledFrom([]club.Side{"", club.Forehand, club.Backhand}).Draw(w.rt, "side"), stroke.Outcome)
		w.allowed(err)
	case what == "remove stroke" && struck:
		require.NoError(w.rt, w.Strokes.Remove(ctx, stroke.ID))
	case what == "mark":
		_, err = w.Marks.Add(ctx, w.clip, w.frame("mark"), fault.ID)
		w.allowed(err)
	case what == "mark on" && struck:
		m, err := w.Pass.MarkStroke(ctx, stroke.ID, fault.ID, rapid.SampledFrom([]int{-1, -1, stroke.Frame, 20}).Draw(w.rt, "at"))
		w.allowed(err)
		if err == nil {
			w.read()
			require.Equal(w.rt, stroke.ID, w.hungOn(m.ID), "a mark on a stroke hangs on it")
		}
	case what == "played":
		_, err = w.Pass.MarkPlayed(ctx, w.clip, w.frame("pressed"), fault.ID, rapid.SampledFrom([]float64{.25, 1, 2}).Draw(w.rt, "rate"), 0)
		w.allowed(err)
	case what == "hang" && marked && struck:
		_, err = w.Marks.Hang(ctx, mark.ID, rapid.SampledFrom([]club.ID{"", stroke.ID}).Draw(w.rt, "on"))
		w.allowed(err)
	case what == "remove mark" && marked:
		require.NoError(w.rt, w.Marks.Remove(ctx, mark.ID))
	case what == "look" && turned:
		chosen := w.faults()
		_, err = w.Looks.Through(ctx, turn.ID, chosen)
		w.allowed(err)
		if err != nil {
			return
		}
		w.read()
		after := w.seen(w.led)
		for was := range before {
			require.True(w.rt, after[was], "looking forgets nothing: %s", was)
		}
		for _, f := range w.cat.Faults {
			if slices.Contains(chosen, f.ID) || len(chosen) == 0 && !f.Retired {
				for n := turn.First; n <= turn.Last; n++ {
					require.True(w.rt, after[fmt.Sprint(n, " ", f.ID, " ", st.CoachID)])
				}
			}
		}
	case what == "look of a stretch", what == "assumed":
		first := w.frame("from")
		look := club.Look{ClipID: w.clip, CoachID: coach.ID, First: first, Last: min(74, first+rapid.IntRange(0, 60).Draw(w.rt, "for")), Faults: w.faults(), Assumed: what == "assumed"}
		if len(look.Faults) > 0 {
			require.NoError(w.rt, w.PutLook(ctx, look))
		}
	case what == "take back" && turned:
		_, err = w.Looks.TakeBack(ctx, turn.ID)
		w.allowed(err)
		w.read()
		after := w.seen(w.led)
		for n := range 75 {
			for _, f := range w.cat.Faults {
				for _, k := range w.cat.Coaches {
					key := fmt.Sprint(n, " ", f.ID, " ", k.ID)
					require.Equal(w.rt, before[key] && !(turn.Covers(n) && k.ID == st.CoachID), after[key], "frame %d of turn %d to %d", n, turn.First, turn.Last)
				}
			}
		}
	case what == "coach":
		require.NoError(w.rt, w.Library.SetCoach(ctx, coach.ID))
	case what == "fault":
		fault.Phase = rapid.SampledFrom(club.Phases()).Draw(w.rt, "phase")
		fault.Sides = rapid.SampledFrom(club.SidesWords()).Draw(w.rt, "sides")
		fault.Retired = rapid.IntRange(0, 3).Draw(w.rt, "retired") == 0
		_, err = w.Catalogue.SaveFault(ctx, fault)
		w.allowed(err)
	case what == "undo":
		_, err = w.Library.Undo(ctx)
		w.allowed(err)
	case what == "redo":
		_, err = w.Library.Redo(ctx)
		w.allowed(err)
	}
}

// hungOn is the stroke on which a mark hangs as the bench tells it.
func (w *worked) hungOn(mark club.ID) club.ID {
	b, err := w.Marks.Ledger(w.t.Context(), w.clip)
	require.NoError(w.rt, err)
	return b.HangsOn[mark]
}

// byHand is what one fault comes to in the turns of one player.
type byHand struct {
	n, x, left, unlookedTurns, marks int
	minutes                          int
	seconds                          float64
}

// check holds the summary against the plain one and against the count by hand.
func (w *worked) check() {
	ctx := w.t.Context()
	got, err := w.Summary.Sum(ctx, summary.Query{})
	require.NoError(w.rt, err)
	turns, err := w.lib.Record(ctx, store.Filter{})
	require.NoError(w.rt, err)
	goals, err := w.Ladder.Goals(ctx)
	require.NoError(w.rt, err)
	rulings, err := store.All[club.Ruling](ctx, w.lib)
	require.NoError(w.rt, err)
	k := tally.NewCounter(w.cat, tally.Options{})
	slices.SortFunc(turns, func(a, b club.TurnRecord) int { return tally.InOrder(&a, &b) })
	for i := range turns {
		k.Add(&turns[i])
	}
	want := tally.SummariseWith(w.cat, turns, tally.Options{Today: club.Date(time.Now().Format(time.DateOnly)), Rulings: rulings, TriesCap: goals.TriesCap, Irregular: goals.Irregular, Club: k.Totals()})
	require.Equal(w.rt, want, got)

	for _, p := range w.cat.Players {
		i := slices.IndexFunc(got.Players, func(s tally.Sheet) bool { return s.PlayerID == p.ID })
		counted, looked := w.recount(p.ID)
		if i < 0 {
			require.False(w.rt, slices.ContainsFunc(w.led.Turns, func(t club.Turn) bool { return t.PlayerID == p.ID }))
			continue
		}
		all := got.Players[i].All
		all.Looked.Say, all.Looked.Left = "", ""
		require.Equal(w.rt, looked, all.Looked)
		for _, line := range all.Faults {
			c, name := counted[line.FaultID], fmt.Sprint(p.Name, " ", line.Code)
			n, x, minutes, marks := 0, 0, 0.0, 0
			if s := line.PerStroke; s != nil {
				n, x = s.N, s.X
			}
			if s := line.PerMinute; s != nil {
				minutes, marks = s.Minutes, s.X
			}
			require.Equal(w.rt, []int{c.n, c.x, c.left, c.unlookedTurns, c.marks, c.minutes}, []int{n, x, line.UnlookedStrokes, line.UnlookedTurns, line.Marks, marks}, name)
			require.Less(w.rt, math.Abs(60*minutes-c.seconds), 1e-9, name)
		}
	}
}

// recount counts one player's turns from the rows alone.
func (w *worked) recount(player club.ID) (map[club.ID]byHand, group.Looked) {
	by, looked := map[club.ID]byHand{}, group.Looked{}
	at := func(f club.ID, n int) bool { // somebody has looked at that picture for it
		return slices.ContainsFunc(w.led.Looks, func(l club.Look) bool { return l.First <= n && n <= l.Last && slices.Contains(l.Faults, f) })
	}
	for _, t := range w.led.Turns {
		if t.PlayerID != player {
			continue
		}
		var pattern club.Pattern
		for _, d := range w.cat.Drills {
			if d.ID == t.DrillID {
				pattern = d.Pattern
			}
		}
		var strokes []club.Stroke
		for _, s := range w.led.Strokes {
			if t.Covers(s.Frame) {
				if s.Side == "" {
					s.Side = pattern.Side(len(strokes))
				}
				strokes = append(strokes, s)
			}
		}
		coaches, assumed := map[club.ID]bool{}, false
		for _, l := range w.led.Looks {
			if l.First <= t.Last && l.Last >= t.First {
				coaches[l.CoachID] = true
			}
		}
		every := true
		for _, f := range w.cat.Faults {
			c, whole, said, some := by[f.ID], true, false, false
			for n := t.First; n <= t.Last; n++ {
				switch {
				case !at(f.ID, n):
					whole = false
				default:
					some = true
					if len(strokes) == 0 {
						c.seconds += 0.04
					}
				}
			}
			for _, l := range w.led.Looks {
				said = said || !l.Assumed && l.First <= t.Last && l.Last >= t.First && slices.Contains(l.Faults, f.ID)
			}
			if len(strokes) > 0 {
				whole = true
				for _, s := range strokes {
					whole = whole && at(f.ID, s.Frame)
					switch {
					case !f.Sides.Could(s.Side):
					case at(f.ID, s.Frame):
						c.n++
					default:
						c.left++
					}
				}
			}
			assumed = assumed || some && !said && !f.Retired
			every = every && (whole || f.Retired)
			if !whole {
				c.unlookedTurns++
			}
			hung := map[club.ID]bool{}
			for _, m := range w.led.Marks {
				if m.FaultID != f.ID || !t.Covers(m.Frame) {
					continue
				}
				c.marks++
				switch s := hangs(m, f, strokes); {
				case len(strokes) == 0:
					if at(f.ID, m.Frame) {
						c.minutes++
					}
				case s >= 0 && at(f.ID, strokes[s].Frame):
					hung[strokes[s].ID] = true
				}
			}
			c.x += len(hung)
			by[f.ID] = c
		}
		switch {
		case len(coaches) == 0:
			looked.NoTurns++
			looked.NoStrokes += len(strokes)
			continue
		case every:
			looked.Turns++
			looked.Strokes += len(strokes)
		default:
			looked.SomeTurns++
			looked.SomeStrokes += len(strokes)
		}
		if len(coaches) > 1 {
			looked.TwiceTurns++
		}
		if assumed {
			looked.AssumedTurns++
		}
	}
	return by, looked
}
