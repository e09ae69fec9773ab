package merge

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/alignment"
	"strokeledger/internal/club"
	"strokeledger/internal/standard"
)

// Of a player who stays out nothing comes in, however it hangs on the player; what belongs
// to somebody else does, also where a turn that was removed said otherwise once.
func TestWhatShowsAForgottenPlayerStaysOut(t *testing.T) {
	side := Side{}
	put := func(table string, id club.ID, gone bool, v any) {
		image, err := json.Marshal(v)
		require.NoError(t, err)
		side[table] = append(side[table], Row{ID: id, Image: image, Gone: gone, Stamp: Stamp{Clock: 7}})
	}
	put("coach", "c", false, club.Coach{ID: "c", Name: "Bea Holm"})
	for _, p := range []club.ID{"forgotten", "known"} {
		put("player", p, false, club.Player{ID: p, Name: string(p)})
	}
	put("drill", "d", false, club.Drill{ID: "d", Name: "d"})
	put("fault", "f", false, club.Fault{ID: "f", Code: "F"})
	put("session", "s", false, club.Session{ID: "s", Date: "2026-03-14"})
	for _, c := range []club.ID{"shared", "alone"} {
		put("clip", c, false, club.Clip{ID: c, SessionID: "s", Name: string(c), Frames: 1000})
	}
	turn := func(id, clip, player club.ID, gone bool, first, last int) {
		put("turn", id, gone, club.Turn{ID: id, ClipID: clip, PlayerID: player, DrillID: "d", First: first, Last: last})
	}
	turn("t0", "shared", "forgotten", false, 0, 99)
	turn("t1", "shared", "forgotten", true, 200, 299) // entered for the wrong player first
	turn("t2", "shared", "known", false, 200, 299)
	turn("t3", "alone", "forgotten", false, 0, 99)
	for i, at := range []struct {
		clip  club.ID
		frame int
	}{{"shared", 50}, {"shared", 250}, {"alone", 50}} {
		id := func(what string) club.ID { return club.ID(fmt.Sprint(what, i)) }
		put("stroke", id("stroke"), false, club.Stroke{ID: id("stroke"), ClipID: at.clip, Frame: at.frame})
		put("mark", id("mark"), false, club.Mark{ID: id("mark"), ClipID: at.clip, FaultID: "f", CoachID: "c", StrokeID: id("stroke"), Frame: at.frame + 55}) // seen after the turn's end
		put("judgement", id("judgement"), false, standard.Judgement{ID: id("judgement"), BlindID: "b", ClipID: at.clip, StrokeID: id("stroke")})
		put("decision", id("decision"), false, standard.Decision{ID: id("decision"), ClipID: at.clip, StrokeID: id("stroke"), FirstID: "c", SecondID: "c", Faults: []club.ID{}, Dropped: []club.ID{id("mark")}})
		put("model", id("model"), false, standard.Model{ID: id("model"), FaultID: "f", ClipID: at.clip, Frame: at.frame})
		put("look", id("look"), false, club.Look{ID: id("look"), ClipID: at.clip, CoachID: "c", First: at.frame, Last: at.frame + 9, Faults: []club.ID{"f"}})
	}
	put("blind_look", "b", false, standard.BlindLook{ID: "b", CoachID: "c", FirstID: "c", Turns: []club.ID{"t0", "t2"}})
	put("pairing", "alone", false, alignment.Pairing{ID: "alone", ClipID: "alone", OnID: "shared"})

	p, err := Bring(Side{}, side, Options{Now: Stamp{Clock: 9}, Told: true, Forgotten: func(p club.ID) bool { return p == "forgotten" },
		Alike: func(club.Clip, club.Clip) bool { return false }, Film: func(c club.Clip) Film { return Even{c} }})
	require.NoError(t, err)
	require.Empty(t, p.Left)
	came := map[string][]club.ID{}
	for _, w := range p.Writes {
		if !w.Gone {
			came[w.Table] = append(came[w.Table], w.ID)
		}
	}
	require.Equal(t, map[string][]club.ID{
		"coach": {"c"}, "player": {"known"}, "drill": {"d"}, "fault": {"f"}, "session": {"s"}, "clip": {"shared"}, "turn": {"t2"}, "blind_look": {"b"},
		"stroke": {"stroke1"}, "mark": {"mark1"}, "judgement": {"judgement1"}, "decision": {"decision1"}, "model": {"model1"}, "look": {"look1"},
	}, came)
}
