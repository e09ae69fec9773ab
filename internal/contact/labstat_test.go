package contact

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestLabStat(t *testing.T) {
	if os.Getenv("LABSTAT") == "" {
		t.Skip()
	}
	names, _ := filepath.Glob("/tmp/lab/*.gob")
	var means [][features]float64
	var pooled [features][features]float64
	pn := 0.
	var cl, clq [features]float64
	cn := 0.
	for _, n := range names {
		if strings.Contains(n, "-70") {
			continue
		}
		c := loadLab(n)
		if len(c.Truth) == 0 {
			continue
		}
		se := newSearch(c.Rate)
		s := c.mono()
		cs := append(se.write(s), se.finish()...)
		loud := loudness(cs)
		var ms [4]moments
		for i := range cs {
			x := cs[i].x
			for b := range levels {
				x[b] -= loud
			}
			hit := -1
			for _, tr := range c.Truth {
				if math.Abs(tr.Seconds-cs[i].at) < .005 {
					hit = 0
					if tr.Kind == Racket {
						hit = 1
					}
					if tr.Who == Near {
						hit += 2
					}
				}
			}
			if hit >= 0 {
				ms[hit].add(&x, 1)
			} else {
				for k := range x {
					cl[k] += x[k]
					clq[k] += x[k] * x[k]
				}
				cn++
			}
		}
		for k := range ms {
			if ms[k].n < 8 {
				continue
			}
			mean := ms[k].mean()
			means = append(means, mean)
			pn += ms[k].n - 1
			for i := range features {
				for j := range features {
					a, b := max(i, j), min(i, j)
					pooled[i][j] += ms[k].about(mean, a, b)
				}
			}
		}
	}
	pr := func(name string, f func(i int) float64) {
		fmt.Printf("%-10s", name)
		for i := range features {
			fmt.Printf(" %5.2f", f(i))
		}
		fmt.Println()
	}
	mm := func(i int) float64 {
		s := 0.
		for _, m := range means {
			s += m[i]
		}
		return s / float64(len(means))
	}
	pr("centre", mm)
	pr("between", func(i int) float64 {
		s, c := 0., mm(i)
		for _, m := range means {
			s += (m[i] - c) * (m[i] - c)
		}
		return math.Sqrt(s / float64(len(means)))
	})
	pr("within", func(i int) float64 { return math.Sqrt(pooled[i][i] / pn) })
	pr("clutter", func(i int) float64 { return cl[i] / cn })
	pr("clutsd", func(i int) float64 { return math.Sqrt(clq[i]/cn - cl[i]*cl[i]/cn/cn) })
	own := contactClass()
	pr("prior", func(i int) float64 { return own.centre[i] })
	pr("pbetween", func(i int) float64 { return own.between[i] })
	pr("pwithin", func(i int) float64 { return own.within[i] })
	fmt.Println("corr")
	for i := range features {
		for j := range features {
			fmt.Printf(" %5.2f", pooled[i][j]/math.Sqrt(pooled[i][i]*pooled[j][j]))
		}
		fmt.Println()
	}
}
