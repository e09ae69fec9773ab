package clip

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestDamagedFiles opens damaged variants of the clips: each gives pictures or one
// sentence within five seconds, and nothing is left behind. The short run is part
// of the tests; the long one is
//
//	STROKELEDGER_MUTATIONS=3000 go test ./internal/clip -run DamagedFiles -timeout 2h
//
// A variant is told by its number: STROKELEDGER_MUTATION=17 makes that one alone.
// The file lies in the folder STROKELEDGER_MUTATION_DIR, where that is set, so that
// it outlives a crash.
func TestDamagedFiles(t *testing.T) {
	from, to := 0, 500
	// Those at which libdav1d with two threads hung, and a sound's packet had a size
	// that no memory holds.
	numbers := []int{3628, 3628, 3628, 5714}
	if n, err := strconv.Atoi(os.Getenv("STROKELEDGER_MUTATIONS")); err == nil {
		to = n
	}
	if n, err := strconv.Atoi(os.Getenv("STROKELEDGER_MUTATION")); err == nil {
		from, to, numbers = n, n+1, nil
	}
	dir := os.Getenv("STROKELEDGER_MUTATION_DIR")
	if dir == "" {
		dir = t.TempDir()
	}
	sources := clips(t)
	files := make([][]byte, len(sources))
	for i, path := range sources {
		var err error
		files[i], err = os.ReadFile(path)
		require.NoError(t, err)
	}
	look(t, sources[0], 0) // what is made once and kept
	check := noLeak(t)
	opened := 0
	for n := from; n < to; n++ {
		numbers = append(numbers, n)
	}
	for _, number := range numbers {
		rnd := rand.New(rand.NewPCG(2026, uint64(number)))
		i := rnd.IntN(len(sources))
		if number < len(sources) {
			i = number // every clip at least once
		}
		path := filepath.Join(dir, "damaged"+filepath.Ext(sources[i]))
		data, how := damaged(rnd, files[i])
		require.NoError(t, os.WriteFile(path, data, 0o600))
		told := fmt.Sprintf("variant %d of %s: %s", number, filepath.Base(sources[i]), how)
		done := make(chan struct{})
		go func() {
			defer close(done)
			if look(t, path, rnd.Uint64()) {
				opened++
			}
		}()
		select {
		case <-done:
		case <-time.After(allowance):
			require.Fail(t, "takes too long", told)
		}
		if t.Failed() {
			require.Fail(t, "stops here", told)
		}
	}
	check()
	t.Logf("%d of %d variants opened", opened, len(numbers))
	if len(numbers) > 50 {
		require.Greater(t, opened, len(numbers)/4, "damage that leaves nothing to see tests little")
	}
}

// allowance is five seconds for opening, for each of three pictures and for sound,
// on a machine that does other things too.
const allowance = 30 * time.Second

// damaged is a variant of a file, and what was done to it.
func damaged(rnd *rand.Rand, whole []byte) (data []byte, how string) {
	data = append([]byte(nil), whole...)
	place := func() int { // headers matter most, and lie at either end
		switch rnd.IntN(3) {
		case 0:
			return rnd.IntN(min(len(data), 4096))
		case 1:
			return len(data) - 1 - rnd.IntN(min(len(data), 8192))
		}
		return rnd.IntN(len(data))
	}
	for range 1 + rnd.IntN(3) {
		at := place()
		room := min(len(data)-at, 1+rnd.IntN(2000))
		switch kind := rnd.IntN(7); kind {
		case 0:
			data = data[:max(1, at)]
			how += fmt.Sprintf("cut at %d; ", at)
		case 1, 2:
			count := 1 + rnd.IntN(40)
			for range count {
				data[place()] ^= 1 << rnd.IntN(8)
			}
			how += fmt.Sprintf("%d bits; ", count)
		case 3:
			for k := range room {
				data[at+k] = byte(rnd.Uint32())
			}
			how += fmt.Sprintf("noise %d+%d; ", at, room)
		case 4:
			clear(data[at : at+room])
			how += fmt.Sprintf("zeros %d+%d; ", at, room)
		case 5:
			data = append(data[:at], data[at+room:]...)
			how += fmt.Sprintf("without %d+%d; ", at, room)
			if len(data) == 0 {
				data = []byte{0}
			}
		case 6: // numbers at their limits
			for k := range min(4, len(data)-at) {
				data[at+k] = []byte{0xff, 0x7f, 0x80, 0}[rnd.IntN(4)]
			}
			how += fmt.Sprintf("extremes %d; ", at)
		}
	}
	return data, how
}

var sentence = regexp.MustCompile(`^[^\n]+[.]$`)

// look uses a clip as a person would, and reports whether it opened. Each answer
// comes within five seconds.
func look(t *testing.T, path string, seed uint64) bool {
	inTime := func(what string, ask func(ctx context.Context) error) bool {
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		start := time.Now()
		err := ask(ctx)
		if ctx.Err() != nil || time.Since(start) > 5*time.Second {
			t.Errorf("%s took %v: %v", what, time.Since(start), err)
		} else if err != nil && !sentence.MatchString(err.Error()) {
			t.Errorf("%s: %q is no sentence", what, err)
		}
		return err == nil
	}
	var c *Clip
	if !inTime("opening", func(ctx context.Context) (err error) { c, err = Open(ctx, path, Options{}); return err }) {
		return false
	}
	inTime("first picture", func(ctx context.Context) error { _, err := c.JPEG(ctx, 0, 160); return err })
	inTime("scan", c.Indexed)
	if n := c.Index().Len(); n > 0 {
		rnd := rand.New(rand.NewPCG(seed, 1))
		inTime("last picture", func(ctx context.Context) error { _, err := c.JPEG(ctx, n-1, 160); return err })
		inTime("some picture", func(ctx context.Context) error { _, err := c.Image(ctx, rnd.IntN(n)); return err })
	}
	inTime("sound", func(ctx context.Context) error { _, _, err := c.Samples(ctx, .2, .5, 0); return err })
	start := time.Now()
	if err := c.Close(); err != nil || time.Since(start) > 5*time.Second {
		t.Errorf("closing took %v: %v", time.Since(start), err)
	}
	return true
}
