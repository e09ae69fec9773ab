// Package reading sums up what is measured of strokes: where the middle half lies, by
// method, drill and day, and which differences are shown. A value says where joints show
// in a picture, and what it shows is of a player's strokes: players are not compared by
// it. It is pure.
package reading

import (
	"cmp"
	"math"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/tally/interval"
)

// Turn is what was measured of the strokes of one turn.
type Turn struct {
	ClipID, PlayerID, DrillID club.ID
	Date                      club.Date
	Values                    map[club.Measure][]float64 // in the measure's unit, in any order
	// Shared is the standard deviation of the error that all strokes of the clip have in
	// common, from its camera.
	Shared map[club.Measure]float64
}

// Readings are the turns that are measured, and the clips that have strokes.
type Readings struct {
	Turns []Turn
	Clips []Clip
}

// Clip is whose strokes a clip has, and whose of them are measured.
type Clip struct{ Players, Measured []club.ID }

// Names says what a summary calls the rest: drills with their methods, and the faults
// that go with measures.
type Names struct {
	Drills []club.Drill
	Faults []club.Fault
}

// Sheet is what is measured of one player's strokes, or of everybody's. No slice in it
// is nil.
type Sheet struct {
	All      Group   `json:"all"`
	Methods  []Group `json:"methods"`  // in the order of club.Methods, only those measured
	Drills   []Group `json:"drills"`   // by rung, then name, only those measured
	Sessions []Group `json:"sessions"` // in order of date
	// Measures are the measures of All with what is shown of them, in their order.
	Measures []Shown `json:"measures"`
	// Clips of OfClips with strokes of this sheet are measured; see Say.
	Clips   int    `json:"clips"`
	OfClips int    `json:"of_clips"`
	Say     string `json:"say"` // how many clips are measured
	Caution string `json:"caution"`
}

// Group is what is measured of turns that are counted together.
type Group struct {
	Name    string      `json:"name"`
	DrillID club.ID     `json:"drill_id,omitempty"`
	Method  club.Method `json:"method,omitempty"`
	Rung    int         `json:"rung,omitempty"`
	Date    club.Date   `json:"date,omitempty"`
	Lines   []Line      `json:"lines"` // in the order of club.Measures, only those measured
}

// Line is one measure of a group's strokes, in the measure's unit.
type Line struct {
	Measure club.Measure `json:"measure"`
	Unit    string       `json:"unit"`
	Strokes int          `json:"strokes"`
	Turns   int          `json:"turns"`
	Players int          `json:"players"`
	Median  float64      `json:"median"`
	Low     float64      `json:"lower_quartile"`
	High    float64      `json:"upper_quartile"`
	// Half is half of the interval of 95 % round the median; nil with too few turns.
	Half *float64 `json:"half"`
	Say  string   `json:"say"`
}

// Shown is what a sheet shows of one measure.
type Shown struct {
	Measure club.Measure `json:"measure"`
	Faults  []string     `json:"faults"`  // codes of the faults in use that go with it
	Beyond  []Beyond     `json:"beyond"`  // strokes past the limits of these
	Methods *Difference  `json:"methods"` // irregular less regular drills; nil where one was not measured
	Days    *Difference  `json:"days"`    // a line through the days, from the first to the last; nil on one day
	Brief   string       `json:"brief"`   // what is shown, in one sentence, to stand beside a rate
	Say     string       `json:"say"`     // the same, with what cannot be told yet
}

// Beyond is how many of the strokes measured lie below a fault's limit.
type Beyond struct {
	Code  string  `json:"code"`
	Limit float64 `json:"limit"`
	X     int     `json:"x"`
	N     int     `json:"n"`
}

// Difference is how much one part of a sheet differs from another.
type Difference struct {
	// By is the difference and Half half of its interval of 95 %; both nil where it
	// cannot be told.
	By   *float64 `json:"by"`
	Half *float64 `json:"half"`
	// Holds says that it is called one, among everything that was tested in the sheet.
	Holds bool `json:"holds"`

	p float64
}

// Of sums up what is measured of a player, or of all of them together where that is empty,
// but of those who are left out. Of all no differences are told: they may be those of the
// players. It is nil where nothing is measured.
func Of(r Readings, player club.ID, without map[club.ID]bool, names Names) *Sheet {
	everybody := player == ""
	of := func(id club.ID) bool { return everybody || id == player }
	s := &Sheet{Methods: []Group{}, Drills: []Group{}, Sessions: []Group{}, Measures: []Shown{}}
	s.All.Lines = []Line{}
	var turns []Turn
	left := map[club.ID]bool{}
	for _, t := range r.Turns {
		switch {
		case of(t.PlayerID) && without[t.PlayerID]:
			left[t.PlayerID] = true
		case of(t.PlayerID):
			turns = append(turns, t)
		}
	}
	if len(turns) == 0 && len(left) == 0 {
		return nil
	}
	shows := func(id club.ID) bool { return of(id) && !without[id] }
	for _, c := range r.Clips {
		if slices.ContainsFunc(c.Players, shows) {
			s.OfClips++
		}
		if slices.ContainsFunc(c.Measured, shows) {
			s.Clips++
		}
	}
	s.Say, s.Caution = covered(s.Clips, s.OfClips, len(left)), Caution
	if len(turns) == 0 {
		return s
	}
	drills := map[club.ID]club.Drill{}
	for _, d := range names.Drills {
		drills[d.ID] = d
	}
	group := func(g Group, in func(Turn) bool) (Group, bool) {
		var some []Turn
		for _, t := range turns {
			if in(t) {
				some = append(some, t)
			}
		}
		g.Lines = lines(some, everybody)
		return g, len(g.Lines) > 0
	}
	s.All, _ = group(Group{Name: "All drills"}, func(Turn) bool { return true })
	for i, m := range club.Methods() {
		name := []string{"Regular", "Irregular", "Free"}[i]
		if g, ok := group(Group{Name: name, Method: m}, func(t Turn) bool { return drills[t.DrillID].Method == m }); ok {
			s.Methods = append(s.Methods, g)
		}
	}
	order := slices.SortedFunc(slices.Values(names.Drills), func(a, b club.Drill) int {
		return cmp.Or(cmp.Compare(a.Rung, b.Rung), cmp.Compare(a.Name, b.Name), cmp.Compare(a.ID, b.ID))
	})
	for _, d := range order {
		if g, ok := group(Group{Name: d.Name, DrillID: d.ID, Method: d.Method, Rung: d.Rung}, func(t Turn) bool { return t.DrillID == d.ID }); ok {
			s.Drills = append(s.Drills, g)
		}
	}
	var days []club.Date
	for _, t := range turns {
		days = append(days, t.Date)
	}
	slices.Sort(days)
	for _, day := range slices.Compact(days) {
		if g, ok := group(Group{Name: string(day), Date: day}, func(t Turn) bool { return t.Date == day }); ok {
			s.Sessions = append(s.Sessions, g)
		}
	}
	for _, l := range s.All.Lines {
		s.Measures = append(s.Measures, shown(l, turns, everybody, drills, names.Faults))
	}
	s.judge(everybody)
	return s
}

// shown compares the parts of a sheet in one measure.
func shown(l Line, turns []Turn, everybody bool, drills map[club.ID]club.Drill, faults []club.Fault) Shown {
	m := l.Measure
	out := Shown{Measure: m, Faults: []string{}, Beyond: []Beyond{}}
	for _, f := range faults {
		if f.Measure != m || f.Retired {
			continue
		}
		out.Faults = append(out.Faults, f.Code)
		if f.Limit == 0 {
			continue
		}
		b := Beyond{Code: f.Code, Limit: f.Limit}
		for _, t := range turns {
			for _, v := range t.Values[m] {
				b.N++
				if v < f.Limit {
					b.X++
				}
			}
		}
		out.Beyond = append(out.Beyond, b)
	}
	if everybody {
		return out
	}
	out.Methods = methods(m, turns, func(t Turn) club.Method { return drills[t.DrillID].Method })
	out.Days = days(m, turns)
	return out
}

// judge calls those differences one that hold although several were tested, and puts
// what is shown into words.
func (s *Sheet) judge(everybody bool) {
	var tested []*Difference
	var chances []float64
	for i := range s.Measures {
		for _, d := range []*Difference{s.Measures[i].Methods, s.Measures[i].Days} {
			if d != nil && d.By != nil {
				tested, chances = append(tested, d), append(chances, d.p)
			}
		}
	}
	for i, p := range interval.Adjust(chances) {
		d := tested[i]
		d.Holds = p <= .05 && math.Abs(*d.By) > *d.Half
	}
	for i := range s.Measures {
		s.sentence(&s.Measures[i], everybody)
	}
}
