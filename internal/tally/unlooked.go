package tally

import "strokeledger/internal/club"

// Unlooked returns those of the faults for which something of the turn was looked at
// by nobody: the turn is one of FaultLine.UnlookedTurns for each. It counts nothing.
func (k *Counter) Unlooked(r *club.TurnRecord, faults []club.ID) (left []club.ID) {
	k.sides = sidesOf(k.sides[:0], r, k.drill(r.DrillID).Pattern)
	k.watch(r, exposed(k.sides))
	for _, id := range faults {
		if p := k.partOf(k.fault(id)); p == nil || !p.whole {
			left = append(left, id)
		}
	}
	return left
}
