package publish

import (
	"context"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
)

// drawnOnClips is what is drawn on the clips of moments, by clip.
func (d *Documents) drawnOnClips(ctx context.Context, moments []moment) (map[club.ID][]picture.Drawing, error) {
	var clips []club.ID
	for _, m := range moments {
		clips = append(clips, m.clip.ID)
	}
	return d.lib.DrawingsOf(ctx, clips)
}

// drawn are the sign of the moment's mark and those of the drawings on its clip that it
// shows, in the picture as it is shown.
func (m moment) drawn(drawings []picture.Drawing, a picture.Adjustment, texts bool) (shown []picture.Drawing) {
	at := func(ticks int64) float64 { return m.clip.Base.Seconds(ticks - m.clip.FirstTicks) }
	for _, d := range picture.Told(append(slices.Clone(m.sign), drawings...), texts) {
		if at(d.FirstTicks) <= m.to && at(d.LastTicks) >= m.from {
			shown = append(shown, d.Moved(a.Shown))
		}
	}
	return shown
}
