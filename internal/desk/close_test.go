package desk_test

import (
	"context"
	"path/filepath"
	"regexp"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/sentence"
)

// Closing in the middle of everything ends soon, loses nothing that was said to
// be kept, and tells each caller one sentence at most.
func TestCloseInTheMiddle(t *testing.T) {
	for _, after := range []time.Duration{0, 20 * time.Millisecond, 100 * time.Millisecond} {
		b, ctx := newBench(t), t.Context()
		var mu sync.Mutex
		var kept []club.ID
		var told []error
		tell := func(err error) {
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				told = append(told, err)
			}
		}
		old := b.Desk
		var group sync.WaitGroup
		group.Go(func() {
			paths, _ := filepath.Glob(clips + "a*.mp4")
			_, err := old.Sessions.Add(ctx, "2026-03-15", paths, nil)
			tell(err)
		})
		group.Go(func() {
			for n := range 75 {
				m, err := old.Marks.Add(ctx, b.clip, n, b.cat.Faults[0].ID)
				if err != nil {
					tell(err)
					return
				}
				mu.Lock()
				kept = append(kept, m.ID)
				mu.Unlock()
			}
		})
		group.Go(func() {
			for n := range 75 {
				c, release, err := old.Footage.Open(ctx, b.clip)
				if err == nil {
					_, err = c.JPEG(ctx, n, 160)
					release()
				}
				if err != nil {
					tell(err)
					return
				}
			}
		})
		time.Sleep(after)
		begun := time.Now()
		b.reopen(t)
		require.Less(t, time.Since(begun), 5*time.Second)
		group.Wait()
		there, err := b.Library.OfClip(ctx, b.clip)
		require.NoError(t, err)
		ids := map[club.ID]bool{}
		for _, m := range there.Marks {
			ids[m.ID] = true
		}
		for _, id := range kept {
			require.True(t, ids[id], "a mark that was said to be kept")
		}
		for _, err := range told {
			requireSentence(t, sentence.Of(err))
		}
	}
}

// A scan that is still running does not outlive the desk, nor tell a window that
// has gone.
func TestCloseDuringScan(t *testing.T) {
	b, ctx := newBench(t), t.Context()
	require.NoError(t, b.ForgetIndex(ctx, b.clip))
	for range 20 {
		closed := false
		var mu sync.Mutex
		_, err := b.Footage.View(ctx, b.clip, func(*clip.Index, error) {
			mu.Lock()
			defer mu.Unlock()
			require.False(t, closed)
		})
		require.NoError(t, err)
		require.NoError(t, b.Close())
		mu.Lock()
		closed = true
		mu.Unlock()
		_, err = b.Sessions.Add(context.Background(), "2026-03-15", []string{clips + "a05_rot90cw.mov"}, nil)
		requireSentence(t, sentence.Of(err))
		_, err = b.Library.State(ctx)
		requireSentence(t, sentence.Of(err))
		b.reopen(t)
	}
}

var goWords = regexp.MustCompile(`(?i)sql:|database is closed|context|syscall|errno|EOF|nil pointer|runtime error|invalid argument|<nil>|%!|no such file|permission denied`)

// requireSentence wants one plain sentence for people.
func requireSentence(t *testing.T, say string) {
	t.Helper()
	require.Regexp(t, `^[\p{Lu}"0-9][^\n]*\.$`, say)
	require.NotRegexp(t, goWords, say)
}
