// Package timecode converts between ticks and seconds without losing a frame:
// ticks are whole units of a rational time base, and seconds are only ever worked
// out from them.
package timecode

import (
	"fmt"
	"math"
	"math/big"
)

// Base is a rational time base: one tick lasts Num/Den seconds. Both are
// positive in a valid Base.
type Base struct {
	Num int64 `json:"num"`
	Den int64 `json:"den"`
}

// Valid reports whether the base can convert anything.
func (b Base) Valid() bool { return b.Num > 0 && b.Den > 0 }

// String writes the base as "1/12800".
func (b Base) String() string { return fmt.Sprintf("%d/%d", b.Num, b.Den) }

// Seconds is how long that many ticks last.
func (b Base) Seconds(ticks int64) float64 {
	// One rounding where the product is below 2^53, since it is exact then.
	return float64(ticks) * float64(b.Num) / float64(b.Den)
}

// Ticks is the tick nearest to a time in seconds, halves away from zero.
func (b Base) Ticks(seconds float64) int64 {
	return int64(math.Round(seconds * float64(b.Den) / float64(b.Num)))
}

// Rescale expresses ticks of one base in another, to the nearest tick, halves
// away from zero. It is exact: no product overflows.
func Rescale(ticks int64, from, to Base) int64 {
	num := new(big.Int).Mul(big.NewInt(ticks), new(big.Int).Mul(big.NewInt(from.Num), big.NewInt(to.Den)))
	den := new(big.Int).Mul(big.NewInt(from.Den), big.NewInt(to.Num))
	num.Lsh(num, 1)
	half := den
	if num.Sign() < 0 {
		half = new(big.Int).Neg(den)
	}
	num.Add(num, half)
	return num.Quo(num, new(big.Int).Lsh(den, 1)).Int64()
}
