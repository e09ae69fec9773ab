package demo

import "strokeledger/internal/club"

// planned is a clip as it is to be filmed: who trains what for how long.
type planned struct {
	name  string
	turns []plannedTurn
	view  view
	empty bool // left without turns, strokes and marks for the reader to try

	sparring bool // swings of any size and speed, some without a ball
	idle     bool // nobody plays a ball
}

type plannedTurn struct {
	member  int
	rung    int
	seconds float64
	unheard bool // marked, but its strokes were never logged
	watched watched
}

type plannedSession struct {
	date club.Date
	note string
	far  int // trainer at the far end
	by   int // trainer who marks
	clip []planned
}

func programme() []plannedSession {
	const (
		ilka = iota
		tomas
		anh
		noor
		davor
	)
	// Rungs of the starter's ladder.
	const (
		diagonal     = 1
		byTurns      = 4
		basketFore   = 6
		eitherSide   = 7
		basketEither = 8
		open         = 10
	)
	turn := func(member, rung int, seconds float64) plannedTurn {
		return plannedTurn{member: member, rung: rung, seconds: seconds}
	}
	return []plannedSession{
		{date: "2026-09-08", note: "First filming: regular and irregular back to back.", far: 1, by: 0, clip: []planned{
			{name: "one-forehand-diagonal", turns: []plannedTurn{turn(ilka, diagonal, 9.0), turn(tomas, diagonal, 9.0)}},
			{name: "two-basket-both-sides", turns: []plannedTurn{turn(ilka, basketEither, 6.0), turn(tomas, basketEither, 6.0), turn(anh, basketEither, 6.0)}},
			{name: "three-basket-forehand", view: view{place: fromLeftCorner}, turns: []plannedTurn{turn(anh, basketFore, 6.0), turn(noor, basketFore, 6.0), turn(davor, basketFore, 6.0)}},
			{name: "four-partner-decides", view: view{place: fromSide}, turns: []plannedTurn{turn(noor, eitherSide, 9.0), turn(davor, eitherSide, 9.0)}},
		}},
		{date: "2026-09-22", note: "The same ladder, two weeks on.", far: 0, by: 1, clip: []planned{
			{name: "one-in-turn", view: view{place: fromAbove}, turns: []plannedTurn{turn(tomas, byTurns, 9.0), turn(noor, byTurns, 9.0)}},
			{name: "two-basket-both-sides", view: view{place: fromBehind}, turns: []plannedTurn{turn(anh, basketEither, 6.0), turn(ilka, basketEither, 6.0),
				{member: tomas, rung: basketEither, seconds: 6.0, watched: watched{elbow, late}}}},
			{name: "three-basket-forehand", view: view{sunk: true, coarse: true}, turns: []plannedTurn{turn(ilka, basketFore, 6.0), turn(anh, basketFore, 6.0),
				{member: davor, rung: basketFore, seconds: 8.0, unheard: true}}},
			{name: "four-basket-both-sides", view: view{place: fromLow}, turns: []plannedTurn{turn(davor, basketEither, 9.0), turn(noor, basketEither, 9.0)}},
		}},
		{date: "2026-10-13", note: "Ladder test: ten in a row.", far: 1, by: 0, clip: []planned{
			{name: "one-basket-forehand", view: view{passer: true}, turns: []plannedTurn{turn(ilka, basketFore, 11), turn(tomas, basketFore, 9.0)}},
			{name: "two-basket-both-sides", view: view{knocked: true, coarse: true}, turns: []plannedTurn{turn(tomas, basketEither, 6.0), turn(anh, basketEither, 6.0), turn(ilka, basketEither, 6.0)}},
			{name: "three-basket-forehand", view: view{wide: true}, turns: []plannedTurn{turn(noor, basketFore, 6.0),
				{member: davor, rung: basketFore, seconds: 6.0, watched: watched{}}, turn(anh, basketFore, 6.0)}},
			{name: "four-partner-decides", view: view{edge: true}, turns: []plannedTurn{turn(davor, eitherSide, 9.0), turn(noor, eitherSide, 9.0)}},
			{name: "five-open-rally", empty: true, turns: []plannedTurn{turn(anh, open, 9.0), turn(tomas, open, 9.0)}},
		}},
	}
}
