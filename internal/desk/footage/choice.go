package footage

import (
	"context"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// Choice is by which of a file's videos and sounds a clip is looked at: places in
// the clip's Info, counted from 1; 0 is the file's own default.
type Choice struct {
	Video int `json:"video"`
	Sound int `json:"sound"`
}

// Chosen is what was chosen for a clip, both defaults where nothing was.
func (x *Clips) Chosen(ctx context.Context, row club.Clip) (Choice, error) {
	s, err := x.lib.StreamsOf(ctx, row)
	return Choice(s), err
}

// Unchoose says that what was chosen for a clip does not hold for another film
// that takes its place, whose videos and sounds are others. It holds again where
// that is undone.
func (x *Clips) Unchoose(ctx context.Context, row club.Clip, fingerprint string) error {
	return x.lib.ExceptStreams(ctx, row.ID, fingerprint)
}

// Choose looks at a clip by another of its videos or sounds from now on; 0 leaves
// that as it is. Frames are counted in one video, so a clip that has entries keeps
// its own.
func (x *Clips) Choose(ctx context.Context, id club.ID, to Choice) error {
	c, release, err := x.Open(ctx, id)
	if err != nil {
		return err
	}
	info := c.Info()
	release()
	if to.Video < 0 || to.Video > len(info.Videos) || to.Sound < 0 || to.Sound > len(info.Sounds) {
		return &club.Problem{Field: "video", Say: "There is no such video or sound in this clip: choose one of the list."}
	}
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return err
	}
	now, err := x.Chosen(ctx, row)
	if err != nil {
		return err
	}
	other := to.Video > 0 && info.Videos[to.Video-1].Stream != info.Stream
	if other {
		led, err := x.lib.OfClip(ctx, id)
		if err != nil {
			return err
		}
		if len(led.Turns)+len(led.Strokes)+len(led.Marks)+len(led.Looks)+len(led.Rulers)+len(led.Pairings)+len(led.Pairs)+len(led.Drawings) > 0 {
			return &club.Problem{Field: "video", Say: "This clip has entries, and their frames are counted in the video that it shows: remove them first, or stay with this video."}
		}
	}
	if to.Video > 0 {
		now.Video = to.Video
	}
	if to.Sound > 0 {
		now.Sound = to.Sound
	}
	if err := x.lib.ChooseStreams(ctx, id, store.Streams(now)); err != nil {
		return err
	}
	x.Replaced(id)
	if !other {
		return nil
	}
	return x.remeasure(ctx, id)
}

// remeasure notes length and size of a clip by the video that it shows now.
func (x *Clips) remeasure(ctx context.Context, id club.ID) error {
	row, err := x.lib.Clip(ctx, id)
	if err != nil {
		return err
	}
	c, release, err := x.Open(ctx, id)
	if err != nil {
		return err
	}
	defer release()
	ix, err := x.KeepIndex(ctx, c, row.Fingerprint)
	if err != nil {
		return err
	}
	return x.lib.Amend(ctx, "look at "+row.Name+" by another video", Titled(Measured(id, row.SessionID, row.Path, row.Fingerprint, row.Bytes, c.Info(), ix), row))
}
