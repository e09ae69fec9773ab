package desk_test

import (
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/session"
	"strokeledger/internal/sentence"
)

// Several windows that add the same films on the same day at the same moment make
// one session and one clip of each.
func TestSameFilmFromSeveralWindows(t *testing.T) {
	ctx := t.Context()
	dir := filepath.Join(t.TempDir(), "library")
	first, err := desk.Open(ctx, dir, library.Options{Create: true})
	require.NoError(t, err)
	defer first.Close()
	var all sync.WaitGroup
	ids := make([][]club.ID, 3)
	for w := range ids {
		d, err := desk.Open(ctx, dir, library.Options{})
		require.NoError(t, err)
		defer d.Close()
		all.Go(func() {
			added, err := d.Sessions.Add(ctx, "2026-03-14", []string{clips + "a01_baseline.mp4", clips + "a22_one_frame.mp4"}, nil)
			if err == nil {
				ids[w] = []club.ID{added[0].ClipID, added[1].ClipID}
			}
		})
	}
	all.Wait()
	rows, err := first.Sessions.List(ctx, session.Page{})
	require.NoError(t, err)
	require.Len(t, rows.Sessions, 1)
	require.Len(t, rows.Sessions[0].Clips, 2)
	for _, got := range ids {
		require.ElementsMatch(t, []club.ID{rows.Sessions[0].Clips[0].ID, rows.Sessions[0].Clips[1].ID}, got)
	}
}

// The coach of a new library is asked for a name once.
func TestCoachOfANewLibraryIsAsked(t *testing.T) {
	ctx := t.Context()
	for name, say := range map[string]struct{ name, want string }{
		"says it":     {" Kim ", "Kim"},
		"does not":    {"", "Coach"},
		"is a Coach":  {"Coach", "Coach"},
		"another way": {"-", "Robin"},
	} {
		t.Run(name, func(t *testing.T) {
			d, err := desk.Open(ctx, filepath.Join(t.TempDir(), "library"), library.Options{Create: true})
			require.NoError(t, err)
			defer d.Close()
			st, err := d.Library.State(ctx)
			require.NoError(t, err)
			require.True(t, st.Nameless)
			require.Empty(t, st.Undo)
			if say.name == "-" {
				_, err = d.Catalogue.SaveCoach(ctx, club.Coach{ID: st.CoachID, Name: say.want})
			} else {
				err = d.Catalogue.NameCoach(ctx, say.name)
			}
			require.NoError(t, err)
			st, err = d.Library.State(ctx)
			require.NoError(t, err)
			require.False(t, st.Nameless)
			cat, err := d.Library.Catalogue(ctx)
			require.NoError(t, err)
			require.Equal(t, say.want, cat.Coaches[0].Name)
		})
	}
	d, err := desk.Open(ctx, filepath.Join(t.TempDir(), "library"), library.Options{Create: true})
	require.NoError(t, err)
	defer d.Close()
	requireSentence(t, sentence.Of(d.Catalogue.NameCoach(ctx, string(make([]byte, 1000)))))
}
