package main

import (
	"context"
	"fmt"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/entry"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/pairing"
	"strokeledger/internal/desk/pass"
	"strokeledger/internal/picture"
	"strokeledger/internal/sentence"
	"strokeledger/internal/timecode"
)

// Bench is the review screen: the clip and its marks.
type Bench struct{ s *shell }

// BenchClip is a clip opened for review.
type BenchClip struct {
	Clip     footage.ClipRow `json:"clip"`
	Width    int             `json:"width"`  // as shown, pixels
	Height   int             `json:"height"` // as shown, pixels
	Frames   int             `json:"frames"` // known so far
	Complete bool            `json:"complete"`
	Base     timecode.Base   `json:"base"`
	Sound    bool            `json:"sound"`
	Notices  []string        `json:"notices"`

	Cameras pairing.Group `json:"cameras"` // that show the same minutes

	Adjusted picture.Adjustment `json:"adjusted"` // how a coach has set it to be shown

	Interlaced bool    `json:"interlaced"` // each picture may hold two moments
	Slowness   float64 `json:"slowness"`   // seconds of playing that one second in the hall takes
	Seconds    float64 `json:"seconds"`    // to the end of the last picture known so far
	Videos     []Part  `json:"videos"`     // to choose from
	Sounds     []Part  `json:"sounds"`
}

// Part is a video or a sound of a clip's file.
type Part struct {
	Name  string `json:"name"`
	Shown bool   `json:"shown"` // or heard
}

// Open opens a clip. Where its scan still runs, an "index" event follows.
func (b *Bench) Open(clipID club.ID) (BenchClip, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (v BenchClip, err error) {
		id := clipID
		view, err := d.Footage.View(ctx, id, func(ix *clip.Index, err error) {
			if err != nil {
				b.s.emit(eventIndex, indexEvent{ClipID: id, Complete: true, Say: sentence.Of(err)})
				return
			}
			b.s.emit(eventIndex, indexed(id, ix, d.Footage.Notices(ctx, id)))
		})
		if err != nil {
			return v, err
		}
		cameras, err := d.Pairings.Of(ctx, id)
		if err != nil {
			return v, err
		}
		adjusted, err := d.Pictures.Adjustment(ctx, id)
		if err != nil {
			return v, err
		}
		videos, sounds := parts(view.Info)
		return BenchClip{
			Cameras: cameras, Adjusted: adjusted,
			Interlaced: view.Info.Interlaced, Slowness: view.Slowness, Seconds: view.Index.EndSeconds(), Videos: videos, Sounds: sounds,
			Clip: view.Clip, Width: view.Info.Width, Height: view.Info.Height,
			Frames: view.Index.Len(), Complete: !view.Indexing, Base: view.Info.Base,
			Sound: len(view.Info.Sounds) > 0, Notices: view.Notices,
		}, nil
	})
}

// parts lists what a clip's file has to choose from, in words.
func parts(info clip.Info) (videos, sounds []Part) {
	for i, v := range info.Videos {
		videos = append(videos, Part{fmt.Sprintf("Video %d: %d × %d", i+1, v.Width, v.Height), v.Stream == info.Stream})
	}
	for i, s := range info.Sounds {
		channels := fmt.Sprintf("%d channels", s.Channels)
		switch s.Channels {
		case 1:
			channels = "mono"
		case 2:
			channels = "stereo"
		}
		sounds = append(sounds, Part{fmt.Sprintf("Sound %d: %s", i+1, channels), i == info.ChosenSound})
	}
	return videos, sounds
}

// Choose looks at a clip by another of its videos and sounds, counted from 1; 0
// leaves that as it is. Open it anew then.
func (b *Bench) Choose(clipID club.ID, video, sound int) error {
	return b.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Footage.Choose(ctx, clipID, footage.Choice{Video: video, Sound: sound})
	})
}

// Grown reports whether a clip's file has more in it than is known.
func (b *Bench) Grown(clipID club.ID) (bool, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (bool, error) {
		return d.Footage.Grown(ctx, clipID)
	})
}

// ReadOn takes over what a clip's file has got since; an "index" event follows.
func (b *Bench) ReadOn(clipID club.ID) error {
	return b.s.do(func(ctx context.Context, d *desk.Desk) error {
		id := clipID
		ix, err := d.Footage.ReadOn(ctx, id)
		if err != nil {
			return err
		}
		b.s.emit(eventIndex, indexed(id, ix, d.Footage.Notices(ctx, id)))
		return nil
	})
}

func indexed(id club.ID, ix *clip.Index, notices []string) indexEvent {
	return indexEvent{ClipID: id, Frames: ix.Len(), Complete: ix.Complete, Seconds: ix.EndSeconds(), Notices: append([]string{}, notices...)}
}

// Ledger returns what was entered on a clip.
func (b *Bench) Ledger(clipID club.ID) (entry.Ledger, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (entry.Ledger, error) {
		return d.Marks.Ledger(ctx, clipID)
	})
}

// MarkPlayed marks a fault whose key was pressed while the clip played at a rate, and its
// picture had stood for so many seconds.
func (b *Bench) MarkPlayed(clipID club.ID, frame int, faultID club.ID, rate, still float64) (pass.Played, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (pass.Played, error) {
		return d.Pass.MarkPlayed(ctx, clipID, frame, faultID, rate, still)
	})
}

// AddMark marks a fault at a frame; it is on disk when the promise is kept.
func (b *Bench) AddMark(clipID club.ID, frame int, faultID club.ID) (club.Mark, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Mark, error) {
		return d.Marks.Add(ctx, clipID, frame, faultID)
	})
}

// SaveMark changes the fault, the frame or the note of a mark.
func (b *Bench) SaveMark(id, faultID club.ID, frame int, note string) (club.Mark, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Mark, error) {
		return d.Marks.Save(ctx, id, faultID, frame, note)
	})
}

// RemoveMark takes a mark out of the ledger.
func (b *Bench) RemoveMark(id club.ID) error {
	return b.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Marks.Remove(ctx, id)
	})
}

// HangMark hangs a mark on a stroke of its turn; an empty stroke: on the nearest.
func (b *Bench) HangMark(id, strokeID club.ID) (club.Mark, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Mark, error) {
		return d.Marks.Hang(ctx, id, strokeID)
	})
}

// DrawSign draws a mark's sign on its picture; none wipes it off.
func (b *Bench) DrawSign(id club.ID, sign *club.Sign) (club.Mark, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Mark, error) {
		return d.Marks.DrawSign(ctx, id, sign)
	})
}

// Strokes logs the player's strokes by hand, and times them.
type Strokes struct{ s *shell }

// Add logs a stroke at a frame, good or missed.
func (b *Strokes) Add(clipID club.ID, frame int, outcome club.Outcome) (club.Stroke, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Stroke, error) {
		return d.Strokes.Add(ctx, clipID, frame, outcome)
	})
}

// Save changes a stroke; an empty side leaves it to the drill's pattern.
func (b *Strokes) Save(id club.ID, frame int, side club.Side, outcome club.Outcome) (club.Stroke, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Stroke, error) {
		return d.Strokes.Save(ctx, id, frame, side, outcome)
	})
}

// Remove takes a stroke out of the ledger.
func (b *Strokes) Remove(id club.ID) error {
	return b.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Strokes.Remove(ctx, id)
	})
}

// Ready says that the player is back in the ready position at a frame, after the
// last stroke before it.
func (b *Strokes) Ready(clipID club.ID, frame int) (club.Stroke, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Stroke, error) {
		return d.Ready.SetReady(ctx, clipID, frame)
	})
}

// Answer says that the partner strikes at a frame, after the last stroke before it.
func (b *Strokes) Answer(clipID club.ID, frame int) (club.Stroke, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Stroke, error) {
		return d.Ready.SetAnswer(ctx, clipID, frame)
	})
}

// LateFault is the fault of a late return to ready; its id is empty where a coach
// must pick one.
func (b *Strokes) LateFault() (club.Fault, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Fault, error) {
		return d.Ready.LateFault(ctx)
	})
}

// MarkLate marks a stroke's late return to ready; a fault that is given is the
// team's for it from now on.
func (b *Strokes) MarkLate(strokeID, faultID club.ID) (club.Mark, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Mark, error) {
		return d.Ready.MarkLate(ctx, strokeID, faultID)
	})
}

// Turns gives stretches of a clip to a player and a drill.
type Turns struct{ s *shell }

// Save adds (empty id) or changes a turn.
func (b *Turns) Save(row club.Turn) (club.Turn, error) {
	return asked(b.s, func(ctx context.Context, d *desk.Desk) (club.Turn, error) {
		return d.Turns.Save(ctx, row)
	})
}

// Remove takes a turn away; its strokes and marks stay, uncounted.
func (b *Turns) Remove(id club.ID) error {
	return b.s.do(func(ctx context.Context, d *desk.Desk) error {
		return d.Turns.Remove(ctx, id)
	})
}
