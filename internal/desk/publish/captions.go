package publish

import (
	"context"
	"io"

	"strokeledger/internal/club"
	"strokeledger/internal/redact"
	"strokeledger/internal/report"
)

// captionSeconds is how long the caption of a mark stands.
const captionSeconds = 2.5

// Captions writes the marks of a clip as a WebVTT track, on the clip's clock.
// Players appear by alias or initials unless names is set.
func (d *Documents) Captions(ctx context.Context, clipID club.ID, names bool, w io.Writer) error {
	captions, _, err := d.tracks(ctx, clipID, names)
	if err != nil {
		return err
	}
	return report.WebVTT(w, captions)
}

// Chapters writes the turns of a clip as a WebVTT track of chapters.
func (d *Documents) Chapters(ctx context.Context, clipID club.ID, names bool, w io.Writer) error {
	_, chapters, err := d.tracks(ctx, clipID, names)
	if err != nil {
		return err
	}
	return report.WebVTT(w, chapters)
}

func (d *Documents) tracks(ctx context.Context, clipID club.ID, names bool) (captions, chapters report.Track, err error) {
	film, err := d.lib.Clip(ctx, clipID)
	if err != nil {
		return captions, chapters, err
	}
	led, err := d.lib.OfClip(ctx, clipID)
	if err != nil {
		return captions, chapters, err
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return captions, chapters, err
	}
	origin, err := d.origin(ctx, cat)
	if err != nil {
		return captions, chapters, err
	}
	captions.Origin, chapters.Origin = origin, origin
	called := redact.Players(cat, names)
	drills, faults := map[club.ID]club.Drill{}, map[club.ID]club.Fault{}
	for _, r := range cat.Drills {
		drills[r.ID] = r
	}
	for _, f := range cat.Faults {
		faults[f.ID] = f
	}
	at := func(ticks int64) float64 { return film.Base.Seconds(ticks - film.FirstTicks) }
	for _, t := range led.Turns {
		drill := drills[t.DrillID]
		chapters.Texts = append(chapters.Texts, report.TimedText{
			From: at(t.FirstTicks), To: at(t.LastTicks), Lines: []string{called[t.PlayerID] + ": " + drill.Name},
		})
	}
	for _, m := range led.Marks {
		f := faults[m.FaultID]
		first := f.Code + " " + f.Label
		for _, t := range led.Turns {
			if t.Covers(m.Frame) {
				first = called[t.PlayerID] + ": " + first
			}
		}
		from := at(m.Ticks)
		captions.Texts = append(captions.Texts, report.TimedText{From: from, To: from + captionSeconds, Lines: []string{first, f.Cue}})
	}
	return captions, chapters, nil
}
