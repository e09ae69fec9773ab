package tally_test

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/contrast"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/rate"
	"strokeledger/internal/timecode"
)

// The club of these tests: one tick is a hundredth of a second.
var hundredths = timecode.Base{Num: 1, Den: 100}

func catalogue() club.Catalogue {
	return club.Catalogue{
		Players: []club.Player{
			{ID: "p1", Name: "Zoltan Oak", Alias: "Heron"},
			{ID: "p2", Name: "Élise Birch"},
			{ID: "p3", Name: "Frida Elm"},
		},
		Drills: []club.Drill{
			{ID: "d1", Name: "Forehand diagonal", Method: club.Regular, Pattern: "F", Rung: 2, Streak: 3},
			{ID: "d2", Name: "Forehand, backhand", Method: club.Regular, Pattern: "FB", Rung: 1, Streak: 10},
			{ID: "d3", Name: "Anywhere", Method: club.Irregular, Rung: 2, Streak: 10},
		},
		Faults: []club.Fault{
			{ID: "late", Code: "LATE", Label: "Late return to ready", Sides: club.BothSides, Weight: 3},
			{ID: "elbow", Code: "ELB", Label: "Unstable elbow", Sides: club.BackhandOnly, Weight: 2},
			{ID: "near", Code: "NEAR", Label: "Too close", Sides: club.BothSides, Weight: 1},
			{ID: "old", Code: "OLD", Label: "No longer used", Sides: club.BothSides, Weight: 1, Retired: true},
		},
	}
}

// turn builds a turn of ten seconds from frame first. strokes is one letter a
// stroke, one second apart from one second on: g good, m missed.
func turn(id, player, drill club.ID, date club.Date, first int, strokes string, marks ...club.Mark) club.TurnRecord {
	start := int64(first) * 4
	r := club.TurnRecord{
		Turn: club.Turn{ID: id, ClipID: "c1", PlayerID: player, DrillID: drill, First: first, Last: first + 250, FirstTicks: start, LastTicks: start + 1000},
		Date: date, Base: hundredths,
	}
	for i, s := range strokes {
		outcome := club.Good
		if s == 'm' {
			outcome = club.Missed
		}
		ticks := start + 100*int64(i+1)
		r.Strokes = append(r.Strokes, club.Stroke{ID: id + club.ID("-s"+string(rune('a'+i))), Frame: int(ticks / 4), Ticks: ticks, Outcome: outcome})
	}
	for i, m := range marks {
		m.ID = id + club.ID("-m"+string(rune('a'+i)))
		m.Ticks += start
		m.Frame = int(m.Ticks / 4)
		r.Marks = append(r.Marks, m)
	}
	return looked(r, "coach", "late", "elbow", "near", "old")
}

// looked is the turn with one more coach who has looked through all of it.
func looked(r club.TurnRecord, coach club.ID, faults ...club.ID) club.TurnRecord {
	r.Looks = append(slices.Clone(r.Looks), club.Look{ID: club.ID(fmt.Sprint(r.ID, coach, faults)), ClipID: r.ClipID, CoachID: coach,
		First: r.First, Last: r.Last, FirstTicks: r.FirstTicks, LastTicks: r.LastTicks, Faults: faults})
	return r
}

func at(ticks int64, fault club.ID) club.Mark { return club.Mark{FaultID: fault, Ticks: ticks} }

// pace is one of so many turns, too few as well.
func pace(x int, minutes float64, turns int) *rate.Pace {
	return &rate.Pace{X: x, Minutes: minutes, Rate: float64(x) / minutes, Turns: turns, By: rate.NoInterval}
}

// share is one of so many turns, too few to tell how far they differ.
func share(x, n, turns int) *rate.Share {
	return &rate.Share{X: x, N: n, Rate: float64(x) / float64(n), High: 1, Turns: turns, By: rate.NoInterval}
}

func line(t interface {
	require.TestingT
	Helper()
}, g group.Group, code string) group.FaultLine {
	t.Helper()
	i := slices.IndexFunc(g.Faults, func(l group.FaultLine) bool { return l.Code == code })
	require.GreaterOrEqual(t, i, 0, "%s is not among the faults of %s", code, g.Name)
	return g.Faults[i]
}

// Worked by hand. Zoltan plays six strokes of the forehand drill: LATE is marked
// on the second by two coaches (once), and on the fifth; ELB cannot happen on a
// forehand, so its mark is in no rate.
func TestSummariseOneTurn(t *testing.T) {
	s := tally.Summarise(catalogue(), []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, "gggmgg",
			at(190, "late"), at(220, "late"), at(500, "late"), at(510, "elbow")),
	}, "", "")

	require.Len(t, s.Players, 1)
	p := s.Players[0]
	assert.Equal(t, "Zoltan Oak", p.Name)
	assert.Equal(t, "Heron", p.Alias)
	g := p.All
	assert.Equal(t, []int{1, 1, 6, 5, 0}, []int{g.Sessions, g.Turns, g.Strokes, g.Good, g.UnloggedTurns})
	assert.Equal(t, 10.0, g.Seconds)
	assert.Equal(t, group.Streak{Longest: 3, Current: 2, Target: 3, Reached: true, TurnID: "t1", ClipID: "c1"}, g.Streak)

	late := line(t, g, "LATE")
	assert.Equal(t, 3, late.Marks)
	assert.Equal(t, 2, late.PerStroke.X)
	assert.Equal(t, 6, late.PerStroke.N)
	assert.Equal(t, []club.ID{"t1-ma", "t1-mb", "t1-mc"}, late.MarkIDs)
	assert.Nil(t, late.PerMinute, "every turn has its strokes logged")

	elbow := line(t, g, "ELB")
	assert.Equal(t, 1, elbow.Marks)
	assert.Equal(t, 1, elbow.Unplaced)
	assert.Nil(t, elbow.PerStroke, "no backhand, no rate")

	near := line(t, g, "NEAR")
	assert.Equal(t, 0, near.PerStroke.X)
	assert.Equal(t, 0.0, near.PerStroke.Low)
	assert.Equal(t, []club.ID{}, near.MarkIDs)

	assert.False(t, slices.ContainsFunc(g.Faults, func(l group.FaultLine) bool { return l.Code == "OLD" }), "retired and without marks")
	assert.Equal(t, "LATE", g.Faults[0].Code, "most often seen first")
	for i := range g.Faults {
		g.Faults[i].Expected = nil // the team has nobody to be drawn towards
	}
	assert.Equal(t, g, s.Team.All, "one player is the whole team")
}

// Exposure counts only the strokes on which the fault could have happened: of
// FBFBFB three are backhands, and one side was set by hand. In the drill without
// a pattern a stroke of unknown side could have been either.
func TestSummariseExposureBySide(t *testing.T) {
	r := turn("t1", "p1", "d2", "2026-03-02", 0, "gggggg", at(260, "elbow"))
	r.Strokes[4].Side = club.Backhand
	unknown := turn("t2", "p1", "d3", "2026-03-02", 300, "ggg", at(100, "elbow"))
	unknown.Strokes[0].Side = club.Forehand
	s := tally.Summarise(catalogue(), []club.TurnRecord{r, unknown}, "", "")

	p := s.Players[0]
	assert.Equal(t, share(1, 4, 1), line(t, p.Methods[0], "ELB").PerStroke)
	assert.Equal(t, share(1, 2, 1), line(t, p.Methods[1], "ELB").PerStroke, "hangs on the first that could have it")
	assert.Equal(t, share(2, 6, 2), line(t, p.All, "ELB").PerStroke)
	assert.Equal(t, share(0, 9, 2), line(t, p.All, "NEAR").PerStroke)
}

// Turns without strokes are counted per minute; the turn with strokes is not in
// that figure, and theirs are not in its.
func TestSummariseNeverMixesStrokesAndMinutes(t *testing.T) {
	s := tally.Summarise(catalogue(), []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, "gggg", at(100, "late")),
		turn("t2", "p1", "d1", "2026-03-02", 300, "", at(50, "late"), at(51, "late"), at(900, "near")),
		turn("t3", "p1", "d1", "2026-03-09", 0, ""),
	}, "", "")

	g := s.Players[0].All
	assert.Equal(t, []int{2, 3, 2, 4}, []int{g.Sessions, g.Turns, g.UnloggedTurns, g.Strokes})
	assert.Equal(t, 20.0, g.UnloggedSeconds)
	assert.Equal(t, club.Date("2026-03-02"), g.First)
	assert.Equal(t, club.Date("2026-03-09"), g.Last)
	late := line(t, g, "LATE")
	assert.Equal(t, share(1, 4, 1), late.PerStroke)
	assert.Equal(t, pace(2, 20.0/60, 2), late.PerMinute)
	assert.Equal(t, 3, late.Marks)
	assert.Equal(t, pace(1, 20.0/60, 2), line(t, g, "NEAR").PerMinute)

	none := tally.Summarise(catalogue(), []club.TurnRecord{turn("t2", "p1", "d1", "2026-03-02", 0, "", at(50, "late"))}, "", "")
	g = none.Players[0].All
	assert.Nil(t, line(t, g, "LATE").PerStroke)
	assert.Equal(t, 1, line(t, g, "LATE").PerMinute.X)
	assert.Equal(t, group.Streak{}, g.Streak, "no strokes, no streak")
}

// The longest streak of the group is shown with its turn and that turn's drill;
// it never runs on from one turn into the next.
func TestSummariseStreak(t *testing.T) {
	s := tally.Summarise(catalogue(), []club.TurnRecord{
		turn("t3", "p1", "d1", "2026-03-09", 0, "ggg"),
		turn("t2", "p1", "d2", "2026-03-02", 300, "mggggg"),
		turn("t1", "p1", "d2", "2026-03-02", 0, "gggggm"),
	}, "", "")
	g := s.Players[0].All
	assert.Equal(t, group.Streak{Longest: 5, Current: 3, Target: 10, Reached: true, TurnID: "t1", ClipID: "c1"}, g.Streak,
		"the earlier of two equal ones; another drill's target was reached")
	d2, d1 := s.Players[0].Drills[0], s.Players[0].Drills[1]
	assert.Equal(t, "Forehand, backhand", d2.Name, "by rung")
	assert.False(t, d2.Streak.Reached)
	assert.Equal(t, group.Streak{Longest: 3, Current: 3, Target: 3, Reached: true, TurnID: "t3", ClipID: "c1"}, d1.Streak)

	missed := tally.Summarise(catalogue(), []club.TurnRecord{turn("t1", "p1", "d1", "2026-03-02", 80, "mm")}, "", "")
	assert.Equal(t, group.Streak{Longest: 0, Target: 3, TurnID: "t1", ClipID: "c1", Frame: 80}, missed.Players[0].All.Streak)
}

func TestSummariseContrast(t *testing.T) {
	s := tally.Summarise(catalogue(), []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, "ggggggggg", at(100, "late")),
		turn("t2", "p1", "d3", "2026-03-02", 300, "gggg", at(100, "late"), at(200, "late"), at(210, "old")),
	}, "", "")
	contrasts := s.Players[0].Contrasts
	require.NotEmpty(t, contrasts)
	c := contrasts[0]
	assert.Equal(t, contrast.Contrast{FaultID: "late", Code: "LATE", Label: "Late return to ready",
		Regular: *share(1, 9, 1), Irregular: *share(2, 4, 1), Difference: 2./4 - 1./9, Low: -1, High: 1, TooFewTurns: true, Say: "too few turns to tell"}, c)
	codes := []string{}
	for _, c := range contrasts {
		codes = append(codes, c.Code)
	}
	assert.Equal(t, []string{"LATE", "OLD", "NEAR"}, codes, "ELB cannot happen on the forehands of the regular drill; OLD has a mark in one only")

	only := tally.Summarise(catalogue(), []club.TurnRecord{turn("t1", "p1", "d1", "2026-03-02", 0, "gg")}, "", "")
	assert.Equal(t, []contrast.Contrast{}, only.Players[0].Contrasts)
}

func TestSummarisePeriodIsClosed(t *testing.T) {
	turns := []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-01", 0, "g"),
		turn("t2", "p1", "d1", "2026-03-02", 0, "gg"),
		turn("t3", "p2", "d1", "2026-03-09", 0, "gggg"),
		turn("t4", "p2", "d1", "2026-03-10", 0, "gggggggg"),
	}
	for _, c := range []struct {
		from, to club.Date
		strokes  int
	}{
		{"2026-03-02", "2026-03-09", 6}, {"", "2026-03-02", 3}, {"2026-03-09", "", 12}, {"", "", 15}, {"2026-04-01", "", 0},
	} {
		s := tally.Summarise(catalogue(), turns, c.from, c.to)
		assert.Equal(t, c.strokes, s.Team.All.Strokes, "%s to %s", c.from, c.to)
		assert.Equal(t, []club.Date{c.from, c.to}, []club.Date{s.From, s.To})
	}
}

// Players stand in the order in which people look names up; those without an
// alias get initials, told apart where they are the same.
func TestSummariseNamesAndAliases(t *testing.T) {
	c := catalogue()
	c.Players = append(c.Players, club.Player{ID: "p4", Name: "Emil Brook"}, club.Player{ID: "p5", Name: "李 小龙"})
	s := tally.Summarise(c, []club.TurnRecord{
		turn("t1", "p1", "d1", "2026-03-02", 0, "g"), turn("t2", "p2", "d1", "2026-03-02", 300, "g"),
		turn("t3", "p3", "d1", "2026-03-02", 600, "g"), turn("t4", "p4", "d1", "2026-03-02", 900, "g"),
		turn("t5", "gone", "d1", "2026-03-02", 1200, "g"), turn("t6", "p5", "d1", "2026-03-02", 1500, "g"),
	}, "", "")
	names, aliases := []string{}, []string{}
	for _, p := range s.Players {
		names, aliases = append(names, p.Name), append(aliases, p.Alias)
	}
	assert.Equal(t, []string{"A player who is no longer listed", "Élise Birch", "Emil Brook", "Frida Elm", "Zoltan Oak", "李 小龙"}, names)
	assert.Equal(t, []string{"Player", "ÉB", "EB", "FE", "Heron", "李小"}, aliases)

	blind := s.Aliased()
	text, err := json.Marshal(blind)
	require.NoError(t, err)
	for _, p := range c.Players {
		assert.NotContains(t, string(text), p.Name)
	}
	assert.Equal(t, "EB", blind.Players[0].Name)
	assert.Equal(t, names[0], s.Players[0].Name, "the summary itself keeps its names")
}

func TestAliasesAreToldApart(t *testing.T) {
	c := catalogue()
	c.Players = []club.Player{{ID: "p1", Name: "Ada Fir", Alias: "Fox"}, {ID: "p2", Name: "Bo Ash"}, {ID: "p3", Name: "Bea Alder", Alias: "Fox"}, {ID: "p4", Name: "Bert Aspen"}}
	var turns []club.TurnRecord
	for _, p := range c.Players {
		turns = append(turns, turn("t"+p.ID, p.ID, "d1", "2026-03-02", 0, "g"))
	}
	got := map[string]string{}
	for _, p := range tally.Summarise(c, turns, "", "").Players {
		got[p.Name] = p.Alias
	}
	assert.Equal(t, map[string]string{"Ada Fir": "Fox", "Bea Alder": "Fox 2", "Bert Aspen": "BA", "Bo Ash": "BA 2"}, got)
	assert.Equal(t, "BA 2", tally.Summarise(c, turns[1:2], "", "").Players[0].Alias, "the same whoever else is shown")
}

// What is retired or gone from the catalogue keeps its marks and turns.
func TestSummariseKeepsWhatIsGone(t *testing.T) {
	c := catalogue()
	c.Drills[0].Retired, c.Players[0].Retired = true, true
	s := tally.Summarise(c, []club.TurnRecord{
		looked(turn("t1", "p1", "d1", "2026-03-02", 0, "gg", at(100, "old"), at(110, "vanished")), "coach", "vanished"),
		looked(turn("t2", "nobody", "nothing", "2026-03-02", 300, "gg", at(100, "late")), "coach", "vanished"),
	}, "", "")
	require.Len(t, s.Players, 2)
	assert.Equal(t, 1, line(t, s.Team.All, "OLD").PerStroke.X)
	assert.True(t, line(t, s.Team.All, "OLD").Retired)
	assert.Equal(t, share(1, 4, 2), line(t, s.Team.All, "?").PerStroke)
	assert.Equal(t, "A drill that is no longer defined", s.Players[0].Drills[0].Name)
	assert.Equal(t, club.Free, s.Players[0].Drills[0].Method)
}

func TestSummariseNothing(t *testing.T) {
	s := tally.Summarise(club.Catalogue{}, nil, "", "")
	text, err := json.Marshal(s)
	require.NoError(t, err)
	// What has no value at all is null; a list never is.
	single := regexp.MustCompile(`"(per_stroke|readiness|tempo|ladder|work_on|best|latest|share|good_share)":null`)
	assert.NotContains(t, single.ReplaceAllString(string(text), ""), "null")
	assert.Zero(t, s.Team.All.Turns)

	// A turn of one picture lasts no time: its marks are kept, without a rate.
	r := turn("t1", "p1", "d1", "2026-03-02", 0, "", at(0, "late"))
	r.LastTicks = r.FirstTicks
	s = tally.Summarise(catalogue(), []club.TurnRecord{r}, "", "")
	assert.Equal(t, 1, line(t, s.Team.All, "LATE").Marks)
	assert.Nil(t, line(t, s.Team.All, "LATE").PerMinute)
	_, err = json.Marshal(s)
	assert.NoError(t, err)
}
