package tally_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// form draws the rate of one turn (of one day) round p, so that two strokes of it
// have the correlation rho.
type form func(rnd *rand.Rand, p, rho float64) float64

// smooth forms are beta distributed, what tally's own arithmetic has in mind.
func smooth(rnd *rand.Rand, p, rho float64) float64 {
	if rho == 0 || p <= 0 || p >= 1 {
		return p
	}
	return distuv.Beta{Alpha: p * (1/rho - 1), Beta: (1 - p) * (1/rho - 1), Src: rnd}.Rand()
}

// moody forms are bad in one turn of four and good in the others, which is nothing
// like it.
func moody(rnd *rand.Rand, p, rho float64) float64 {
	s := math.Sqrt(rho * p * (1 - p) * 3)
	if rnd.IntN(4) == 0 {
		return min(1, p+s)
	}
	return max(0, p-s/3)
}

// practice is what a simulated club does. Rates are those of the faults, by method.
type practice struct {
	draw               form
	rho, day           float64 // correlation inside a turn, and inside a day beyond that
	apart              bool    // a day is good or bad for each method by itself
	alternating        bool    // one day regular, the next irregular
	regular, irregular []float64
}

var everywhere = []float64{.15, .15, .15, .15, .15}

func calm(rho float64) practice {
	return practice{draw: smooth, rho: rho, regular: everywhere, irregular: everywhere}
}

func fewCatalogue(players int) club.Catalogue {
	c := club.Catalogue{Drills: []club.Drill{
		{ID: "reg", Name: "Regular", Method: club.Regular, Streak: 10},
		{ID: "irr", Name: "Irregular", Method: club.Irregular, Streak: 10},
	}}
	for f := range everywhere {
		c.Faults = append(c.Faults, club.Fault{ID: club.ID(fmt.Sprint("f", f)), Code: fmt.Sprint("F", f), Label: fmt.Sprint("Fault ", f), Sides: club.BothSides, Weight: 1})
	}
	for p := range players {
		c.Players = append(c.Players, club.Player{ID: club.ID(fmt.Sprint("p", p)), Name: fmt.Sprint("Player ", p)})
	}
	return c
}

// play makes a player's turns of 15 to 45 strokes on some days, so many of each
// method on each.
func (w practice) play(rnd *rand.Rand, player club.ID, days, regular, irregular int) []club.TurnRecord {
	var turns []club.TurnRecord
	clip := 0
	for day := range days {
		forms := [2][]float64{}
		for f, p := range w.regular { // a day is good or bad for both methods
			form := w.draw(rnd, p, w.day)
			forms[0] = append(forms[0], form)
			if w.apart {
				form = w.draw(rnd, p, w.day)
			}
			forms[1] = append(forms[1], min(1, form*w.irregular[f]/p))
		}
		for k := range regular + irregular {
			if w.alternating && (k < regular) != (day%2 == 0) {
				continue
			}
			m := 0
			if k >= regular {
				m = 1
			}
			n := 15 + rnd.IntN(31)
			r := turn(club.ID(fmt.Sprint(player, day, ".", k)), player, []club.ID{"reg", "irr"}[m], dayOf(9*day), 0, "")
			r.Looks, r.Last, r.LastTicks = nil, 300*n, int64(300*n)
			r.ClipID = club.ID(fmt.Sprint("c", clip))
			clip++
			for i := range n {
				r.Strokes = append(r.Strokes, club.Stroke{Ticks: int64(i * 30), Frame: i, Outcome: club.Good})
			}
			ids := make([]club.ID, len(forms[m]))
			for f, p := range forms[m] {
				ids[f] = club.ID(fmt.Sprint("f", f))
				q := w.draw(rnd, p, w.rho)
				for i := range n {
					if rnd.Float64() < q {
						r.Marks = append(r.Marks, club.Mark{FaultID: ids[f], Ticks: int64(i * 30), Frame: i})
					}
				}
			}
			turns = append(turns, looked(r, "coach", ids...))
		}
	}
	return turns
}

func dayOf(n int) club.Date {
	return club.Date(fmt.Sprintf("20%02d-%02d-%02d", 20+n/336, 1+n/28%12, 1+n%28))
}

// calls is how many of 100 sheets call any difference or trend.
func (w practice) calls(seed uint64, sheets, days, regular, irregular int) float64 {
	rnd := rand.New(rand.NewPCG(seed, 12))
	c, called := fewCatalogue(1), 0
	for range sheets {
		if tally.SummariseWith(c, w.play(rnd, "p0", days, regular, irregular), tally.Options{Lean: true}).Tested.Surviving > 0 {
			called++
		}
	}
	return 100 * float64(called) / float64(sheets)
}

// BenchmarkFewTurns prints the tables of build/figures.md: of 100 sheets without any
// difference or trend, how many call one.
func BenchmarkFewTurns(b *testing.B) {
	sheets := 600
	if testing.Short() {
		sheets = 300
	}
	rhos := []float64{0, .02, .05, .1, .2}
	print := func(what string, rows []string, calls func(row int, rho float64) float64) {
		head, under := "| "+what+" |", "|---|"
		for _, rho := range rhos {
			head, under = head+fmt.Sprintf(" correlation %v |", rho), under+"---|"
		}
		fmt.Println(head + "\n" + under)
		for i, name := range rows {
			line := "| " + name + " |"
			for _, rho := range rhos {
				line += fmt.Sprintf(" %.1f |", calls(i, rho))
			}
			fmt.Println(line)
		}
		fmt.Println("|  |")
	}
	sides := [][2]int{{1, 1}, {2, 2}, {3, 3}, {4, 4}, {5, 5}, {8, 8}, {12, 12}, {20, 20}, {40, 40}, {1, 12}, {3, 40}, {5, 40}}
	var rows []string
	for _, s := range sides {
		rows = append(rows, fmt.Sprintf("%d and %d", s[0], s[1]))
	}
	for i, draw := range []form{smooth, moody} {
		print([]string{"turns of the two methods", "the same, moody"}[i], rows, func(row int, rho float64) float64 {
			w := calm(rho)
			w.draw = draw
			return w.calls(uint64(row), sheets, 1, sides[row][0], sides[row][1])
		})
	}
	days := [][3]int{{3, 1, 0}, {3, 1, 1}, {3, 2, 2}, {4, 1, 0}, {5, 1, 0}, {5, 1, 1}, {6, 2, 2}, {8, 1, 0}, {10, 1, 0}, {10, 1, 1}, {10, 2, 2}, {3, 6, 6}, {2, 2, 2}, {2, 6, 6}}
	rows = nil
	for _, d := range days {
		rows = append(rows, fmt.Sprintf("%d sessions of %d", d[0], d[1]+d[2]))
	}
	for i, what := range []string{"sessions and their turns, form of the day 0.1", "the same, each method with a form of its own", "the same, one method a day, by turns"} {
		print(what, rows, func(row int, rho float64) float64 {
			w := calm(rho)
			w.day, w.apart, w.alternating = .1, i == 1, i == 2
			return w.calls(uint64(row), sheets, days[row][0], days[row][1], days[row][2])
		})
	}
	b.ReportMetric(0, "ns/op")
}

// What is found of a true 10 % against 25 %, twelve turns a side.
func (w practice) found(seed uint64, sheets, turns int) (found, alone float64) {
	return w.foundOver(seed, sheets, 1, turns)
}

// The same over several days, so many turns of each method on each.
func (w practice) foundOver(seed uint64, sheets, days, turns int) (found, alone float64) {
	rnd := rand.New(rand.NewPCG(seed, 13))
	c := fewCatalogue(1)
	for range sheets {
		for _, d := range tally.SummariseWith(c, w.play(rnd, "p0", days, turns, turns), tally.Options{Lean: true}).Players[0].Comparisons {
			if d.Code != "F0" || d.Test == nil {
				continue
			}
			if d.Test.Survives {
				found++
			}
			if d.Test.P < .05 {
				alone++
			}
		}
	}
	return 100 * found / float64(sheets), 100 * alone / float64(sheets)
}

// At most 7 of 100 sheets without any difference call one (at most 10 where strokes of
// a turn are much alike), here with what 200 sheets may be off by chance.
func TestFewTurns(t *testing.T) {
	const sheets, chance = 200, 3
	for _, rho := range []float64{0, .1, .2} {
		most := 7.
		if rho > .1 {
			most = 10
		}
		for _, draw := range []form{smooth, moody} {
			w := calm(rho)
			w.draw = draw
			for _, turns := range []int{1, 2, 4, 12} {
				assert.LessOrEqual(t, w.calls(21, sheets, 1, turns, turns), most+chance, "%d turns of each method, correlation %v", turns, rho)
			}
			assert.LessOrEqual(t, w.calls(22, sheets, 1, 3, 12), most+chance, "few turns against many, correlation %v", rho)
		}
		w := calm(rho)
		w.day = .1
		for _, days := range []int{3, 5, 10} {
			assert.LessOrEqual(t, w.calls(23, sheets, days, 1, 0), most+chance, "%d sessions, correlation %v", days, rho)
		}
		assert.LessOrEqual(t, w.calls(24, sheets, 3, 2, 2), most+chance, "3 sessions of four turns, correlation %v", rho)
		w.apart = true
		for _, days := range []int{3, 10} {
			assert.LessOrEqual(t, w.calls(25, sheets, days, 2, 2), most+chance, "%d sessions of four turns, good or bad by method, correlation %v", days, rho)
		}
		w.apart, w.alternating = false, true
		assert.LessOrEqual(t, w.calls(26, sheets, 8, 3, 3), most+chance, "8 sessions of three turns, one method a day, correlation %v", rho)
	}
}

// best is how many of 100 sheets are found by a test that no sheet can make: a normal
// one that knows the correlation, weighs every turn at its best, and is corrected for
// five faults by the first step of Benjamini and Hochberg, .05/5.
func best(rnd *rand.Rand, p1, p2, rho float64, turns int) (found float64) {
	const sheets = 8000
	bound := distuv.UnitNormal.Quantile(1 - .05/5/2)
	for range sheets {
		var x, n [2]float64
		for side, p := range []float64{p1, p2} {
			for range turns {
				size := float64(15 + rnd.IntN(31))
				w := 1 / (1 + rho*(size-1))
				x[side] += w * distuv.Binomial{N: size, P: smooth(rnd, p, rho), Src: rnd}.Rand()
				n[side] += w * size
			}
		}
		r := (x[0] + x[1]) / (n[0] + n[1])
		if math.Abs(x[1]/n[1]-x[0]/n[0]) > bound*math.Sqrt(r*(1-r)*(1/n[0]+1/n[1])) {
			found += 100. / sheets
		}
	}
	return found
}

// A true 10 % against 25 % is found in 80 of 100 sheets with twelve turns of each
// method. Where it is one fault among four that do not differ, not even the best test
// finds it so often, and the sheet's comes near it.
func TestPower(t *testing.T) {
	every := practice{draw: smooth, rho: .05, regular: []float64{.1, .1, .1, .1, .1}, irregular: []float64{.25, .25, .25, .25, .25}}
	found, alone := every.found(1, 400, 12)
	assert.GreaterOrEqual(t, found, 80.)
	assert.GreaterOrEqual(t, alone, 85.)
	one := practice{draw: smooth, rho: .05, regular: []float64{.1, .15, .15, .15, .15}, irregular: []float64{.25, .15, .15, .15, .15}}
	found, _ = one.found(1, 400, 12)
	most := best(rand.New(rand.NewPCG(1, 14)), .1, .25, .05, 12)
	assert.InDelta(t, 79, most, 2)
	assert.GreaterOrEqual(t, found, most-9, "at most %v", most)
	// Twelve turns over several days, which must first be known to be alike.
	for days, least := range map[int]float64{3: 65, 6: 70, 12: 75} {
		found, _ := every.foundOver(2, 300, days, 12/days)
		assert.GreaterOrEqual(t, found, least, "%d days", days)
	}
}
