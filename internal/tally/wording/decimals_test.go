package wording_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/tally/wording"
)

// 0 and 100 stand only where they are whole, however many decimals.
func TestPercentsAreWholeOnlyWhereTheyAre(t *testing.T) {
	for decimals := range 4 {
		for x := 0; x <= 3000; x++ {
			text := wording.Percent(float64(x)/3000, decimals)
			whole := text == wording.Percent(0, decimals) || text == wording.Percent(1, decimals)
			require.Equal(t, x == 0 || x == 3000, whole, "%d of 3000: %s", x, text)
		}
	}
}
