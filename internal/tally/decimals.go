package tally

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
	text := fixed(100*p, decimals)
	step := math.Pow10(-decimals)
	switch {
	case p > 0 && text == fixed(0, decimals):
		return "<" + fixed(step, decimals)
	case p < 1 && text == fixed(100, decimals):
		return ">" + fixed(100-step, decimals)
	}
	return text
}

// Percents writes a share and the ends of its interval with the decimals that this
// needs; without an interval the ends are empty.
func (s Share) Percents() (rate, low, high string) {
	if !s.Known() {
		return Percent(s.Rate, 0), "", ""
	}
	decimals := Decimals(s.Low, s.High)
	return Percent(s.Rate, decimals), Percent(s.Low, decimals), Percent(s.High, decimals)
}

// Numbers writes a pace and the ends of its interval with the decimals that this
// needs; without an interval the ends are empty. "0.0" stands only where it is nought.
func (p Pace) Numbers() (rate, low, high string) {
	decimals := PaceDecimals(p.Low, p.High)
	if !p.Known() {
		decimals = 1
	}
	number := func(v float64) string {
		text := fixed(v, decimals)
		if v > 0 && text == fixed(0, decimals) {
			return "<" + fixed(math.Pow10(-decimals), decimals)
		}
		return text
	}
	if !p.Known() {
		return number(p.Rate), "", ""
	}
	return number(p.Rate), number(p.Low), number(p.High)
}

// fixed rounds halves up, as the page does: both are held against the same vectors.
func fixed(v float64, decimals int) string {
	scale := math.Pow10(decimals)
	return strconv.FormatFloat(math.Floor(v*scale+0.5+1e-9)/scale, 'f', decimals, 64)
}
