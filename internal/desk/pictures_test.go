package desk_test

import (
	"bytes"
	"encoding/base64"
	"html"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
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

// corners are those of a film of the test tree: a dark and a bright one below (manifest).
type corners struct{ dark, bright image.Point }

// cornersOf are the places, of the four quarters of a picture, that are dark or bright all
// over: 0 or 1 across and down. The two upper quarters hold stripes.
func cornersOf(img image.Image) (c corners) {
	size := img.Bounds().Size()
	for _, q := range []image.Point{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
		var low, high uint8 = 255, 0
		for i := range 40 { // along the diagonal from near the corner
			x, y := size.X*(2+i)/400, size.Y*(2+i)/400
			if q.X == 1 {
				x = size.X - 1 - x
			}
			if q.Y == 1 {
				y = size.Y - 1 - y
			}
			v := color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y
			low, high = min(low, v), max(high, v)
		}
		switch {
		case high < 90:
			c.dark = q
		case low > 160:
			c.bright = q
		}
	}
	return c
}

var shownSo = []struct {
	a    picture.Adjustment
	want corners
}{
	{picture.Adjustment{}, corners{image.Pt(0, 1), image.Pt(1, 1)}},
	{picture.Adjustment{Mirror: true}, corners{image.Pt(1, 1), image.Pt(0, 1)}},
	{picture.Adjustment{Rotation: 1}, corners{image.Pt(0, 0), image.Pt(0, 1)}},
	{picture.Adjustment{Rotation: 3, Mirror: true}, corners{image.Pt(1, 0), image.Pt(1, 1)}},
}

// A page and a film show the clip as a coach has set it.
func TestPagesAndFilmsFollowAdjustments(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	still := regexp.MustCompile(`data:image/jpeg;base64,([A-Za-z0-9+/=]+)`)
	for _, c := range shownSo {
		require.NoError(t, b.Pictures.Adjust(ctx, b.clip, c.a))
		var page bytes.Buffer
		require.NoError(t, b.Documents.Export(ctx, summary.Query{Names: true, Unconsented: true}, publish.HTML, &page))
		found := still.FindStringSubmatch(html.UnescapeString(page.String()))
		require.NotEmpty(t, found, "no still in the page")
		data, err := base64.StdEncoding.DecodeString(found[1])
		require.NoError(t, err)
		img, err := jpeg.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		require.Equal(t, c.want, cornersOf(img), "%+v, in a page", c.a)

		path := filepath.Join(t.TempDir(), "marks.mp4")
		_, err = b.Documents.Reel(ctx, publish.ReelQuery{Player: b.player.ID, Most: 1, Lead: 0.1, Follow: 0.1, Unconsented: true}, path, nil)
		require.NoError(t, err)
		film, err := clip.Open(ctx, path, clip.Options{Video: -1, Sound: -1})
		require.NoError(t, err)
		defer film.Close()
		frame, err := film.Image(ctx, 0)
		require.NoError(t, err)
		require.Equal(t, c.want, cornersOf(aboveBand(frame, c.a.Rotation%2 == 1)), "%+v, in a film", c.a)
	}
}

// aboveBand is the part of a film's frame that shows the clip of 320 x 180: its band for
// captions lies below.
func aboveBand(frame *image.RGBA, high bool) image.Image {
	shape := image.Pt(16, 9)
	if high {
		shape = image.Pt(9, 16)
	}
	return frame.SubImage(image.Rect(0, 0, frame.Rect.Dx(), frame.Rect.Dx()*shape.Y/shape.X))
}

// A family's page shows it so too: the table lies right of this player, left in a mirror.
func TestFamilyPagesFollowAdjustments(t *testing.T) {
	m, ctx := newMeter(t), t.Context()
	for _, mirror := range []bool{false, true} {
		require.NoError(t, m.Pictures.Adjust(ctx, m.clip, picture.Adjustment{Mirror: mirror}))
		var page bytes.Buffer
		require.NoError(t, m.Documents.FamilyPage(ctx, publish.FamilyQuery{Unconsented: true}, m.player.ID, &page))
		found := regexp.MustCompile(`data:image/jpeg;base64,([A-Za-z0-9+/=]+)`).FindStringSubmatch(html.UnescapeString(page.String()))
		require.NotEmpty(t, found, "no picture in the page")
		data, err := base64.StdEncoding.DecodeString(found[1])
		require.NoError(t, err)
		img, err := jpeg.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		left, right := blue(img)
		require.Equal(t, mirror, left > right, "blue of the table: %d left, %d right", left, right)
	}
}

// blue counts the pixels of the drawn table's blue in the left and the right half.
func blue(img image.Image) (left, right int) {
	size := img.Bounds()
	for y := size.Min.Y; y < size.Max.Y; y++ {
		for x := size.Min.X; x < size.Max.X; x++ {
			r, _, b, _ := img.At(x, y).RGBA()
			switch {
			case b < r+0x4000:
			case x < (size.Min.X+size.Max.X)/2:
				left++
			default:
				right++
			}
		}
	}
	return left, right
}

// Drawings are kept on the frames that were asked for, changed, wiped off and brought
// back, and go into records, tables, pages and films with what may be told of them.
func TestDrawing(t *testing.T) {
	b, ctx := newPlayed(t), t.Context()
	led := b.ledger(t)
	frame := led.Marks[0].Frame
	var angle, text picture.Drawing
	for kept, d := range map[*picture.Drawing]picture.Drawing{
		&angle: {ClipID: b.clip, MarkID: led.Marks[0].ID, Frame: frame, First: frame - 2, Last: frame + 3, Kind: picture.Angle,
			Places: []picture.Point{{X: .5, Y: .5}, {X: .5, Y: .2}, {X: .8, Y: .5}}},
		&text: {ClipID: b.clip, Frame: frame, First: frame, Last: frame, Kind: picture.Text, Places: []picture.Point{{X: .5, Y: .9}}, Text: "Mia: feet"},
	} {
		var err error
		*kept, err = b.Pictures.Draw(ctx, d)
		require.NoError(t, err)
		require.NotEmpty(t, kept.ID)
		require.NotEmpty(t, kept.CoachID)
		require.NotEqual(t, kept.FirstTicks == kept.LastTicks, d.First != d.Last)
	}
	angle.Last++
	changed, err := b.Pictures.Draw(ctx, angle)
	require.NoError(t, err)
	require.Equal(t, angle.CoachID, changed.CoachID)
	require.Greater(t, changed.LastTicks, angle.LastTicks)
	state, err := b.Library.State(ctx)
	require.NoError(t, err)
	require.Contains(t, state.Undo, "change an angle of 90° in the picture at frame")

	require.NoError(t, b.Pictures.Wipe(ctx, text.ID))
	require.NoError(t, b.Pictures.Wipe(ctx, text.ID), "twice is no error")
	all, err := b.Pictures.Drawings(ctx, b.clip)
	require.NoError(t, err)
	require.Equal(t, []picture.Drawing{changed}, all)
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)
	all, err = b.Pictures.Drawings(ctx, b.clip)
	require.NoError(t, err)
	require.ElementsMatch(t, []picture.Drawing{changed, text}, all)

	require.NoError(t, b.Marks.Remove(ctx, angle.MarkID))
	all, err = b.Pictures.Drawings(ctx, b.clip)
	require.NoError(t, err)
	require.Equal(t, []picture.Drawing{text}, all, "what was drawn for a mark goes with it")
	_, err = b.Library.Undo(ctx)
	require.NoError(t, err)

	angle.Last = 100_000
	_, err = b.Pictures.Draw(ctx, angle)
	requireProblem(t, err, "frame")
	angle.ID, angle.Last = "gone", changed.Last
	_, err = b.Pictures.Draw(ctx, angle)
	requireProblem(t, err, "")

	for _, names := range []bool{false, true} {
		q := summary.Query{Names: names, Unconsented: true}
		var marks, page, record bytes.Buffer
		require.NoError(t, b.Documents.Table(ctx, q, publish.TableForm{Which: "marks"}, &marks))
		require.NoError(t, b.Documents.Export(ctx, q, publish.HTML, &page))
		require.NoError(t, b.Documents.WriteRecord(ctx, q, &record))
		for _, doc := range []string{marks.String(), page.String()} {
			require.Contains(t, doc, "90° in the picture")
		}
		for _, doc := range []string{marks.String(), page.String(), record.String()} {
			require.Equal(t, names, strings.Contains(doc, "Mia: feet"))
		}
		require.Contains(t, record.String(), string(angle.Kind))
	}
}
