// Package agreement says how far coaches mean the same by the same code: what two of
// them said of the same strokes, how often both said it, how far that goes beyond
// chance, how far apart in time they put it, and which codes they take for one another.
// The unit is a stroke of a turn that both have looked through, fault by fault. Strokes
// of one turn are alike, so every interval draws whole turns. It is pure.
package agreement

import "math"

// Counts are units by what two readings said of each: that the fault was there, or not.
type Counts struct {
	Both    int `json:"both"`
	First   int `json:"first"`  // only the first
	Second  int `json:"second"` // only the second
	Neither int `json:"neither"`
}

// Units is how many there are.
func (c Counts) Units() int { return c.Both + c.First + c.Second + c.Neither }

// Either is how many at least one of the two said.
func (c Counts) Either() int { return c.Both + c.First + c.Second }

// Add joins other units.
func (c *Counts) Add(o Counts) {
	c.Both, c.First, c.Second, c.Neither = c.Both+o.Both, c.First+o.First, c.Second+o.Second, c.Neither+o.Neither
}

// shares are the units as parts of one, and how many said the fault of one unit.
func (c Counts) shares() (agreed, first, second float64, ok bool) {
	n := float64(c.Units())
	if n == 0 {
		return 0, 0, 0, false
	}
	return float64(c.Both+c.Neither) / n, float64(c.Both+c.First) / n, float64(c.Both+c.Second) / n, true
}

// Share is the part of the units of which both said the same.
func (c Counts) Share() (float64, bool) {
	agreed, _, _, ok := c.shares()
	return agreed, ok
}

// Positive is the agreement on the fault: of what the two said on average, the part
// that both said. It is not ok where neither said it.
//
// Source: Cicchetti DV, Feinstein AR (1990) "High agreement but low kappa: II. Resolving
// the paradoxes", J Clin Epidemiol 43:551-558.
func (c Counts) Positive() (float64, bool) { return part(2*c.Both, 2*c.Both+c.First+c.Second) }

// Negative is the same of its absence.
func (c Counts) Negative() (float64, bool) { return part(2*c.Neither, 2*c.Neither+c.First+c.Second) }

func part(x, n int) (float64, bool) {
	if n == 0 {
		return 0, false
	}
	return float64(x) / float64(n), true
}

// Kappa is agreement beyond what the two would reach by chance, each at the own rate:
// 1 at full agreement, 0 at that of chance. It is not ok where chance agrees always.
//
// Source: Cohen J (1960) "A coefficient of agreement for nominal scales", Educ Psychol
// Meas 20:37-46.
func (c Counts) Kappa() (float64, bool) {
	agreed, first, second, ok := c.shares()
	return beyond(agreed, first*second+(1-first)*(1-second), ok)
}

// AC1 is agreement beyond chance where chance is what a coach would reach who guesses
// on those units that are hard to tell. It stays near the share of agreement where the
// fault is rare, which is where kappa falls to nought although the two seldom differ.
//
// Source: Gwet KL (2008) "Computing inter-rater reliability and its variance in the
// presence of high agreement", Br J Math Stat Psychol 61:29-48.
func (c Counts) AC1() (float64, bool) {
	agreed, first, second, ok := c.shares()
	said := (first + second) / 2
	return beyond(agreed, 2*said*(1-said), ok)
}

func beyond(agreed, chance float64, ok bool) (float64, bool) {
	if !ok || chance >= 1-1e-12 {
		return 0, false
	}
	return (agreed - chance) / (1 - chance), true
}

// kappaSpread is the standard deviation of kappa from one independent unit, so that its
// standard error over n of them is that divided by the square root of n.
//
// Source: Fleiss JL, Cohen J, Everitt BS (1969) "Large sample standard errors of kappa
// and weighted kappa", Psychol Bull 72:323-327, equation 13.
func kappaSpread(both, first, second, neither float64) float64 {
	one, two := both+first, both+second
	chance := one*two + (1-one)*(1-two)
	k := (both + neither - chance) / (1 - chance)
	square := func(v float64) float64 { return v * v }
	v := both*square(1-(one+two)*(1-k)) + neither*square(1-(2-one-two)*(1-k)) +
		square(1-k)*(first*square(1-one+two)+second*square(1-two+one)) - square(k-chance*(1-k))
	return math.Sqrt(max(0, v)) / (1 - chance)
}

// KappaOf is Cohen's kappa of a table of any number of answers: table[i][j] counts the
// units of which the first said i and the second j.
func KappaOf(table [][]int) (float64, bool) {
	n, agreed, chance := 0.0, 0.0, 0.0
	columns := make([]float64, len(table))
	for i, row := range table {
		agreed += float64(row[i])
		for j, k := range row {
			n += float64(k)
			columns[j] += float64(k)
		}
	}
	for i, row := range table {
		sum := 0.0
		for _, k := range row {
			sum += float64(k)
		}
		chance += sum * columns[i]
	}
	return beyond(agreed/n, chance/(n*n), n > 0)
}
