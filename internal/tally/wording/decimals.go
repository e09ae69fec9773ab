// Package wording writes numbers and lists as people read them. It is pure.
package wording

import (
	"math"
	"strconv"
)

// Decimals is how many a percentage, or a change of one, is written with: more where
// the ends of its interval, as proportions, are so near that fewer would hide it.
func Decimals(low, high float64) int {
	switch width := high - low; {
	case width < 0.0004:
		return 3
	case width < 0.004:
		return 2
	case width < 0.04:
		return 1
	}
	return 0
}

// PaceDecimals is Decimals for a rate a minute, or a ratio of two.
func PaceDecimals(low, high float64) int {
	switch width := high - low; {
	case width < 0.004:
		return 4
	case width < 0.04:
		return 3
	case width < 0.4:
		return 2
	}
	return 1
}

// Percent writes a proportion in hundredths. 0 and 100 stand only where it is whole:
// what comes near is "<1" or ">99", with decimals "<0.1" or ">99.9".
func Percent(p float64, decimals int) string {
	text := Round(100*p, decimals)
	step := math.Pow10(-decimals)
	switch {
	case p > 0 && text == Round(0, decimals):
		return "<" + Round(step, decimals)
	case p < 1 && text == Round(100, decimals):
		return ">" + Round(100-step, decimals)
	}
	return text
}

// fixed rounds halves up, as the page does: both are held against the same vectors.
func Round(v float64, decimals int) string {
	scale := math.Pow10(decimals)
	return strconv.FormatFloat(math.Floor(v*scale+0.5+1e-9)/scale, 'f', decimals, 64)
}
