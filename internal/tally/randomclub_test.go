package tally_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// randomClub is a club of which everything is drawn, with the truth about it.
type randomClub struct {
	catalogue club.Catalogue
	turns     []club.TurnRecord
	options   tally.Options
	rate      map[[2]club.ID]map[club.Method]float64 // by player and fault; the mean of the turns
	good      map[club.ID]map[club.Method]float64    // by player
}

// drawClub draws players, drills, turns, strokes, marks, looks and rulings.
func drawClub(seed uint64) *randomClub {
	rnd := rand.New(rand.NewPCG(seed, 12))
	pick := func(of ...float64) float64 { return of[rnd.IntN(len(of))] }
	c := &randomClub{rate: map[[2]club.ID]map[club.Method]float64{}, good: map[club.ID]map[club.Method]float64{}}
	for i := range 1 + rnd.IntN(7) {
		c.catalogue.Players = append(c.catalogue.Players, club.Player{ID: club.ID(fmt.Sprint("p", i)), Name: fmt.Sprint("P", i)})
	}
	for rung := 1; rung <= 1+rnd.IntN(4); rung++ {
		for _, m := range club.Methods() {
			if rnd.IntN(5) == 0 {
				continue
			}
			id := fmt.Sprint(m, rung)
			c.catalogue.Drills = append(c.catalogue.Drills, club.Drill{ID: club.ID(id), Name: id, Method: m, Rung: rung,
				Pattern: []club.Pattern{"", "", "F", "FB", "BBF"}[rnd.IntN(5)], Streak: []int{5, 10, 15}[rnd.IntN(3)], Retired: rnd.IntN(12) == 0})
		}
	}
	for i := range 1 + rnd.IntN(5) {
		c.catalogue.Faults = append(c.catalogue.Faults, club.Fault{ID: club.ID(fmt.Sprint("f", i)), Code: fmt.Sprint("F", i), Label: fmt.Sprint("Fault ", i),
			Weight: 1 + rnd.IntN(3), Sides: club.SidesWords()[rnd.IntN(3)], Retired: rnd.IntN(12) == 0})
	}
	c.options = tally.Options{TriesCap: rnd.IntN(4), Irregular: pick(0, .3, .5, .7), Today: "2026-03-08"}
	if len(c.catalogue.Drills) == 0 {
		return c
	}
	care := pick(0, .9, .9, 1, 1) // how many turns are looked through; at 1 for all and to their ends
	if care == 1 {
		c.catalogue.Faults = c.catalogue.Faults[:1+rnd.IntN(len(c.catalogue.Faults))]
	}
	for i, p := range c.catalogue.Players {
		c.good[p.ID] = map[club.Method]float64{}
		solid := care == 1 && i == 0 // few faults, and much was filmed
		clean := solid || rnd.IntN(3) == 0
		for _, m := range club.Methods() {
			c.good[p.ID][m] = pick(0, .5, .75, .9, .97, 1)
			if clean {
				c.good[p.ID][m] = pick(.6, .9, .97, .97)
			}
		}
		correlation, slope := pick(0, 0, .05, .1, .2), pick(0, 0, .1, -.1)
		for _, f := range c.catalogue.Faults {
			all := pick(0, 0, .02, .05, .08, .15, .3, .6)
			if clean {
				all = pick(0, .01, .02, .04)
			}
			if solid {
				all = pick(0, .005)
			}
			c.rate[[2]club.ID{p.ID, f.ID}] = map[club.Method]float64{club.Regular: all, club.Irregular: all, club.Free: all}
			if rnd.IntN(6) == 0 {
				c.rate[[2]club.ID{p.ID, f.ID}][club.Free] = .4
			}
			if rnd.IntN(3) == 0 && !clean {
				c.rate[[2]club.ID{p.ID, f.ID}][club.Irregular] = min(.9, pick(.3, 2, 4)*all+pick(.02, .02, .25))
			}
		}
		drills := c.catalogue.Drills[:1+rnd.IntN(len(c.catalogue.Drills))] // some train on the lower rungs only
		n := 1 + rnd.IntN(int(pick(2, 4, 12, 40, 40)))
		if solid {
			n = 40
		}
		for range n {
			c.turn(rnd, p.ID, drills[rnd.IntN(len(drills))], correlation, slope, care)
		}
		if word := rnd.IntN(3); word > 0 || solid {
			for _, d := range drills {
				if word == 2 || solid || rnd.IntN(2) == 0 {
					c.options.Rulings = append(c.options.Rulings, club.Ruling{ID: "r" + p.ID + d.ID, PlayerID: p.ID, DrillID: d.ID, CoachID: "k", Date: "2026-03-05", Passed: word == 2 || solid && rnd.IntN(8) > 0 || rnd.IntN(4) > 0, Reason: "-"})
				}
			}
		}
	}
	return c
}

// turn draws one turn. A coach who looks sees everything; marks also hang where nobody
// has looked.
func (c *randomClub) turn(rnd *rand.Rand, player club.ID, d club.Drill, correlation, slope, care float64) {
	n := 1 + rnd.IntN(40)
	if rnd.IntN(12) == 0 {
		n = 0
	}
	day := 1 + rnd.IntN(8)
	r := club.TurnRecord{Turn: club.Turn{ID: club.ID(fmt.Sprint("t", len(c.turns))), ClipID: "c", PlayerID: player, DrillID: d.ID, First: 1000 * len(c.turns), LastTicks: 5000},
		Base: hundredths, Date: club.Date(fmt.Sprintf("2026-03-%02d", day))}
	r.Last = r.First + 500
	good := c.good[player][d.Method]
	for i := range n {
		s := club.Stroke{ID: club.ID(fmt.Sprint(r.ID, "s", i)), Ticks: int64(100 * i), Frame: r.First + 10*i, Outcome: club.Missed}
		if rnd.Float64() < good {
			s.Outcome = club.Good
		}
		if d.Pattern == "" && rnd.IntN(2) == 0 {
			s.Side = []club.Side{club.Forehand, club.Backhand}[rnd.IntN(2)]
		}
		r.Strokes = append(r.Strokes, s)
	}
	sides := r.Sides(d.Pattern)
	first, last := -5, 505
	if care < 1 && rnd.IntN(6) == 0 {
		first, last = 0, rnd.IntN(400)
	}
	look := club.Look{ID: "l" + r.ID, CoachID: "k", First: r.First + first, Last: r.First + last, FirstTicks: 10 * int64(first), LastTicks: 10 * int64(last)}
	for _, f := range c.catalogue.Faults {
		if care == 1 || rnd.IntN(15) > 0 {
			look.Faults = append(look.Faults, f.ID)
		}
		rate := c.rate[[2]club.ID{player, f.ID}][d.Method]
		rate = math.Min(.95, math.Max(0, rate+slope*rate*float64(day-4)))
		if correlation > 0 && rate > 0 { // from turn to turn, with that mean
			spread := math.Sqrt(correlation * rate * (1 - rate))
			if p := spread * spread / (spread*spread + rate*rate); rnd.Float64() < p {
				rate = 0
			} else {
				rate = math.Min(1, rate/(1-p))
			}
		}
		for i, s := range r.Strokes {
			if f.Sides.Could(sides[i]) && rnd.Float64() < rate {
				r.Marks = append(r.Marks, club.Mark{ID: club.ID(fmt.Sprint(s.ID, f.ID)), FaultID: f.ID, Frame: s.Frame, Ticks: s.Ticks})
			}
		}
	}
	if rnd.Float64() < care {
		r.Looks = append(r.Looks, look)
	} else if rnd.IntN(2) == 0 {
		r.Marks = nil
	}
	c.turns = append(c.turns, r)
}

// counted is what the turns of a player hold of a fault in drills of a method, or of
// all: strokes that have it, that were looked at, and that were not.
func (c *randomClub) counted(player club.ID, f club.Fault, m club.Method) (x, n, left int) {
	for i := range c.turns {
		r := &c.turns[i]
		d := c.drill(r.DrillID)
		if r.PlayerID != player || m != "" && d.Method != m {
			continue
		}
		sides := r.Sides(d.Pattern)
		for at, s := range r.Strokes {
			switch {
			case !f.Sides.Could(sides[at]):
			case r.LookedAt(f.ID, s.Frame):
				n++
				for _, mark := range r.Marks {
					if mark.FaultID == f.ID && aim.HangOn(r, mark, f, sides) == at {
						x++
						break
					}
				}
			default:
				left++
			}
		}
	}
	return x, n, left
}

func (c *randomClub) drill(id club.ID) club.Drill {
	for _, d := range c.catalogue.Drills {
		if d.ID == id {
			return d
		}
	}
	return club.Drill{}
}
