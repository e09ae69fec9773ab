package store

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"strokeledger/internal/club"
	"strokeledger/internal/merge"
	"strokeledger/internal/standard"
)

// agree draws what two coaches enter to agree: second looks, decisions, definitions, tests;
// and how films lie and are shown.
func (b *branch) agree(rt *rapid.T, led Snapshot) []Edit {
	pick := func(n int) int { return rapid.IntRange(0, n-1).Draw(rt, "of these") }
	s := led.Strokes[pick(len(led.Strokes))]
	made := time.Unix(int64(1000+pick(1000)), 0).UTC()
	switch pick(8) {
	case 0:
		look := over(blindLook(0, 1, 0, pick(2)))
		look.ID = b.id()
		m := mark(0, pick(2), pick(2), 7+10*pick(30))
		m.ID, m.ClipID, m.CoachID, m.BlindID = b.id(), id("clip", 0), look.CoachID, look.ID
		return []Edit{Put(look), Put(m), Put(standard.Judgement{ID: b.id(), BlindID: look.ID, ClipID: s.ClipID, StrokeID: s.ID, Outcome: club.Missed})}
	case 1, 2:
		return b.settled(s, pick(2), made)
	case 3:
		return []Edit{Put(standard.Definition{ID: b.id(), FaultID: id("fault", pick(2)), CoachID: "coach-0001", Counts: "so", Made: made})}
	case 4:
		return []Edit{Put(standard.Model{ID: b.id(), FaultID: id("fault", pick(2)), ClipID: s.ClipID, CoachID: "coach-0001", Frame: s.Frame, Ticks: s.Ticks, Is: pick(2) == 0, Made: made})}
	case 5:
		at := made
		return []Edit{Put(standard.Trial{ID: b.id(), CoachID: "coach-0001", Made: made, Finished: &at, Answers: []standard.Answer{
			{ClipID: s.ClipID, StrokeID: s.ID, Right: []club.ID{id("fault", pick(2))}, Said: []club.ID{id("fault", pick(2))}, Given: true}}})}
	case 6:
		on := pick(2)
		p := pairing(on, 1-on)
		p.Offset = float64(pick(3))
		return []Edit{Put(p)}
	}
	return []Edit{Put(adjustment(pick(2), pick(4)))}
}

// settled is a decision of a stroke, which puts another fault.
func (b *branch) settled(s club.Stroke, fault int, made time.Time) []Edit {
	m := mark(0, 0, fault, s.Frame)
	m.ID, m.ClipID, m.CoachID, m.StrokeID, m.Made = b.id(), s.ClipID, "coach-0001", s.ID, made
	return []Edit{Put(m), Put(standard.Decision{ID: b.id(), ClipID: s.ClipID, StrokeID: s.ID, FirstID: id("coach", 0), SecondID: id("coach", 1), CoachID: "coach-0001",
		Choice: standard.AnotherFault, Faults: []club.ID{m.FaultID}, Dropped: []club.ID{}, AddedID: m.ID, Made: made})}
}

// both brings two libraries together, both ways, and checks that they hold the same.
func both(t *testing.T, x, y *branch, answers map[string]string) merge.State {
	t.Helper()
	in := func(l *branch, theirs merge.State) {
		ours := stateOf(t, l.Library)
		o := merge.Options{Now: merge.Stamp{Clock: max(ours.Clock, theirs.Clock) + 1, Author: "coach-0000"}, Told: true, Choices: map[string]string{},
			Forgotten: func(club.ID) bool { return false }, Alike: func(a, b club.Clip) bool { return false },
			Film: func(c club.Clip) merge.Film { return merge.Even{Clip: c} }}
		p, err := merge.Bring(ours.Side, theirs.Side, o)
		require.NoError(t, err)
		for _, d := range p.Doubts {
			o.Choices[d.Key] = answers[d.Kind]
		}
		p, err = merge.Bring(ours.Side, theirs.Side, o)
		require.NoError(t, err)
		require.Zero(t, p.Open())
		require.Empty(t, p.Left)
		_, err = l.Take(context.Background(), o.Now, ours, merge.Taken{ID: theirs.Last, File: "a file"}, p.Writes)
		require.NoError(t, err)
	}
	in(x, stateOf(t, y.Library))
	in(y, stateOf(t, x.Library))
	in(x, stateOf(t, y.Library))
	a, b := stateOf(t, x.Library), stateOf(t, y.Library)
	require.Equal(t, told(a, false), told(b, false))
	_, p, _ := bring(t, x.Library, b.Side, b.Clock)
	require.Empty(t, p.Writes, "taken in again, it changes nothing")
	return a
}

func livingOf[T any](t *testing.T, s merge.State, table string) (all []T) {
	t.Helper()
	for _, r := range s.Side[table] {
		if !r.Gone {
			var v T
			require.NoError(t, json.Unmarshal(r.Image, &v))
			all = append(all, v)
		}
	}
	return all
}

// A stroke that was settled in two libraries is settled once: as it was decided last, and
// without the mark that only the earlier decision put.
func TestAStrokeIsSettledOnce(t *testing.T) {
	t.Parallel()
	data := original(t)
	x, y := beginBranch(t, t.TempDir(), "X", data, 0), beginBranch(t, t.TempDir(), "Y", data, time.Hour)
	s := stroke(0, 0, 7)
	must(t, x.Library, x.settled(s, 0, time.Unix(100, 0).UTC())...)
	must(t, y.Library, y.settled(s, 1, time.Unix(200, 0).UTC())...)
	end := both(t, x, y, nil)
	one := livingOf[standard.Decision](t, end, "decision")
	require.Len(t, one, 1)
	require.Equal(t, []club.ID{id("fault", 1)}, one[0].Faults, "the later one")
	var added []club.ID
	for _, m := range livingOf[club.Mark](t, end, "mark") {
		if m.StrokeID == s.ID {
			added = append(added, m.ID)
		}
	}
	require.Equal(t, []club.ID{one[0].AddedID}, added)
}

// What names a stroke or a turn that is taken for another one hangs on that from then on.
func TestWhatNamesEntriesHangsOnThoseThatAreKept(t *testing.T) {
	t.Parallel()
	data := original(t)
	x, y := beginBranch(t, t.TempDir(), "X", data, 0), beginBranch(t, t.TempDir(), "Y", data, time.Hour)
	enter := func(b *branch, from int) {
		s, l := stroke(0, 1, from+50), turn(0, 1, 0, 0, from, from+200)
		s.ID, l.ID = club.ID(fmt.Sprint(b.name, "-stroke")), club.ID(fmt.Sprint(b.name, "-turn"))
		must(t, b.Library, Put(s), Put(l))
		blind := over(blindLook(0, 1, 0))
		blind.ID, blind.Turns = club.ID(fmt.Sprint(b.name, "-look")), []club.ID{l.ID}
		at := time.Unix(10, 0).UTC()
		must(t, b.Library, append(b.settled(s, 0, time.Unix(100, 0).UTC()), Put(blind),
			Put(standard.Judgement{ID: b.id(), BlindID: blind.ID, ClipID: s.ClipID, StrokeID: s.ID, Outcome: club.Missed}),
			Put(standard.Trial{ID: b.id(), CoachID: "coach-0001", Made: at, Finished: &at, Answers: []standard.Answer{{ClipID: s.ClipID, StrokeID: s.ID, Right: []club.ID{}, Said: []club.ID{}}}}))...)
	}
	enter(x, 600)
	enter(y, 602)
	end := both(t, x, y, map[string]string{"strokes": "same", "turns": "same"})
	kept, turn := club.ID("X-stroke"), club.ID("X-turn")
	for _, d := range livingOf[standard.Decision](t, end, "decision") {
		require.Equal(t, kept, d.StrokeID)
	}
	for _, j := range livingOf[standard.Judgement](t, end, "judgement") {
		require.Equal(t, kept, j.StrokeID)
	}
	for _, r := range livingOf[standard.Trial](t, end, "trial") {
		require.Equal(t, kept, r.Answers[0].StrokeID)
	}
	looks := livingOf[standard.BlindLook](t, end, "blind_look")
	require.Len(t, looks, 2)
	for _, l := range looks {
		require.Equal(t, []club.ID{turn}, l.Turns)
	}
}
