package store

import (
	"context"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/merge"
	"strokeledger/internal/picture"
	"strokeledger/internal/standard"
)

// twoCoaches is a library in which coach 0 has marked turn 0 (frames 0 to 100) and turn 1
// (200 to 300), and coach 1 looks blind at turn 0. Coach 1 marks.
func twoCoaches(t *testing.T) *Library {
	t.Helper()
	l := filled(t)
	must(t, l, Put(coach(1)), Put(turn(0, 0, 0, 0, 0, 100)), Put(turn(1, 0, 0, 0, 200, 300)),
		Put(missed(stroke(0, 0, 50))), Put(missed(stroke(1, 0, 250))), Put(mark(0, 0, 0, 55)), Put(mark(1, 0, 0, 255)),
		Put(look(0, 0, 0, 100, 0)), Put(look(1, 0, 200, 300, 0)))
	must(t, l, Put(blindLook(0, 1, 0, 0)))
	l.marking(t, 1)
	return l
}

func missed(s club.Stroke) club.Stroke {
	s.Outcome, s.Side, s.Ready = club.Missed, club.Backhand, &club.Moment{Frame: s.Frame + 9, Ticks: 9}
	return s
}

// marking makes that coach the one who marks.
func (l *Library) marking(t *testing.T, coach int) {
	t.Helper()
	require.NoError(t, l.SetSetting(context.Background(), "coach", string(id("coach", coach))))
}

func by(t *testing.T, l *Library, coach int, edits ...Edit) error {
	t.Helper()
	_, err := l.Do(context.Background(), id("coach", coach), "by", edits...)
	return err
}

func eachTurn(t *testing.T, l *Library) (ids []club.ID, marks int) {
	t.Helper()
	require.NoError(t, l.Each(context.Background(), Filter{}, true, func(r *club.TurnRecord) error {
		ids, marks = append(ids, r.ID), marks+len(r.Marks)
		return nil
	}))
	return ids, marks
}

// What reads nothing that a blind look hides, with the reason; every other method of the
// library has its own check in TestBlindLookSeesNothing.
var readsNoEntries = map[string]string{
	"Backup": "a copy of the file", "BackupDaily": "likewise", "Copies": "names of files", "Renewed": "caches", "Check": "is the file whole",
	"NoteExport": "documents", "PlanExport": "documents", "DropPlan": "documents", "Exports": "documents", "Filmed": "clips of players",
	"FormerPlayer": "a setting", "SetFormerPlayer": "a setting", "TurnsOf": "turns alone", "Forget": "writes", "Catalogue": "definitions",
	"Sessions": "days", "Clips": "films", "Clip": "a film", "ClipByFingerprint": "a film", "ClipsByID": "films", "TurnBefore": "a turn",
	"Setting": "settings", "SetSetting": "settings", "SetSettings": "settings", "Index": "cache of a film", "PutIndex": "likewise", "Heard": "likewise",
	"PutHeard": "likewise", "Bodies": "likewise", "PutBodies": "likewise", "SoundPrint": "likewise", "PutSoundPrint": "likewise", "PackAhead": "writes packs",
	"Close": "", "Dir": "", "Owns": "a path", "ReadOnly": "", "Warning": "", "StreamsOf": "a choice", "ChooseStreams": "a choice", "ExceptStreams": "a choice",
	"Readings": "what machines measured",
	"Turnless": "clips without turns", "Filmless": "clips without film", "ClearUndo": "writes", "Latest": "a number",
	"TurnIDs": "turns of marks that the caller knows",
}

// The rule is kept where data is read: a new method of the library has to say here that
// it reads nothing of that kind, or show below that it hides it.
func TestBlindLookSeesNothing(t *testing.T) {
	ctx := context.Background()
	l := twoCoaches(t)
	checks := map[string]func(t *testing.T){
		"OfClip": func(t *testing.T) {
			led, err := l.OfClip(ctx, id("clip", 0))
			require.NoError(t, err)
			require.Len(t, led.Marks, 1)
			require.Equal(t, id("mark", 1), led.Marks[0].ID)
			require.Len(t, led.Looks, 1)
			require.Equal(t, club.Good, led.Strokes[0].Outcome, "nobody has judged it")
			require.Empty(t, led.Strokes[0].Side)
			require.Nil(t, led.Strokes[0].Ready)
			require.Equal(t, club.Missed, led.Strokes[1].Outcome, "not in the blind look")
		},
		"DrawingsOf": func(t *testing.T) {
			require.NoError(t, by(t, l, 0, Put(drawing(0, 0, 55)), Put(drawing(1, 0, 255))))
			found, err := l.DrawingsOf(ctx, []club.ID{id("clip", 0)})
			require.NoError(t, err)
			require.Len(t, found[id("clip", 0)], 1)
			require.Equal(t, id("drawing", 1), found[id("clip", 0)][0].ID)
		},
		"MarksByID": func(t *testing.T) {
			found, err := l.MarksByID(ctx, []club.ID{id("mark", 0), id("mark", 1)})
			require.NoError(t, err)
			require.Len(t, found, 1)
		},
		"Record": func(t *testing.T) {
			for _, raw := range []bool{false, true} {
				turns, err := l.Record(ctx, Filter{Raw: raw})
				require.NoError(t, err)
				require.Len(t, turns, 1)
				require.Equal(t, id("turn", 1), turns[0].ID)
			}
		},
		"Each": func(t *testing.T) {
			ids, marks := eachTurn(t, l)
			require.Equal(t, []club.ID{id("turn", 1)}, ids)
			require.Equal(t, 1, marks)
		},
		"SessionPage": func(t *testing.T) {
			p, err := l.SessionPage(ctx, "", 0)
			require.NoError(t, err)
			require.Equal(t, 1, p.Counts[id("clip", 0)].Marks)
			require.Equal(t, 1, p.Counts[id("clip", 0)].Unlooked)
			require.Equal(t, map[club.ID]map[club.ID]int{id("clip", 0): {id("coach", 0): 1}}, p.Looked, "turn 1 alone")
		},
		"Count": func(t *testing.T) {
			c, err := l.Count(ctx, id("clip", 0))
			require.NoError(t, err)
			require.Equal(t, Count{Turns: 2, Strokes: 2, Marks: 1, Unlooked: 1}, c)
		},
		"Snapshot": func(t *testing.T) {
			for _, f := range []*Filter{nil, {Players: []club.ID{id("player", 0)}}} {
				_, err := l.Snapshot(ctx, f)
				require.ErrorContains(t, err, "finish it first")
			}
		},
		"Work": func(t *testing.T) {
			_, err := l.Work(ctx, merge.Selection{All: true})
			require.ErrorContains(t, err, "finish it first")
		},
		"Take": func(t *testing.T) {
			seq, err := l.Latest(ctx)
			require.NoError(t, err)
			_, err = l.Take(ctx, merge.Stamp{Author: id("coach", 1)}, merge.State{Seq: seq}, merge.Taken{}, nil)
			require.ErrorContains(t, err, "finish it first")
		},
		"PlayerData": func(t *testing.T) {
			d, err := l.PlayerData(ctx, id("player", 0))
			require.NoError(t, err)
			require.Equal(t, 1, d.Marks)
		},
		"Standings": func(t *testing.T) {
			l.marking(t, 0)
			since, err := l.Standings(ctx)
			require.NoError(t, err)
			require.NoError(t, l.PutStandings(ctx, since, map[club.ID][]byte{id("player", 0): []byte("all")}))
			l.marking(t, 1)
			s, err := l.Standings(ctx)
			require.NoError(t, err)
			require.Empty(t, s.ByPlayer)
			require.Contains(t, s.Missing, id("player", 0))
		},
		"PutStandings": func(t *testing.T) {
			s, err := l.Standings(ctx)
			require.NoError(t, err)
			require.NoError(t, l.PutStandings(ctx, s, map[club.ID][]byte{id("player", 0): []byte("less")}))
			l.marking(t, 0)
			s, err = l.Standings(ctx)
			l.marking(t, 1)
			require.NoError(t, err)
			require.NotEqual(t, "less", string(s.ByPlayer[id("player", 0)]))
		},
		"History": func(t *testing.T) {
			undo, _, err := l.History(ctx)
			require.NoError(t, err)
			require.Empty(t, undo, "the label names a fault and a frame")
		},
		"Undo": func(t *testing.T) {
			_, err := l.Undo(ctx, id("coach", 1))
			require.ErrorContains(t, err, "another coach's")
		},
		"Redo": func(t *testing.T) {
			_, err := l.Redo(ctx, id("coach", 1))
			require.Error(t, err)
		},
		"Do": func(t *testing.T) {
			require.ErrorIs(t, by(t, l, 1, Remove[club.Mark](id("mark", 0))), ErrUnknown)
			m := mark(0, 0, 1, 60)
			require.ErrorIs(t, by(t, l, 1, Put(m)), ErrUnknown)
			require.ErrorIs(t, by(t, l, 1, Remove[club.Look](id("look", 0))), ErrUnknown)
			require.ErrorContains(t, by(t, l, 1, Remove[club.Stroke](id("stroke", 0))), "stay as they are")
			require.ErrorContains(t, by(t, l, 1, Put(stroke(7, 0, 70))), "stay as they are")
			require.ErrorContains(t, by(t, l, 0, Remove[club.Turn](id("turn", 0))), "second look")
			require.ErrorContains(t, by(t, l, 0, Put(turn(0, 0, 0, 0, 0, 90))), "second look")
			require.ErrorContains(t, by(t, l, 0, Remove[club.Clip](id("clip", 0))), "second look")
		},
		"Amend": func(t *testing.T) {
			_, err := l.Amend(ctx, id("coach", 1), "", Remove[club.Mark](id("mark", 0)))
			require.ErrorIs(t, err, ErrUnknown)
		},
	}
	for m := range reflect.TypeFor[*Library]().Methods() {
		check, checked := checks[m.Name]
		_, free := readsNoEntries[m.Name]
		require.True(t, checked != free, "%s: say in readsNoEntries that it reads nothing of what coaches enter, or check that it hides it", m.Name)
		if checked {
			t.Run(m.Name, check)
		}
	}
	for what, get := range map[string]func() error{
		"mark": func() error { _, err := Get[club.Mark](ctx, l, id("mark", 0)); return err },
		"look": func() error { _, err := Get[club.Look](ctx, l, id("look", 0)); return err },
	} {
		require.ErrorIs(t, get(), ErrUnknown, what)
	}
	s, err := Get[club.Stroke](ctx, l, id("stroke", 0))
	require.NoError(t, err)
	require.Equal(t, club.Good, s.Outcome)
	all, err := All[club.Mark](ctx, l)
	require.NoError(t, err)
	require.Len(t, all, 1)

	hidden, free := pair(0, 1, 0, 50), pair(1, 1, 2, 50)
	must(t, l, Put(hidden), Put(free))
	both, err := All[picture.Pair](ctx, l)
	require.NoError(t, err)
	require.Equal(t, []picture.Pair{free}, both, "its name may say what was seen in the turn")
}

// What the second coach enters is entered in the blind look, and counts for nobody until
// it is finished; then both are there, and the same frame may hold both.
func TestBlindLookFromBeginningToEnd(t *testing.T) {
	ctx := context.Background()
	l := twoCoaches(t)
	s, err := Get[club.Stroke](ctx, l, id("stroke", 0))
	require.NoError(t, err)
	s.Outcome = club.Missed
	m, k := mark(5, 0, 0, 55), look(5, 0, 0, 100, 0)
	m.CoachID, k.CoachID = id("coach", 1), id("coach", 1)
	require.NoError(t, by(t, l, 1, Put(m), Put(k), Put(s)))
	s.Side = club.Forehand
	require.NoError(t, by(t, l, 1, Put(s)))
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Equal(t, id("blind", 0), led.Marks[0].BlindID)
	require.Equal(t, id("blind", 0), led.Looks[0].BlindID)
	require.Equal(t, club.Missed, led.Strokes[0].Outcome)
	require.Equal(t, club.Forehand, led.Strokes[0].Side)
	_, err = l.Undo(ctx, id("coach", 1))
	require.NoError(t, err, "its own step")
	s, err = Get[club.Stroke](ctx, l, id("stroke", 0))
	require.NoError(t, err)
	require.Empty(t, s.Side)

	l.marking(t, 0)
	led, err = l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Len(t, led.Marks, 2, "the first sees its own")
	require.Equal(t, club.Backhand, led.Strokes[0].Side, "nothing was written over")
	ids, n := eachTurn(t, l)
	require.Len(t, ids, 2)
	require.Equal(t, 2, n, "the second's does not count yet")

	must(t, l, Put(over(blindLook(0, 1, 0, 0))))
	l.marking(t, 1)
	ids, n = eachTurn(t, l)
	require.Len(t, ids, 2)
	require.Equal(t, 3, n)
	js, err := All[standard.Judgement](ctx, l)
	require.NoError(t, err)
	require.Len(t, js, 1)
	require.Equal(t, club.Missed, js[0].Outcome)
	m.ID, m.BlindID = id("mark", 6), id("blind", 0)
	require.ErrorContains(t, by(t, l, 1, Put(m)), "has this mark already")
}

// The same coach may look a second time, weeks later.
func TestBlindLookAtOwnMarks(t *testing.T) {
	ctx := context.Background()
	l := twoCoaches(t)
	must(t, l, Put(over(blindLook(0, 1, 0, 0))), Put(blindLook(1, 0, 0, 1)))
	l.marking(t, 0)
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Len(t, led.Marks, 1, "the own mark of turn 1 is hidden")
	require.NoError(t, by(t, l, 0, Put(mark(8, 0, 0, 255))), "the frame holds one already, and that must not show")
}

// A decision takes marks out of what counts, and leaves them in the ledger; taking it
// back brings them back.
func TestDecisionsAreWhatCounts(t *testing.T) {
	ctx := context.Background()
	l := twoCoaches(t)
	must(t, l, Put(over(blindLook(0, 1, 0, 0))))
	_, n := eachTurn(t, l)
	require.Equal(t, 2, n)
	d := standard.Decision{ID: "d", ClipID: id("clip", 0), StrokeID: id("stroke", 0), FirstID: id("coach", 0), SecondID: id("coach", 1), BlindID: id("blind", 0), CoachID: id("coach", 0),
		Choice: standard.SecondRight, Faults: []club.ID{}, Dropped: []club.ID{id("mark", 0)}}
	require.NoError(t, by(t, l, 0, Put(d)))
	_, n = eachTurn(t, l)
	require.Equal(t, 1, n)
	for raw, want := range map[bool]int{false: 1, true: 2} {
		turns, err := l.Record(ctx, Filter{Raw: raw})
		require.NoError(t, err)
		got := 0
		for _, r := range turns {
			got += len(r.Marks)
		}
		require.Equal(t, want, got)
	}
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.True(t, slices.ContainsFunc(led.Marks, func(m club.Mark) bool { return m.ID == id("mark", 0) }))
	require.NoError(t, by(t, l, 0, Remove[standard.Decision]("d")))
	_, n = eachTurn(t, l)
	require.Equal(t, 2, n)
}
