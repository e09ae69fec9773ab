package tally_test

import (
	"strokeledger/internal/tally"
)

// wellKnown is a correlation of which no more can be known.
func wellKnown(rho float64) tally.Likeness { return tally.Likeness{Correlation: rho, Freedom: 1e9} }
