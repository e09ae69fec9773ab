package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/asticode/go-astisub"

	"strokeledger/internal/club"
	"strokeledger/internal/report/plain"
)

// Track is one WebVTT file: captions, or chapters.
type Track struct {
	Origin Origin
	Texts  []TimedText
}

// TimedText is what is shown from one time of a clip to another, in seconds on the
// clip's clock. Each line is data.
type TimedText struct {
	From, To float64
	Lines    []string
}

// WebVTT writes a track as W3C WebVTT, times rounded to the nearest millisecond.
// A cue lasts one millisecond at least; what would begin before the clip begins
// with it. The origin is a comment.
func WebVTT(w io.Writer, t Track) error {
	note := strings.Join(t.Origin.Lines(), " ")
	s := astisub.NewSubtitles()
	for _, c := range t.Texts {
		from := milliseconds(c.From)
		item := &astisub.Item{StartAt: from, EndAt: max(milliseconds(c.To), from+time.Millisecond)}
		for _, line := range c.Lines {
			// A cue must not hold the arrow that stands between its times.
			text := strings.ReplaceAll(plain.Text(line, club.MaxNote), "-->", "→")
			if text = strings.TrimSpace(text); text != "" {
				item.Lines = append(item.Lines, astisub.Line{Items: []astisub.LineItem{{Text: text}}})
			}
		}
		if item.Lines != nil {
			s.Items = append(s.Items, item)
		}
	}
	var err error
	if len(s.Items) == 0 {
		_, err = fmt.Fprintf(w, "WEBVTT\n\nNOTE %s\n", note)
	} else {
		s.Items[0].Comments = []string{note}
		err = s.WriteToWebVTT(w)
	}
	if err != nil {
		return fmt.Errorf("write WebVTT: %w", err)
	}
	return nil
}

// milliseconds is the nearest whole millisecond: the writer would cut it off.
func milliseconds(seconds float64) time.Duration {
	const most = 359999 * time.Hour // far beyond any clip
	ms := math.Round(max(0, seconds) * 1000)
	if !(ms < float64(most/time.Millisecond)) {
		return most
	}
	return time.Duration(ms) * time.Millisecond
}
