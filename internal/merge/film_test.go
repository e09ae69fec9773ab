package merge_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/merge"
	"strokeledger/internal/picture"
	"strokeledger/internal/timecode"
)

func row(t *testing.T, id club.ID, at int64, v any) merge.Row {
	image, err := json.Marshal(v)
	require.NoError(t, err)
	return merge.Row{ID: id, Image: image, Stamp: merge.Stamp{Clock: at, Author: "c"}}
}

func clipOf(id, session club.ID, print string, rate int) club.Clip {
	return club.Clip{ID: id, SessionID: session, Name: print, Fingerprint: print, Bytes: 1, Frames: 20 * rate, FirstTicks: 100,
		Base: timecode.Base{Num: 1, Den: 12800}, Seconds: 20, Width: 320, Height: 180}
}

// bring answers every question in one way.
func bring(t *testing.T, ours, theirs merge.Side, answers map[string]string) merge.Plan {
	t.Helper()
	o := merge.Options{Now: merge.Stamp{Clock: 1000, Author: "me"}, Told: true, Choices: map[string]string{}, Forgotten: func(club.ID) bool { return false },
		Alike: func(a, b club.Clip) bool { return true }, Film: func(c club.Clip) merge.Film { return merge.Even{Clip: c} }}
	for range 4 {
		p, err := merge.Bring(ours, theirs, o)
		require.NoError(t, err)
		for _, d := range p.Doubts {
			o.Choices[d.Key] = answers[d.Kind]
		}
	}
	p, err := merge.Bring(ours, theirs, o)
	require.NoError(t, err)
	require.Zero(t, p.Open())
	return p
}

func written[T any](t *testing.T, p merge.Plan, table string) (all []T) {
	for _, w := range p.Writes {
		if w.Table == table && !w.Gone {
			var v T
			require.NoError(t, json.Unmarshal(w.Image, &v))
			all = append(all, v)
		}
	}
	return all
}

// after is a side with what was written.
func after(ours merge.Side, p merge.Plan) merge.Side {
	out := merge.Side{}
	written := map[string]bool{}
	for _, w := range p.Writes {
		written[w.Table+string(w.ID)] = true
		out[w.Table] = append(out[w.Table], w.Row)
	}
	for table, rows := range ours {
		for _, r := range rows {
			if !written[table+string(r.ID)] {
				out[table] = append(out[table], r)
			}
		}
	}
	return out
}

// Their film is ours, encoded anew at another rate: what they entered goes to the pictures
// of the same moments, once, whichever clip's ID is kept.
func TestAFilmEncodedAnew(t *testing.T) {
	for _, theirID := range []club.ID{"a", "z"} {
		ours := merge.Side{"session": {row(t, "s", 1, club.Session{ID: "s", Date: "2026-03-14"})}, "clip": {row(t, "k", 2, clipOf("k", "s", "ours", 25))},
			"coach": {row(t, "c", 1, club.Coach{ID: "c", Name: "C"})}}
		stroke := club.Stroke{ID: "x", ClipID: theirID, Frame: 150, Ticks: 100 + 3*12800, Outcome: club.Good, Source: club.ByHand, Confidence: 1, CoachID: "c"}
		theirs := merge.Side{"session": {row(t, "s", 1, club.Session{ID: "s", Date: "2026-03-14"})}, "clip": {row(t, theirID, 3, clipOf(theirID, "s", "theirs", 50))},
			"coach": ours["coach"], "stroke": {row(t, "x", 4, stroke)}}
		p := bring(t, ours, theirs, map[string]string{"film": "same"})
		moved := written[club.Stroke](t, p, "stroke")
		require.Len(t, moved, 1)
		require.Equal(t, 75, moved[0].Frame, "3 s at 25 pictures a second")
		require.EqualValues(t, 100+3*12800, moved[0].Ticks)
		require.Equal(t, min("k", theirID), moved[0].ClipID)
		now := after(ours, p)
		living := 0
		for _, r := range now["clip"] {
			var c club.Clip
			require.NoError(t, json.Unmarshal(r.Image, &c))
			if !r.Gone {
				living++
				require.Equal(t, "ours", c.Fingerprint, "the film that is here")
			}
		}
		require.Equal(t, 1, living)
		require.Empty(t, bring(t, now, theirs, nil).Writes, "again")

		apart := bring(t, ours, theirs, map[string]string{"film": "apart"})
		require.Equal(t, 150, written[club.Stroke](t, apart, "stroke")[0].Frame)
	}
}

// Two turns over the same pictures: one in common, or the one that the coach keeps.
func TestTurnsOverTheSamePictures(t *testing.T) {
	base := func(id club.ID, player club.ID, first, last int) merge.Side {
		turn := club.Turn{ID: id, ClipID: "k", PlayerID: player, DrillID: "d", First: first, Last: last, FirstTicks: int64(first), LastTicks: int64(last)}
		return merge.Side{"session": {row(t, "s", 1, club.Session{ID: "s", Date: "2026-03-14"})}, "clip": {row(t, "k", 1, clipOf("k", "s", "film", 50))},
			"player": {row(t, "p", 1, club.Player{ID: "p", Name: "P", Hand: club.RightHand}), row(t, "q", 1, club.Player{ID: "q", Name: "Q", Hand: club.RightHand})},
			"drill":  {row(t, "d", 1, club.Drill{ID: "d", Name: "D"})}, "turn": {row(t, id, 5, turn)}}
	}
	p := bring(t, base("t1", "p", 0, 100), base("t2", "p", 10, 110), map[string]string{"turns": "same"})
	require.Len(t, written[merge.Same](t, p, "same"), 1)
	for answer, want := range map[string]int{"first": 0, "second": 1} {
		p := bring(t, base("t1", "p", 0, 100), base("t2", "q", 50, 150), map[string]string{"turns": answer})
		require.Len(t, written[club.Turn](t, p, "turn"), want, answer)
	}
	p = bring(t, base("t1", "p", 0, 100), base("t2", "q", 101, 150), nil)
	require.Empty(t, p.Doubts)
	require.Len(t, written[club.Turn](t, p, "turn"), 1)
}

// A clip that they removed and we worked on comes back with what went with it, or takes
// our work along.
func TestRemovedThereUsedHere(t *testing.T) {
	stroke := func(id club.ID, frame int) club.Stroke {
		return club.Stroke{ID: id, ClipID: "k", Frame: frame, Outcome: club.Good, Source: club.ByHand, Confidence: 1}
	}
	old := merge.Side{"session": {row(t, "s", 1, club.Session{ID: "s", Date: "2026-03-14"})}, "clip": {row(t, "k", 1, clipOf("k", "s", "film", 50))}, "stroke": {row(t, "x", 2, stroke("x", 10))}}
	theirs := merge.Side{"session": old["session"]}
	for _, table := range []string{"clip", "stroke"} {
		gone, err := merge.Named(table).Changed(old[table][0], nil, merge.Stamp{Clock: 50, Author: "they"})
		require.NoError(t, err)
		theirs[table] = []merge.Row{gone}
	}
	ours := merge.Side{"session": old["session"], "clip": old["clip"], "stroke": {old["stroke"][0], row(t, "y", 60, stroke("y", 20))}}
	keep := after(ours, bring(t, ours, theirs, map[string]string{"used": "keep"}))
	remove := after(ours, bring(t, ours, theirs, map[string]string{"used": "remove"}))
	living := func(s merge.Side) (n int) {
		for _, table := range []string{"clip", "stroke"} {
			for _, r := range s[table] {
				if !r.Gone {
					n++
				}
			}
		}
		return n
	}
	require.Equal(t, 3, living(keep))
	require.Zero(t, living(remove))
}

// The two pictures of a pair go each with the film of its own clip.
func TestAPairOnAFilmEncodedAnew(t *testing.T) {
	for _, swapped := range []bool{false, true} {
		day := row(t, "s", 1, club.Session{ID: "s", Date: "2026-03-14"})
		ours := merge.Side{"session": {day}, "clip": {row(t, "k", 2, clipOf("k", "s", "ours", 25))}}
		pair := picture.Pair{ID: "p", Name: "both", ClipID: "z", Frame: 150, Ticks: 100 + 3*12800, OtherID: "y", OtherFrame: 50, OtherTicks: 100 + 12800,
			Seen: picture.WholeView(), OtherSeen: picture.WholeView()}
		if swapped {
			pair.ClipID, pair.Frame, pair.Ticks, pair.OtherID, pair.OtherFrame, pair.OtherTicks = pair.OtherID, pair.OtherFrame, pair.OtherTicks, pair.ClipID, pair.Frame, pair.Ticks
		}
		other := clipOf("y", "s", "another", 50)
		other.Seconds, other.Frames = 40, 2000 // no film of ours is as long
		theirs := merge.Side{"session": {day}, "clip": {row(t, "z", 3, clipOf("z", "s", "theirs", 50)), row(t, "y", 3, other)}, "pair": {row(t, "p", 4, pair)}}
		got := written[picture.Pair](t, bring(t, ours, theirs, map[string]string{"film": "same"}), "pair")
		require.Len(t, got, 1)
		p := got[0]
		if swapped {
			p.ClipID, p.Frame, p.OtherID, p.OtherFrame = p.OtherID, p.OtherFrame, p.ClipID, p.Frame
		}
		require.Equal(t, []any{club.ID("k"), 75, club.ID("y"), 50}, []any{p.ClipID, p.Frame, p.OtherID, p.OtherFrame}, "second 3 of ours, and what nobody moved")
	}
}
