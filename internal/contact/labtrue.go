package contact

import (
	"fmt"
	"math"
	"sort"
)

type labBeside struct {
	Seconds float64
	What    string
}
type labClip struct {
	Condition   string
	Seed        int64
	Left, Right []float32
	Rate        int
	Truth       []Contact
	Beside      []labBeside
	Begun       []float64
}

func (d *Detector) labTrue(cs []candidate, b []belief) float64 {
	is := 0.
	if d.lab == nil {
		return 0
	}
	for i := range b {
		for _, tr := range d.lab.Truth {
			if math.Abs(tr.Seconds-cs[i].at) < .01 {
				is += b[i].contact()
			}
		}
	}
	return is
}

func (m *model) whyNot() string {
	base := common()
	type e struct {
		v float64
		s string
	}
	var all []e
	for s := range states {
		if p := base.stop[s]; p > 0 && m.stop[s] > 0 {
			all = append(all, e{firmNext * p * math.Log(m.stop[s]/p), fmt.Sprintf("stop%d %.2f", s, m.stop[s])})
		}
	}
	for k := range m.steps {
		p, q := &base.steps[k], &m.steps[k]
		if p.chance == 0 || q.chance == 0 {
			continue
		}
		n := fmt.Sprintf("%d>%d", p.from, p.to)
		all = append(all, e{firmNext * p.chance * math.Log(q.chance/p.chance), fmt.Sprintf("ch %s %.2f", n, q.chance)})
		z := (q.gap.mean - p.gap.mean) / p.gap.sd
		all = append(all, e{-firmTempo * .5 * z * z, fmt.Sprintf("mean %s %.2f", n, math.Exp(q.gap.mean))})
		z = math.Log(q.gap.sd / p.gap.sd)
		all = append(all, e{-.5 * z * z, fmt.Sprintf("sd %s %.2f", n, q.gap.sd)})
	}
	sort.Slice(all, func(a, b int) bool { return all[a].v < all[b].v })
	out := ""
	for _, x := range all[:6] {
		out += fmt.Sprintf(" (%s: %.0f)", x.s, x.v)
	}
	return out
}
