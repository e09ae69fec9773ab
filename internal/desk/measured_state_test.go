package desk_test

import (
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/demo"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/measured"
	"strokeledger/internal/store"
)

// Joints that were found before a player was forgotten do not come back with those that
// are found afterwards.
func TestForgettingWhileStrokesAreMeasured(t *testing.T) {
	m, ctx := newMeter(t), t.Context()
	preview, err := m.Erase.Preview(ctx, m.player.ID)
	require.NoError(t, err)
	request := preview.Alone()
	request.Clips, request.KeepCounts = nil, true
	row, err := m.Library.Clip(ctx, m.clip)
	require.NoError(t, err)
	var once sync.Once
	ended := make(chan measured.Progress, 1)
	_, err = m.Measured.Watch(ctx, m.clip, func(p measured.Progress) {
		once.Do(func() {
			_, err := m.Erase.Forget(ctx, request)
			require.NoError(t, err)
		})
		if p.State != measured.Watching {
			ended <- p
		}
	})
	require.NoError(t, err)
	p := <-ended
	require.Equal(t, measured.Failed, p.State)
	require.Equal(t, "A player was forgotten while this clip was looked at: measure its strokes again.", p.Say)
	kept, _, err := m.Library.Bodies(ctx, row.Fingerprint)
	require.NoError(t, err)
	require.Nil(t, kept)
}

// Pictures that were looked at while no ruler was laid are looked at again by one.
func TestMeasuringWhileTheRulerIsOff(t *testing.T) {
	m, ctx := newMeter(t), t.Context()
	all := func(int, int) {}
	half := len(m.ids) / 2
	for _, id := range m.ids[half:] {
		require.NoError(t, m.Strokes.Remove(ctx, id))
	}
	require.NoError(t, m.Measured.WatchToEnd(ctx, m.clip, all))
	require.NoError(t, m.Rulers.Remove(ctx, m.clip))
	for _, s := range m.truth[half:] {
		_, err := m.Strokes.Add(ctx, m.clip, s.Frame, s.Outcome)
		require.NoError(t, err)
	}
	require.NoError(t, m.Measured.WatchToEnd(ctx, m.clip, all))
	scene := *demo.Make(31).Scenes[0]
	p := clicked(&scene, rand.New(rand.NewPCG(1, 1)), 0)
	p.SD = 1
	_, err := m.Rulers.Lay(ctx, m.clip, p, false)
	require.NoError(t, err)
	now, err := m.Measured.Progress(ctx, m.clip)
	require.NoError(t, err)
	require.Zero(t, now.Done)
}

// A window that had shown a clip before another one heard it knows what that one heard.
func TestAnotherWindowHasListened(t *testing.T) {
	m, ctx := newMeter(t), t.Context()
	all := func(int, int) {}
	other, err := desk.Open(ctx, m.Library.Dir, library.Options{})
	require.NoError(t, err)
	defer other.Close()
	_, err = other.Listening.Progress(ctx, m.clip)
	require.NoError(t, err)
	row, err := m.Library.Clip(ctx, m.clip)
	require.NoError(t, err)
	require.NoError(t, m.Listening.ListenToEnd(ctx, row, func(_, _ float64) {}))
	require.NoError(t, m.Measured.WatchToEnd(ctx, m.clip, all))
	want, err := m.Measured.Measures(ctx, m.clip)
	require.NoError(t, err)
	got, err := other.Measured.Measures(ctx, m.clip)
	require.NoError(t, err)
	require.Equal(t, want, got)
	theirs, err := other.Measured.Readings(ctx, store.Filter{})
	require.NoError(t, err)
	ours, err := m.Measured.Readings(ctx, store.Filter{})
	require.NoError(t, err)
	require.Equal(t, ours, theirs)
	require.NotEmpty(t, ours.Turns)
}

// Joints suggest nothing of the way back where a coach has set when the hand is back, and
// tell no time to a contact of another rally.
func TestWhatJointsTellOfTheWayBack(t *testing.T) {
	m, ctx := newMeter(t), t.Context()
	require.NoError(t, m.Measured.WatchToEnd(ctx, m.clip, func(int, int) {}))
	cat, err := m.Library.Catalogue(ctx)
	require.NoError(t, err)
	i := slices.IndexFunc(cat.Faults, func(f club.Fault) bool { return f.Code == "LATE" })
	late := cat.Faults[i]
	late.Measure, late.Limit = club.HandBack, 150 // every hand is lower
	late, err = m.Catalogue.SaveFault(ctx, late)
	require.NoError(t, err)
	suggested := func() (n int) {
		all, err := m.Measured.Measures(ctx, m.clip)
		require.NoError(t, err)
		for _, s := range all {
			if s.Ready != nil && s.Ready.Own {
				require.LessOrEqual(t, *s.Ready.Margin, 1.5)
			}
			if slices.ContainsFunc(s.Suggestions, func(o measured.Suggestion) bool { return o.FaultID == late.ID }) {
				n++
			}
		}
		return n
	}
	before := suggested()
	require.Positive(t, before)
	all, err := m.Measured.Measures(ctx, m.clip)
	require.NoError(t, err)
	_, err = m.Ready.SetReady(ctx, m.clip, all[0].Frame+20)
	require.NoError(t, err)
	_, err = m.Ready.SetAnswer(ctx, m.clip, all[0].Frame+30)
	require.NoError(t, err)
	require.Equal(t, before-1, suggested())
}
