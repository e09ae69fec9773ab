package agreement

// Gap stands for a coach who has not looked at a unit.
const Gap = -1

// Units are units by what each of several coaches said of them, a number from 0 on, or
// Gap. Units of which fewer than two said anything tell nothing of agreement and drop
// out, but AC1 takes them for how common each answer is.
type Units [][]int

// ratings counts the answers of a unit, by answer.
func ratings(unit []int) (by map[int]int, n int) {
	by = map[int]int{}
	for _, v := range unit {
		if v != Gap {
			by[v]++
			n++
		}
	}
	return by, n
}

// Alpha is one less the ratio of what differs to what would differ by chance: for any
// number of coaches, with gaps. It is not ok where all said one and the same.
//
// Source: Krippendorff K (2011) "Computing Krippendorff's alpha-reliability", section C,
// for nominal data.
func (u Units) Alpha() (float64, bool) {
	same, total := 0.0, 0.0
	all := map[int]float64{}
	for _, unit := range u {
		by, n := ratings(unit)
		if n < 2 {
			continue
		}
		total += float64(n)
		for v, k := range by {
			all[v] += float64(k)
			same += float64(k*(k-1)) / float64(n-1)
		}
	}
	pairs := 0.0
	for _, k := range all {
		pairs += k * (k - 1)
	}
	if total < 2 {
		return 0, false
	}
	return beyond(same/total, pairs/(total*(total-1)), true)
}

// AC1 is Gwet's coefficient for any number of coaches, with gaps, where any of so many
// answers could have been given.
//
// Source: Gwet KL (2008) Br J Math Stat Psychol 61:29-48, with gaps as in Gwet KL (2014)
// Handbook of Inter-Rater Reliability, 4th edition, chapter 5.
func (u Units) AC1(answers int) (float64, bool) {
	agreed, pairable, rated := 0.0, 0, 0
	common := map[int]float64{}
	for _, unit := range u {
		by, n := ratings(unit)
		if n == 0 {
			continue
		}
		rated++
		for v, k := range by {
			common[v] += float64(k) / float64(n)
			if n > 1 {
				agreed += float64(k*(k-1)) / float64(n*(n-1))
			}
		}
		if n > 1 {
			pairable++
		}
	}
	if pairable == 0 || answers < 2 {
		return 0, false
	}
	chance := 0.0
	for _, sum := range common {
		p := sum / float64(rated)
		chance += p * (1 - p)
	}
	return beyond(agreed/float64(pairable), chance/float64(answers-1), true)
}
