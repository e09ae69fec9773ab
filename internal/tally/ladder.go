package tally

import (
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/climb"
)

// ladderOf is the player's ladder.
func (k *Counter) ladderOf(player club.ID, b *book) *climb.Ladder {
	done := map[club.ID]*climb.Climb{}
	drills := slices.Clone(k.ladder)
	for _, c := range b.cells {
		if !c.climb.Tried() {
			continue
		}
		done[c.drill.ID] = &c.climb
		if c.drill.Retired {
			drills = append(drills, c.drill)
		}
	}
	if len(drills) > len(k.ladder) {
		sortDrills(drills)
	}
	rules := climb.Rules{Rulings: k.o.Rulings, To: k.o.To, Today: k.today(), TriesCap: k.o.TriesCap, Lean: k.o.Lean}
	return rules.Ladder(player, drills, done)
}

// today is the day of the tries that count as today's.
func (k *Counter) today() club.Date {
	if k.o.Today == "" && len(k.dates) > 0 {
		return k.dates[len(k.dates)-1]
	}
	return k.o.Today
}
