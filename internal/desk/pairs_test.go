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
	"strokeledger/internal/desk/beside"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/picture"
)

// pairOf is a pair of frame 20 of one clip, mirrored and twice as large, and frame 30 of the other.
func pairOf(left, right club.ID) picture.Pair {
	return picture.Pair{Name: " Before and after ", ClipID: left, Frame: 20, Seen: picture.View{Times: 2, X: 0.25, Y: 0.5, Mirror: true},
		OtherID: right, OtherFrame: 30, OtherSeen: picture.WholeView(), Divided: 0.5}
}

// A pair is kept by its name, told with what people call its clips, changed, removed, and
// brought back.
func TestKeepingPairs(t *testing.T) {
	d, clips := onFilm(t)
	ctx := t.Context()
	kept, err := d.Pictures.KeepPair(ctx, pairOf(clips[0], clips[1]))
	require.NoError(t, err)
	require.Equal(t, "Before and after", kept.Name)
	require.Equal(t, int64(20*512), kept.Ticks, "a01 has 512 ticks a frame (manifest)")
	all, err := d.Pictures.Pairs(ctx)
	require.NoError(t, err)
	require.Len(t, all, 1)
	require.Equal(t, kept, all[0].Pair)
	require.Equal(t, []any{"a01_baseline.mp4", club.Date("2026-03-14"), 20}, []any{filepath.Base(all[0].Left.Clip), all[0].Left.Date, all[0].Left.Frame})
	kept.Name = "After"
	kept, err = d.Pictures.KeepPair(ctx, kept)
	require.NoError(t, err)
	require.NoError(t, d.Pictures.RemovePair(ctx, kept.ID))
	all, err = d.Pictures.Pairs(ctx)
	require.NoError(t, err)
	require.Empty(t, all)
	c, err := d.Library.Undo(ctx)
	require.NoError(t, err)
	require.Equal(t, "remove the pair "+club.Isolated("After"), c.Label)

	past := pairOf(clips[0], clips[1])
	past.Frame = 75
	_, err = d.Pictures.KeepPair(ctx, past)
	requireProblem(t, err, "frame")
	past.Frame, past.Name = 1, "  "
	_, err = d.Pictures.KeepPair(ctx, past)
	requireProblem(t, err, "name")
	require.Error(t, d.Pictures.RemovePair(ctx, "nowhere"))

	choices, err := d.Pictures.Choices(ctx)
	require.NoError(t, err)
	require.Len(t, choices, 2, "every clip")
}

// A page has both pictures as they are seen, and a film both beside each other; they name
// nobody unasked, obey consent, and are found when a player is forgotten.
func TestPagesAndFilmsOfPairs(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	_, err := b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[0].ID, First: 5, Last: 70})
	require.NoError(t, err)
	m, err := b.Marks.Add(ctx, b.clip, 20, b.cat.Faults[0].ID)
	require.NoError(t, err)
	_, err = b.Marks.DrawSign(ctx, m.ID, &club.Sign{Kind: club.Circle, X1: 0.25, Y1: 0.5, X2: 0.3, Y2: 0.5})
	require.NoError(t, err)
	q := beside.Query{Pair: pairOf(b.clip, b.clip)}
	q.Pair.Name = "Ines twice"

	var page bytes.Buffer
	requireProblem(t, b.Beside.Page(ctx, q, &page), "consent")
	folder := t.TempDir()
	film := filepath.Join(folder, "pair.mp4")
	_, err = b.Beside.Film(ctx, q, film, nil)
	requireProblem(t, err, "consent")
	require.NoFileExists(t, film)

	q.Unconsented = true
	require.NoError(t, b.Beside.Page(ctx, q, &page))
	require.NotContains(t, page.String(), "Ines")
	require.Contains(t, page.String(), `<path class="rim"`) // the circle
	stills := regexp.MustCompile(`data:image/jpeg;base64,([A-Za-z0-9+/=]+)`).FindAllStringSubmatch(html.UnescapeString(page.String()), -1)
	require.Len(t, stills, 2)
	for i, want := range [][2]int{{160, 90}, {320, 180}} {
		data, err := base64.StdEncoding.DecodeString(stills[i][1])
		require.NoError(t, err)
		size, err := jpeg.DecodeConfig(bytes.NewReader(data))
		require.NoError(t, err)
		require.Equal(t, want, [2]int{size.Width, size.Height})
	}
	q.Names = true
	file := filepath.Join(folder, "pair.html")
	require.NoError(t, b.Beside.WritePage(ctx, q, file))
	named, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Contains(t, string(named), "Ines twice")

	q.Lead, q.Follow, q.Silent = 0.2, 0.2, true
	done, err := b.Beside.Film(ctx, q, film, nil)
	require.NoError(t, err)
	require.Greater(t, done.Seconds, 3.0, "with the card at its end")
	data, err := b.Library.PlayerData(ctx, b.player.ID)
	require.NoError(t, err)
	var listed []string
	for _, e := range data.Exports {
		listed = append(listed, filepath.Base(e.Path))
	}
	require.ElementsMatch(t, []string{"pair.html", "pair.mp4"}, listed)
}

// A record carries pairs, without names their own too; merging brings the same pair once.
func TestRecordsCarryPairs(t *testing.T) {
	ctx := t.Context()
	d, clips := onFilm(t)
	kept, err := d.Pictures.KeepPair(ctx, pairOf(clips[0], clips[1]))
	require.NoError(t, err)
	var b, nameless bytes.Buffer
	require.NoError(t, d.Documents.WriteRecord(ctx, summary.Query{Names: true}, &b))
	require.NoError(t, d.Documents.WriteRecord(ctx, summary.Query{}, &nameless))
	require.NotContains(t, nameless.String(), "Before and after")
	require.Contains(t, nameless.String(), `"pair 1"`)
	file := filepath.Join(t.TempDir(), "record.json")
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o600))
	folder := filepath.Join(t.TempDir(), "other")
	_, err = desk.AddRecord(ctx, folder, file, library.Options{})
	require.NoError(t, err)
	other, err := desk.Open(ctx, folder, library.Options{})
	require.NoError(t, err)
	defer other.Close()
	after, err := other.Pictures.Pairs(ctx)
	require.NoError(t, err)
	require.Len(t, after, 1)
	require.Equal(t, kept, after[0].Pair)
}

// A clip is open a second time for another place in it, and both are opened anew where its
// film has changed.
func TestSecondOpening(t *testing.T) {
	d, clips := onFilm(t)
	ctx := t.Context()
	one, release, err := d.Footage.Open(ctx, clips[0])
	require.NoError(t, err)
	defer release()
	second, end, err := d.Footage.OpenSecond(ctx, clips[0])
	require.NoError(t, err)
	require.NotSame(t, one, second)
	end()
	again, end, err := d.Footage.OpenSecond(ctx, clips[0])
	require.NoError(t, err)
	require.Same(t, second, again)
	end()
	d.Footage.Reopen(clips[0])
	again, end, err = d.Footage.OpenSecond(ctx, clips[0])
	require.NoError(t, err)
	require.NotSame(t, second, again)
	end()
}
