package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/desk/measured"
)

type measuresCmd struct {
	Clip string `arg:"" help:"Name or id of a clip in the library."`
	JSON bool   `help:"Print one JSON object."`
}

// measuredJSON is one stroke; what could not be measured is left out. A half is 1.96
// standard deviations of measuring.
type measuredJSON struct {
	StrokeID  club.ID         `json:"stroke_id,omitempty"` // not there: the stroke is only heard
	Frame     int             `json:"frame"`
	Seconds   float64         `json:"seconds"`
	RestsOn   string          `json:"rests_on"`              // "ledger", "heard" or "heard and seen"
	Sureness  *float64        `json:"confidence,omitempty"`  // of a stroke that is proposed, 0 to 1
	Side      club.Side       `json:"side,omitempty"`        // of a stroke that is proposed
	SideSure  *float64        `json:"side_chance,omitempty"` // of a side that only the joints say, 0 to 1
	Feet      *float64        `json:"feet_cm,omitempty"`
	FeetHalf  *float64        `json:"feet_half,omitempty"`
	Elbow     *float64        `json:"elbow_drop_percent,omitempty"` // of the trunk's length
	ElbowHalf *float64        `json:"elbow_drop_half,omitempty"`
	Hand      *float64        `json:"hand_up_percent,omitempty"` // of the trunk's length
	HandHalf  *float64        `json:"hand_up_half,omitempty"`
	Ready     *readyJSON      `json:"ready,omitempty"`
	Suggested []suggestedJSON `json:"suggested"`
}

// readyJSON is when the hand is back in the ready position.
type readyJSON struct {
	Frame   int      `json:"frame"`
	Seconds float64  `json:"seconds"` // clip time
	Half    float64  `json:"half"`    // of Seconds
	By      string   `json:"by"`      // "coach" or "joints"
	Never   bool     `json:"never,omitempty"`
	Margin  *float64 `json:"margin_ms,omitempty"` // before the next contact; negative: after it
	To      string   `json:"margin_to,omitempty"` // whose contact: "partner" or "own"
}

type suggestedJSON struct {
	Fault  string  `json:"fault"`
	Chance float64 `json:"chance"`
}

// Run measures the strokes of a clip: those in the ledger, or those that are heard.
func (m *measuresCmd) Run(c *command) error {
	d, cat, err := c.catalogued()
	if err != nil {
		return err
	}
	defer d.Close()
	id, err := clipNamed(c.ctx, d, m.Clip)
	if err != nil {
		return err
	}
	if err := m.listen(c, d, id); err != nil {
		return err
	}
	progress := newBar(c.say)
	err = d.Measured.WatchToEnd(c.ctx, id, func(done, all int) { progress.show(done, all, "measuring") })
	progress.end()
	if err != nil {
		return err
	}
	all, err := d.Measured.Measures(c.ctx, id)
	if err != nil {
		return err
	}
	r, err := d.Rulers.Of(c.ctx, id)
	if err != nil {
		return err
	}
	codes := map[club.ID]string{}
	for _, f := range cat.Faults {
		codes[f.ID] = f.Code
	}
	if !m.JSON {
		if r == nil {
			fmt.Fprintln(c.out, "No ruler is laid on this clip: the feet are not measured.")
		}
		if len(all) == 0 {
			fmt.Fprintln(c.out, "The player was found in no picture of these strokes.")
		}
		for _, s := range all {
			fmt.Fprintln(c.out, inWords(s, codes))
		}
		return nil
	}
	out := struct {
		Ruler   bool           `json:"ruler"` // one is laid on the clip
		Strokes []measuredJSON `json:"strokes"`
	}{r != nil, make([]measuredJSON, len(all))}
	for i, s := range all {
		out.Strokes[i] = measuredAsJSON(s, codes)
	}
	e := json.NewEncoder(c.out)
	e.SetIndent("", " ")
	return e.Encode(out)
}

// listen hears the strokes of a clip, as far as there is sound.
func (m *measuresCmd) listen(c *command, d *desk.Desk, id club.ID) error {
	row, err := d.Library.Clip(c.ctx, id)
	if err != nil {
		return err
	}
	progress := newBar(c.say)
	err = d.Listening.ListenToEnd(c.ctx, row, func(done, all float64) { progress.show(int(done), int(all), "listening") })
	progress.end()
	p, also := d.Listening.Progress(c.ctx, id)
	if p.State == listening.Silent {
		err = nil // strokes that were entered by hand can be measured
	}
	return errors.Join(err, also)
}

func inWords(s measured.Stroke, codes map[club.ID]string) string {
	words := map[club.Measure]string{club.FeetBehind: "feet %.0f cm behind the end line", club.ElbowDrop: "elbow %.0f %% of the trunk below the shoulder", club.HandBack: "hand %.0f %% above the hips"}
	parts := []string{}
	for _, v := range s.Values {
		if v.Measure == club.ReadyMargin {
			continue // s.Ready tells it
		}
		parts = append(parts, fmt.Sprintf(words[v.Measure]+" (±%.0f)", v.At, max(1, v.Half)))
	}
	if len(parts) == 0 {
		parts = append(parts, "nobody who can be measured")
	}
	if s.Ready != nil {
		parts = append(parts, s.Ready.Say)
	}
	line := fmt.Sprintf("frame %d%s: %s", s.Frame, proposedInWords(s), strings.Join(parts, ", "))
	for _, o := range s.Suggestions {
		line += fmt.Sprintf("; %s? (%.0f %%)", codes[o.FaultID], 100*o.Chance)
	}
	return line
}

// restsOn is what a stroke rests on.
func restsOn(s measured.Stroke) string {
	switch {
	case s.StrokeID != "":
		return "ledger"
	case s.Proposed != nil && s.Proposed.Seen:
		return "heard and seen"
	}
	return "heard"
}

// proposedInWords tells of a stroke that no coach has taken over what it rests on.
func proposedInWords(s measured.Stroke) string {
	if s.StrokeID != "" {
		return ""
	}
	text := " (" + restsOn(s)
	if q := s.Proposed; q != nil {
		text += fmt.Sprintf(", %.0f %%", 100*q.Confidence)
		if q.SideChance > 0 {
			text += fmt.Sprintf(", about a %s", q.Side)
		}
	}
	return text + ")"
}

func measuredAsJSON(s measured.Stroke, codes map[club.ID]string) measuredJSON {
	out := measuredJSON{StrokeID: s.StrokeID, Frame: s.Frame, Seconds: round(s.Seconds, 1e4), RestsOn: restsOn(s), Suggested: []suggestedJSON{}}
	if q := s.Proposed; q != nil {
		sure := round(q.Confidence, 1e3)
		out.Sureness, out.Side = &sure, q.Side
		if q.SideChance > 0 {
			chance := round(q.SideChance, 1e3)
			out.SideSure = &chance
		}
	}
	for _, v := range s.Values {
		at, half := round(v.At, 10), round(v.Half, 10)
		switch v.Measure {
		case club.FeetBehind:
			out.Feet, out.FeetHalf = &at, &half
		case club.ElbowDrop:
			out.Elbow, out.ElbowHalf = &at, &half
		case club.HandBack:
			out.Hand, out.HandHalf = &at, &half
		}
	}
	if r := s.Ready; r != nil {
		out.Ready = readyAsJSON(r)
	}
	for _, o := range s.Suggestions {
		out.Suggested = append(out.Suggested, suggestedJSON{codes[o.FaultID], round(o.Chance, 1e3)})
	}
	return out
}

func readyAsJSON(r *measured.Ready) *readyJSON {
	out := &readyJSON{Frame: r.Frame, Seconds: round(r.Seconds, 1e4), Half: round(r.Half, 1e3), By: "joints", Never: r.Never}
	if r.ByCoach {
		out.By = "coach"
	}
	if r.Margin != nil {
		ms := round(1000**r.Margin, 1)
		out.Margin, out.To = &ms, "partner"
		if r.Own {
			out.To = "own"
		}
	}
	return out
}
