package family

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"strokeledger/internal/report/plain"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/advice"
	"strokeledger/internal/tally/group"
	"strokeledger/internal/tally/verdict"
	"strokeledger/internal/tally/wording"
)

const (
	mostGood    = 4 // sentences on what is good
	mostHolds   = 2 // of them on faults that hardly come
	leastStreak = 3 // good strokes in a row that are worth a word (common practice, no source)

	// What fits on one side, in characters.
	longestName, longestLabel, longestCue, longestNote = 50, 70, 110, 140
)

// good is what went well, the best first. There is always something: who has trained has
// done that.
func good(p *Page) (list []string) {
	s := &p.Sheet
	if best := s.Best; best != nil && best.Longest >= leastStreak {
		text := fmt.Sprintf("%s good strokes in a row%s, on %s", upper(wording.Number(best.Longest)), in(p.Drills[best.DrillID]), day(best.Date))
		if best.Target > 0 && best.Longest >= best.Target {
			text += ": that was the aim, well done"
		}
		list = append(list, text+".")
	}
	if d := bestDrill(s.Drills); d != nil {
		list = append(list, fmt.Sprintf("Best%s: %d of %s were good.", in(d.Name), d.Good, wording.Count(d.Strokes, "stroke")))
	}
	if n := s.All; bestDrill(s.Drills) == nil && n.Strokes >= 10 && 10*n.Good >= 7*n.Strokes {
		list = append(list, fmt.Sprintf("%d of %s were good.", n.Good, wording.Count(n.Strokes, "stroke")))
	}
	if l := s.Ladder; l != nil && l.Passed > 0 {
		list = append(list, fmt.Sprintf("%s of the club's %s passed.", upper(wording.Number(l.Passed)), wording.Count(l.Of, "step")))
	}
	for _, f := range s.All.Faults {
		if _, better := f.Trend.Shown(); better && !f.Retired {
			list = append(list, spaced(fmt.Sprintf("“%s” comes less often than at first.", label(f.Label)), s.Meanings[f.FaultID].Family))
			break
		}
	}
	list = append(list, holds(s)...)
	if len(list) == 0 {
		list = append(list, fmt.Sprintf("%s in %s: practice is what makes it better.", upper(wording.Count(s.All.Strokes, "stroke")), wording.Count(s.All.Sessions, "training")))
		if s.All.Strokes == 0 {
			list[0] = fmt.Sprintf("%s at the table in %s: practice is what makes it better.", upper(wording.Count(s.All.Turns, "turn")), wording.Count(s.All.Sessions, "training"))
		}
	}
	return list[:min(len(list), mostGood)]
}

// in names a drill, "" where it has no name.
func in(drill string) string {
	if drill == "" {
		return ""
	}
	return " in “" + plain.Text(drill, longestName) + "”"
}

// bestDrill is the one with the largest part of good strokes, seven in ten at least, of
// those with enough strokes to say anything; nil for none.
func bestDrill(drills []group.Group) (best *group.Group) {
	for i := range drills {
		d := &drills[i]
		if d.Strokes < verdict.EnoughStrokes || 10*d.Good < 7*d.Strokes {
			continue
		}
		if best == nil || d.Good*best.Strokes > best.Good*d.Strokes {
			best = d
		}
	}
	return best
}

// holds says what hardly ever goes wrong, the most important first, by the cue where
// there is one: that is how the player knows it.
func holds(s *tally.Sheet) (list []string) {
	faults := slices.Clone(s.All.Faults)
	slices.SortStableFunc(faults, func(a, b group.FaultLine) int { return cmp.Compare(b.Weight, a.Weight) })
	for _, f := range faults {
		if f.Retired || verdict.Of(f.PerStroke) != verdict.Rare || len(list) == mostHolds {
			continue
		}
		text := fmt.Sprintf("“%s” hardly ever comes: that holds.", label(f.Label))
		if f.Cue != "" {
			text = fmt.Sprintf("“%s” That holds.", sentence(plain.Text(f.Cue, longestCue)))
		}
		list = append(list, spaced(text, s.Meanings[f.FaultID].Family))
	}
	return list
}

// spaced are two texts with a space between, where there are two.
func spaced(a, b string) string { return strings.TrimSpace(a + " " + b) }

// work is the one thing to work on.
type work struct {
	What   string // the fault in words, or a sentence where there is none
	Often  string // how often, in words, where it is known well enough; and that its meaning was changed
	Cue    string
	How    string // what practice
	Drills []string
}

// workOn is the first thing on the coach's own page, with the same sentence behind it.
func workOn(p *Page) (w work) {
	on := p.Sheet.WorkOn
	if on == nil {
		return work{What: "Nothing for now: go on as you do."}
	}
	if len(on.Faults) == 0 {
		w.What = "Nothing for now: go on as you do. The coach looks again when there is more film."
		if on.Holds {
			w.What = "All that was looked at holds."
			if len(on.MoveUp) > 0 {
				w.How, w.Drills = "The next step:", names(on.MoveUp)
			}
		}
		return w
	}
	a := on.Faults[0]
	w.What, w.Drills = label(a.Label), names(a.Drills)
	if a.Cue != "" {
		w.Cue = sentence(plain.Text(a.Cue, longestCue))
	}
	if i := slices.IndexFunc(p.Sheet.All.Faults, func(f group.FaultLine) bool { return f.FaultID == a.FaultID }); i >= 0 {
		if often := verdict.InWords(p.Sheet.All.Faults[i].PerStroke); often != "" {
			w.Often = "It comes in " + often + "."
		}
	}
	w.Often = spaced(w.Often, p.Sheet.Meanings[a.FaultID].Family)
	switch a.Where {
	case advice.InIrregular:
		w.How = "It comes when the next ball is not known. Practise with balls that are not announced"
	case advice.InRegular, advice.InBoth:
		w.How = "Practise it where the next ball is known, slowly first"
	case advice.InFree:
		w.How = "It comes in free play. Play free, with that in mind"
	default:
		w.How = "Keep it in mind in every drill"
		if len(w.Drills) > 0 {
			w.How = "Keep it in mind, above all here"
		}
	}
	if len(w.Drills) > 0 {
		w.How += ":"
	} else {
		w.How += "."
	}
	return w
}

// mostDrills is how many drills are named.
const mostDrills = 2

func names(hints []advice.DrillHint) (list []string) {
	for _, h := range hints[:min(len(hints), mostDrills)] {
		list = append(list, plain.Text(h.Name, longestName))
	}
	return list
}

func label(s string) string { return plain.Text(s, longestLabel) }

// sentence ends with a full stop.
func sentence(s string) string {
	if s != "" && !strings.ContainsAny(s[len(s)-1:], ".!?") {
		return s + "."
	}
	return s
}

// upper begins with a capital letter.
func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
