package interval

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Student is the chance of a value of Student's t at least as far from nought.
func Student(t, freedom float64) float64 {
	return 2 * distuv.StudentsT{Sigma: 1, Nu: freedom}.Survival(math.Abs(t))
}

// StudentQuantile is the quantile of Student's t distribution at 1 - tail with at
// least eight degrees of freedom, to five digits. A summary of a club needs it for
// every number, and the exact one takes longer than all the rest.
//
// Source: Abramowitz M, Stegun IA (1964) Handbook of Mathematical Functions,
// 26.7.5; values in TestReference.
func StudentQuantile(freedom float64) float64 {
	const (
		z3 = Z * Z * Z
		z5 = z3 * Z * Z
		z7 = z5 * Z * Z
		z9 = z7 * Z * Z
	)
	v := 1 / freedom
	return Z + v*((z3+Z)/4+v*((5*z5+16*z3+3*Z)/96+
		v*((3*z7+19*z5+17*z3-15*Z)/384+v*(79*z9+776*z7+1482*z5-1920*z3-945*Z)/92160)))
}
