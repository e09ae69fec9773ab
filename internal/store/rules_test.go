package store

import (
	"cmp"
	"context"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// Whatever breaks a rule is refused in one sentence, and nothing of the change
// is kept.
func TestRules(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(turn(0, 0, 0, 0, 100, 200)), Put(stroke(0, 0, 150)), Put(mark(0, 0, 0, 150)))
	badText := player(5)
	badText.Name = "a\xff"
	noNumber := stroke(5, 0, 1)
	noNumber.Confidence = math.NaN()
	side := stroke(5, 0, 1)
	side.Side = "left"
	noCoach := mark(5, 0, 0, 1)
	noCoach.CoachID = "nobody"
	twice := fault(5)
	twice.Code = strings.ToLower(fault(0).Code)
	strange := look(5, 0, 0, 9, 77)
	twiceFor := look(5, 0, 0, 9, 0)
	twiceFor.Faults = append(twiceFor.Faults, twiceFor.Faults...)
	must(t, l, Put(fault(3)), Put(look(0, 0, 100, 200, 3)))
	before := contents(t, l)
	for name, c := range map[string]struct {
		edit Edit
		want string
	}{
		"fault in use":             {Remove[club.Fault](id("fault", 0)), "This fault is used by what was logged before: retire it instead of removing it."},
		"player in use":            {Remove[club.Player](id("player", 0)), "This player is used by what was logged before: retire it instead of removing it."},
		"drill in use":             {Remove[club.Drill](id("drill", 0)), "This drill is used by what was logged before: retire it instead of removing it."},
		"fault looked for":         {Remove[club.Fault](id("fault", 3)), "This fault was looked for in film that was looked through: retire it instead of removing it."},
		"unknown fault looked for": {Put(strange), "A fault that was looked for is not in the library any more: pick the faults again."},
		"fault looked for twice":   {Put(twiceFor), "Each fault that was looked for is named once."},
		"look past the end":        {Put(look(5, 0, 0, 1000, 0)), "Frame 1000 is past the end of the clip: its frames are 0 to 999."},
		"look backwards":           {Put(look(5, 0, 9, 3, 0)), "The stretch that was looked through must start at or before its end, inside the clip."},
		"coach in use":             {Remove[club.Coach](id("coach", 0)), "This coach is used by what was logged before: retire it instead of removing it."},
		"session in use":           {Remove[club.Session](id("session", 0)), "This session still holds clips: remove them first."},
		"unknown clip":             {Put(mark(5, 77, 0, 1)), "The clip of this mark is not in the library any more: pick another."},
		"unknown fault":            {Put(mark(5, 0, 77, 1)), "The fault of this mark is not in the library any more: pick another."},
		"unknown coach":            {Put(noCoach), "The coach of this mark is not in the library any more: pick another."},
		"unknown player":           {Put(turn(5, 0, 77, 0, 1, 2)), "The player of this turn is not in the library any more: pick another."},
		"unknown session":          {Put(clip(5, 77)), "The session of this clip is not in the library any more: pick another."},
		"mark past the end":        {Put(mark(5, 0, 0, 1000)), "Frame 1000 is past the end of the clip: its frames are 0 to 999."},
		"stroke past the end":      {Put(stroke(5, 0, 1000)), "Frame 1000 is past the end of the clip: its frames are 0 to 999."},
		"stroke before":            {Put(stroke(5, 0, -1)), "Frames are counted from 0: pick one inside the clip."},
		"turn past the end":        {Put(turn(5, 0, 0, 0, 900, 1000)), "The turn must start at or before its end, inside the clip's frames 0 to 999."},
		"turns overlap":            {Put(turn(5, 0, 1, 0, 200, 250)), "This turn overlaps the one at frames 100 to 200: move one of them."},
		"code twice":               {Put(twice), `The code f5 belongs`},
		"text that is no text":     {Put(badText), "A name or a text holds characters that are not valid (UTF-8): type it anew, or give the file another name."},
		"not a number":             {Put(noNumber), "A number of this entry is not a number: look at the entry again."},
		"no such side":             {Put(side), `"left" is not one of the choices for side: pick one from the list.`},
	} {
		if name == "code twice" {
			c.want = `The code f0 belongs to "Fault 0" already: pick another.`
		}
		_, err := l.Do(ctx, "a", "x", Put(player(7)), c.edit)
		p, ok := club.AsProblem(err)
		require.True(t, ok, "%s: %v", name, err)
		require.Equal(t, c.want, p.Say, name)
		require.True(t, before.same(contents(t, l)), name)
	}
	_, err := l.Do(ctx, "a", "x", Remove[club.Mark]("none"))
	require.ErrorIs(t, err, ErrUnknown)
	_, err = l.Do(ctx, "a", "x", Put(club.Coach{Name: "No id"}))
	require.Error(t, err)
}

// The order of edits in a change is free, and rules are held against its end.
func TestOrderOfEditsIsFree(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(turn(9, 9, 9, 9, 0, 9)), Put(mark(9, 9, 9, 9)), Put(player(9)), Put(drill(9)), Put(fault(9)), Put(clip(9, 9)), Put(session(9)))
	want := contents(t, l)
	must(t, l, Remove[club.Session](id("session", 9)), Remove[club.Fault](id("fault", 9)), Remove[club.Clip](id("clip", 9)))
	// Two turns change places.
	must(t, l, Put(turn(0, 0, 0, 0, 0, 10)), Put(turn(1, 0, 1, 0, 11, 20)))
	must(t, l, Put(turn(0, 0, 0, 0, 11, 20)), Put(turn(1, 0, 1, 0, 0, 10)))
	for range 3 {
		_, err := l.Undo(ctx, "a")
		require.NoError(t, err)
	}
	require.True(t, want.same(contents(t, l)))
}

func TestRemovingAClipTakesItsLedgerAlong(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(turn(0, 0, 0, 0, 0, 10)), Put(stroke(0, 0, 5)), Put(mark(0, 0, 0, 5)), Put(mark(1, 1, 0, 5)))
	want := contents(t, l)
	c := must(t, l, Remove[club.Clip](id("clip", 0)))
	require.Equal(t, []club.ID{id("clip", 0)}, c.Clips)
	require.True(t, c.Sessions)
	got := contents(t, l)
	require.Len(t, got["clip"], 2)
	require.Empty(t, got["turn"])
	require.Empty(t, got["stroke"])
	require.Len(t, got["mark"], 1)
	_, err := l.Undo(ctx, "a")
	require.NoError(t, err)
	require.True(t, want.same(contents(t, l)))

	must(t, l, Remove[club.Turn](id("turn", 0)))
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Empty(t, led.Turns)
	require.Len(t, led.Strokes, 1)
	require.Len(t, led.Marks, 1)
}

// Two programs that enter the same at once: one of them gets it, the other is told,
// whether a coach or the sound made it.
func TestTwoProgramsEnterTheSame(t *testing.T) {
	ctx := context.Background()
	for _, source := range []club.Source{club.ByHand, club.ByMachine, club.BySight} {
		l := filled(t)
		other := open(t, l.Dir(), Options{})
		heard, again := stroke(0, 0, 5), stroke(1, 0, 5)
		heard.Source, again.Source = source, source
		for name, c := range map[string]struct {
			one, two Edit
			say      string
		}{
			"stroke": {Put(heard), Put(again), "Frame 5 has a stroke already: step to the next contact."},
			"mark":   {Put(mark(0, 0, 0, 5)), Put(mark(1, 0, 0, 5)), "Frame 5 has this mark already: step to another frame, or pick another fault."},
		} {
			var at sync.WaitGroup
			errs := make([]error, 2)
			at.Go(func() { _, errs[0] = l.Do(ctx, "a", "x", c.one) })
			at.Go(func() { _, errs[1] = other.Do(ctx, "b", "y", c.two, Put(stroke(2, 0, 6))) })
			at.Wait()
			require.True(t, (errs[0] == nil) != (errs[1] == nil), "%s: %v", name, errs)
			p, ok := club.AsProblem(cmp.Or(errs...))
			require.True(t, ok, "%s: %v", name, errs)
			require.Equal(t, c.say, p.Say)
		}
		led, err := l.OfClip(ctx, id("clip", 0))
		require.NoError(t, err)
		require.Len(t, led.Marks, 1)
		// Another coach, another fault, another picture say something else.
		theirs := mark(2, 0, 0, 5)
		theirs.CoachID = id("coach", 1)
		must(t, other, Put(theirs), Put(mark(3, 0, 1, 5)), Put(mark(4, 0, 0, 6)))
		// What is moved onto it, or comes back to it, is held to the same.
		_, err = other.Do(ctx, "b", "x", Put(mark(4, 0, 0, 5)))
		require.Error(t, err)
		must(t, l, Remove[club.Mark](id("mark", 4)))
		must(t, other, Put(mark(5, 0, 0, 6)))
		_, err = l.Undo(ctx, "a")
		require.NoError(t, err, "the newest step goes first, whoever made it")
		_, err = l.Undo(ctx, "a")
		require.NoError(t, err)
	}
}

// A clip that has become a shorter film gets no entry past its end from undo.
func TestRedoObeysTheRules(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(mark(0, 0, 0, 900)))
	_, err := l.Undo(ctx, "a")
	require.NoError(t, err)
	short := clip(0, 0)
	short.Frames = 100
	_, err = l.Amend(ctx, "a", "another video", Put(short))
	require.NoError(t, err)
	_, err = l.Redo(ctx, "a")
	p, ok := club.AsProblem(err)
	require.True(t, ok, "%v", err)
	require.Equal(t, "frame", p.Field)
	led, err := l.OfClip(ctx, short.ID)
	require.NoError(t, err)
	require.Empty(t, led.Marks)
}

// What was removed is nowhere to be seen, though its tombstone stays.
func TestTombstonesAreNotRead(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	must(t, l, Put(turn(0, 0, 0, 0, 0, 10)), Put(stroke(0, 0, 5)), Put(mark(0, 0, 0, 5)), Put(player(9)))
	must(t, l, Remove[club.Turn](id("turn", 0)), Remove[club.Stroke](id("stroke", 0)), Remove[club.Mark](id("mark", 0)),
		Remove[club.Player](id("player", 9)), Remove[club.Clip](id("clip", 2)), Remove[club.Session](id("session", 1)))
	led, err := l.OfClip(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Equal(t, Ledger{}, led)
	count, err := l.Count(ctx, id("clip", 0))
	require.NoError(t, err)
	require.Equal(t, Count{}, count)
	found, err := l.MarksByID(ctx, []club.ID{id("mark", 0)})
	require.NoError(t, err)
	require.Empty(t, found)
	_, ok, err := l.ClipByFingerprint(ctx, "print2")
	require.NoError(t, err)
	require.False(t, ok)
	turns, err := l.Record(ctx, Filter{})
	require.NoError(t, err)
	require.Empty(t, turns)
	cat, err := l.Catalogue(ctx)
	require.NoError(t, err)
	require.Len(t, cat.Players, 2)
	sessions, err := l.Sessions(ctx)
	require.NoError(t, err)
	require.Len(t, sessions, 1)
	clips, err := l.Clips(ctx)
	require.NoError(t, err)
	require.Len(t, clips, 2)
	var gone int
	require.NoError(t, l.read.QueryRow("SELECT count(*) FROM mark WHERE gone = 1 AND author = 'a' AND clock > 0").Scan(&gone))
	require.Equal(t, 1, gone)
}

// A time is kept to the microsecond in UTC, whatever the clock gave, and putting
// the same row again is no change.
func TestTimesAreKeptToTheMicrosecond(t *testing.T) {
	l := filled(t)
	m := mark(0, 0, 0, 5)
	m.Made = time.Date(2026, 3, 14, 16, 9, 26, 535897932, time.FixedZone("", 3600))
	must(t, l, Put(m))
	got, err := Get[club.Mark](context.Background(), l, m.ID)
	require.NoError(t, err)
	require.Equal(t, time.Date(2026, 3, 14, 15, 9, 26, 535897000, time.UTC), got.Made)
	require.Zero(t, must(t, l, Put(m)).Seq)
	m.Made = time.Time{}
	must(t, l, Put(m))
	got, err = Get[club.Mark](context.Background(), l, m.ID)
	require.NoError(t, err)
	require.True(t, got.Made.IsZero())
	var logged string
	require.NoError(t, l.read.QueryRow("SELECT after FROM change_row WHERE row_id = ? ORDER BY seq LIMIT 1", m.ID).Scan(&logged))
	require.Contains(t, logged, `"made":"2026-03-14T15:09:26.535897Z"`)
}

// No child is entered twice: a new name that reads like another's is refused. What was
// allowed before stays as it is, can be changed, and comes back by undo.
func TestNoChildIsEnteredTwice(t *testing.T) {
	ctx := context.Background()
	l := filled(t)
	named := func(n int, name string) club.Player {
		p := player(n)
		p.Name = name
		return p
	}
	must(t, l, Put(named(20, "Léa")), Put(named(21, "Lea"))) // as a record brings them
	for name, edit := range map[string]Edit{
		"new":     Put(named(22, "LÉA")),
		"accents": Put(named(22, "Leã")),
		"renamed": Put(named(0, "lea ")),
	} {
		_, err := l.Do(ctx, "a", "x", edit)
		p, ok := club.AsProblem(err)
		require.True(t, ok, "%s: %v", name, err)
		require.Equal(t, "name", p.Field, name)
	}
	grouped := named(21, "Lea")
	grouped.Group = "U12"
	must(t, l, Put(grouped))
	gone := grouped
	gone.Retired = true
	must(t, l, Put(gone))
	_, err := l.Do(ctx, "a", "x", Put(grouped))
	require.ErrorContains(t, err, `"Léa" is in the club already`, "back in use")
	_, err = l.Undo(ctx, "a")
	require.NoError(t, err, "undo brings it back")
	_, err = l.Do(ctx, "a", "x", Put(named(21, "Leonie")))
	require.NoError(t, err)
	_, err = l.Undo(ctx, "a")
	require.NoError(t, err, "and the old name")
}
