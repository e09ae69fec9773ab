package camera

import (
	"context"
	"image"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
)

// FindInFilm is [Find] in the picture of a frame of a film and a few others.
func FindInFilm(ctx context.Context, film *clip.Clip, frame int) (*Fitted, error) {
	var imgs []image.Image
	for _, n := range spread(frame, film.Index().Len()) {
		img, err := Picture(ctx, film, n)
		if err != nil {
			return nil, err
		}
		imgs = append(imgs, img)
	}
	return Find(imgs, frame)
}

// Picture is one of a film.
func Picture(ctx context.Context, film *clip.Clip, frame int) (image.Image, error) {
	if n := film.Index().Len(); film.Index().Complete && (frame < 0 || frame >= n) {
		return nil, &club.Problem{Field: "frame", Say: footage.NoSuchFrame(frame, n)}
	}
	return film.Image(ctx, frame)
}
