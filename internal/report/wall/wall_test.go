package wall_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/report/wall"
)

// The page shows every fault, what is entered as text, and pictures where they belong.
func TestWrite(t *testing.T) {
	var photo, page bytes.Buffer
	require.NoError(t, jpeg.Encode(&photo, image.NewRGBA(image.Rect(0, 0, 80, 80)), nil))
	one := wall.Picture{JPEG: photo.Bytes()}
	drawn := wall.Picture{JPEG: photo.Bytes(), Drawn: []picture.Drawing{{Kind: picture.Arrow, Places: []picture.Point{{X: .1, Y: .1}, {X: .6, Y: .6}}}}}
	nasty := `"><img src=x onerror=alert(1)>`
	p := wall.Page{Faults: []wall.Fault{
		{Code: "LATE", Label: nasty, Phase: club.Recovery, Cue: nasty, Counts: nasty, Not: nasty, Is: []wall.Picture{drawn}, IsNot: []wall.Picture{one, one}},
		{Code: "NEW", Label: "Nobody has written what it means", Phase: club.Ready},
	}}
	require.NoError(t, wall.Write(&page, p))
	text := page.String()
	require.Equal(t, 3, strings.Count(text, "<img "))
	require.Equal(t, 2, strings.Count(text, "A picture of what it is not"))
	is, isNot, _ := strings.Cut(text, "It is not this")
	require.Equal(t, 1, strings.Count(is, "<svg"), "what is drawn on the picture")
	require.NotContains(t, isNot, "<svg", "nothing is drawn on the others")
	require.NotContains(t, text, "<img src=x")
	require.Equal(t, 1, strings.Count(text, "Not defined yet."))
	require.Contains(t, text, "hang it where only the team comes")
	require.NotContains(t, text, "http:")
	p.Faults[0].Is = []wall.Picture{{JPEG: []byte("<svg>")}}
	require.Error(t, wall.Write(io.Discard, p))
}
