package store

import (
	"testing"
	"time"

	"strokeledger/internal/club"
	"strokeledger/internal/standard"
)

func blindLook(n int, coach, first int, turns ...int) standard.BlindLook {
	b := standard.BlindLook{ID: id("blind", n), CoachID: id("coach", coach), FirstID: id("coach", first), Drawn: "all", Made: time.Unix(20, 0).UTC()}
	for _, t := range turns {
		b.Turns = append(b.Turns, id("turn", t))
	}
	return b
}

func over(b standard.BlindLook) standard.BlindLook {
	at := time.Unix(30, 5000).UTC()
	b.Finished = &at
	return b
}

// fillStandard puts a row of each kind of package standard beside those of fillOld.
func fillStandard(t *testing.T, l *Library) {
	t.Helper()
	must(t, l, Put(over(blindLook(0, 1, 0, 0))))
	m := mark(9, 0, 0, 6)
	m.CoachID, m.BlindID = id("coach", 1), id("blind", 0)
	must(t, l, Put(m),
		Put(standard.Judgement{ID: "j", BlindID: id("blind", 0), ClipID: id("clip", 0), StrokeID: id("stroke", 0), Side: club.Backhand, Outcome: club.Missed, Ready: &club.Moment{Frame: 7, Ticks: 7}}),
		Put(standard.Decision{ID: "d", ClipID: id("clip", 0), StrokeID: id("stroke", 0), FirstID: id("coach", 0), SecondID: id("coach", 1), BlindID: id("blind", 0), CoachID: id("coach", 0),
			Choice: standard.SecondRight, Faults: []club.ID{id("fault", 0)}, Dropped: []club.ID{id("mark", 0)}, Made: time.Unix(40, 0).UTC()}),
		Put(standard.Definition{ID: "e", FaultID: id("fault", 0), CoachID: id("coach", 0), Counts: "The elbow leaves the trunk.", Not: "A high ball.", Older: standard.OlderOther, Made: time.Unix(50, 0).UTC()}),
		Put(standard.Model{ID: "o", FaultID: id("fault", 0), ClipID: id("clip", 0), CoachID: id("coach", 0), Frame: 5, Ticks: 1280, Is: true, Made: time.Unix(60, 0).UTC()}),
		Put(standard.Trial{ID: "t", CoachID: id("coach", 1), Made: time.Unix(70, 0).UTC(), Answers: []standard.Answer{
			{ClipID: id("clip", 0), StrokeID: id("stroke", 0), Right: []club.ID{id("fault", 0)}, Said: []club.ID{}, Given: true}}}))
}
