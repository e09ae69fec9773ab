package desk_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/second"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/agreed"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/secondlook"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/standard"
	"strokeledger/internal/store"
	"strokeledger/internal/tally/agreement"
)

// filmless is a library with the invented club of a seed but without its films.
func filmless(t *testing.T, seed int64) (*desk.Desk, demo.Club) {
	t.Helper()
	c := demo.Make(seed)
	ctx, now := t.Context(), time.Date(2026, 12, 1, 12, 0, 0, 0, time.UTC)
	d, err := desk.Open(ctx, filepath.Join(t.TempDir(), "library"), library.Options{Create: true, Empty: true, Now: func() time.Time { return now }})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, d.Close()) })
	require.NoError(t, d.Library.PutCatalogue(ctx, "club", c.Catalogue))
	var edits []store.Edit
	for _, s := range c.Sessions {
		edits = append(edits, store.Put(s))
	}
	for i, s := range c.Scenes {
		edits = append(edits, store.Put(club.Clip{ID: s.ClipID, SessionID: s.SessionID, Name: s.File, Path: "/films/" + s.File, Fingerprint: fmt.Sprint("film", i),
			Bytes: 1, Frames: s.Frames, Base: s.Base, Seconds: s.Seconds(s.Frames), Width: demo.Width, Height: demo.Height}))
		edits = append(edits, library.PutAll(s.Turns)...)
		edits = append(edits, library.PutAll(s.Strokes)...)
		edits = append(edits, library.PutAll(s.Marks)...)
		edits = append(edits, library.PutAll(s.Looks)...)
	}
	_, err = d.Library.Do(ctx, "film", edits...)
	require.NoError(t, err)
	return d, c
}

// What the invented club's third coach does (demo.UsualHabits) is what the figures say,
// over clubs that nothing was chosen by.
func TestAgreementFindsWhatTheDemoPlanted(t *testing.T) {
	h := second.Usual()
	var all agreement.Counts
	confused, elbows, late, strokes := 0, 0, 0, 0
	var missed agreement.Counts
	for seed := int64(41); seed < 46; seed++ {
		d, c := filmless(t, seed)
		coach, looks := second.Read(&c, h, uint64(seed))
		require.NoError(t, desk.AddSecond(d, t.Context(), coach, looks))
		for _, first := range c.Catalogue.Coaches {
			r, err := d.Agreed.Compare(t.Context(), agreed.Query{FirstID: first.ID, SecondID: coach.ID})
			require.NoError(t, err)
			require.Equal(t, r.Turns, r.Blind)
			strokes += r.Strokes
			all.Add(r.All.Counts)
			if r.All.Frames != nil && r.All.Frames.Median == float64(h.Late) {
				late++
			}
			for _, line := range r.Faults {
				if line.Code == "LATE" || line.Code == "CLOSE" {
					missed.Add(line.Counts)
				}
			}
			for _, k := range r.Codes {
				if k.First == h.From && k.Second == h.To {
					confused += k.N
				}
			}
			for _, line := range r.Faults {
				if line.Code == h.From {
					elbows += line.Both + line.First
				}
			}
			require.NotNil(t, r.Outcome)
		}
	}
	t.Logf("%d strokes: all %+v, LATE and CLOSE %+v, %d of %d %s as %s", strokes, all, missed, confused, elbows, h.From, h.To)
	require.Equal(t, 10, late, "three frames in the median of each pair of coaches")
	// The first misses 5 of 100, puts another code on 2.5 and marks 1.2 of 100 strokes
	// more: what the second misses shows among what the first has said.
	require.InDelta(t, h.Missed, float64(missed.First)/float64(missed.Both+missed.First), 0.08, "missed")
	require.InDelta(t, (1-h.Missed)*h.Confused, float64(confused)/float64(elbows), 0.1, "confused")
}

// Two coaches, from the blind look to the settled rate.
func TestSecondLookFromBeginningToEnd(t *testing.T) {
	ctx := t.Context()
	d, c := filmless(t, 3)
	one, two := c.Catalogue.Coaches[0].ID, c.Catalogue.Coaches[1].ID
	before, err := d.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)

	q := secondlook.Query{CoachID: two, FirstID: one, Half: 0.4, Kappa: 0.6, Seed: 7}
	choice, err := d.SecondLooks.Choose(ctx, q)
	require.NoError(t, err)
	again, err := d.SecondLooks.Choose(ctx, q)
	require.NoError(t, err)
	require.Equal(t, choice, again, "the same seed draws the same")
	b, err := d.SecondLooks.Begin(ctx, q)
	require.NoError(t, err)
	coach, err := d.Library.Coach(ctx)
	require.NoError(t, err)
	require.Equal(t, two, coach)
	_, err = d.SecondLooks.Begin(ctx, q)
	require.Error(t, err, "one at a time")
	require.ErrorContains(t, d.SecondLooks.Finish(ctx, b.ID), "No turn")

	during, err := d.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)
	require.Equal(t, before.Team.All.Turns-len(b.Turns), during.Team.All.Turns, "the summary of these turns is hidden")

	// The second coach marks the first stroke of every turn for a fault and looks through.
	fault := c.Catalogue.Faults[0]
	for _, id := range b.Turns {
		turn, err := store.Get[club.Turn](ctx, d.Library.Library, id)
		require.NoError(t, err)
		led, err := d.Marks.Ledger(ctx, turn.ClipID)
		require.NoError(t, err)
		for _, m := range led.Marks {
			require.False(t, turn.Covers(m.Frame), "a mark of the first shows")
		}
		at := slices.IndexFunc(led.Strokes, func(s club.Stroke) bool { return turn.Covers(s.Frame) })
		s := led.Strokes[at]
		edit := club.Mark{ID: d.Library.NewID(), ClipID: turn.ClipID, FaultID: fault.ID, CoachID: two, Frame: s.Frame, Ticks: s.Ticks, StrokeID: s.ID, Source: club.ByHand, Confidence: 1}
		_, err = d.Library.Do(ctx, "mark", store.Put(edit))
		require.NoError(t, err)
		_, err = d.Looks.Through(ctx, id, nil)
		require.NoError(t, err)
	}
	rows, err := d.SecondLooks.List(ctx)
	require.NoError(t, err)
	require.Empty(t, rows[0].Left)
	require.NoError(t, d.SecondLooks.Finish(ctx, b.ID))

	after, err := d.Summary.Sum(ctx, summary.Query{})
	require.NoError(t, err)
	require.Equal(t, before.Team.All.Turns, after.Team.All.Turns)
	rep, err := d.Agreed.Compare(ctx, agreed.Query{FirstID: one, SecondID: two})
	require.NoError(t, err)
	require.Equal(t, len(b.Turns), rep.Turns)
	require.NotEmpty(t, rep.Disagreements)
	for i := 1; i < len(rep.Disagreements); i++ {
		require.GreaterOrEqual(t, rep.Disagreements[i-1].Cost, rep.Disagreements[i].Cost, "the most costly first")
	}

	// Settle three: rates follow, the agreement does not.
	for _, choice := range []standard.Choice{standard.FirstRight, standard.SecondRight, standard.Neither} {
		at := slices.IndexFunc(rep.Disagreements, func(a agreement.Disagreement) bool {
			return len(a.Second) > 0 && !slices.ContainsFunc(rep.Decided, func(d standard.Decision) bool { return d.StrokeID == a.StrokeID })
		})
		apart := rep.Disagreements[at]
		_, err := d.Agreed.Decide(ctx, agreed.Verdict{FirstID: one, SecondID: two, StrokeID: apart.StrokeID, Choice: choice})
		require.NoError(t, err)
		now, err := d.Agreed.Compare(ctx, agreed.Query{FirstID: one, SecondID: two})
		require.NoError(t, err)
		require.Equal(t, rep.Report, now.Report, "the agreement stays that of before")
		require.Equal(t, apart.StrokeID, now.Decided[len(now.Decided)-1].StrokeID)
		rep = now
	}
	counted := func() (marks int) {
		turns, err := d.Library.Record(ctx, store.Filter{})
		require.NoError(t, err)
		for _, r := range turns {
			marks += len(r.Marks)
		}
		return marks
	}
	n := counted()
	_, err = d.Library.Undo(ctx)
	require.NoError(t, err)
	require.Greater(t, counted(), n, "taking the decision back brings its marks back")

	// Another fault, then another decision in its place.
	apart := rep.Disagreements[len(rep.Disagreements)-1]
	other := c.Catalogue.Faults[len(c.Catalogue.Faults)-1]
	v := agreed.Verdict{FirstID: one, SecondID: two, StrokeID: apart.StrokeID, Choice: standard.AnotherFault}
	_, err = d.Agreed.Decide(ctx, v)
	require.Error(t, err, "which one?")
	v.FaultID = other.ID
	dec, err := d.Agreed.Decide(ctx, v)
	require.NoError(t, err)
	m, err := store.Get[club.Mark](ctx, d.Library.Library, dec.AddedID)
	require.NoError(t, err)
	require.Equal(t, other.ID, m.FaultID)
	now, err := d.Agreed.Compare(ctx, agreed.Query{FirstID: one, SecondID: two})
	require.NoError(t, err)
	require.Equal(t, rep.Report, now.Report, "the mark that was added is nobody's reading")
	_, err = d.Agreed.Decide(ctx, agreed.Verdict{FirstID: one, SecondID: two, StrokeID: apart.StrokeID, Choice: standard.BothRight})
	require.NoError(t, err)
	_, err = store.Get[club.Mark](ctx, d.Library.Library, dec.AddedID)
	require.ErrorIs(t, err, store.ErrUnknown)
	_, err = d.Agreed.Decide(ctx, agreed.Verdict{FirstID: one, SecondID: two, StrokeID: "nowhere", Choice: standard.BothRight})
	require.ErrorIs(t, err, store.ErrUnknown)
}

// A second look that is left leaves nothing behind.
func TestLeavingASecondLook(t *testing.T) {
	ctx := t.Context()
	d, c := filmless(t, 4)
	coach := c.Catalogue.Coaches[0].ID
	before, err := d.Library.Snapshot(ctx, nil)
	require.NoError(t, err)
	q := secondlook.Query{CoachID: coach, FirstID: coach, Turns: 3, Seed: 1}
	b, err := d.SecondLooks.Begin(ctx, q)
	require.NoError(t, err)
	require.Len(t, b.Turns, 3)
	turn, err := store.Get[club.Turn](ctx, d.Library.Library, b.Turns[0])
	require.NoError(t, err)
	led, err := d.Marks.Ledger(ctx, turn.ClipID)
	require.NoError(t, err)
	s := led.Strokes[slices.IndexFunc(led.Strokes, func(s club.Stroke) bool { return turn.Covers(s.Frame) })]
	s.Outcome = club.Missed
	_, err = d.Library.Do(ctx, "", store.Put(s), store.Put(club.Mark{ID: "new", ClipID: s.ClipID, FaultID: c.Catalogue.Faults[0].ID, CoachID: coach, Frame: s.Frame, Ticks: s.Ticks, Source: club.ByHand, Confidence: 1}))
	require.NoError(t, err)
	_, err = d.Looks.Through(ctx, turn.ID, nil)
	require.NoError(t, err)
	require.NoError(t, d.SecondLooks.Leave(ctx, b.ID))
	after, err := d.Library.Snapshot(ctx, nil)
	require.NoError(t, err)
	require.Equal(t, before, after)
	require.ErrorIs(t, d.SecondLooks.Leave(ctx, b.ID), store.ErrUnknown)
}
