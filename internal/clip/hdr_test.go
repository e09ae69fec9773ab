package clip_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/clip"
)

// patches makes a lossless HDR clip of upright stripes, 32 columns each, of coded
// R'G'B' from 0 to 1, BT.2020, limited range, ten bits.
func patches(t *testing.T, transfer string, stripes [][3]float64) *clip.Clip {
	w, h := 32*len(stripes), 32
	planes := [3][]uint16{make([]uint16, w*h), make([]uint16, w*h/4), make([]uint16, w*h/4)}
	for i, c := range stripes {
		// ITU-R BT.2100-2, table 6 (non-constant luminance) and table 9.
		y := .2627*c[0] + .6780*c[1] + .0593*c[2]
		cb, cr := (c[2]-y)/1.8814, (c[0]-y)/1.4746
		for k := range 32 * h {
			planes[0][k/32*w+32*i+k%32] = uint16(math.Round(876*y + 64))
		}
		for k := range 16 * h / 2 {
			at := k/16*w/2 + 16*i + k%16
			planes[1][at], planes[2][at] = uint16(math.Round(896*cb+512)), uint16(math.Round(896*cr+512))
		}
	}
	var raw bytes.Buffer
	for range 3 {
		for _, p := range planes {
			require.NoError(t, binary.Write(&raw, binary.LittleEndian, p))
		}
	}
	path := filepath.Join(t.TempDir(), "patches.mkv")
	cmd := exec.Command("ffmpeg", "-v", "error", "-f", "rawvideo", "-pix_fmt", "yuv420p10le", "-s", fmt.Sprintf("%dx%d", w, h),
		"-color_range", "tv", "-color_primaries", "bt2020", "-color_trc", transfer, "-colorspace", "bt2020nc", "-i", "-", "-c:v", "ffv1", path)
	cmd.Stdin = &raw
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	c, err := clip.Open(context.Background(), path, clip.Options{})
	require.NoError(t, err)
	t.Cleanup(func() { c.Close() })
	return c
}

// stripesOf reads the colour of every stripe, from the JPEG and the exact picture.
func stripesOf(t *testing.T, c *clip.Clip, count int) (fromJPEG, exact [][3]float64) {
	data, err := c.JPEG(context.Background(), 1, 0)
	require.NoError(t, err)
	lossy, err := jpeg.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	full, err := c.Image(context.Background(), 1)
	require.NoError(t, err)
	read := func(img image.Image) (all [][3]float64) {
		for i := range count {
			r, g, b, _ := img.At(32*i+16, 16).RGBA()
			all = append(all, [3]float64{float64(r >> 8), float64(g >> 8), float64(b >> 8)})
		}
		return all
	}
	return read(lossy), read(full)
}

func grey(levels ...float64) (stripes [][3]float64) {
	for _, v := range levels {
		stripes = append(stripes, [3]float64{v, v, v})
	}
	return stripes
}

// Levels of ITU-R BT.2408, table 1, which follow from the curves of BT.2100
// (computed from tables 4 and 5: 18 % of the light of 75 % HLG is 37.8 % and shows
// 26.0 cd/m2): a grey card of 18 % is coded at 38 % in both systems and shows 26
// cd/m2; reference white at 75 % (HLG) and 58 % (PQ), 203 cd/m2; 1000 cd/m2 is 100
// % and 75 %; light skin lies at 55 to 65 % of HLG. On the screen reference white
// is the measure and highlights need room above it, so that it may stand at 88 to
// 96 %.
func TestGreysOfHDRLookAsOnAnHDRScreen(t *testing.T) {
	card := 255 * math.Pow(26./203, 1/2.4) // ITU-R BT.1886
	for transfer, levels := range map[string][]float64{
		"arib-std-b67": {0, .38, .75, 1, .55, .65},
		"smpte2084":    {0, .38, .58, .7518, .4637, .5180}, // the last two: 65 and 112 cd/m2, as the HLG ones
	} {
		lossy, exact := stripesOf(t, patches(t, transfer, grey(levels...)), len(levels))
		for _, got := range [][][3]float64{lossy, exact} {
			for i, s := range got {
				require.InDelta(t, s[0], s[1], 1.5, "%s stripe %d is grey", transfer, i)
				require.InDelta(t, s[2], s[1], 1.5, "%s stripe %d is grey", transfer, i)
			}
			require.InDelta(t, 0, got[0][1], 1, transfer)
			require.InDelta(t, card, got[1][1], 2, "%s, grey card", transfer)
			require.InDelta(t, 255*.92, got[2][1], 255*.04, "%s, reference white", transfer)
			require.InDelta(t, 255, got[3][1], 1, "%s, peak", transfer)
			require.InDelta(t, 255*math.Pow(65./203, 1/2.4), got[4][1], 2, "%s, skin", transfer)
			require.InDelta(t, 195, got[5][1], 4, "%s, bright skin", transfer)
		}
	}
}

func TestMoreLightIsNeverDarker(t *testing.T) {
	var levels []float64
	for i := range 61 {
		levels = append(levels, float64(i)/60)
	}
	for _, transfer := range []string{"arib-std-b67", "smpte2084"} {
		_, got := stripesOf(t, patches(t, transfer, grey(levels...)), len(levels))
		for i := 1; i < len(got); i++ {
			require.GreaterOrEqual(t, got[i][1], got[i-1][1], "%s level %d", transfer, i)
		}
	}
}

// Colours that fit an SDR screen come out as they would have been recorded for one.
// The formulas are those of ITU-R BT.2100-2 (table 4: PQ, table 5: HLG) and BT.2087
// the other way round.
func TestColoursOfHDR(t *testing.T) {
	want := [][3]float64{ // R'G'B' on the screen: skin light and dark, table blue and green, floor red, ball
		{176, 136, 116}, {110, 76, 60}, {30, 70, 130}, {25, 95, 60}, {150, 50, 45}, {180, 120, 40},
	}
	wide := func(c [3]float64) (l [3]float64) { // light in cd/m2, BT.2020
		for i, v := range c {
			c[i] = 203 * math.Pow(v/255, 2.4)
		}
		for i, row := range [3][3]float64{{.6274, .3293, .0433}, {.0691, .9195, .0114}, {.0164, .0880, .8956}} {
			l[i] = row[0]*c[0] + row[1]*c[1] + row[2]*c[2]
		}
		return l
	}
	pq := func(nits, _ float64) float64 {
		y := math.Pow(nits/10000, .1593017578125)
		return math.Pow((.8359375+18.8515625*y)/(1+18.6875*y), 78.84375)
	}
	hlg := func(nits, luminance float64) float64 {
		e := nits / 1000 * math.Pow(luminance/1000, -.2/1.2)
		if e <= 1./12 {
			return math.Sqrt(3 * e)
		}
		return .17883277*math.Log(12*e-.28466892) + .55991073
	}
	for transfer, code := range map[string]func(nits, luminance float64) float64{"arib-std-b67": hlg, "smpte2084": pq} {
		var stripes [][3]float64
		for _, c := range want {
			l := wide(c)
			y := .2627*l[0] + .6780*l[1] + .0593*l[2]
			stripes = append(stripes, [3]float64{code(l[0], y), code(l[1], y), code(l[2], y)})
		}
		lossy, exact := stripesOf(t, patches(t, transfer, stripes), len(stripes))
		for i, c := range want {
			for k := range c {
				require.InDelta(t, c[k], exact[i][k], 3, "%s stripe %d: %v", transfer, i, exact[i])
				require.InDelta(t, c[k], lossy[i][k], 6, "%s stripe %d in JPEG: %v", transfer, i, lossy[i])
			}
		}
	}
}
