package table_test

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/require"
	"strokeledger/internal/table"
)

// solver is OpenCV's way with the same points: solvePnP with three ordinary focal
// lengths, then calibrateCamera from the best of them, with square pixels, the optical
// axis in the middle and no bending of the lens, which so few points cannot tell it
// without what is known beforehand; then each foot along its ray to the floor. Where
// calibrateCamera fails or finds a focal length that no lens has, the best of the three
// stays. OpenCV counts pixels from the middle of the first one.
const solver = `
import cv2, json, sys
import numpy as np
out = []
for c in json.load(sys.stdin):
    P = np.array(c["places"], np.float32) - np.float32([0, 0, .76]); u = np.array(c["points"], np.float32) - .5
    w, h = c["size"]; best = None
    for f in (.6, .85, 1.2):
        K = np.array([[f * w, 0, w / 2 - .5], [0, f * w, h / 2 - .5], [0, 0, 1]])
        ok, r, t = cv2.solvePnP(P, u, K, None, flags=cv2.SOLVEPNP_ITERATIVE)
        if not ok: continue
        e = np.linalg.norm(cv2.projectPoints(P, r, t, K, None)[0][:, 0] - u)
        if best is None or e < best[0]: best = (e, K, None, r, t)
    flags = cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_ASPECT_RATIO | cv2.CALIB_FIX_PRINCIPAL_POINT | cv2.CALIB_ZERO_TANGENT_DIST | cv2.CALIB_FIX_K1 | cv2.CALIB_FIX_K2 | cv2.CALIB_FIX_K3
    try:
        e, K, D, r, t = cv2.calibrateCamera([P], [u], (w, h), best[1].copy(), np.zeros(5), flags=flags)
        if .2 * w < K[0, 0] < 6 * w: best = (e, K, D, r[0], t[0])
    except cv2.error:
        pass
    _, K, D, r, t = best
    R = cv2.Rodrigues(r)[0]; at = -R.T @ t.ravel() + [0, 0, .76]; feet = []
    for p in c["feet"]:
        x, y = cv2.undistortPoints(np.array([[[p[0] - .5, p[1] - .5]]]), K, D)[0, 0]
        d = R.T @ np.array([x, y, 1.]); s = -at[2] / d[2]
        feet.append(float(at[0] + s * d[0]))
    out.append(feet)
json.dump(out, sys.stdout)
`

// The distances of feet from the end line are not worse than what OpenCV makes of the
// same points, with and without the tops of the net posts.
func TestNotWorseThanOpenCV(t *testing.T) {
	type task struct {
		Places [][3]float64 `json:"places"`
		Points [][2]float64 `json:"points"`
		Feet   [][2]float64 `json:"feet"`
		Size   [2]int       `json:"size"`
	}
	for name, tops := range map[string]bool{"corners and tops": true, "corners": false} {
		rng := rand.New(rand.NewPCG(21, 14))
		var tasks []task
		var truth [][]float64
		var ours []float64
		for range 200 {
			c := anyCamera(rng, ordinary())
			clicks, _ := c.clicks(rng, 2, tops)
			k := task{Feet: [][2]float64{}, Size: [2]int{int(c.width), int(c.height)},
				Places: [][3]float64{{0, 0, .76}, {0, 1.525, .76}, {2.74, 1.525, .76}, {2.74, 0, .76}}}
			if tops {
				k.Places = append(k.Places, [3]float64{1.37, -.1525, .9125}, [3]float64{1.37, 1.6775, .9125})
			}
			for _, p := range append(clicks.Corners[:], clicks.Tops...) {
				k.Points = append(k.Points, [2]float64{p.X, p.Y})
			}
			fitted, err := table.Fit(clicks)
			require.NoError(t, err)
			var at []float64
			for _, foot := range c.feet(rng, 6) {
				p, _ := c.see(foot)
				p.X, p.Y = p.X+3*rng.NormFloat64(), p.Y+3*rng.NormFloat64()
				spot, err := fitted.Floor(p, 3)
				if err != nil {
					continue // too vague, and told so
				}
				far, _, err := spot.From(table.EndLine)
				if err != nil {
					continue
				}
				at = append(at, foot[0])
				ours = append(ours, far+foot[0])
				k.Feet = append(k.Feet, [2]float64{p.X, p.Y})
			}
			tasks, truth = append(tasks, k), append(truth, at)
		}
		in, err := json.Marshal(tasks)
		require.NoError(t, err)
		var out, complaint bytes.Buffer
		// Debian's own Python, for which its package python3-opencv is.
		cmd := exec.Command("/usr/bin/python3", "-c", solver)
		cmd.Stdin, cmd.Stdout, cmd.Stderr = bytes.NewReader(in), &out, &complaint
		require.NoError(t, cmd.Run(), "OpenCV (Debian package python3-opencv): %s", complaint.String())
		var got [][]float64
		require.NoError(t, json.Unmarshal(out.Bytes(), &got))
		var theirs []float64
		for i, feet := range got {
			require.Len(t, feet, len(truth[i]))
			for k, x := range feet {
				theirs = append(theirs, math.Abs(x-truth[i][k]))
			}
		}
		t.Logf("%s: median %.1f cm, 95 %% within %.1f; OpenCV %.1f, %.1f (%d feet)", name, quantile(ours, .5), quantile(ours, .95), quantile(theirs, .5), quantile(theirs, .95), len(ours))
		// So many feet tell the median and the 95th percentile to no better than 4 %.
		for _, q := range []float64{.5, .95} {
			require.LessOrEqual(t, quantile(ours, q), 1.04*quantile(theirs, q), name)
		}
	}
}
