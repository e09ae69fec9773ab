package picture

import (
	"encoding/json"
	"flag"
	"image/color"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// The tangents are of Abramowitz and Stegun, Handbook of Mathematical Functions (1964),
// table 4.14: arctan 0.5 = 0.463647609001, arctan 0.75 = 0.643501108793 radians.
func TestDegreesArePublishedOnes(t *testing.T) {
	const degree = 180 / math.Pi
	at := Point{3, 2}
	for _, c := range []struct {
		a, b Point
		want float64
	}{
		{Point{7, 2}, Point{7, 4}, 0.463647609001 * degree},
		{Point{7, 2}, Point{7, 5}, 0.643501108793 * degree},
		{Point{7, 2}, Point{7, -1}, 0.643501108793 * degree}, // below is as above
		{Point{-1, 2}, Point{7, 5}, 180 - 0.643501108793*degree},
		{Point{3, -2}, Point{9, 2}, 90},
		{Point{1, 2}, Point{5, 2}, 180},
		{Point{5, 2}, Point{9, 2}, 0},
		{Point{3, 2}, Point{9, 2}, 0}, // no line at all
	} {
		require.InDelta(t, c.want, degrees(at, c.a, c.b), 1e-9)
		require.InDelta(t, c.want, degrees(at, c.b, c.a), 1e-9)
	}
	// An arccosine would say 0 of this one.
	require.InEpsilon(t, 1e-9*degree, degrees(Point{}, Point{X: 1}, Point{X: 1, Y: 1e-9}), 1e-12)
}

// An angle is the same however its picture is rotated and mirrored, and takes the
// picture's shape into account.
func TestAnglesFollowTheirPicture(t *testing.T) {
	d := Drawing{Kind: Angle, Places: []Point{{.5, .5}, {.75, .5}, {.75, .75}}}
	const w, h = 400, 200 // the arms go 100 across, then 50 down: arctan 0.5
	require.Equal(t, "27° in the picture", d.Outline(w, h).Label)
	for rotation := range 4 {
		for _, mirror := range []bool{false, true} {
			a := Adjustment{Rotation: rotation, Mirror: mirror}
			w, h := float64(w), float64(h)
			if rotation%2 == 1 {
				w, h = h, w
			}
			require.Equal(t, "27° in the picture", d.Moved(a.Shown).Outline(w, h).Label)
		}
	}
}

var update = flag.Bool("update", false, "write the outlines anew")

// outlines are what the page has to make of the same drawings.
func TestOutlines(t *testing.T) {
	type one struct {
		Name    string  `json:"name"`
		Drawing Drawing `json:"drawing"`
		Width   float64 `json:"width"`
		Height  float64 `json:"height"`
		Outline Outline `json:"outline"`
	}
	const file = "testdata/outlines.json"
	var all []one
	for _, c := range []struct {
		name string
		d    Drawing
	}{
		{"line", Drawing{Kind: Line, Places: []Point{{.1, .2}, {.9, .8}}}},
		{"arrow", Drawing{Kind: Arrow, Places: []Point{{.1, .9}, {.8, .2}}}},
		{"short arrow", Drawing{Kind: Arrow, Places: []Point{{.5, .5}, {.51, .5}}}},
		{"circle", Drawing{Kind: Circle, Places: []Point{{.5, .5}, {.6, .5}}}},
		{"angle", Drawing{Kind: Angle, Places: []Point{{.5, .5}, {.75, .5}, {.75, .75}}}},
		{"angle over the back", Drawing{Kind: Angle, Places: []Point{{.5, .5}, {.25, .55}, {.25, .45}}}},
		{"straight", Drawing{Kind: Angle, Places: []Point{{.5, .5}, {.25, .5}, {.75, .5}}}},
		{"angle at the edge", Drawing{Kind: Angle, Places: []Point{{.02, .02}, {.2, .02}, {.02, .3}}}},
		{"half an angle", Drawing{Kind: Angle, Places: []Point{{.5, .5}, {.75, .5}}}},
		{"free", Drawing{Kind: Free, Places: []Point{{.1, .1}, {.2, .3}, {.15, .4}}}},
		{"text", Drawing{Kind: Text, Places: []Point{{.5, .5}}, Text: "feet wider"}},
		{"text at the edge", Drawing{Kind: Text, Places: []Point{{1, 0}}, Text: "Füße früher"}},
	} {
		for _, size := range [][2]float64{{640, 360}, {1080, 1920}} {
			all = append(all, one{c.name, c.d, size[0], size[1], c.d.Outline(size[0], size[1])})
		}
	}
	for _, o := range all {
		for _, line := range o.Outline.Lines {
			for _, p := range line {
				require.False(t, math.IsNaN(p.X) || math.IsNaN(p.Y), o.Name)
			}
		}
	}
	if *update {
		text, err := json.Marshal(all)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(file, append(text, '\n'), 0o644))
	}
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	var kept []one
	require.NoError(t, json.Unmarshal(text, &kept))
	require.Equal(t, kept, all)
}

// A line is told from its ground, or its rim from the line and from the ground: 3 to 1 is
// what WCAG 2.1 asks of what is no text (success criterion 1.4.11). Grounds are all of a
// grid over the colours that a picture can have.
func TestColoursAreToldFromAnyGround(t *testing.T) {
	ink, rim := Ink(), Rim()
	part := float64(rim.A) / 255
	for r := 0; r <= 255; r += 15 {
		for g := 0; g <= 255; g += 15 {
			for b := 0; b <= 255; b += 15 {
				over := func(c int) uint8 { return uint8(float64(c)*(1-part) + .5) } // the rim is black
				rimmed := color.RGBA{over(r), over(g), over(b), 255}
				require.GreaterOrEqual(t, contrast(ink, rimmed), 3.0, "on %d %d %d", r, g, b)
			}
		}
	}
}

// contrast and luminance are those of WCAG 2.1.
func contrast(a, b color.RGBA) float64 {
	la, lb := luminance(a), luminance(b)
	return (max(la, lb) + .05) / (min(la, lb) + .05)
}

func luminance(c color.RGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= .04045 {
			return s / 12.92
		}
		return math.Pow((s+.055)/1.055, 2.4)
	}
	return .2126*linear(c.R) + .7152*linear(c.G) + .0722*linear(c.B)
}
