package desk_test

import (
	"bytes"
	"encoding/binary"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/contact"
	"strokeledger/internal/demo/hall"
	"strokeledger/internal/desk/heard"
	"strokeledger/internal/desk/listening"
	"strokeledger/internal/store"
)

// listenToEnd listens to a clip to its end.
func (b *bench) listenToEnd(t *testing.T, id club.ID) listening.Progress {
	t.Helper()
	_, err := b.Listening.Listen(t.Context(), id, func(listening.Progress) {})
	require.NoError(t, err)
	var h listening.Progress
	require.Eventually(t, func() bool {
		h, err = b.Listening.Progress(t.Context(), id)
		require.NoError(t, err)
		return h.State != listening.Listening
	}, time.Minute, 5*time.Millisecond)
	return h
}

// hallClip is a small film with the sound of an invented hall, and its truth.
func hallClip(t *testing.T, c hall.Condition, seed int64, seconds float64) (path string, truth []contact.Contact) {
	t.Helper()
	sound := hall.Make(c, seed, seconds, 48000)
	return filmed(t, sound), sound.Truth
}

// filmed is a small film with that sound and nothing to see.
func filmed(t *testing.T, sound hall.Recording) (path string) {
	t.Helper()
	dir := t.TempDir()
	raw := filepath.Join(dir, "sound.f32")
	var b bytes.Buffer
	require.NoError(t, binary.Write(&b, binary.LittleEndian, sound.Samples))
	require.NoError(t, os.WriteFile(raw, b.Bytes(), 0o600))
	path = filepath.Join(dir, "hall.mp4")
	out, err := exec.Command("ffmpeg", "-v", "error", "-nostdin", "-f", "lavfi", "-i", "color=green:size=64x36:rate=50",
		"-f", "f32le", "-ar", strconv.Itoa(sound.Rate), "-ac", "1", "-i", raw, "-shortest", "-c:v", "libx264", "-preset", "ultrafast", "-c:a", "aac", "-b:a", "96k", path).CombinedOutput()
	require.NoError(t, err, string(out))
	return path
}

// heardBench is a library with a heard clip of a hall and one turn over all of it.
type heardBench struct {
	*bench
	turn  club.Turn
	truth []contact.Contact
}

func newHeardBench(t *testing.T) *heardBench {
	t.Helper()
	b, ctx := &heardBench{bench: &bench{dir: filepath.Join(t.TempDir(), "library")}}, t.Context()
	b.reopen(t)
	path, truth := hallClip(t, hall.Clean, 11, 14)
	added, err := b.Sessions.Add(ctx, "2026-03-14", []string{path}, nil)
	require.NoError(t, err)
	require.Empty(t, added[0].Say)
	b.clip, b.truth = added[0].ClipID, truth
	b.player, err = b.Catalogue.SavePlayer(ctx, club.Player{Name: "Ines Varga", Hand: club.RightHand})
	require.NoError(t, err)
	b.cat, err = b.Library.Catalogue(ctx)
	require.NoError(t, err)
	row, err := b.Footage.Row(ctx, b.clip)
	require.NoError(t, err)
	b.turn, err = b.Turns.Save(ctx, club.Turn{ClipID: b.clip, PlayerID: b.player.ID, DrillID: b.cat.Drills[4].ID, Last: row.Frames - 1})
	require.NoError(t, err)
	require.EqualValues(t, "FFB", b.cat.Drills[4].Pattern)
	require.Equal(t, listening.Finished, b.listenToEnd(t, b.clip).State)
	return b
}

func (b *heardBench) proposed(t *testing.T) heard.Turn {
	t.Helper()
	all, err := b.Heard.Proposals(t.Context(), b.clip)
	require.NoError(t, err)
	require.Len(t, all, 1)
	return all[0]
}

// What was heard outlives the window, and a second listening hears nothing again.
func TestWhatWasHeardIsKept(t *testing.T) {
	b, ctx := newHeardBench(t), t.Context()
	before := b.proposed(t)
	wave, err := b.Listening.Envelope(ctx, b.clip, 0, 0, 500)
	require.NoError(t, err)
	b.reopen(t)
	h, err := b.Listening.Listen(ctx, b.clip, func(listening.Progress) { t.Error("told of what was known") })
	require.NoError(t, err)
	require.Equal(t, listening.Finished, h.State)
	require.Equal(t, before, b.proposed(t))
	again, err := b.Listening.Envelope(ctx, b.clip, 0, 0, 500)
	require.NoError(t, err)
	require.Equal(t, wave, again)
}

// Listening is stopped and goes on where it was; other clips rest meanwhile.
func TestListeningStopsAndGoesOn(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	path, _ := hallClip(t, hall.Clean, 12, 100)
	added, err := b.Sessions.Add(ctx, "2026-03-14", []string{path}, nil)
	require.NoError(t, err)
	long := added[0].ClipID
	news := make(chan listening.Progress, 1000)
	h, err := b.Listening.Listen(ctx, long, func(h listening.Progress) { news <- h })
	require.NoError(t, err)
	require.Equal(t, listening.Listening, h.State)
	require.Eventually(t, func() bool {
		h, err := b.Listening.Progress(ctx, long)
		return err == nil && h.Done > 20
	}, time.Minute, time.Millisecond)
	h, err = b.Listening.Stop(ctx, long)
	require.NoError(t, err)
	require.Equal(t, listening.Stopped, h.State)
	require.Less(t, h.Done, 100.)
	stopped := h.Done
	time.Sleep(50 * time.Millisecond)
	h, err = b.Listening.Progress(ctx, long)
	require.NoError(t, err)
	require.Equal(t, stopped, h.Done, "it rests")
	wave, err := b.Listening.Envelope(ctx, long, 0, 0, 100)
	require.NoError(t, err)
	require.Positive(t, wave[1])
	require.Zero(t, wave[99], "not heard yet")

	_, err = b.Listening.Listen(ctx, long, func(listening.Progress) {})
	require.NoError(t, err)
	_, err = b.Listening.Listen(ctx, b.clip, func(listening.Progress) {})
	require.NoError(t, err)
	h, err = b.Listening.Progress(ctx, long)
	require.NoError(t, err)
	require.NotEqual(t, listening.Listening, h.State, "one clip at a time")
	require.Equal(t, listening.Finished, b.listenToEnd(t, long).State)
	h, err = b.Listening.Progress(ctx, long)
	require.NoError(t, err)
	require.InDelta(t, 100, h.Done, .2)
	found, err := b.Heard.Contacts(ctx, long)
	require.NoError(t, err)
	whole, err := listening.Detect(ctx, path, nil)
	require.NoError(t, err)
	require.EqualValues(t, whole, found, "a rest changes nothing")
	last := <-news
	for last.State == listening.Listening {
		last = <-news
	}
	require.Equal(t, listening.Stopped, last.State, "the last news of the first run")
}

// A clip without sound says so once, a clip whose file is gone says why.
func TestListeningToNothing(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	added, err := b.Sessions.Add(ctx, "2026-03-14", []string{clips + "a08_sar_4_3.mp4"}, nil)
	require.NoError(t, err)
	require.Equal(t, listening.Silent, b.listenToEnd(t, added[0].ClipID).State)
	wave, err := b.Listening.Envelope(ctx, added[0].ClipID, 0, 0, 3)
	require.NoError(t, err)
	require.Equal(t, make([]float32, 3), wave)

	path := filepath.Join(t.TempDir(), "short.mp4")
	raw, err := os.ReadFile(clips + "a02_vfr_phone.mp4")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, append(raw, 0), 0o600)) // another file than the one in the library
	added, err = b.Sessions.Add(ctx, "2026-03-14", []string{path}, nil)
	require.NoError(t, err)
	require.Empty(t, added[0].Say)
	b.reopen(t)
	require.NoError(t, os.Remove(path))
	h := b.listenToEnd(t, added[0].ClipID)
	require.Equal(t, listening.Failed, h.State)
	require.Regexp(t, `^[A-Z"][^\n]+\.$`, h.Say)
	_, err = b.Listening.Progress(ctx, "unknown")
	require.ErrorIs(t, err, store.ErrUnknown)
}

// Whom a run tells may ask about sounds, also while that clip's sound is given up,
// and about so many others that its own is put away: nobody waits for ever.
func TestWhoIsToldMayAsk(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	path, _ := hallClip(t, hall.Clean, 12, 100)
	var others []club.ID
	paths, err := filepath.Glob(clips + "a*.mp4")
	require.NoError(t, err)
	added, err := b.Sessions.Add(ctx, "2026-03-14", append([]string{path}, paths[:6]...), nil)
	require.NoError(t, err)
	for _, a := range added[1:] {
		if a.ClipID != "" {
			others = append(others, a.ClipID)
		}
	}
	require.Greater(t, len(others), 4, "more than stay in memory")
	soon := func(what string, done <-chan struct{}) {
		t.Helper()
		select {
		case <-done:
		case <-time.After(30 * time.Second):
			t.Fatal(what + " waits for ever")
		}
	}
	told, asked, dropped := make(chan struct{}), make(chan struct{}), make(chan struct{})
	var once sync.Once
	_, err = b.Listening.Listen(ctx, added[0].ClipID, func(listening.Progress) {
		once.Do(func() {
			close(told)
			time.Sleep(100 * time.Millisecond) // until it is given up
			_, err := b.Listening.Progress(ctx, others[0])
			assert.NoError(t, err)
			close(asked)
		})
	})
	require.NoError(t, err)
	<-told
	go func() {
		b.Listening.Evict(added[0].ClipID)
		close(dropped)
	}()
	soon("asking", asked)
	soon("giving up", dropped)

	last := make(chan struct{})
	_, err = b.Listening.Listen(ctx, others[0], func(h listening.Progress) {
		if h.State == listening.Listening {
			return
		}
		for _, id := range others[1:] {
			_, err := b.Listening.Progress(ctx, id)
			assert.NoError(t, err)
		}
		close(last)
	})
	require.NoError(t, err)
	soon("the last news", last)
}
