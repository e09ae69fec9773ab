package film

import (
	"math"

	"strokeledger/internal/demo"
)

// weave is how many places a piece of cloth has each way.
const weave = 128

// cloth is a shirt, its colours with the folds in them: from one side to the other,
// and from the bottom to the top.
type cloth [weave][weave]demo.RGB

// at is its colour at a place: u runs from -1 to 1 from the right to the left, v from 0
// at the bottom to 1 at the top.
func (c *cloth) at(u, v float64) demo.RGB {
	x, y := int((u+1)*weave/2), int(v*weave)
	return c[min(max(y, 0), weave-1)][min(max(x, 0), weave-1)]
}

// shirt is the cloth of a look, as it is seen from behind or not.
func shirt(l demo.Look, fromBehind bool) *cloth {
	var woven cloth
	for y := range woven {
		for x := range woven[y] {
			colour, fold := dyed(l, fromBehind, (float64(x)+0.5)*2/weave-1, (float64(y)+0.5)/weave)
			for i, part := range colour {
				woven[y][x][i] = uint8(min(255, float64(part)*fold))
			}
		}
	}
	return &woven
}

// dyed is the colour of a shirt at a place, and how bright its folds are there.
func dyed(l demo.Look, fromBehind bool, u, v float64) (demo.RGB, float64) {
	// Folds run aslant over the hips and hang from the shoulders.
	fold := 1 + 0.045*math.Sin(5*u+9*v+1.3*math.Sin(7*v)) + 0.03*math.Sin(13*u-4*v)
	c := l.Shirt
	switch l.Cloth {
	case demo.Hoops:
		if math.Mod(v*4.5+0.2, 1) < 0.42 {
			c = l.Trim
		}
	case demo.Band:
		if math.Abs(v-0.62) < 0.07 {
			c = l.Trim
		}
	case demo.Halves:
		if u+0.35*(v-0.5) > 0.1 {
			c = l.Trim
		}
	case demo.Flecks:
		if flecked(u, v) {
			c = l.Trim
		}
	}
	if fromBehind && l.Number > 0 && painted(l.Number, -u/0.26, (0.5-v)/0.2) {
		c = l.Trim
	}
	return c, fold
}

// flecked reports whether a fleck lies at a place of the cloth: one in each cell of a
// grid, never twice in the same part of it.
func flecked(u, v float64) bool {
	const cells = 5
	x, y := u*cells, v*2*cells
	cx, cy := math.Floor(x), math.Floor(y)
	place := math.Mod(math.Abs(math.Sin(cx*12.9898+cy*78.233))*437.5, 1)
	dx, dy := x-cx-0.3-0.4*place, y-cy-0.7+0.4*place
	return dx*dx+dy*dy < 0.05+0.05*place
}

// painted reports whether a digit covers a place, both parts of which run from -1 to 1,
// x to the right and y down.
func painted(digit int, x, y float64) bool {
	if x <= -1 || x >= 1 || y <= -1 || y >= 1 {
		return false
	}
	rows := [10]string{
		1: ".#.##..#..#.###", 2: "##...#.#.#..###", 3: "##...#.#...###.", 4: "#.##.####..#..#", 5: "####..##...###.",
		6: ".###..####.####", 7: "###..#.#..#..#.", 8: "####.#.#.#.####", 9: "####.####..###.", 0: "####.##.##.####",
	}[digit]
	return rows[int((y+1)/2*5)*3+int((x+1)/2*3)] == '#'
}
