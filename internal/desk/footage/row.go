package footage

import (
	"context"
	"fmt"
	"path/filepath"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

// ListedClip is one clip with what is in the ledger about it.
type ListedClip struct {
	club.Clip
	Turns   int `json:"turns"`
	Strokes int `json:"strokes"`
	Marks   int `json:"marks"`
	// Unlooked is how many of its turns nobody has looked at.
	Unlooked int `json:"unlooked"`
	// Players are those who have turns on it, in the order of their first frames; empty
	// where only one clip is asked for.
	Players []club.ID `json:"players"`
}

// ClipRow is one clip of which is known whether its file is there.
type ClipRow struct {
	ListedClip
	Missing bool `json:"missing"` // its file is not where it was, or another one is
}

// Listed is a clip with its counts.
func Listed(c club.Clip, n store.Count) ListedClip {
	return ListedClip{Clip: c, Turns: n.Turns, Strokes: n.Strokes, Marks: n.Marks, Unlooked: n.Unlooked}
}

// Row returns one clip with what is in the ledger about it. Its file is looked
// for.
func (x *Clips) Row(ctx context.Context, id club.ID) (ClipRow, error) {
	c, err := x.lib.Clip(ctx, id)
	if err != nil {
		return ClipRow{}, err
	}
	if c, err = x.place.Locate(ctx, c); err != nil {
		return ClipRow{}, err
	}
	n, err := x.lib.Count(ctx, id)
	if err != nil {
		return ClipRow{}, err
	}
	return ClipRow{Listed(c, n), !x.place.InPlace(c)}, nil
}

// Titled is a film that was measured anew, with the title that a coach gave the clip before.
func Titled(c, before club.Clip) club.Clip {
	if before.Name != filepath.Base(before.Path) {
		c.Name = before.Name
	}
	return c
}

// Measured is the row of a film as it was measured.
func Measured(id, session club.ID, path, print string, size int64, info clip.Info, ix *clip.Index) club.Clip {
	return club.Clip{
		ID: id, SessionID: session, Name: filepath.Base(path), Path: path,
		Fingerprint: print, Bytes: size, Frames: ix.Len(), FirstTicks: ix.Ticks(0), Base: info.Base,
		Seconds: ix.EndSeconds(), Width: info.Width, Height: info.Height,
	}
}

// NoSuchFrame is the sentence for a frame that a clip of so many has not.
func NoSuchFrame(frame, frames int) string {
	if frames == 0 {
		return "No frame of this clip is known yet: wait until it is open."
	}
	return fmt.Sprintf("There is no frame %d in this clip: its frames are 0 to %d.", frame, frames-1)
}

// Nearest is the picture whose time is nearest to a moment.
func Nearest(ix *clip.Index, seconds float64) int {
	n := max(0, min(ix.FrameAt(seconds), ix.Len()-1))
	if n+1 < ix.Len() && ix.Seconds(n+1)-seconds < seconds-ix.Seconds(n) {
		n++
	}
	return n
}
