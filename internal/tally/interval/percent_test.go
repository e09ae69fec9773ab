package interval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/tally/interval"
)

// 0 and 100 stand only where they are whole, however many decimals.
func TestPercentsAreWholeOnlyWhereTheyAre(t *testing.T) {
	for decimals := range 4 {
		for x := 0; x <= 3000; x++ {
			text := interval.Percent(float64(x)/3000, decimals)
			whole := text == interval.Percent(0, decimals) || text == interval.Percent(1, decimals)
			require.Equal(t, x == 0 || x == 3000, whole, "%d of 3000: %s", x, text)
		}
	}
}
