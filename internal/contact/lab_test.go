package contact

import (
	"encoding/gob"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sort"
	"strings"
	"sync"
	"testing"
)

func loadLab(name string) *labClip {
	f, err := os.Open(name)
	if err != nil {
		panic(err)
	}
	defer f.Close()
	c := new(labClip)
	if err := gob.NewDecoder(f).Decode(c); err != nil {
		panic(err)
	}
	return c
}

func (c *labClip) mono() []float32 {
	if c.Right == nil {
		return c.Left
	}
	common, left, right := 0., 0., 0.
	for i, v := range c.Left {
		a, b := float64(v), float64(c.Right[i])
		common, left, right = common+a*b, left+a*a, right+b*b
	}
	sign := float32(1)
	if common < -.5*math.Sqrt(left*right) {
		sign = -1
	}
	out := make([]float32, len(c.Left))
	for i := range out {
		out[i] = (c.Left[i] + sign*c.Right[i]) / 2
	}
	return out
}

type labScore struct {
	cond                 string
	seed                 int64
	f, p, r, kind, sure  float64
	begun, firsts, loose int
	minutes              float64
	truth                int
	bins                 [11][3]int
	note                 string
}

func labTimes(all []Contact) []float64 {
	out := make([]float64, len(all))
	for i, c := range all {
		out[i] = c.Seconds
	}
	return out
}

func labAway(truth []Contact, s float64) bool {
	return !slices.ContainsFunc(truth, func(c Contact) bool { return math.Abs(c.Seconds-s) <= 1 })
}

func score(c *labClip, all []Contact) labScore {
	const tolerance = .010
	all = slices.DeleteFunc(all, func(x Contact) bool {
		return slices.ContainsFunc(c.Beside, func(b labBeside) bool {
			return b.What == "again" && math.Abs(b.Seconds-x.Seconds) <= tolerance
		})
	})
	found := slices.DeleteFunc(slices.Clone(all), func(c Contact) bool { return c.Kind == Other })
	s := labScore{cond: c.Condition, seed: c.Seed, truth: len(c.Truth)}
	a, b := labTimes(c.Truth), labTimes(found)
	s.f, s.p, s.r = Score(a, b, tolerance)
	partner := map[int]int{}
	pairs := Match(a, b, tolerance)
	for _, p := range pairs {
		partner[p[1]] = p[0]
		if c.Truth[p[0]].Kind == found[p[1]].Kind {
			s.kind += 1 / float64(len(pairs))
		}
	}
	reached := map[int]bool{}
	for i, is := range found {
		s.sure += is.Confidence / float64(len(found))
		bb := &s.bins[int(math.Round(10*is.Confidence))]
		bb[0]++
		if k, ok := partner[i]; ok {
			reached[k] = true
			bb[1]++
			if is.Kind == c.Truth[k].Kind {
				bb[2]++
			}
		}
		if is.Confidence >= .5 && labAway(c.Truth, is.Seconds) {
			s.loose++
		}
	}
	for i, from := range c.Begun {
		to := math.Inf(1)
		if i+1 < len(c.Begun) {
			to = c.Begun[i+1]
		}
		first := slices.IndexFunc(c.Truth, func(c Contact) bool {
			return c.Kind == Racket && c.Seconds >= from-.001 && c.Seconds < to
		})
		if first >= 0 {
			s.begun++
			if reached[first] {
				s.firsts++
			}
		}
	}
	for x := 0.0; x < float64(len(c.Left))/float64(c.Rate); x += .1 {
		if labAway(c.Truth, x) {
			s.minutes += .1 / 60
		}
	}
	return s
}

func TestLab(t *testing.T) {
	if v := os.Getenv("MERGE"); v != "" {
		fmt.Sscan(v, &MERGE)
	}
	dir := os.Getenv("LAB")
	if dir == "" {
		t.Skip()
	}
	only := os.Getenv("LAB_ONLY")
	var names []string
	all, _ := filepath.Glob(dir + "/*.gob")
	for _, n := range all {
		ok := only == ""
		for _, o := range strings.Split(only, ",") {
			ok = ok || o != "" && strings.Contains(filepath.Base(n), o)
		}
		if ok {
			names = append(names, n)
		}
	}
	scores := make([]labScore, len(names))
	var wait sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, n := range names {
		wait.Go(func() {
			slots <- struct{}{}
			defer func() { <-slots }()
			c := loadLab(n)
			hear := labHear
			all, note := hear(c)
			scores[i] = score(c, all)
			scores[i].note = note
		})
	}
	wait.Wait()
	by := map[string][]labScore{}
	var conds []string
	for _, s := range scores {
		if by[s.cond] == nil {
			conds = append(conds, s.cond)
		}
		by[s.cond] = append(by[s.cond], s)
	}
	sort.Strings(conds)
	var bins [11][3]int
	fmt.Printf("%-36s %6s %6s %6s %6s %6s\n", "", "F", "kind", "sure", "first", "/min")
	for _, c := range conds {
		var f, kind, sure, mins float64
		var begun, firsts, loose int
		line := ""
		for _, s := range by[c] {
			n := float64(len(by[c]))
			f += s.f / n
			kind += s.kind / n
			sure += s.sure / n
			begun += s.begun
			firsts += s.firsts
			loose += s.loose
			mins += s.minutes
			line += fmt.Sprintf(" %.2f/%.2f", s.f, s.kind)
			for i := range bins {
				for k := range 3 {
					bins[i][k] += s.bins[i][k]
				}
			}
		}
		fmt.Printf("%-36s %6.3f %6.3f %6.3f %6.3f %6.1f  |%s\n", c, f, kind, sure, float64(firsts)/float64(begun), float64(loose)/mins, line)
		if os.Getenv("LAB_NOTES") != "" {
			for _, s := range by[c] {
				fmt.Printf("    seed %d F %.3f p %.3f r %.3f kind %.2f sure %.2f truth %d loose %d  %s\n", s.seed, s.f, s.p, s.r, s.kind, s.sure, s.truth, s.loose, s.note)
			}
		}
	}
	for i, b := range bins {
		if b[0] > 0 {
			fmt.Printf("%3d%% %6d %.3f %.3f\n", 10*i, b[0], float64(b[1])/float64(b[0]), float64(b[2])/float64(b[0]))
		}
	}
}

func labHear(c *labClip) ([]Contact, string) {
	d, _ := NewDetector(c.Rate)
	d.lab = c
	all := append(d.Write(c.mono()), d.Finish()...)
	r := &d.readings[0]
	m := &r.model
	var mean [features]float64
	for s := range m.sounds {
		for i, v := range m.sounds[s].mean {
			mean[i] += v / sounds
		}
	}
	own, beat := 0., 0.
	for i := range r.beliefs {
		own += r.beliefs[i].contact()
		beat += r.beliefs[i].pat + r.beliefs[i].hands
	}
	note := ""
	if r.model.clutter != nil {
		note = fmt.Sprintf("ld %.2f hd %.2f st %.2f unst %.3f own %.0f beat %.0f rhythm %.1f T %v distinct %v", mean[lowDecay], mean[highDecay], mean[standing], m.unsteady(), own, beat, d.rhythm(r, d.waiting), timingOf(d.waiting, r.beliefs), true)
	}
	if os.Getenv("LAB_DEBUG") != "" && r.model.clutter != nil {
		var conf [4][4]float64
		for i := range r.beliefs {
			for _, tr := range c.Truth {
				if math.Abs(tr.Seconds-d.waiting[i].at) < .01 {
					k := 0
					if tr.Kind == Bounce { k = 2 }
					if tr.Who == Far { k++ }
					for s, v := range r.beliefs[i].sound { conf[k][s] += v }
				}
			}
		}
		note += fmt.Sprintf("\n conf nr fr nb fb x R0 R1 B0 B1: %.0f", conf)
		for k, st := range r.model.steps {
			if st.chance > .05 && st.from < second0+2 {
				note += fmt.Sprintf("\n   step %d %d->%d chance %.2f gap %.3f sd %.2f", k, st.from, st.to, st.chance, math.Exp(st.gap.mean), st.gap.sd)
			}
		}
		seq := ""
		for _, tr := range c.Truth { seq += fmt.Sprintf(" %s%s@%.2f", tr.Who[:1], tr.Kind[:1], tr.Seconds) }
		note += "\n" + seq[:min(len(seq),900)]
	}
	return all, fmt.Sprintf("playing %d odds %.1f cands %d ", d.playing, d.odds, len(d.waiting)) + note + d.note
}
