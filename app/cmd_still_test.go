package main

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/picture"
)

// A clip of the library is written as it is shown there, its file as it is filmed. The
// lower left corner of this film is dark, the lower right one bright (manifest).
func TestStillsFollowAdjustments(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	folder, film := filepath.Join(dir, "library"), "../testdata/clips/a01_baseline.mp4"
	d, err := desk.Open(ctx, folder, library.Options{Create: true})
	require.NoError(t, err)
	added, err := d.Sessions.Add(ctx, "2026-03-14", []string{film}, nil)
	require.NoError(t, err)
	require.NoError(t, d.Pictures.Adjust(ctx, added[0].ClipID, picture.Adjustment{Rotation: 1}))
	require.NoError(t, d.Close())
	for _, c := range []struct {
		clip         string
		size         image.Point
		dark, bright image.Point
	}{
		{film, image.Pt(320, 180), image.Pt(8, 172), image.Pt(312, 172)},
		{filepath.Base(film), image.Pt(180, 320), image.Pt(8, 8), image.Pt(8, 312)},
	} {
		var out, errs bytes.Buffer
		to := filepath.Join(t.TempDir(), "stills")
		require.Zero(t, run(ctx, []string{"--library", folder, "still", c.clip, "--frame", "3", "--out", to}, strings.NewReader(""), &out, &errs), errs.String())
		raw, err := os.ReadFile(filepath.Join(to, "0000003.png"))
		require.NoError(t, err)
		img, err := png.Decode(bytes.NewReader(raw))
		require.NoError(t, err)
		require.Equal(t, c.size, img.Bounds().Size())
		grey := func(p image.Point) uint8 { return color.GrayModel.Convert(img.At(p.X, p.Y)).(color.Gray).Y }
		require.Less(t, grey(c.dark), uint8(90), c.clip)
		require.Greater(t, grey(c.bright), uint8(160), c.clip)
	}
}
