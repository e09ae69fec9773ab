package publish

import (
	"context"
	"fmt"
	"image"
	"slices"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/body"
	"strokeledger/internal/picture"
	"strokeledger/internal/pose"
	"strokeledger/internal/report/reel"
)

// Figures of the search for the player in a piece of a film, our own choice.
const (
	lookEvery = .2 // seconds: a swing takes about half of one
	mostLooks = 16 // in one piece
)

// cutOut cuts the pieces of moments to the player, each to one part that does not move.
// It returns the size that holds the part of each, zero where there is none, and how many
// pieces stay whole since the player is not found. progress, which may be nil, is told how
// many pieces were looked at.
func (d *Documents) cutOut(ctx context.Context, shown []moment, pieces []reel.Piece, progress func(done, total int)) (largest image.Point, uncut int, err error) {
	finder, err := pose.New()
	if err != nil {
		return largest, 0, err
	}
	for i := range pieces {
		found, err := d.cutPiece(ctx, finder, shown[i].clip.ID, &pieces[i])
		switch {
		case err != nil:
			return largest, 0, err
		case !found:
			uncut++
		}
		size := pieces[i].Part.Size()
		largest = image.Pt(max(largest.X, size.X), max(largest.Y, size.Y))
		if progress != nil {
			progress(i+1, len(pieces))
		}
	}
	return largest, uncut, nil
}

// sized is the size of a film with the shape of another size, its short side as long as
// that of a film of whole pictures, so that its letters are as large.
func sized(shape image.Point, width, height int) (int, int) {
	short := min(shape.X, shape.Y)
	even := func(n int) int { return (n*min(width, height)/short + 1) &^ 1 }
	return even(shape.X), even(shape.Y)
}

// cutPiece cuts one piece to the player, and reports whether the player is found.
func (d *Documents) cutPiece(ctx context.Context, finder *pose.Finder, id club.ID, p *reel.Piece) (bool, error) {
	c, release, err := d.footage.Open(ctx, id)
	if err != nil {
		return false, err
	}
	defer release()
	if err := c.Indexed(ctx); err != nil {
		return false, err
	}
	var near pose.Ground
	fitted, err := d.rulers.Of(ctx, id)
	if err != nil {
		return false, err
	}
	// A ruler lies on the picture as it was filmed.
	if fitted != nil && fitted.View().Good && p.Shown.Rotation == 0 && !p.Shown.Mirror {
		near = fitted.Ground()
	}
	cut := body.NewCutout(finder.Follow(near))
	for _, n := range looks(p, c.Index()) {
		img, err := c.ImageLook(ctx, n, c.Shown(p.Shown))
		if err != nil {
			return false, err
		}
		cut.Look(img)
	}
	part, found := cut.Part(p.Drawn)
	if found {
		p.Part, p.Drawn = part, picture.Within(p.Drawn, cut.Size(), part)
	}
	return found, nil
}

// looks are the frames of a piece in which the player is looked for: the moment, where
// the coach saw who is meant, what follows it, then what comes before.
func looks(p *reel.Piece, x reel.Times) (frames []int) {
	if x.Len() == 0 {
		return nil
	}
	from, to := max(0, p.From), min(p.To, x.EndSeconds())
	apart := max(lookEvery, (to-from)/(mostLooks-1))
	for at := from; at <= to; at += apart {
		if n := max(0, x.FrameAt(at)); !slices.Contains(frames, n) {
			frames = append(frames, n)
		}
	}
	if p.Moment < 0 || p.Moment >= x.Len() {
		return frames
	}
	i, _ := slices.BinarySearch(frames, p.Moment)
	return slices.Compact(slices.Concat([]int{p.Moment}, frames[i:], frames[:i]))
}

// whole says how many of a film's pieces could not be cut to the player, "" for none.
func whole(uncut, of int) string {
	switch {
	case uncut == 0:
		return ""
	case uncut == of:
		return " The player was found in none of the pieces: the film shows the whole picture."
	case uncut == 1:
		return " One piece shows the whole picture: the player was not found in it."
	}
	return fmt.Sprintf(" %d pieces show the whole picture: the player was not found in them.", uncut)
}
