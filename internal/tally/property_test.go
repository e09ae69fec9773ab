package tally_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
)

// someTurns draws turns of every kind: with and without strokes, sides set or
// not, marks before the first stroke, after the last and between.
func someTurns() *rapid.Generator[[]club.TurnRecord] {
	return rapid.Custom(func(t *rapid.T) []club.TurnRecord {
		var turns []club.TurnRecord
		for i := range rapid.IntRange(0, 8).Draw(t, "turns") {
			r := club.TurnRecord{Turn: club.Turn{
				ID: club.ID(fmt.Sprintf("t%d", i)), ClipID: rapid.SampledFrom([]club.ID{"c1", "c2"}).Draw(t, "clip"),
				PlayerID: rapid.SampledFrom([]club.ID{"p1", "p2", "gone"}).Draw(t, "player"),
				DrillID:  rapid.SampledFrom([]club.ID{"d1", "d2", "d3", "gone"}).Draw(t, "drill"),
				First:    rapid.IntRange(0, 3).Draw(t, "first") * 100, LastTicks: 1000,
			}, Base: hundredths, Date: rapid.SampledFrom([]club.Date{"2026-03-02", "2026-03-09", "2026-03-16"}).Draw(t, "date")}
			r.Last = r.First + 100 // a picture every ten ticks
			frame := func(at int64) int { return r.First + int(at)/10 }
			ticks := rapid.SliceOfN(rapid.Int64Range(0, 1000), 0, 12)
			for n, at := range sorted(ticks.Draw(t, "strokes")) {
				r.Strokes = append(r.Strokes, club.Stroke{ID: club.ID(fmt.Sprintf("t%d-s%d", i, n)), Ticks: at, Frame: frame(at),
					Side:    rapid.SampledFrom([]club.Side{"", club.Forehand, club.Backhand}).Draw(t, "side"),
					Outcome: rapid.SampledFrom([]club.Outcome{club.Good, club.Good, club.Missed}).Draw(t, "outcome")})
			}
			for n, at := range sorted(ticks.Draw(t, "marks")) {
				r.Marks = append(r.Marks, club.Mark{ID: club.ID(fmt.Sprintf("t%d-m%d", i, n)), Ticks: at, Frame: frame(at),
					FaultID: rapid.SampledFrom([]club.ID{"late", "elbow", "old", "gone"}).Draw(t, "fault")})
			}
			for n := range rapid.SampledFrom([]int{0, 1, 1, 1, 2, 3}).Draw(t, "looks") {
				first, last := -5, 105 // of the turn's pictures
				if rapid.IntRange(0, 2).Draw(t, "whole") == 0 {
					first = rapid.IntRange(-20, 100).Draw(t, "from")
					last = first + rapid.IntRange(0, 90).Draw(t, "for")
				}
				l := club.Look{ID: club.ID(fmt.Sprintf("t%d-l%d", i, n)), First: r.First + first, Last: r.First + last, FirstTicks: 10 * int64(first), LastTicks: 10 * int64(last),
					CoachID: rapid.SampledFrom([]club.ID{"k1", "k2"}).Draw(t, "coach"), Assumed: rapid.Bool().Draw(t, "assumed")}
				for _, f := range []club.ID{"late", "elbow", "near", "old", "gone"} {
					if rapid.IntRange(0, 3).Draw(t, "look for "+string(f)) > 0 {
						l.Faults = append(l.Faults, f)
					}
				}
				if len(l.Faults) > 0 && l.Last >= r.First && l.First <= r.Last {
					r.Looks = append(r.Looks, l)
				}
			}
			turns = append(turns, r)
		}
		return turns
	})
}

func sorted(ticks []int64) []int64 {
	slices.Sort(ticks)
	return ticks
}

func groups(s tally.Summary) []group.Group {
	var all []group.Group
	for _, sheet := range append([]tally.Sheet{s.Team}, s.Players...) {
		all = append(append(append(all, sheet.All), sheet.Methods...), sheet.Drills...)
	}
	return all
}

func TestSummariseHoldsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turns := someTurns().Draw(t, "all")
		s := tally.Summarise(catalogue(), turns, "", "")
		marks := 0
		for _, r := range turns {
			marks += len(r.Marks)
		}
		seen := 0
		for _, l := range s.Team.All.Faults {
			seen += len(l.MarkIDs)
		}
		if seen != marks {
			t.Fatalf("%d of %d marks are shown", seen, marks)
		}
		for _, g := range groups(s) {
			k := g.Looked
			if k.Turns+k.SomeTurns+k.NoTurns != g.Turns || k.Strokes+k.SomeStrokes+k.NoStrokes != g.Strokes {
				t.Fatalf("%+v of %d turns with %d strokes", k, g.Turns, g.Strokes)
			}
			for _, l := range g.Faults {
				counted := l.Unplaced + l.Unlooked
				if p := l.PerStroke; p != nil {
					counted += p.X
					if p.X > p.N || p.N > g.Strokes || p.Low > p.Rate || p.Rate > p.High {
						t.Fatalf("%+v of %d strokes", *p, g.Strokes)
					}
				}
				if p := l.PerMinute; p != nil {
					counted += p.X
					if p.Known() && (p.Low > p.Rate || p.Rate > p.High) {
						t.Fatalf("%+v", *p)
					}
				}
				if counted > l.Marks || l.Marks != len(l.MarkIDs) {
					t.Fatalf("%d counted, %d marks, %d ids", counted, l.Marks, len(l.MarkIDs))
				}
			}
		}
	})
}

// The same numbers, counted the long way: every mark by itself, into sets.
func TestSummariseAgainstCountingByHand(t *testing.T) {
	c := catalogue()
	rapid.Check(t, func(t *rapid.T) {
		turns := someTurns().Draw(t, "all")
		for _, sheet := range tally.Summarise(c, turns, "", "").Players {
			for _, l := range sheet.All.Faults {
				f := club.Fault{Sides: club.BothSides}
				if l.Code == "ELB" {
					f.Sides = club.BackhandOnly
				}
				struck, n, minutes, seconds, left, leftOut := map[club.ID]bool{}, 0, 0, 0.0, 0, map[club.ID]bool{}
				for _, r := range turns {
					if r.PlayerID != sheet.PlayerID {
						continue
					}
					pattern := club.Pattern("")
					for _, d := range c.Drills {
						if d.ID == r.DrillID {
							pattern = d.Pattern
						}
					}
					side := r.Sides(pattern)
					for i, stroke := range r.Strokes {
						switch {
						case !f.Sides.Could(side[i]):
						case r.LookedAt(l.FaultID, stroke.Frame):
							n++
						default:
							left++
						}
					}
					if len(r.Strokes) == 0 {
						seconds += r.LookedSeconds(l.FaultID)
					}
					for _, m := range r.Marks {
						if m.FaultID != l.FaultID {
							continue
						}
						i := aim.HangOn(&r, m, f, side)
						switch {
						case len(r.Strokes) == 0 && r.LookedAt(m.FaultID, m.Frame) && r.LookedSeconds(m.FaultID) > 0:
							minutes++
						case len(r.Strokes) == 0:
							leftOut[m.ID] = true
						case i < 0:
						case r.LookedAt(m.FaultID, r.Strokes[i].Frame):
							struck[r.Strokes[i].ID] = true
						default:
							leftOut[r.Strokes[i].ID] = true
						}
					}
				}
				if got := l.PerStroke; (got == nil) != (n == 0) || got != nil && (got.X != len(struck) || got.N != n) {
					t.Fatalf("%s %s: %+v, counted %d of %d", sheet.Name, l.Code, got, len(struck), n)
				}
				if got := l.PerMinute; (got == nil) != (seconds == 0) || got != nil && (got.X != minutes || math.Abs(60*got.Minutes-seconds) > 1e-9) {
					t.Fatalf("%s %s: %+v, counted %d in %v s", sheet.Name, l.Code, got, minutes, seconds)
				}
				if l.UnlookedStrokes != left || l.Unlooked != len(leftOut) {
					t.Fatalf("%s %s: %d strokes and %d marks not looked at, counted %d and %d", sheet.Name, l.Code, l.UnlookedStrokes, l.Unlooked, left, len(leftOut))
				}
			}
		}
	})
}

func TestSummariseInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turns := someTurns().Draw(t, "all")
		shuffled := rapid.Permutation(turns).Draw(t, "shuffled")
		a, b := tally.Summarise(catalogue(), turns, "", ""), tally.Summarise(catalogue(), shuffled, "", "")
		if !reflect.DeepEqual(a, b) {
			t.Fatalf("the order of turns changed the summary:\n%+v\n%+v", a, b)
		}
	})
}

// One more good stroke after everything else in a turn, on which no mark hangs,
// raises no rate and shortens no streak.
func TestGoodStrokeRaisesNoRate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turns := someTurns().Filter(func(all []club.TurnRecord) bool {
			return slices.ContainsFunc(all, func(r club.TurnRecord) bool { return len(r.Strokes) > 0 })
		}).Draw(t, "all")
		i := slices.IndexFunc(turns, func(r club.TurnRecord) bool { return len(r.Strokes) > 0 })
		// Both sides were played before, so that no mark of the turn moves to the new stroke.
		at := turns[i].Strokes[0].Ticks
		turns[i].Strokes = append([]club.Stroke{
			{ID: "forehand", Ticks: at, Side: club.Forehand, Outcome: club.Good},
			{ID: "backhand", Ticks: at, Side: club.Backhand, Outcome: club.Good},
		}, turns[i].Strokes...)
		before := tally.Summarise(catalogue(), turns, "", "")
		turns[i].Strokes = append(slices.Clone(turns[i].Strokes), club.Stroke{ID: "new", Ticks: 5000, Outcome: club.Good})
		after := tally.Summarise(catalogue(), turns, "", "")
		for k, g := range groups(after) {
			was := groups(before)[k]
			if g.Streak.Longest < was.Streak.Longest {
				t.Fatalf("the streak fell from %d to %d", was.Streak.Longest, g.Streak.Longest)
			}
			for _, l := range g.Faults {
				w := was.Faults[slices.IndexFunc(was.Faults, func(o group.FaultLine) bool { return o.FaultID == l.FaultID })]
				// Where turns may differ, a good stroke can set its turn further apart.
				alone := w.PerStroke != nil && w.PerStroke.By == rate.ByStrokes && l.PerStroke.By == rate.ByStrokes
				if w.PerStroke != nil && (l.PerStroke.Rate > w.PerStroke.Rate || alone && l.PerStroke.High > w.PerStroke.High) {
					t.Fatalf("%s rose from %+v to %+v", l.Code, *w.PerStroke, *l.PerStroke)
				}
			}
		}
	})
}

// bigClub is five years of 300 players: 3,000,000 strokes, 1,000,000 marks.
func bigClub(turns int) (club.Catalogue, []club.TurnRecord) {
	rnd := rand.New(rand.NewPCG(1, 2))
	var c club.Catalogue
	for i := range 300 {
		c.Players = append(c.Players, club.Player{ID: id(1, i), Name: fmt.Sprintf("Player %d", i)})
	}
	for i := range 30 {
		c.Drills = append(c.Drills, club.Drill{ID: id(2, i), Name: fmt.Sprintf("Drill %d", i), Method: club.Methods()[i%3], Pattern: []club.Pattern{"F", "FB", ""}[i%3], Rung: 1 + i/3, Streak: 10})
	}
	for i := range 40 {
		c.Faults = append(c.Faults, club.Fault{ID: id(3, i), Code: fmt.Sprintf("F%d", i), Label: fmt.Sprintf("Fault %d", i), Sides: club.SidesWords()[i%3], Weight: 1 + i%3})
	}
	every := make([]club.ID, len(c.Faults))
	for i, f := range c.Faults {
		every[i] = f.ID
	}
	list := make([]club.TurnRecord, turns)
	for i := range list {
		r := club.TurnRecord{Turn: club.Turn{ID: id(4, i), ClipID: id(5, i/5), PlayerID: id(1, rnd.IntN(300)), DrillID: id(2, rnd.IntN(30)),
			First: i % 5 * 1000, LastTicks: 3000}, Base: hundredths, Date: club.Date(fmt.Sprintf("202%d-%02d-%02d", 1+rnd.IntN(5), 1+rnd.IntN(12), 1+rnd.IntN(28)))}
		r.Strokes, r.Marks = make([]club.Stroke, 30), make([]club.Mark, 10)
		for k := range r.Strokes {
			r.Strokes[k] = club.Stroke{ID: id(6, i*30+k), Ticks: int64(k * 100), Outcome: club.Good}
		}
		for k := range r.Marks {
			r.Marks[k] = club.Mark{ID: id(7, i*10+k), FaultID: id(3, rnd.IntN(40)), Ticks: int64(k*300 + rnd.IntN(300))}
		}
		r.Looks = []club.Look{{CoachID: "k", First: r.First, Last: r.Last, LastTicks: r.LastTicks, Faults: every}}
		list[i] = r
	}
	return c, list
}

func id(kind, n int) club.ID { return club.ID(fmt.Sprintf("01900000-0000-7000-8%03d-%012d", kind, n)) }

// The work grows with the rows: for eight times the turns, quadratic work would
// cost 64 times as much.
func TestSummariseGrowsWithTheRows(t *testing.T) {
	cost := func(turns int) time.Duration {
		c, list := bigClub(turns)
		best := time.Hour
		for range 3 {
			runtime.GC()
			start := time.Now()
			tally.Summarise(c, list, "", "")
			best = min(best, time.Since(start))
		}
		return best
	}
	// A busy machine may spoil one comparison; no machine makes quadratic work pass.
	for range 5 {
		small, large := cost(1_000), cost(8_000)
		if large <= 24*small {
			return
		}
		t.Logf("1,000 turns took %v, 8,000 took %v", small, large)
	}
	t.Error("the work grows faster than the rows")
}

func BenchmarkSummarise(b *testing.B) {
	c, list := bigClub(100_000)
	b.Run("club", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			tally.Summarise(c, list, "", "")
		}
	})
	b.Run("lean", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			tally.SummariseWith(c, list, tally.Options{Lean: true})
		}
	})
	b.Run("player", func(b *testing.B) {
		own := slices.DeleteFunc(slices.Clone(list), func(r club.TurnRecord) bool { return r.PlayerID != id(1, 7) })
		b.ReportAllocs()
		for b.Loop() {
			tally.Summarise(c, own, "", "")
		}
	})
}
