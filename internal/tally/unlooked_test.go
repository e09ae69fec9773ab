package tally_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
)

// What the first sentence of a sheet says, for turns that were looked through for
// those faults: "all", "none", or some; "half" is the first two strokes, for all.
func TestSayWhatNobodyLookedThrough(t *testing.T) {
	for _, c := range []struct {
		turns   string
		strokes string
		say     string
	}{
		{"all all", "ggg", ""},
		{"all none", "ggg", "Nobody has looked through 1 of 2 turns yet (3 of 6 strokes)."},
		{"all none none", "g", "Nobody has looked through 2 of 3 turns yet (2 of 3 strokes)."},
		{"none none", "ggg", "Nobody has looked through any of the 2 turns yet (6 strokes)."},
		{"none", "g", "Nobody has looked through the 1 turn yet (1 stroke)."},
		{"none all", "", "Nobody has looked through 1 of 2 turns yet."},
		{"late all", "ggg", "1 of 2 turns (3 of 6 strokes) was looked through for LATE only."},
		{"late late", "ggg", "2 turns (6 strokes) were looked through for LATE only."},
		{"late+elbow all", "ggg", "1 of 2 turns (3 of 6 strokes) was looked through for every fault but NEAR."},
		{"late near", "ggg", "2 turns (6 strokes) were looked through in part or for some faults only."},
		{"half all", "ggg", "1 of 2 turns (3 of 6 strokes) was looked through in part only."},
		{"late none all", "ggg", "2 of 3 turns (6 of 9 strokes) are not looked through yet: nobody has looked at 1, and 1 was looked through for LATE only."},
		{"late late none", "", "3 turns are not looked through yet: nobody has looked at 1, and 2 were looked through for LATE only."},
		{"twice all", "ggg", "Two coaches or more have looked at 1 turn."},
		{"assumed all", "ggg", "1 turn is taken as looked through because it holds marks of a time when looks were not kept."},
		{"assumed assumed twice none", "ggg", "Nobody has looked through 1 of 4 turns yet (3 of 12 strokes). Two coaches or more have looked at 1 turn. 2 turns are taken as looked through because they hold marks of a time when looks were not kept."},
	} {
		var turns []club.TurnRecord
		for i, how := range strings.Fields(c.turns) {
			r := turn(club.ID(fmt.Sprint("t", i)), "p1", "d3", "2026-03-02", 300*i, c.strokes)
			all := r.Looks[0]
			switch r.Looks = nil; how {
			case "none":
			case "twice":
				r.Looks = []club.Look{all, all}
				r.Looks[1].CoachID = "lee"
			case "all", "assumed", "half":
				if all.Assumed = how == "assumed"; how == "half" {
					all.Last = r.First + 60
				}
				r.Looks = []club.Look{all}
			default:
				for _, f := range strings.Split(how, "+") {
					r = looked(r, "coach", club.ID(f))
				}
			}
			turns = append(turns, r)
		}
		g := tally.Summarise(catalogue(), turns, "", "").Team.All
		assert.Equal(t, c.say, g.Looked.Say, c.turns)
		assert.Contains(t, g.Looked.Say, g.Looked.Left)
		assert.Equal(t, g.Looked.SomeTurns+g.Looked.NoTurns > 0, g.Looked.Left != "")
	}
}

// A sentence names at most five faults, and none of them turns what stands beside it.
func TestSayNamesFewFaults(t *testing.T) {
	c := catalogue()
	c.Faults = nil
	var ids []club.ID
	for i := range 14 {
		id := club.ID(fmt.Sprint("f", i))
		ids = append(ids, id)
		c.Faults = append(c.Faults, club.Fault{ID: id, Code: fmt.Sprint("F", i), Sides: club.BothSides, Weight: 1})
	}
	c.Faults[0].Code = "\u05d0\u05d1"
	say := func(faults ...club.ID) string {
		return tally.Summarise(c, []club.TurnRecord{looked(unseen(turn("t", "p1", "d3", "2026-03-02", 0, "g")), "coach", faults...)}, "", "").Team.All.Looked.Say
	}
	assert.Equal(t, "1 turn (1 stroke) was looked through for F1, F10, F2, F3 and F4 only.", say("f10", "f4", "f3", "f2", "f1"))
	assert.Equal(t, "1 turn (1 stroke) was looked through for F1 and \u2068\u05d0\u05d1\u2069 only.", say("f0", "f1"))
	assert.Equal(t, "1 turn (1 stroke) was looked through for some faults only.", say(ids[:7]...))
	assert.Equal(t, "1 turn (1 stroke) was looked through for every fault but F9.", say(append(ids[:9:9], ids[10:]...)...))
}

// What a fault's line says was not looked at.
func TestSayWhatWasNotLookedAtForAFault(t *testing.T) {
	say := func(code string, turns ...club.TurnRecord) string {
		return line(t, tally.Summarise(catalogue(), turns, "", "").Team.All, code).Say
	}
	whole := turn("t1", "p1", "d3", "2026-03-02", 0, "ggg", at(100, "late"))
	none := unseen(turn("t2", "p1", "d3", "2026-03-02", 300, "gg", at(100, "late")))
	one := unseen(turn("t3", "p1", "d3", "2026-03-02", 600, "g"))
	unlogged, unseenUnlogged := turn("t4", "p1", "d3", "2026-03-02", 900, ""), unseen(turn("t5", "p1", "d3", "2026-03-02", 1200, "", at(100, "late")))
	assert.Empty(t, say("LATE", whole, unlogged))
	assert.Equal(t, "not looked through", say("LATE", none))
	assert.Equal(t, "not looked through", say("LATE", unseenUnlogged))
	assert.Equal(t, "2 strokes not looked at, with 1 mark", say("LATE", whole, none))
	assert.Equal(t, "1 stroke not looked at", say("LATE", whole, one))
	assert.Equal(t, "0.2 minutes without logged strokes not looked at, with 1 mark", say("LATE", whole, unseenUnlogged))
	assert.Equal(t, "3 strokes and 0.2 minutes without logged strokes not looked at, with 2 marks", say("LATE", whole, none, one, unseenUnlogged))
	left := tally.Summarise(catalogue(), []club.TurnRecord{whole, unseenUnlogged}, "", "").Team.All.Looked.Say
	assert.Equal(t, "Nobody has looked through 1 of 2 turns yet.", left, "no stroke is logged in it")
	assert.Empty(t, say("ELB", unseen(turn("t6", "p1", "d1", "2026-03-02", 0, "gg"))), "no forehand could have it")
}

// The turns that are listed are those that are counted.
func TestUnlookedListsWhatIsCounted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turns := someTurns().Draw(t, "turns")
		c := catalogue()
		g := tally.Summarise(c, turns, "", "").Team.All
		k := tally.NewCounter(c, tally.Options{})
		left, of := 0, map[club.ID]int{}
		for i := range turns {
			if len(k.Unlooked(&turns[i], []club.ID{"late", "elbow", "near"})) > 0 {
				left++
			}
			for _, id := range k.Unlooked(&turns[i], []club.ID{"late", "elbow", "near", "old", "gone"}) {
				of[id]++
			}
		}
		if left != g.Looked.NoTurns+g.Looked.SomeTurns {
			t.Fatalf("%d turns are listed, %+v", left, g.Looked)
		}
		for _, l := range g.Faults {
			if of[l.FaultID] != l.UnlookedTurns {
				t.Fatalf("%s: %d turns are listed, %d counted", l.Code, of[l.FaultID], l.UnlookedTurns)
			}
		}
	})
}
