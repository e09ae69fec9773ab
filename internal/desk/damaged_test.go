package desk_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/exchange"
	"strokeledger/internal/store"
)

// Whatever is done to a file, it is taken in or refused in a sentence, and where it is
// refused nothing changes.
func TestFilesThatAreDamaged(t *testing.T) {
	ctx := t.Context()
	a := newLaptop(t, "a", 0)
	a.trained()
	b := a.copyOf("b", time.Hour)
	b.do(b.mark("mb", "k1", b.cat.Faults[0].ID, 100, "new"), store.Remove[club.Mark]("m2"))
	text, err := os.ReadFile(b.write(exchange.Wanted{Names: true}))
	require.NoError(t, err)
	rnd := rand.New(rand.NewPCG(16, 1))
	file := filepath.Join(t.TempDir(), "damaged.json")
	refused, before := 0, ""
	for range 120 {
		bad := bytes.Clone(text)
		for range 1 + rnd.IntN(3) {
			at := rnd.IntN(len(bad))
			switch rnd.IntN(5) {
			case 0:
				bad[at] = byte(rnd.IntN(256))
			case 1:
				bad = append(bad[:at], bad[min(len(bad), at+1+rnd.IntN(40)):]...)
			case 2:
				bad = bad[:at+1]
			case 3: // a number or a word of another row
				bad = append(bad[:at], append([]byte(`0,"id":"x1",`), bad[at:]...)...)
			case 4:
				bad = bytes.ReplaceAll(bad, []byte("k1"), []byte(fmt.Sprint("k", rnd.IntN(3))))
			}
		}
		require.NoError(t, os.WriteFile(file, bad, 0o600))
		if before == "" {
			before, _ = a.holds()
		}
		_, err := a.Exchange.Take(ctx, file, nil, "", nil)
		if err == nil {
			before = ""
			continue
		}
		refused++
		_, ok := club.AsProblem(err)
		require.True(t, ok, "%v", err)
		rows, _ := a.holds()
		require.Equal(t, before, rows)
	}
	require.Greater(t, refused, 60)
	report, err := a.Library.Check(ctx)
	require.NoError(t, err)
	require.True(t, report.OK, "%v", report.Findings)
}
