package summary

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/group"
)

// Sheet is the one sheet that a screen looks at, in full but for the marks behind
// its numbers: Players holds the player's, and nobody where the player has no
// turn; for the team ("") it stays empty.
func (x *Summaries) Sheet(ctx context.Context, q Query, player club.ID) (tally.Summary, error) {
	if player == "" {
		s, err := x.sum(ctx, q, tally.Options{Lean: true, TeamOnly: true})
		if err != nil {
			return s, err
		}
		if err := x.redefined(ctx, q, &s); err != nil {
			return s, err
		}
		return s, x.Measure(ctx, q, &s, nil)
	}
	q.Players = []club.ID{player}
	s, err := x.Sum(ctx, q)
	if err != nil {
		return s, err
	}
	if err := x.Measure(ctx, q, &s, nil); err != nil {
		return s, err
	}
	dropMarks(&s.Team)
	for i := range s.Players {
		dropMarks(&s.Players[i])
	}
	return s, nil
}

// Versus compares a player with another, or with the rest of the club where rival
// is empty, in what the query asks for; its choice of players does not count.
func (x *Summaries) Versus(ctx context.Context, q Query, player, rival club.ID) (tally.Versus, error) {
	none := tally.Versus{Comparisons: []contrast.Comparison{}}
	if err := q.Check(); err != nil {
		return none, err
	}
	kept, err := x.lib.Standings(ctx)
	if err != nil {
		return none, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return none, err
	}
	totals, err := x.totals(ctx, cat, kept)
	if err != nil {
		return none, err
	}
	var players []club.ID
	if rival != "" {
		players = []club.ID{player, rival}
	}
	k, err := x.count(ctx, cat, q, players, tally.Options{From: q.From, To: q.To, Lean: true, TeamOnly: true, Club: totals}) // no ladder
	if err != nil {
		return none, err
	}
	return k.Versus(player, rival), nil
}

// Kind says which marks a number counts; empty fields take all.
type Kind struct {
	FaultID club.ID    `json:"fault_id"`
	Phase   club.Phase `json:"phase"` // of the fault; empty: any
	Side    club.Side  `json:"side"`  // of the stroke on which the mark hangs; empty: any
}

// Behind returns the marks of a kind in all that the query asks for, in order of
// date, clip and frame: what stands behind a number whose summary came without
// them.
func (x *Summaries) Behind(ctx context.Context, q Query, kind Kind) ([]club.ID, error) {
	if err := q.Check(); err != nil {
		return nil, err
	}
	cat, err := x.lib.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	k, err := x.count(ctx, cat, q, q.Players, tally.Options{From: q.From, To: q.To, TeamOnly: true})
	if err != nil {
		return nil, err
	}
	return k.Marks(func(f club.Fault, side club.Side) bool {
		return (kind.FaultID == "" || f.ID == kind.FaultID) && (kind.Phase == "" || f.Phase == kind.Phase) && (kind.Side == "" || side == kind.Side)
	}), nil
}

func dropMarks(s *tally.Sheet) {
	drop := func(g *group.Group) {
		for i := range g.Faults {
			g.Faults[i].MarkIDs = []club.ID{}
		}
	}
	drop(&s.All)
	for i := range s.Methods {
		drop(&s.Methods[i])
	}
	for i := range s.Drills {
		drop(&s.Drills[i])
	}
}
