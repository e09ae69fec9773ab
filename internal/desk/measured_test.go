package desk_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/demo/film"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/measured"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/store"
	"strokeledger/internal/tally/reading"
)

// meter is a library with one drawn clip, its first turn with its strokes, and a ruler
// by the table's true corners.
type meter struct {
	*desk.Desk
	clip   club.ID
	turn   club.Turn
	player club.Player
	fault  club.Fault
	ids    []club.ID // of the strokes
	truth  []demo.TruthStroke
}

func newMeter(t *testing.T) *meter {
	t.Helper()
	ctx, dir := t.Context(), t.TempDir()
	d, err := desk.Open(ctx, filepath.Join(dir, "library"), library.Options{Create: true})
	require.NoError(t, err)
	t.Cleanup(func() { d.Close() })
	m := &meter{Desk: d}
	invented := demo.Make(31)
	scene := *invented.Scenes[0]
	truth := invented.Truth().Clips[0]
	turn := truth.Turns[0]
	scene.Frames = turn.Last + 1
	path := filepath.Join(dir, "one.mp4")
	require.NoError(t, film.WriteMeasured(ctx, &scene, path))
	added, err := d.Sessions.Add(ctx, "2026-03-14", []string{path}, nil)
	require.NoError(t, err)
	require.Empty(t, added[0].Say)
	m.clip = added[0].ClipID
	for _, p := range invented.Catalogue.Players {
		if p.ID == turn.PlayerID {
			m.player, err = d.Catalogue.SavePlayer(ctx, club.Player{Name: p.Name, Hand: p.Hand})
			require.NoError(t, err)
		}
	}
	cat, err := d.Library.Catalogue(ctx)
	require.NoError(t, err)
	m.turn, err = d.Turns.Save(ctx, club.Turn{ClipID: m.clip, PlayerID: m.player.ID, DrillID: cat.Drills[0].ID, First: turn.First, Last: turn.Last})
	require.NoError(t, err)
	for _, s := range truth.Strokes {
		if s.Turn == 0 && s.Frame <= turn.Last {
			saved, err := d.Strokes.Add(ctx, m.clip, s.Frame, s.Outcome)
			require.NoError(t, err)
			m.ids, m.truth = append(m.ids, saved.ID), append(m.truth, s)
		}
	}
	require.GreaterOrEqual(t, len(m.truth), 5)
	for _, f := range cat.Faults {
		if f.Code == "CLOSE" {
			m.fault = f
		}
	}
	p := clicked(&scene, rand.New(rand.NewPCG(1, 1)), 0)
	p.SD = 1
	_, err = d.Rulers.Lay(ctx, m.clip, p, false)
	require.NoError(t, err)
	return m
}

// Strokes are measured as the truth has them, a limit suggests those beyond it in the
// pass, and what was found stays until a player is forgotten.
func TestMeasuredStrokes(t *testing.T) {
	m, ctx := newMeter(t), t.Context()
	before, err := m.Measured.Measures(ctx, m.clip)
	require.NoError(t, err)
	require.Empty(t, before)
	p, err := m.Measured.Progress(ctx, m.clip)
	require.NoError(t, err)
	require.Equal(t, measured.Progress{All: len(m.truth)}, p)

	require.NoError(t, m.Measured.WatchToEnd(ctx, m.clip, func(int, int) {}))
	all, err := m.Measured.Measures(ctx, m.clip)
	require.NoError(t, err)
	require.Len(t, all, len(m.truth))
	for i, s := range all {
		require.Equal(t, m.ids[i], s.StrokeID)
		require.Empty(t, s.Suggestions, "no limit is believed before a coach has set one")
		require.Len(t, s.Values, 3)
		require.InDelta(t, 100*m.truth[i].FeetLine, s.Values[0].At, 5)
	}

	// The limit lies between the nearest of the strokes and the next.
	sorted := slices.SortedFunc(slices.Values(all), func(a, b measured.Stroke) int { return cmp.Compare(a.Values[0].At, b.Values[0].At) })
	m.fault.Measure, m.fault.Limit = club.FeetBehind, math.Round(sorted[0].Values[0].At+4)
	_, err = m.Catalogue.SaveFault(ctx, m.fault)
	require.NoError(t, err)
	all, err = m.Measured.Measures(ctx, m.clip)
	require.NoError(t, err)
	turn, err := m.Pass.Turn(ctx, m.turn.ID, nil)
	require.NoError(t, err)
	suggested := 0
	for i, s := range all {
		beyond := s.Values[0].At <= m.fault.Limit-s.Values[0].Half/1.96
		require.Equal(t, beyond, len(s.Suggestions) == 1)
		require.Len(t, turn.Strokes[i].Suggestions, len(s.Suggestions))
		if beyond {
			suggested++
			require.Equal(t, m.fault.ID, turn.Strokes[i].Suggestions[0].FaultID)
			require.Regexp(t, `^\d+ cm ±\d+$`, turn.Strokes[i].Suggestions[0].Say)
			require.Greater(t, s.Suggestions[0].Chance, .8)
		}
	}
	require.Positive(t, suggested)
	require.Less(t, suggested, len(all))
	for _, s := range all {
		mark, err := m.Pass.MarkStroke(ctx, s.StrokeID, m.fault.ID, -1)
		require.NoError(t, err)
		if len(s.Suggestions) > 0 {
			require.Equal(t, []any{club.BySight, s.Suggestions[0].Chance}, []any{mark.Source, mark.Confidence})
		} else {
			require.Equal(t, []any{club.ByHand, 1.}, []any{mark.Source, mark.Confidence})
		}
	}

	p, err = m.Measured.Watch(ctx, m.clip, func(measured.Progress) { t.Error("told of what was known") })
	require.NoError(t, err)
	require.Equal(t, measured.Progress{State: measured.Finished, Done: len(all), All: len(all)}, p)

	m.inSummaries(t, all)
	m.inTime(t)

	preview, err := m.Erase.Preview(ctx, m.player.ID)
	require.NoError(t, err)
	request := preview.Alone()
	request.Clips, request.KeepCounts = nil, true
	_, err = m.Erase.Forget(ctx, request)
	require.NoError(t, err)
	all, err = m.Measured.Measures(ctx, m.clip)
	require.NoError(t, err)
	require.Empty(t, all)
	sheet, err := m.Summary.Sheet(ctx, summary.Query{}, "")
	require.NoError(t, err)
	require.Nil(t, sheet.Team.Measured)
}

// inSummaries holds what summaries say of measures against the strokes of the one clip, also
// after what they come from has changed, and that no film is opened for it.
func (m *meter) inSummaries(t *testing.T, all []measured.Stroke) {
	t.Helper()
	ctx := t.Context()
	film := filepath.Join(filepath.Dir(m.Library.Dir), "one.mp4")
	require.NoError(t, os.Rename(film, film+".away"))
	defer func() { require.NoError(t, os.Rename(film+".away", film)) }()
	q := summary.Query{}
	feet := func(of []measured.Stroke) (v []float64) {
		for _, s := range of {
			v = append(v, s.Values[0].At)
		}
		slices.Sort(v)
		return v
	}
	line := func() reading.Line {
		s, err := m.Summary.Sheet(ctx, q, m.player.ID)
		require.NoError(t, err)
		require.NotNil(t, s.Players[0].Measured)
		require.Equal(t, "Measured 1 of 1 clip with strokes.", s.Players[0].Measured.Say)
		return s.Players[0].Measured.All.Lines[0]
	}
	for range 2 { // worked out, then kept
		l := line()
		require.Equal(t, [2]int{len(all), 1}, [2]int{l.Strokes, l.Turns})
		require.InDelta(t, (feet(all)[(len(all)-1)/2]+feet(all)[len(all)/2])/2, l.Median, .05)
		require.Nil(t, l.Half, "of one turn")
	}
	// What another form has written is worked out anew.
	require.NoError(t, m.Strokes.Remove(ctx, m.ids[0]))
	_, err := m.Library.Undo(ctx) // now none is kept
	require.NoError(t, err)
	never := func([]byte) bool { return false }
	require.NoError(t, m.Library.Readings(ctx, store.Filter{}, never, func(club.ID) ([]byte, error) { return []byte("of another form"), nil },
		func(club.ID, club.Date, []club.ID, []byte) error { return nil }))
	require.Equal(t, len(all), line().Strokes)
	strokes, err := m.Measured.Strokes(ctx, store.Filter{})
	require.NoError(t, err)
	require.Len(t, strokes, len(all))
	for i, s := range strokes {
		require.Equal(t, []any{m.clip, all[i].Frame, true}, []any{s.ClipID, s.Frame, slices.Contains(s.Marked, m.fault.ID)})
		require.InDelta(t, all[i].Values[0].At, s.Values[0].At, .05)
		require.Equal(t, len(all[i].Suggestions), len(s.Suggestions))
	}
	_, err = m.Measured.LimitOver(ctx, store.Filter{}, m.fault.ID)
	require.EqualError(t, err, fmt.Sprintf("A limit takes 5 strokes marked CLOSE and 5 that were looked at and are clean; these clips have %d and 0 that are measured.", len(all)))

	// What changes is followed: a stroke that goes, a hand, a ruler.
	require.NoError(t, m.Strokes.Remove(ctx, m.ids[0]))
	require.Equal(t, len(all)-1, line().Strokes)
	_, err = m.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, len(all), line().Strokes)

	// Nothing of a player without consent leaves the club.
	var b strings.Builder
	require.NoError(t, m.Documents.Export(ctx, q, publish.Text, &b))
	require.Contains(t, b.String(), "What is measured of 1 player without consent to film on record is left out.")
	require.NotContains(t, b.String(), "Feet ")
	b.Reset()
	require.NoError(t, m.Documents.Export(ctx, summary.Query{Unconsented: true}, publish.Text, &b))
	require.Regexp(t, `Feet \d+ cm from the table\. How far the middle of 1 turn may be off cannot be told yet\.`, b.String())
}

// inTime holds when the hand is back, as the joints show, against the truth; a coach's
// frame wins over it everywhere.
func (m *meter) inTime(t *testing.T) {
	t.Helper()
	ctx := t.Context()
	row, err := m.Library.Clip(ctx, m.clip)
	require.NoError(t, err)
	read := func() []measured.Stroke {
		all, err := m.Measured.Measures(ctx, m.clip)
		require.NoError(t, err)
		return all
	}
	margin := func(s measured.Stroke) *measured.Value {
		i := slices.IndexFunc(s.Values, func(v measured.Value) bool { return v.Measure == club.ReadyMargin })
		if i < 0 {
			return nil
		}
		return &s.Values[i]
	}
	told, right := 0, 0
	for i, s := range read() {
		require.Nil(t, margin(s), "the partner's contact is not known")
		if s.Ready == nil || s.Ready.Never {
			continue
		}
		told++
		require.True(t, s.Ready.Margin == nil || s.Ready.Own)
		require.False(t, s.Ready.ByCoach)
		if back := m.truth[i].Recovered; back != nil && math.Abs(s.Ready.Seconds-*back) <= s.Ready.Half {
			right++
		}
	}
	require.Greater(t, told, len(m.truth)/2)
	require.GreaterOrEqual(t, right, told-1)

	i := slices.IndexFunc(m.truth, func(s demo.TruthStroke) bool { return s.Recovered != nil && s.Answer != nil })
	require.GreaterOrEqual(t, i, 0)
	_, err = m.Ready.SetAnswer(ctx, m.clip, int(math.Round(*m.truth[i].Answer/row.Picture())))
	require.NoError(t, err)
	s := read()[i]
	require.NotNil(t, margin(s))
	require.False(t, margin(s).ByCoach)
	require.InDelta(t, 1000*(*m.truth[i].Answer-*m.truth[i].Recovered), margin(s).At, margin(s).Half)
	require.Regexp(t, `^hand back about 0\.\d\d s (before|after) the partner's contact \(±0\.\d\d\)$`, s.Ready.Say)
	about := func() reading.Line {
		sheet, err := m.Summary.Sheet(ctx, summary.Query{}, m.player.ID)
		require.NoError(t, err)
		lines := sheet.Players[0].Measured.All.Lines
		return lines[len(lines)-1]
	}
	require.Equal(t, club.ReadyMargin, about().Measure)
	require.InDelta(t, margin(s).At, about().Median, 1)

	// The coach sees the hand back six pictures before the partner's contact.
	at := int(math.Round(*m.truth[i].Answer/row.Picture())) - 6
	_, err = m.Ready.SetReady(ctx, m.clip, at)
	require.NoError(t, err)
	s = read()[i]
	require.Equal(t, []any{true, at, true, 120.}, []any{s.Ready.ByCoach, s.Ready.Frame, margin(s).ByCoach, math.Round(margin(s).At)})
	require.Regexp(t, `^hand back 0\.12 s before the partner's contact`, s.Ready.Say)
	require.InDelta(t, 120, about().Median, .5)
	strokes, err := m.Measured.Strokes(ctx, store.Filter{})
	require.NoError(t, err)
	require.True(t, margin(strokes[i]).ByCoach)
	_, err = m.Library.Undo(ctx)
	require.NoError(t, err)
	require.False(t, read()[i].Ready.ByCoach)
}

// What was found before a stop stays, and a run goes on behind it.
func TestMeasuringStopsAndGoesOn(t *testing.T) {
	m, ctx := newMeter(t), t.Context()
	one := make(chan bool, 100)
	_, err := m.Measured.Watch(ctx, m.clip, func(measured.Progress) { one <- true })
	require.NoError(t, err)
	<-one
	m.Measured.Stop()
	p, err := m.Measured.Progress(ctx, m.clip)
	require.NoError(t, err)
	require.Positive(t, p.Done)
	some, err := m.Measured.Measures(ctx, m.clip)
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(some), p.Done)
	require.NoError(t, m.Measured.WatchToEnd(ctx, m.clip, func(int, int) {}))
	all, err := m.Measured.Measures(ctx, m.clip)
	require.NoError(t, err)
	require.Len(t, all, len(m.truth))
	for i, s := range some[:p.Done] {
		require.Equal(t, all[i].Values, s.Values) // where the hand waits is known by all strokes
	}
}

// Without a stroke there is nothing to measure, and without a ruler there are no feet.
func TestMeasuringNeedsStrokesAndARuler(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, err := b.Measured.Watch(ctx, b.clip, nil)
	require.EqualError(t, err, "There is no stroke in this clip yet: listen to it, or enter strokes first.")

	m := newMeter(t)
	require.NoError(t, m.Rulers.Remove(ctx, m.clip))
	require.NoError(t, m.Measured.WatchToEnd(ctx, m.clip, func(int, int) {}))
	all, err := m.Measured.Measures(ctx, m.clip)
	require.NoError(t, err)
	require.NotEmpty(t, all)
	for _, s := range all {
		require.Len(t, s.Values, 2)
		require.Equal(t, club.ElbowDrop, s.Values[0].Measure)
	}
}
