package summary

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/climb"
	"strokeledger/internal/tally/contrast"
)

// Overview is what a screen of a whole club shows before it turns to one sheet:
// the team, and a line a player. It stays small with hundreds of players.
type Overview struct {
	From    club.Date       `json:"from"`
	To      club.Date       `json:"to"`
	Split   club.Date       `json:"split"`
	Team    tally.Sheet     `json:"team"` // without its sessions, which Sheet has
	Players []PlayerLine    `json:"players"`
	Days    []club.Date     `json:"days"`   // of all sessions of the library, to choose a period from
	Tested  contrast.Tested `json:"tested"` // in the team's sheet and the players' together
}

// PlayerLine is one player in a list, in the order of names.
type PlayerLine struct {
	PlayerID club.ID     `json:"player_id"`
	Name     string      `json:"name"`
	Turns    int         `json:"turns"`
	Unlooked int         `json:"unlooked"` // of its turns, not looked through for every fault in use
	Strokes  int         `json:"strokes"`
	Good     int         `json:"good"`
	Longest  int         `json:"longest"` // streak
	Target   int         `json:"target"`  // of its drill; 0 where no strokes are logged
	Most     *FaultCount `json:"most"`    // the fault seen most often; nil where none was
	WorkOn   []string    `json:"work_on"` // codes, the most pressing first
	Passed   int         `json:"passed"`  // rungs of the ladder, of
	Of       int         `json:"of"`
	Next     club.ID     `json:"next"` // drill; empty where all are passed
	Rungs    []RungLine  `json:"rungs"`
}

// FaultCount is one fault with its count.
type FaultCount struct {
	FaultID club.ID `json:"fault_id"`
	Code    string  `json:"code"`
	Label   string  `json:"label"`
	Marks   int     `json:"marks"`
	X       int     `json:"x"` // strokes with it, of
	N       int     `json:"n"` // 0 where no such strokes are logged
}

// RungLine is one rung that was tried, or set by hand, on a player's ladder.
type RungLine struct {
	DrillID  club.ID        `json:"drill_id"`
	Target   int            `json:"target"`
	Passed   bool           `json:"passed"`
	PassedOn club.Date      `json:"passed_on"`
	By       climb.PassedBy `json:"by"`
	Best     int            `json:"best"`
	Tries    int            `json:"tries"`
}

// Overview counts what the query asks for and keeps a line a player. Behind lists
// the marks behind a number.
func (x *Summaries) Overview(ctx context.Context, q Query) (Overview, error) {
	none := Overview{Players: []PlayerLine{}, Days: []club.Date{}}
	s, err := x.sum(ctx, q, tally.Options{Lean: true})
	if err != nil {
		return none, err
	}
	sessions, err := x.lib.Sessions(ctx)
	if err != nil {
		return none, err
	}
	dropMarks(&s.Team)
	s.Team.Sessions = []tally.Session{}
	o := Overview{From: s.From, To: s.To, Split: s.Split, Team: s.Team, Players: make([]PlayerLine, len(s.Players)), Tested: s.Tested}
	o.Days = make([]club.Date, len(sessions))
	for i := range sessions {
		o.Days[i] = sessions[i].Date
	}
	for i := range s.Players {
		o.Players[i] = lineOf(&s.Players[i])
	}
	return o, nil
}

// Ranking puts the players in order for one fault; its Players are empty where
// there are fewer than two.
func (x *Summaries) Ranking(ctx context.Context, q Query, fault club.ID) (tally.Ranking, error) {
	none := tally.Ranking{FaultID: fault, Players: []tally.Ranked{}}
	s, err := x.sum(ctx, q, tally.Options{Lean: true})
	if err != nil {
		return none, err
	}
	// Who has strokes comes first; a ranking per minute follows its fault's own.
	for _, r := range s.Rankings {
		if r.FaultID == fault {
			return r, nil
		}
	}
	return none, nil
}

func lineOf(s *tally.Sheet) PlayerLine {
	l := PlayerLine{
		PlayerID: s.PlayerID, Name: s.Name,
		Turns: s.All.Turns, Unlooked: s.All.Looked.SomeTurns + s.All.Looked.NoTurns, Strokes: s.All.Strokes, Good: s.All.Good,
		Longest: s.All.Streak.Longest, Target: s.All.Streak.Target,
		WorkOn: []string{}, Rungs: []RungLine{},
	}
	for i := range s.All.Faults {
		f := &s.All.Faults[i]
		if f.Marks == 0 {
			continue
		}
		l.Most = &FaultCount{FaultID: f.FaultID, Code: f.Code, Label: f.Label, Marks: f.Marks}
		if f.PerStroke != nil {
			l.Most.X, l.Most.N = f.PerStroke.X, f.PerStroke.N
		}
		break
	}
	if s.WorkOn != nil {
		for _, a := range s.WorkOn.Faults {
			l.WorkOn = append(l.WorkOn, a.Code)
		}
	}
	if s.Ladder == nil {
		return l
	}
	l.Passed, l.Of, l.Next = s.Ladder.Passed, s.Ladder.Of, s.Ladder.Next
	for _, r := range s.Ladder.Rungs {
		if r.Tries > 0 || r.By != "" {
			l.Rungs = append(l.Rungs, RungLine{r.DrillID, r.Target, r.Passed, r.PassedOn, r.By, r.Best, r.Tries})
		}
	}
	return l
}
