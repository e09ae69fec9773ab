package neural

import (
	"encoding/json"
	"image/png"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// The values of golden.json were worked out by the format's own interpreter; how, says
// reference.mjs beside it.
type golden struct {
	Landmarks []float64   `json:"landmarks"` // of figure.png, pixels
	Score     float64     `json:"score"`
	Heat      []float64   `json:"heat"`   // every 997th value
	Places    []int       `json:"places"` // of hall.png
	Boxes     [][]float64 `json:"boxes"`  // pixels
	Logits    []float64   `json:"logits"`
}

// near is how far two interpreters may be apart, pixels.
const near = .01

func TestAgreesWithTheFormatsOwnInterpreter(t *testing.T) {
	var want golden
	b, err := os.ReadFile("testdata/golden.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(b, &want))
	require.Len(t, want.Landmarks, 39*5)
	require.Greater(t, len(want.Places), 225)
	for _, k := range kernels() {
		t.Run(k.name, func(t *testing.T) {
			landmarks, err := read(weights(t, "landmarks.tflite"), k, 0, 1, 3)
			require.NoError(t, err)
			fill(t, landmarks, "figure.png", 1./255, 0)
			landmarks.Run()
			require.InDeltaSlice(t, want.Landmarks, wide(landmarks.Output(0)), near)
			require.InDelta(t, want.Score, landmarks.Output(1)[0], 1e-4)
			for i, v := range want.Heat {
				require.InDelta(t, v, landmarks.Output(2)[997*i], near)
			}
			detector, err := read(weights(t, "detector.tflite"), k, 0, 1)
			require.NoError(t, err)
			fill(t, detector, "hall.png", 2./255, -1)
			detector.Run()
			for i, at := range want.Places {
				require.InDeltaSlice(t, want.Boxes[i], wide(detector.Output(0)[12*at:][:12]), near)
				require.InDelta(t, want.Logits[i], detector.Output(1)[at], near)
			}
		})
	}
}

// What is not asked for is left out, and changes nothing.
func TestOnlyWhatIsAskedForIsWorkedOut(t *testing.T) {
	file := weights(t, "landmarks.tflite")
	few, err := Read(file, 0)
	require.NoError(t, err)
	all, err := Read(file, 4, 3, 2, 1, 0)
	require.NoError(t, err)
	require.Less(t, len(few.steps), len(all.steps))
	for _, n := range []*Network{few, all} {
		fill(t, n, "figure.png", 1./255, 0)
		n.Run()
		n.Run() // a second time, on what the first left
	}
	require.Equal(t, few.Output(0), all.Output(4))
}

func weights(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("../weights/" + name)
	require.NoError(t, err, "the networks are brought by build/build.sh")
	return b
}

// fill puts a picture in, each value times scale and from there on.
func fill(t testing.TB, n *Network, name string, scale, from float32) {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	require.NoError(t, err)
	defer f.Close()
	img, err := png.Decode(f)
	require.NoError(t, err)
	h, w, _ := n.Size()
	require.Equal(t, h, img.Bounds().Dy())
	require.Equal(t, w, img.Bounds().Dx())
	in := n.Input()
	for i := range h * w {
		r, g, b, _ := img.At(i%w, i/w).RGBA()
		for c, v := range []uint32{r, g, b} {
			in[3*i+c] = float32(v>>8)*scale + from
		}
	}
}

func wide(v []float32) []float64 {
	w := make([]float64, len(v))
	for i := range v {
		w[i] = float64(v[i])
	}
	return w
}

func BenchmarkRun(b *testing.B) {
	for name, file := range map[string]string{"landmarks": "landmarks.tflite", "detector": "detector.tflite"} {
		for _, k := range kernels() {
			n, err := read(weights(b, file), k, 0, 1)
			require.NoError(b, err)
			b.Run(name+", "+k.name, func(b *testing.B) {
				for b.Loop() {
					n.Run()
				}
			})
		}
	}
}
