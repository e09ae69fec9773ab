package contact

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// rich features of a candidate at sample n
func richAt(s []float32, rate int, at float64, fft *fourier.FFT, size int) []float64 {
	win := func(from int) []float64 {
		buf := make([]float64, size)
		for i := range buf {
			if k := from + i; k >= 0 && k < len(s) {
				w := .5 - .5*math.Cos(2*math.Pi*(float64(i)+.5)/float64(size))
				buf[i] = w * float64(s[k])
			}
		}
		c := fft.Coefficients(nil, buf)
		p := make([]float64, len(c))
		for i := range c {
			p[i] = real(c[i])*real(c[i]) + imag(c[i])*imag(c[i])
		}
		return p
	}
	n := int(at * float64(rate))
	after := win(n - size/4)
	_ = after
	before := win(n - size - 24)
	var out []float64
	const per = 4.
	hz := float64(rate) / float64(size)
	for f := 300.; f < 12500; f *= math.Pow(2, 1/per) {
		lo, hi := f, f*math.Pow(2, 1/per)
		a, b := int(math.Round(lo/hz)), int(math.Round(hi/hz))
		if b <= a {
			b = a + 1
		}
		e, z := 0., 0.
		for k := a; k < b; k++ {
			e += after[k]
			z += before[k]
		}
		out = append(out, math.Log(max(e-z, .1*z)+1e-12))
	}
	return out
}

func TestLabKNN(t *testing.T) {
	if os.Getenv("LABKNN") == "" {
		t.Skip()
	}
	names, _ := filepath.Glob("/tmp/lab/*other*.gob")
	for _, n := range names {
		c := loadLab(n)
		s := c.mono()
		se := newSearch(c.Rate)
		cs := append(se.write(s), se.finish()...)
		size := 1024
		fft := fourier.NewFFT(size)
		label := make([]int, len(cs))
		var sets [2][][]float64
		for i := range cs {
			label[i] = -1
			for _, tr := range c.Truth {
				if math.Abs(tr.Seconds-cs[i].at) < .01 {
					label[i] = 0
					if tr.Kind == Racket {
						label[i] = 1
					}
					if tr.Who == Near {
						label[i] += 2
					}
				}
			}
			for _, b := range c.Beside {
				if label[i] < 0 && b.What == "other table" && math.Abs(b.Seconds-cs[i].at) < .01+math.Abs(0) {
					label[i] = 4
				}
			}
			sets[0] = append(sets[0], cs[i].x[:])
			r := richAt(s, c.Rate, cs[i].at, fft, size)
			r = append(r, cs[i].x[bands:]...)
			sets[1] = append(sets[1], r)
		}
		line := ""
		for _, X := range sets {
			d := len(X[0])
			// within-class pooled sd over own classes
			sd := make([]float64, d)
			for k := range d {
				var ss, nn float64
				for cl := 0; cl < 4; cl++ {
					var m, q, n float64
					for i := range X {
						if label[i] == cl {
							m += X[i][k]
							q += X[i][k] * X[i][k]
							n++
						}
					}
					if n > 1 {
						ss += q - m*m/n
						nn += n - 1
					}
				}
				sd[k] = math.Sqrt(ss / nn)
			}
			// LOO kNN own vs other among labelled
			ok, all := [2]float64{}, [2]float64{}
			for i := range X {
				if label[i] < 0 {
					continue
				}
				type nb struct {
					d float64
					l int
				}
				var ns []nb
				for j := range X {
					if j == i || label[j] < 0 {
						continue
					}
					q := 0.
					for k := range d {
						v := (X[i][k] - X[j][k]) / sd[k]
						q += v * v
					}
					ns = append(ns, nb{q, label[j]})
				}
				sort.Slice(ns, func(a, b int) bool { return ns[a].d < ns[b].d })
				own := 0
				for _, x := range ns[:5] {
					if x.l < 4 {
						own++
					}
				}
				isOwn := 0
				if label[i] < 4 {
					isOwn = 1
				}
				all[isOwn]++
				if (own >= 3) == (isOwn == 1) {
					ok[isOwn]++
				}
			}
			line += fmt.Sprintf("  own %.3f other %.3f (%0.f/%0.f)", ok[1]/all[1], ok[0]/all[0], all[1], all[0])
		}
		fmt.Println(strings.TrimSuffix(filepath.Base(n), ".gob"), line)
	}
}
