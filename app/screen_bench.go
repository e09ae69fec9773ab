package main

import (
	"fmt"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/timecode"
)

// Bench is the review screen: the clip and its marks.
type Bench struct{ s *shell }

// BenchClip is a clip opened for review.
type BenchClip struct {
	Clip     desk.ClipRow  `json:"clip"`
	Width    int           `json:"width"`  // as shown, pixels
	Height   int           `json:"height"` // as shown, pixels
	Frames   int           `json:"frames"` // known so far
	Complete bool          `json:"complete"`
	Base     timecode.Base `json:"base"`
	Sound    bool          `json:"sound"`
	Notices  []string      `json:"notices"`

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
func (b *Bench) Open(clipID string) (v BenchClip, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return v, err
	}
	id := club.ID(clipID)
	view, err := d.View(ctx, id, func(ix *clip.Index, err error) {
		if err != nil {
			b.s.emit(eventIndex, indexEvent{ClipID: id, Complete: true, Say: desk.Sentence(err)})
			return
		}
		b.s.emit(eventIndex, indexEvent{ClipID: id, Frames: ix.Len(), Complete: ix.Complete, Seconds: ix.EndSeconds()})
	})
	if err != nil {
		return v, err
	}
	videos, sounds := parts(view.Info)
	return BenchClip{
		Interlaced: view.Info.Interlaced, Slowness: view.Slowness, Seconds: view.Index.EndSeconds(), Videos: videos, Sounds: sounds,
		Clip: view.Clip, Width: view.Info.Width, Height: view.Info.Height,
		Frames: view.Index.Len(), Complete: !view.Indexing, Base: view.Info.Base,
		Sound: len(view.Info.Sounds) > 0, Notices: append([]string{}, view.Notices...),
	}, nil
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
		sounds = append(sounds, Part{fmt.Sprintf("Sound %d: %s", i+1, channels), i == info.Heard})
	}
	return append([]Part{}, videos...), append([]Part{}, sounds...)
}

// Choose looks at a clip by another of its videos and sounds, counted from 1; 0
// leaves that as it is. Open it anew then.
func (b *Bench) Choose(clipID string, video, sound int) (err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return err
	}
	return d.Choose(ctx, club.ID(clipID), desk.Choice{Video: video, Sound: sound})
}

// Grown reports whether a clip's file has more in it than is known.
func (b *Bench) Grown(clipID string) (grown bool, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return false, err
	}
	return d.Grown(ctx, club.ID(clipID))
}

// ReadOn takes over what a clip's file has got since; an "index" event follows.
func (b *Bench) ReadOn(clipID string) (err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return err
	}
	id := club.ID(clipID)
	ix, err := d.ReadOn(ctx, id)
	if err != nil {
		return err
	}
	b.s.emit(eventIndex, indexEvent{ClipID: id, Frames: ix.Len(), Complete: ix.Complete, Seconds: ix.EndSeconds()})
	return nil
}

// Ledger returns what was entered on a clip.
func (b *Bench) Ledger(clipID string) (out desk.BenchLedger, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return out, err
	}
	return d.BenchLedger(ctx, club.ID(clipID))
}

// MarkPlayed marks a fault whose key was pressed while the clip played at a rate.
func (b *Bench) MarkPlayed(clipID string, frame int, faultID string, rate float64) (m desk.PlayedMark, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return m, err
	}
	return d.MarkPlayed(ctx, club.ID(clipID), frame, club.ID(faultID), rate)
}

// AddMark marks a fault at a frame; it is on disk when the promise is kept.
func (b *Bench) AddMark(clipID string, frame int, faultID string) (m club.Mark, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return m, err
	}
	return d.AddMark(ctx, club.ID(clipID), frame, club.ID(faultID))
}

// SaveMark changes the fault, the frame or the note of a mark.
func (b *Bench) SaveMark(id, faultID string, frame int, note string) (m club.Mark, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return m, err
	}
	return d.SaveMark(ctx, club.ID(id), club.ID(faultID), frame, note)
}

// RemoveMark takes a mark out of the ledger.
func (b *Bench) RemoveMark(id string) (err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return err
	}
	return d.RemoveMark(ctx, club.ID(id))
}

// HangMark hangs a mark on a stroke of its turn; an empty stroke: on the nearest.
func (b *Bench) HangMark(id, strokeID string) (m club.Mark, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return m, err
	}
	return d.HangMark(ctx, club.ID(id), club.ID(strokeID))
}

// DrawSign draws a mark's sign on its picture; one without a kind wipes it off.
func (b *Bench) DrawSign(id string, sign club.Sign) (m club.Mark, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return m, err
	}
	if sign.Kind == "" {
		return d.DrawSign(ctx, club.ID(id), nil)
	}
	return d.DrawSign(ctx, club.ID(id), &sign)
}

// Strokes logs the player's strokes by hand, and times them.
type Strokes struct{ s *shell }

// Add logs a stroke at a frame, good or missed.
func (b *Strokes) Add(clipID string, frame int, outcome string) (st club.Stroke, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return st, err
	}
	return d.AddStroke(ctx, club.ID(clipID), frame, club.Outcome(outcome))
}

// Save changes a stroke; an empty side leaves it to the drill's pattern.
func (b *Strokes) Save(id string, frame int, side, outcome string) (st club.Stroke, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return st, err
	}
	return d.SaveStroke(ctx, club.ID(id), frame, club.Side(side), club.Outcome(outcome))
}

// Remove takes a stroke out of the ledger.
func (b *Strokes) Remove(id string) (err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return err
	}
	return d.RemoveStroke(ctx, club.ID(id))
}

// Ready says that the player is back in the ready position at a frame, after the
// last stroke before it.
func (b *Strokes) Ready(clipID string, frame int) (st club.Stroke, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return st, err
	}
	return d.SetReady(ctx, club.ID(clipID), frame)
}

// Answer says that the partner strikes at a frame, after the last stroke before it.
func (b *Strokes) Answer(clipID string, frame int) (st club.Stroke, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return st, err
	}
	return d.SetAnswer(ctx, club.ID(clipID), frame)
}

// LateFault is the fault of a late return to ready; its id is empty where a coach
// must pick one.
func (b *Strokes) LateFault() (f club.Fault, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return f, err
	}
	return d.LateFault(ctx)
}

// MarkLate marks a stroke's late return to ready; a fault that is given is the
// team's for it from now on.
func (b *Strokes) MarkLate(strokeID, faultID string) (m club.Mark, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return m, err
	}
	return d.MarkLate(ctx, club.ID(strokeID), club.ID(faultID))
}

// Turns gives stretches of a clip to a player and a drill.
type Turns struct{ s *shell }

// Save adds (empty id) or changes a turn.
func (b *Turns) Save(row club.Turn) (t club.Turn, err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return t, err
	}
	return d.SaveTurn(ctx, row)
}

// Remove takes a turn away; its strokes and marks stay, uncounted.
func (b *Turns) Remove(id string) (err error) {
	defer guard(&err)
	ctx, d, err := b.s.open()
	if err != nil {
		return err
	}
	return d.RemoveTurn(ctx, club.ID(id))
}
