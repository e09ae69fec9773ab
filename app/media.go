package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image"
	"math"
	"net/http"
	"strconv"
	"strings"

	"strokeledger/internal/canvas"
	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/picture"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// The bounds of what one request may ask for.
const (
	maxWidth      = 3840
	maxBins       = 20000
	maxSoundChunk = 60.0 // seconds
)

// media serves pictures and sound to the page. It answers GET only, takes clip
// ids and never paths, and every answer has its length.
//
//	/media/clip/{id}/frame/{n}?w=1280        JPEG; &field=1 or 2: that field alone of an interlaced picture;
//	                                         &part=x,y,width,height: that part alone, in pixels as shown;
//	                                         &second=1: of the clip as it is open a second time, see footage.OpenSecond;
//	                                         &adjust=rotation,mirror,brightness,contrast,gamma: shown so, and not
//	                                         as is kept;
//	                                         &ready=number: kept ready for the window (see motion), float64 width and height;
//	                                         &passing=1: the next frame on the decoder's way there, float64 its number
//	/media/clip/{id}/drive                   float64 seconds that the drive has owed an answer for one reading, 0 none
//	/media/clip/{id}/times                   float64 clip seconds of every indexed frame
//	/media/clip/{id}/envelope?bins=&from=&to=  float32 peaks as far as heard, 0 to 1; without from and to over the clip
//	/media/clip/{id}/contacts                float64 rows of what was heard: seconds, kind, who, confidence
//	/media/page/{n}                          the document that is looked at, HTML; see handed
//	/media/clip/{id}/sound?from=&to=&rate=   float32 mono samples; X-First-Seconds
//
// Numbers are little-endian.
func media(s *shell) http.Handler {
	mux := http.NewServeMux()
	handle := func(pattern string, answer func(ctx context.Context, w http.ResponseWriter, r *http.Request, d *desk.Desk, id club.ID, c *clip.Clip) error) {
		mux.HandleFunc("GET /media/clip/{id}/"+pattern, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Cache-Control", "no-store")
			w.Header().Set("X-Content-Type-Options", "nosniff")
			_, d, err := s.open()
			if err != nil {
				http.Error(w, sentence.Of(err), http.StatusServiceUnavailable)
				return
			}
			if err := func() (err error) {
				defer guard(&err) // nothing else would keep a panic from ending the program
				id := club.ID(r.PathValue("id"))
				open := d.Footage.Open
				if r.URL.Query().Get("second") == "1" {
					open = d.Footage.OpenSecond
				}
				c, release, err := open(r.Context(), id)
				if err != nil {
					return err
				}
				defer release()
				return answer(r.Context(), w, r, d, id, c)
			}(); err != nil {
				http.Error(w, sentence.Of(err), status(err))
			}
		})
	}
	handle("frame/{n}", s.serveFrame)
	handle("drive", serveDrive)
	handle("times", serveTimes)
	handle("envelope", serveEnvelope)
	handle("contacts", serveContacts)
	handle("sound", serveSound)
	mux.Handle("GET /media/page/{n}", &s.handed)
	return mux
}

func status(err error) int {
	if p, told := club.AsProblem(err); told && p.Entered() || errors.Is(err, store.ErrUnknown) || errors.Is(err, clip.ErrFrame) || errors.Is(err, clip.ErrGone) {
		return http.StatusNotFound
	}
	if errors.Is(err, errBadRequest) {
		return http.StatusBadRequest
	}
	if errors.Is(err, clip.ErrSlow) {
		return http.StatusGatewayTimeout // the page asks again by itself
	}
	return http.StatusInternalServerError
}

var errBadRequest = errors.New("this request is not one that the page makes")

func (s *shell) serveFrame(ctx context.Context, w http.ResponseWriter, r *http.Request, d *desk.Desk, id club.ID, c *clip.Clip) error {
	n, err := strconv.Atoi(r.PathValue("n"))
	if err != nil {
		return errBadRequest
	}
	width, err := number(r, "w", 1280, 16, maxWidth)
	if err != nil {
		return err
	}
	field, err := number(r, "field", 0, 0, 2)
	if err != nil || field != math.Trunc(field) {
		return errBadRequest
	}
	adjusted, err := adjustmentOf(ctx, r, d, id)
	if err != nil {
		return err
	}
	look := c.Shown(adjusted)
	look.Field = [...]clip.Field{clip.Whole, clip.First, clip.Second}[int(field)]
	part, err := partOf(r)
	if err != nil {
		return err
	}
	look = look.Cut(part, int(width))
	if r.URL.Query().Has("passing") {
		n, err := c.Passing(ctx, look)
		if err != nil {
			return err
		}
		return sendNumbers(w, []float64{float64(n)})
	}
	if r.URL.Query().Has("ready") {
		return s.makeReady(ctx, w, r, c, n, look)
	}
	jpeg, err := c.JPEGLook(ctx, n, look)
	if err != nil {
		return err
	}
	return send(w, "image/jpeg", jpeg)
}

// makeReady keeps a picture ready for the window under the number asked for.
func (s *shell) makeReady(ctx context.Context, w http.ResponseWriter, r *http.Request, c *clip.Clip, n int, look clip.Look) error {
	kept, err := number(r, "ready", 0, 0, 1<<53)
	if err != nil {
		return err
	}
	pixels, err := c.Screen(ctx, n, look)
	if err != nil {
		return err
	}
	s.motion.keep(int(kept), canvas.Picture{Pixels: pixels, Width: look.Width, Height: look.Height})
	return sendNumbers(w, []float64{float64(look.Width), float64(look.Height)})
}

// partOf reads which part of a picture is asked for; empty is all of it.
func partOf(r *http.Request) (image.Rectangle, error) {
	text := r.URL.Query().Get("part")
	if text == "" {
		return image.Rectangle{}, nil
	}
	v, err := integers(text, 4, 0, math.MaxUint16)
	if err != nil || v[2] == 0 || v[3] == 0 {
		return image.Rectangle{}, errBadRequest
	}
	return image.Rect(v[0], v[1], v[0]+v[2], v[1]+v[3]), nil
}

// adjustmentOf reads how a picture is asked for, or how it is kept.
func adjustmentOf(ctx context.Context, r *http.Request, d *desk.Desk, id club.ID) (picture.Adjustment, error) {
	text := r.URL.Query().Get("adjust")
	if text == "" {
		return d.Pictures.Adjustment(ctx, id)
	}
	v, err := integers(text, 5, -100, 100)
	if err != nil {
		return picture.Adjustment{}, err
	}
	a := picture.Adjustment{Rotation: v[0], Mirror: v[1] == 1, Brightness: v[2], Contrast: v[3], Gamma: v[4]}
	if a.Check() != nil || v[1]&^1 != 0 {
		return a, errBadRequest
	}
	return a, nil
}

// integers reads so many whole numbers with commas between them.
func integers(text string, count, low, high int) ([]int, error) {
	fields := strings.Split(text, ",")
	if len(fields) != count {
		return nil, errBadRequest
	}
	v := make([]int, count)
	for i, f := range fields {
		n, err := strconv.Atoi(f)
		if err != nil || n < low || n > high {
			return nil, errBadRequest
		}
		v[i] = n
	}
	return v, nil
}

func serveDrive(_ context.Context, w http.ResponseWriter, _ *http.Request, _ *desk.Desk, _ club.ID, c *clip.Clip) error {
	return sendNumbers(w, []float64{c.Waiting().Seconds()})
}

func serveTimes(_ context.Context, w http.ResponseWriter, _ *http.Request, _ *desk.Desk, _ club.ID, c *clip.Clip) error {
	return sendNumbers(w, c.Index().Times())
}

func serveEnvelope(ctx context.Context, w http.ResponseWriter, r *http.Request, d *desk.Desk, id club.ID, _ *clip.Clip) error {
	bins, err1 := number(r, "bins", 2000, 1, maxBins)
	from, err2 := number(r, "from", 0, 0, 1e6)
	to, err3 := number(r, "to", 0, 0, 1e6)
	if err := errors.Join(err1, err2, err3); err != nil {
		return errBadRequest
	}
	peaks, err := d.Listening.Envelope(ctx, id, from, to, int(bins))
	if err != nil {
		return err
	}
	return sendNumbers(w, peaks)
}

// serveContacts sends four numbers a contact: its clip time; 0 for a racket, 1 for
// a bounce, 2 for another sound; 1 for the near player, 2 for the far one, 0 where
// it cannot be told; its confidence.
func serveContacts(ctx context.Context, w http.ResponseWriter, _ *http.Request, d *desk.Desk, id club.ID, _ *clip.Clip) error {
	found, err := d.Heard.Contacts(ctx, id)
	if err != nil {
		return err
	}
	rows := make([]float64, 0, 4*len(found))
	kind, who := map[string]float64{"racket": 0, "bounce": 1}, map[string]float64{"near": 1, "far": 2}
	for _, c := range found {
		k, plays := kind[string(c.Kind)]
		if !plays {
			k = 2
		}
		rows = append(rows, c.Seconds, k, who[string(c.Who)], c.Confidence)
	}
	return sendNumbers(w, rows)
}

func serveSound(ctx context.Context, w http.ResponseWriter, r *http.Request, _ *desk.Desk, _ club.ID, c *clip.Clip) error {
	from, err1 := number(r, "from", 0, -3600, 1e6)
	to, err2 := number(r, "to", from+1, from, from+maxSoundChunk)
	rate, err3 := number(r, "rate", 48000, 8000, 192000)
	if err := errors.Join(err1, err2, err3); err != nil {
		return errBadRequest
	}
	samples, first, err := c.Samples(ctx, from, to, int(rate))
	if err != nil {
		return err
	}
	w.Header().Set("X-First-Seconds", strconv.FormatFloat(first, 'g', -1, 64))
	return sendNumbers(w, samples)
}

// number reads a finite number of the query, inside its bounds.
func number(r *http.Request, name string, otherwise, low, high float64) (float64, error) {
	text := r.URL.Query().Get(name)
	if text == "" {
		return otherwise, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || v < low || v > high {
		return 0, errBadRequest
	}
	return v, nil
}

func sendNumbers(w http.ResponseWriter, numbers any) error {
	var b bytes.Buffer
	if err := binary.Write(&b, binary.LittleEndian, numbers); err != nil {
		return err
	}
	return send(w, "application/octet-stream", b.Bytes())
}

func send(w http.ResponseWriter, kind string, body []byte) error {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.Write(body) // the page may have dropped the request: there is nobody to tell
	return nil
}
