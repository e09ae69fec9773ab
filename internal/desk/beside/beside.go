// Package beside makes pages and films of two pictures beside each other.
package beside

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/adrg/xdg"

	"strokeledger/internal/club"
	"strokeledger/internal/desk/consent"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/pictures"
	"strokeledger/internal/desk/publish"
	"strokeledger/internal/document"
	"strokeledger/internal/picture"
	"strokeledger/internal/redact"
	"strokeledger/internal/report/pairpage"
	"strokeledger/internal/report/reel"
	"strokeledger/internal/sentence"
)

// Beside is what is made of two pictures of a library. It is safe for concurrent use.
type Beside struct {
	lib      *library.Library
	footage  *footage.Clips
	pictures *pictures.Pictures
	consent  *consent.Consents
	list     *publish.Documents
}

// New is for a library; what is made stands on the list of documents.
func New(lib *library.Library, clips *footage.Clips, pics *pictures.Pictures, consents *consent.Consents, list *publish.Documents) *Beside {
	return &Beside{lib, clips, pics, consents, list}
}

// Query says what a page or a film shows of a pair of pictures.
type Query struct {
	Pair   picture.Pair `json:"pair"`  // need not be kept
	Names  bool         `json:"names"` // the pair's name, and players' in place of their aliases
	Silent bool         `json:"silent"`
	// They are shown also where there is no consent to it today.
	Unconsented bool    `json:"unconsented"`
	Lead        float64 `json:"lead"`   // seconds before the two frames; 0: 1.5
	Follow      float64 `json:"follow"` // seconds after; 0: 1
	Slow        int     `json:"slow"`   // how many times slower the moment is repeated; 0: 4
}

func (q Query) filled() (Query, error) {
	for _, f := range []struct {
		name   string
		value  float64
		top    float64
		phrase string
	}{{"lead", q.Lead, 30, "The lead-in takes 0 to 30 seconds."}, {"follow", q.Follow, 30, "The follow-through takes 0 to 30 seconds."},
		{"slow", float64(q.Slow), 20, "The repetition is 2 to 20 times slower."}} {
		if !(f.value >= 0 && f.value <= f.top) {
			return q, &club.Problem{Field: f.name, Say: f.phrase}
		}
	}
	q.Lead, q.Follow, q.Slow = cmp.Or(q.Lead, 1.5), cmp.Or(q.Follow, 1), cmp.Or(q.Slow, 4)
	return q, nil
}

// pairWidth is how wide each picture on a page is at most, in pixels: half a sheet of A4
// across at 240 to the inch.
const pairWidth = 1280

// side is one of the two pictures of a pair.
type side struct {
	clip    club.Clip
	frame   int
	ticks   int64
	view    picture.View
	shown   picture.Adjustment
	size    image.Point // as shown
	slow    float64     // how many times slower the clip plays than it was filmed
	players []club.ID
	caption string
	drawn   []picture.Drawing // on the clip, in the picture as it is shown
}

// Page writes a page with both pictures.
func (d *Beside) Page(ctx context.Context, q Query, w io.Writer) error {
	sides, err := d.sides(ctx, q)
	if err != nil {
		return err
	}
	p := pairpage.Page{Title: q.title(), Made: d.lib.Now()}
	for i, to := range []*pairpage.Picture{&p.Left, &p.Right} {
		s := sides[i]
		part := s.view.Part(s.shown, s.size.X, s.size.Y, s.size)
		if to.JPEG, err = d.cutJPEG(ctx, s, part); err != nil {
			return err
		}
		to.Caption = s.caption
		for _, v := range s.drawnIn(part) {
			if v.Shows(s.frame) {
				to.Drawn = append(to.Drawn, v)
			}
		}
	}
	return pairpage.Write(w, p)
}

// WritePage writes that page to a file, which is on the list of documents of the players whom
// it shows.
func (d *Beside) WritePage(ctx context.Context, q Query, path string) error {
	players, err := d.pairPlayers(ctx, q.Pair)
	if err != nil {
		return err
	}
	return d.list.Listed(ctx, path, "pair", players, func() error {
		return document.Write(path, func(f *os.File) error { return d.Page(ctx, q, f) })
	})
}

func (d *Beside) cutJPEG(ctx context.Context, s side, part image.Rectangle) ([]byte, error) {
	c, release, err := d.footage.Open(ctx, s.clip.ID)
	if err != nil {
		return nil, err
	}
	defer release()
	return c.JPEGLook(ctx, s.frame, c.Shown(s.shown).Cut(part, pairWidth))
}

// drawnIn is what is drawn on the part that is seen.
func (s side) drawnIn(part image.Rectangle) []picture.Drawing {
	return picture.Within(s.drawn, s.size, part)
}

// title is what stands over both.
func (q Query) title() string {
	if q.Names {
		return q.Pair.Name
	}
	return "Two moments side by side"
}

// pairPlayers are the players whom a pair shows.
func (d *Beside) pairPlayers(ctx context.Context, p picture.Pair) ([]club.ID, error) {
	turns, err := d.lib.TurnsOf(ctx, []club.ID{p.ClipID, p.OtherID})
	if err != nil {
		return nil, err
	}
	return append(playing(turns[p.ClipID], p.Frame), playing(turns[p.OtherID], p.OtherFrame)...), nil
}

// playing are the players of the turns at a frame; where none is there, of all turns.
func playing(turns []club.Turn, frame int) (here []club.ID) {
	var all []club.ID
	for _, t := range turns {
		if !slices.Contains(all, t.PlayerID) {
			all = append(all, t.PlayerID)
		}
		if t.First <= frame && frame <= t.Last {
			here = append(here, t.PlayerID)
		}
	}
	if here == nil {
		return all
	}
	return here
}

// sides are the left picture and the right one, of players whose film may be shown.
func (d *Beside) sides(ctx context.Context, q Query) (both [2]side, err error) {
	if err := q.Pair.Check(); err != nil {
		return both, err
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return both, err
	}
	without := map[club.ID]bool{}
	if !q.Unconsented {
		if without, err = d.consent.Without(ctx); err != nil {
			return both, err
		}
	}
	called := redact.Players(cat, q.Names)
	p := q.Pair
	for i, s := range []side{
		{frame: p.Frame, ticks: p.Ticks, view: p.Seen, clip: club.Clip{ID: p.ClipID}}, {frame: p.OtherFrame, ticks: p.OtherTicks, view: p.OtherSeen, clip: club.Clip{ID: p.OtherID}},
	} {
		if err := d.look(ctx, &s, called, q.Names); err != nil {
			return both, err
		}
		for _, player := range s.players {
			if without[player] {
				return both, &club.Problem{Field: "consent", Say: fmt.Sprintf("No consent to film %s is on record, or it is over: write it down under Club, or ask for it all the same.", called[player])}
			}
		}
		both[i] = s
	}
	return both, nil
}

// look fills in what is shown of a side; texts that are drawn where texts asks for them.
func (d *Beside) look(ctx context.Context, s *side, called map[club.ID]string, texts bool) (err error) {
	if s.clip, err = d.lib.Clip(ctx, s.clip.ID); err != nil {
		return err
	}
	if s.ticks, err = d.footage.Ticks(ctx, s.clip, s.frame); err != nil { // also of a pair that is not kept
		return err
	}
	kept, err := d.pictures.Adjustment(ctx, s.clip.ID)
	if err != nil {
		return err
	}
	s.shown = s.view.Adjusted(kept)
	led, err := d.lib.OfClip(ctx, s.clip.ID)
	if err != nil {
		return err
	}
	s.players = playing(led.Turns, s.frame)
	drawn := led.Drawings
	for _, m := range led.Marks {
		drawn = append(drawn, picture.OfSign(m)...)
	}
	for _, v := range picture.Told(drawn, texts) {
		s.drawn = append(s.drawn, v.Moved(s.shown.Shown))
	}
	if s.caption, err = d.caption(ctx, *s, called); err != nil {
		return err
	}
	c, release, err := d.footage.Open(ctx, s.clip.ID)
	if err != nil {
		return err
	}
	defer release()
	l := c.Shown(s.shown)
	s.size, s.slow = image.Pt(l.Width, l.Height), c.Slowness()
	return nil
}

// caption says whom a picture shows, and when.
func (d *Beside) caption(ctx context.Context, s side, called map[club.ID]string) (string, error) {
	sessions, err := d.lib.Sessions(ctx)
	if err != nil {
		return "", err
	}
	var parts []string
	for _, p := range s.players {
		parts = append(parts, called[p])
	}
	if len(parts) > 1 {
		parts = []string{strings.Join(parts, ", ")}
	}
	for _, o := range sessions {
		if o.ID == s.clip.SessionID {
			parts = append(parts, dayText(o.Date))
		}
	}
	return strings.Join(append(parts, fmt.Sprintf("frame %d", s.frame)), " · "), nil
}

// Film writes a film of both pictures beside each other: what leads to the two frames
// and what follows them, then the moment in slow motion. progress counts pictures. The
// sound is that of the clip with more pictures a second, of the left one where they are alike.
func (d *Beside) Film(ctx context.Context, q Query, path string, progress func(done, total int)) (done publish.ReelDone, err error) {
	ctx, end, err := d.lib.Jobs.Begin(ctx)
	if err != nil {
		return done, err
	}
	defer end()
	if q, err = q.filled(); err != nil {
		return done, err
	}
	sides, err := d.sides(ctx, q)
	if err != nil {
		return done, err
	}
	origin, err := d.list.Origin(ctx)
	if err != nil {
		return done, err
	}
	one, o := d.pieceOf(sides, q)
	one.Caption = reel.Caption{Title: q.title(), Foot: "Left: " + sides[0].caption + ". Right: " + sides[1].caption}
	o.Slow, o.Silent, o.Progress, o.Letters = q.Slow, q.Silent, progress, reel.NewLetters(xdg.FontDirs...)
	o.Closing = append([]string{one.Caption.Foot}, origin.Lines()...)
	var n int
	err = d.list.Listed(ctx, path, "film", append(slices.Clone(sides[0].players), sides[1].players...), func() (err error) {
		n, err = reel.Write(ctx, path, []reel.Piece{one}, o)
		return err
	})
	if errors.Is(err, reel.ErrNothing) {
		return done, &club.Problem{Say: "The two clips show nothing at the same moment: choose other frames."}
	}
	if err != nil {
		return done, sentence.File("write", path, err)
	}
	done = publish.ReelDone{Path: path, Pieces: 1, Seconds: o.Rate.Seconds(int64(n))}
	for i, s := range sides {
		if i == 0 || s.clip.ID != sides[0].clip.ID {
			done.Say = strings.TrimSpace(done.Say + " " + strings.Join(d.footage.Notices(ctx, s.clip.ID), " "))
		}
	}
	return done, nil
}

// pieceOf is the piece of a film that shows both, led by the clip with more pictures a
// second, with the size and rate of the film.
func (d *Beside) pieceOf(sides [2]side, q Query) (reel.Piece, reel.Options) {
	var shapes []reel.Shape
	for _, s := range sides {
		shape := reel.Shape{Width: s.size.X, Height: s.size.Y}
		if s.clip.Seconds > 0 {
			shape.Rate = float64(s.clip.Frames) / s.clip.Seconds
		}
		shapes = append(shapes, shape)
	}
	lead, other := 0, 1
	if shapes[1].Rate*sides[1].slow > shapes[0].Rate*sides[0].slow {
		lead, other = 1, 0
	}
	var o reel.Options
	_, _, o.Rate = reel.Format(shapes[lead : lead+1])
	o.Width, o.Height = reel.Wide(shapes)
	parts := [2]image.Rectangle{}
	left, _ := reel.Boxes(o.Width, o.Height)
	for i, s := range sides {
		parts[i] = s.view.Part(s.shown, s.size.X, s.size.Y, left.Size())
	}
	a, b := sides[lead], sides[other]
	at := a.clip.Base.Seconds(a.ticks - a.clip.FirstTicks)
	return reel.Piece{
		Source: d.source(a.clip.ID), Shown: a.shown, Part: parts[lead], From: at - q.Lead, To: at + q.Follow, Moment: a.frame, Drawn: a.drawnIn(parts[lead]),
		Beside: &reel.Beside{Source: d.source(b.clip.ID), Shown: b.shown, Part: parts[other], Moment: b.frame, Pace: b.slow / a.slow, Drawn: b.drawnIn(parts[other]), Left: lead == 1},
	}, o
}

// source opens a clip of the library for cutting.
func (d *Beside) source(id club.ID) reel.Source {
	return func(ctx context.Context) (reel.Footage, reel.Times, func(), error) {
		c, release, err := d.footage.Open(ctx, id)
		if err != nil {
			return nil, nil, nil, err
		}
		if err := c.Indexed(ctx); err != nil {
			release()
			return nil, nil, nil, err
		}
		return c, c.Index(), release, nil
	}
}

func dayText(d club.Date) string {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return string(d)
	}
	return t.Format("2 January 2006")
}
