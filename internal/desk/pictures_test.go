package desk_test

import (
	"bytes"
	"encoding/base64"
	"html"
	"image/jpeg"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/picture"
)

// onFilm is a library with the clip a01 twice, of 75 frames of 320 x 180.
func onFilm(t *testing.T) (d *desk.Desk, ids []club.ID) {
	t.Helper()
	d, err := desk.Open(t.Context(), filepath.Join(t.TempDir(), "library"), library.Options{Create: true})
	require.NoError(t, err)
	t.Cleanup(func() { d.Close() })
	added, err := d.Sessions.Add(t.Context(), "2026-03-14", []string{clips + "a01_baseline.mp4", clips + "a12_120fps.mp4"}, nil)
	require.NoError(t, err)
	for _, a := range added {
		require.Empty(t, a.Say)
		ids = append(ids, a.ClipID)
	}
	return d, ids
}

// How a clip is shown is kept, undone, shown to the page and in stills, and leaves its
// frames alone.
func TestAdjusting(t *testing.T) {
	ctx := t.Context()
	d, clips := onFilm(t)
	require.NoError(t, d.Pictures.Adjust(ctx, clips[0], picture.Adjustment{Rotation: 1, Gamma: 40}))
	got, err := d.Pictures.Adjustment(ctx, clips[0])
	require.NoError(t, err)
	want := picture.Adjustment{ID: clips[0], ClipID: clips[0], Rotation: 1, Gamma: 40}
	require.Equal(t, want, got)

	c, release, err := d.Footage.Open(ctx, clips[0])
	require.NoError(t, err)
	defer release()
	data, err := c.JPEGLook(ctx, 5, c.Shown(want))
	require.NoError(t, err)
	size, err := jpeg.DecodeConfig(bytes.NewReader(data))
	require.NoError(t, err)
	require.Equal(t, []int{180, 320}, []int{size.Width, size.Height})
	require.Equal(t, 75, c.Index().Len())

	require.NoError(t, d.Pictures.Adjust(ctx, clips[0], picture.Adjustment{}))
	got, err = d.Pictures.Adjustment(ctx, clips[0])
	require.NoError(t, err)
	require.Zero(t, got)
	_, err = d.Library.Undo(ctx)
	require.NoError(t, err)
	got, err = d.Pictures.Adjustment(ctx, clips[0])
	require.NoError(t, err)
	require.Equal(t, want, got)
	requireProblem(t, d.Pictures.Adjust(ctx, clips[0], picture.Adjustment{Rotation: 4}), "rotation")
	requireProblem(t, d.Pictures.Adjust(ctx, "nowhere", picture.Adjustment{Rotation: 1}), "")
}

// A record carries what is kept about pictures into another library.
func TestRecordsCarryPictures(t *testing.T) {
	ctx := t.Context()
	d, clips := onFilm(t)
	require.NoError(t, d.Pictures.Adjust(ctx, clips[0], picture.Adjustment{Rotation: 2, Mirror: true, Contrast: -10}))
	before, err := d.Pictures.Adjustment(ctx, clips[0])
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "record.json")
	var b bytes.Buffer
	require.NoError(t, d.Documents.WriteRecord(ctx, summary.Query{Names: true}, &b))
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o600))
	folder := filepath.Join(t.TempDir(), "other")
	_, err = desk.AddRecord(ctx, folder, file, library.Options{})
	require.NoError(t, err)
	other, err := desk.Open(ctx, folder, library.Options{})
	require.NoError(t, err)
	defer other.Close()
	after, err := other.Pictures.Adjustment(ctx, clips[0])
	require.NoError(t, err)
	require.Equal(t, before, after)
}

// A page shows the clip as a coach has set it.
func TestPagesFollowAdjustments(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	still := regexp.MustCompile(`data:image/jpeg;base64,([A-Za-z0-9+/=]+)`)
	for _, c := range []struct {
		a    picture.Adjustment
		high bool
	}{{picture.Adjustment{}, false}, {picture.Adjustment{Rotation: 3}, true}} {
		require.NoError(t, b.Pictures.Adjust(ctx, b.clip, c.a))
		var page bytes.Buffer
		require.NoError(t, b.Documents.Export(ctx, summary.Query{Names: true, Unconsented: true}, publish.HTML, &page))
		found := still.FindStringSubmatch(html.UnescapeString(page.String()))
		require.NotEmpty(t, found, "no still in the page")
		data, err := base64.StdEncoding.DecodeString(found[1])
		require.NoError(t, err)
		size, err := jpeg.DecodeConfig(bytes.NewReader(data))
		require.NoError(t, err)
		require.Equal(t, c.high, size.Height > size.Width)
	}
}
