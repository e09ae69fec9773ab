package tally

import (
	"cmp"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/contrast"
)

// Versus sets one player against another, or against the rest of the club. Its
// tests are corrected among themselves.
type Versus struct {
	Comparisons []contrast.Comparison `json:"comparisons"` // faults that either of the two showed, most often seen first
	Tested      contrast.Tested       `json:"tested"`
}

// Versus compares a counted player with another, or with all the others where
// rival is empty. It is called once, in the place of Summary.
func (k *Counter) Versus(player, rival club.ID) Versus {
	k.know()
	one, two := &accumulator{}, &accumulator{}
	for _, b := range k.books {
		switch {
		case b.player == player:
			one.join(b.all())
		case rival == "" || b.player == rival:
			two.join(b.all())
		}
	}
	seen := func(f int) int { return one.of(f).occurrences() + two.of(f).occurrences() }
	v := Versus{Comparisons: []contrast.Comparison{}}
	for f := range k.faults {
		if seen(f) == 0 {
			continue
		}
		c := contrast.Comparison{
			Kind: contrast.Players, First: k.name(player), Second: "The rest of the club",
			FaultID: k.faults[f].ID, Code: k.faults[f].Code, Label: k.faults[f].Label,
		}
		if rival != "" {
			c.Second = k.name(rival)
		}
		own := exposureOf(k.faults[f].Sides)
		c.OfStrokes(one.moments(f, own), two.moments(f, own), k.alike.turns[f])
		if c.Strokes == nil {
			c.OfMinutes(one.minutes(f), two.minutes(f), k.alike.minutes[f])
		}
		if c.Strokes == nil && c.Minutes == nil {
			continue
		}
		if c.Test != nil {
			k.tests = append(k.tests, c.Test)
		}
		v.Comparisons = append(v.Comparisons, c)
	}
	slices.SortFunc(v.Comparisons, func(a, b contrast.Comparison) int {
		return cmp.Or(cmp.Compare(seen(k.faultAt[b.FaultID]), seen(k.faultAt[a.FaultID])), cmp.Compare(a.Code, b.Code), cmp.Compare(a.FaultID, b.FaultID))
	})
	v.Tested = contrast.Adjust(k.tests, "every comparison of these two")
	contrast.Conclude(v.Comparisons)
	return v
}

func (k *Counter) name(player club.ID) string {
	if p, ok := k.players[player]; ok {
		return p.Name
	}
	return "A player who is no longer listed"
}
