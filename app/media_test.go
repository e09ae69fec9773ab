package main

import (
	"bytes"
	"encoding/binary"
	"image/jpeg"
	"math"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

// newMedia serves a new library with one clip.
func newMedia(t testing.TB) (http.Handler, club.ID) {
	t.Helper()
	s := newShell(filepath.Join(t.TempDir(), "library"))
	s.start(t.Context())
	t.Cleanup(s.stop)
	_, d, err := s.open()
	require.NoError(t, err)
	added, err := d.Sessions.Add(t.Context(), "2026-03-14", []string{"../testdata/clips/a01_baseline.mp4"}, nil)
	require.NoError(t, err)
	return media(s), added[0].ClipID
}

func get(h http.Handler, method, target string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, &http.Request{Method: method, URL: mustParse(target), Header: http.Header{}, Host: "wails"})
	return w
}

func mustParse(target string) *url.URL {
	u, err := url.Parse(target)
	if err != nil {
		return &url.URL{Path: target}
	}
	return u
}

func TestMediaServesPicturesAndSound(t *testing.T) {
	h, id := newMedia(t)
	at := "/media/clip/" + string(id) + "/"

	w := get(h, "GET", at+"frame/3?w=160")
	require.Equal(t, 200, w.Code)
	img, err := jpeg.Decode(w.Body)
	require.NoError(t, err)
	require.Equal(t, 160, img.Bounds().Dx())
	require.Equal(t, "image/jpeg", w.Header().Get("Content-Type"))
	require.NotEmpty(t, w.Header().Get("Content-Length"))

	require.Equal(t, 200, get(h, "GET", at+"frame/3?w=160&field=2").Code)

	w = get(h, "GET", at+"times")
	require.Len(t, w.Body.Bytes(), 75*8)
	last := math.Float64frombits(binary.LittleEndian.Uint64(w.Body.Bytes()[74*8:]))
	require.InDelta(t, 2.96, last, 1e-9)

	w = get(h, "GET", at+"sound?from=0.3&to=0.5&rate=48000")
	require.Equal(t, 200, w.Code)
	samples := make([]float32, w.Body.Len()/4)
	require.NoError(t, binary.Read(bytes.NewReader(w.Body.Bytes()), binary.LittleEndian, samples))
	require.InDelta(t, 9600, len(samples), 2)

	w = get(h, "GET", at+"envelope?bins=100")
	require.Len(t, w.Body.Bytes(), 400)
}

func TestMediaRefusesTheRest(t *testing.T) {
	h, id := newMedia(t)
	at := "/media/clip/" + string(id) + "/"
	for _, target := range []string{
		at + "frame/75", at + "frame/-1", at + "frame/x", at + "frame/3?w=0", at + "frame/3?w=1e9", at + "frame/3?w=NaN",
		at + "frame/3?field=3", at + "frame/3?part=0,0,0,9", at + "frame/3?part=1,2,3", at + "frame/3?part=-1,0,9,9", at + "frame/3?adjust=4,0,0,0,0", at + "frame/3?adjust=0,2,0,0,0", at + "frame/3?adjust=0,0,x,0,0", at + "frame/3?field=-1", at + "frame/3?field=0.5", at + "frame/3?field=x",
		at + "sound?from=0&to=1e9", at + "sound?from=x", at + "envelope?bins=0", at + "envelope?bins=1e12",
		at, "/media/", "/media/clip/", "/media/clip/none/frame/1", "/media/clip/../../etc/passwd/frame/1",
		"/media/clip/%2e%2e%2fetc/frame/1", at + "frame/1/../../../secret", "/media/clip/" + string(id) + "%00/frame/1",
	} {
		w := get(h, "GET", target)
		require.GreaterOrEqual(t, w.Code, 300, target)
		require.Less(t, w.Code, 500, target)
	}
	for _, method := range []string{"POST", "PUT", "DELETE"} {
		require.Equal(t, 405, get(h, method, at+"frame/1").Code, method)
	}
}

// FuzzMedia asks for what no page asks for: nothing but an answer below 500, and
// no panic.
func FuzzMedia(f *testing.F) {
	h, id := newMedia(f)
	f.Add("frame/1", "w=100")
	f.Add("sound", "from=0&to=1&rate=8000")
	f.Add("envelope", "bins=3")
	f.Add("../x", "w=%zz")
	f.Fuzz(func(t *testing.T, tail, query string) {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, &http.Request{Method: "GET", URL: &url.URL{Path: "/media/clip/" + string(id) + "/" + tail, RawQuery: query}, Header: http.Header{}, Host: "wails"})
		if w.Code >= 500 {
			t.Fatalf("%q ? %q: %d %s", tail, query, w.Code, w.Body)
		}
	})
}
