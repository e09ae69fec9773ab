package club

import (
	"fmt"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestCatalogueKeepsNamesAndKeysApart(t *testing.T) {
	c := Catalogue{
		Coaches: []Coach{{ID: "c", Name: "Kim"}, {ID: "old", Name: "Lee", Retired: true}},
		Players: []Player{{ID: "p", Name: "Ana", Hand: RightHand}},
		Drills:  []Drill{{ID: "d", Name: "Open rally", Method: Free, Placement: FreePlacement, Ball: OpenRally, Rung: 1, Streak: 10}},
		Faults: []Fault{{ID: "f", Code: "LATE", Key: "l", Label: "Late", Phase: Ready, Sides: BothSides, Weight: 1},
			{ID: "g", Code: "OLD", Key: "o", Label: "Old", Phase: Ready, Sides: BothSides, Weight: 1, Retired: true}},
	}
	f := func(id ID, code, key string, retired bool) Fault {
		return Fault{ID: id, Code: code, Key: key, Label: "x", Phase: Ready, Sides: BothSides, Weight: 1, Retired: retired}
	}
	d := c.Drills[0]
	d.ID, d.Name = "e", " OPEN RALLY "
	for name, r := range map[string]struct {
		err   error
		field string
	}{
		"coach twice":               {c.CheckCoach(Coach{ID: "n", Name: " kim "}), "name"},
		"coach itself":              {c.CheckCoach(Coach{ID: "c", Name: "KIM"}), "-"},
		"name of a retired":         {c.CheckCoach(Coach{ID: "n", Name: "Lee"}), "-"},
		"retired with a name":       {c.CheckCoach(Coach{ID: "n", Name: "Kim", Retired: true}), "-"},
		"coach without name":        {c.CheckCoach(Coach{ID: "n"}), "name"},
		"player twice":              {c.CheckPlayer(Player{ID: "q", Name: "ANA", Hand: LeftHand}), "name"},
		"player itself":             {c.CheckPlayer(Player{ID: "p", Name: "Ana", Hand: LeftHand}), "-"},
		"player without hand":       {c.CheckPlayer(Player{ID: "q", Name: "Bo"}), "hand"},
		"drill twice":               {c.CheckDrill(d), "name"},
		"drill without method":      {c.CheckDrill(Drill{Name: "x"}), "method"},
		"code twice":                {c.CheckFault(f("n", "late", "", false)), "code"},
		"key twice":                 {c.CheckFault(f("n", "NEW", "l", false)), "key"},
		"both without key":          {c.CheckFault(f("n", "NEW", "", false)), "-"},
		"code and key of a retired": {c.CheckFault(f("n", "OLD", "o", false)), "-"},
		"retired with code and key": {c.CheckFault(f("n", "LATE", "l", true)), "-"},
		"fault itself":              {c.CheckFault(f("f", "LATE", "l", false)), "-"},
		"bad fault":                 {c.CheckFault(f("n", "", "", false)), "code"},
	} {
		requireProblem(t, r.field, r.err, name)
	}
}

// CheckRows must say of many rows what the checks of one row say of each.
func TestCheckRowsAgainstCheckingEach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var c Catalogue
		ids := map[ID]bool{}
		n := rapid.IntRange(0, 5).Draw(t, "rows")
		retired := func() bool { return rapid.IntRange(0, 3).Draw(t, "retired") == 0 }
		name := rapid.SampledFrom([]string{"", "a", " A", "b", "ſ", "s", "K", "\u212a", "σ", "ς"}) // long s, sign for kelvin, two sigmas
		for i := range n {
			id := ID(fmt.Sprint(i))
			ids[id] = rapid.Bool().Draw(t, "touched")
			c.Coaches = append(c.Coaches, Coach{ID: id, Name: name.Draw(t, "coach"), Retired: retired()})
			c.Players = append(c.Players, Player{ID: id, Name: "p" + name.Draw(t, "player"), Hand: LeftHand, Retired: retired()})
			c.Drills = append(c.Drills, Drill{ID: id, Name: "d" + name.Draw(t, "drill"), Method: Free, Placement: FreePlacement, Ball: OpenRally, Rung: 1, Streak: 1, Retired: retired()})
			c.Faults = append(c.Faults, Fault{ID: id, Code: strings.TrimSpace("f" + name.Draw(t, "fault")), Key: rapid.SampledFrom([]string{"", "k", "l"}).Draw(t, "key"),
				Label: "x", Phase: Ready, Sides: BothSides, Weight: 1, Retired: retired()})
		}
		want := false
		for i := range n {
			if ids[ID(fmt.Sprint(i))] {
				want = want || c.CheckCoach(c.Coaches[i]) != nil || c.CheckPlayer(c.Players[i]) != nil || c.CheckDrill(c.Drills[i]) != nil || c.CheckFault(c.Faults[i]) != nil
			}
		}
		require.Equal(t, want, c.CheckRows(ids) != nil, "%+v", c)
	})
}

func TestStarterCatalogue(t *testing.T) {
	n := 0
	c := Starter(func() ID { n++; return ID(fmt.Sprint(n)) })
	require.Len(t, c.Coaches, 1)
	require.Empty(t, c.Players)
	require.GreaterOrEqual(t, len(c.Faults), 12)
	require.LessOrEqual(t, len(c.Faults), 16)
	require.GreaterOrEqual(t, len(c.Drills), 8)
	require.LessOrEqual(t, len(c.Drills), 10)
	require.Equal(t, 1+len(c.Faults)+len(c.Drills), n, "an id each")
	require.NoError(t, c.CheckCoach(c.Coaches[0]))
	labels, phases := map[string]bool{}, map[Phase]bool{}
	for _, f := range c.Faults {
		require.NoError(t, c.CheckFault(f), f.Code)
		require.NotEmpty(t, f.Cue, f.Code)
		require.Regexp(t, "^[a-z]$", f.Key, f.Code)
		labels[f.Label], phases[f.Phase] = true, true
	}
	require.Len(t, labels, len(c.Faults))
	require.Len(t, phases, len(Phases()), "a fault in every phase")
	for _, want := range []string{"Standing too close to the table", "Unstable elbow", "Late return to ready"} {
		require.Contains(t, labels, want)
	}
	method := 0
	met := map[Ball]bool{}
	for i, d := range c.Drills {
		require.NoError(t, c.CheckDrill(d), d.Name)
		require.Equal(t, i+1, d.Rung, "one rung after the other")
		require.Equal(t, DefaultStreakTarget, d.Streak)
		met[d.Ball] = true
		for Methods()[method] != d.Method { // regular, then irregular, then free
			method++
		}
		require.Equal(t, d.Method == Regular, d.Pattern != "", d.Name)
		require.True(t, unicode.IsUpper([]rune(d.Name)[0]))
	}
	require.Equal(t, len(Methods())-1, method)
	require.Len(t, met, len(balls()))
}
