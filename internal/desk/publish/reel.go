package publish

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"slices"
	"strings"
	"time"

	"github.com/adrg/xdg"

	"strokeledger/internal/aim"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/library"
	"strokeledger/internal/desk/summary"
	"strokeledger/internal/picture"
	"strokeledger/internal/redact"
	"strokeledger/internal/report/reel"
	"strokeledger/internal/sentence"
	"strokeledger/internal/store"
)

// ReelQuery says what goes into a player's film.
type ReelQuery struct {
	Player club.ID   `json:"player"`
	Fault  club.ID   `json:"fault"` // empty: every fault
	Good   bool      `json:"good"`  // the longest stretches of good strokes in place of marks
	From   club.Date `json:"from"`  // empty: open
	To     club.Date `json:"to"`    // empty: open
	Names  bool      `json:"names"` // the player's name in place of the alias
	Silent bool      `json:"silent"`
	CutOut bool      `json:"cut_out"` // the part round the player in place of the whole picture
	// The film is made also where there is no consent to it today.
	Unconsented bool    `json:"unconsented"`
	Most        int     `json:"most"`   // pieces, the latest or the longest; 0: 20 marks or 5 stretches
	Lead        float64 `json:"lead"`   // seconds before; 0: 1.5
	Follow      float64 `json:"follow"` // seconds after; 0: 1
	Slow        int     `json:"slow"`   // how many times slower the moment is repeated; 0: 4
}

// ReelDone tells what a film became.
type ReelDone struct {
	Path    string  `json:"path"`
	Pieces  int     `json:"pieces"`
	Seconds float64 `json:"seconds"`
	Say     string  `json:"say"` // what was left out, "" for nothing
}

// Figures of a film.
const (
	usualMarks, usualStretches = 20, 5
	leastStretch               = 3    // good strokes that make a stretch worth seeing
	longestStretch             = 20.0 // seconds shown of one
	sameMoment                 = 0.5  // seconds within which two marks of one fault show the same
)

func (q ReelQuery) filled() (ReelQuery, error) {
	if err := (summary.Query{From: q.From, To: q.To}).Check(); err != nil {
		return q, err
	}
	for _, f := range []struct {
		name   string
		value  float64
		top    float64
		phrase string
	}{{"lead", q.Lead, 30, "The lead-in takes 0 to 30 seconds."}, {"follow", q.Follow, 30, "The follow-through takes 0 to 30 seconds."},
		{"slow", float64(q.Slow), 20, "The repetition is 2 to 20 times slower."}, {"most", float64(q.Most), 500, "A film takes 1 to 500 pieces."}} {
		if !(f.value >= 0 && f.value <= f.top) {
			return q, &club.Problem{Field: f.name, Say: f.phrase}
		}
	}
	q.Most = cmp.Or(q.Most, map[bool]int{false: usualMarks, true: usualStretches}[q.Good])
	q.Lead, q.Follow, q.Slow = cmp.Or(q.Lead, 1.5), cmp.Or(q.Follow, 1), cmp.Or(q.Slow, 4)
	return q, nil
}

// moment is one thing that a film shows.
type moment struct {
	clip   club.Clip
	from   float64 // seconds on the clip's clock
	to     float64
	frame  int               // repeated in slow motion, -1 none
	sign   []picture.Drawing // of the mark
	length int               // good strokes in a row
	fault  club.Fault
	drill  string
	date   club.Date
}

// Reel writes a film of a player's marks, the latest, or of the longest stretches
// of good strokes, in order of time. progress counts pictures. Pieces whose clip is
// not in its place are left out, and told. The film bears its name only once it is
// whole.
func (d *Documents) Reel(ctx context.Context, q ReelQuery, path string, progress func(done, total int)) (done ReelDone, err error) {
	ctx, end, err := d.lib.Jobs.Begin(ctx)
	if err != nil {
		return done, err
	}
	defer end()
	if q, err = q.filled(); err != nil {
		return done, err
	}
	if err := d.free(ctx, path); err != nil {
		return done, err
	}
	cat, err := d.lib.Catalogue(ctx)
	if err != nil {
		return done, err
	}
	player, err := library.Find(cat.Players, q.Player, func(p club.Player) club.ID { return p.ID }, "player")
	if err != nil {
		return done, err
	}
	if consent := player.ConsentOn(d.lib.Today()); consent != club.Given && !q.Unconsented {
		return done, noConsent(consent)
	}
	if player.DueForDeletion(d.lib.Today()) && !q.Unconsented {
		return done, &club.Problem{Field: "consent", Say: "The day after which this player was to be deleted is over: set a later day under Club, forget the player, or ask for the film all the same."}
	}
	found, err := d.moments(ctx, cat, q)
	if err != nil {
		return done, err
	}
	if len(found) == 0 {
		return done, nothingToShow(q)
	}
	shown, missing, err := d.inPlace(ctx, found)
	if err != nil {
		return done, err
	}
	if len(shown) == 0 {
		return done, &club.Problem{Say: "None of the clips that this film needs is in its place: put the files back, or say on the sessions screen where they are."}
	}
	o := reel.Options{
		Slow: q.Slow, Silent: q.Silent, Progress: progress,
		Letters: reel.NewLetters(xdg.FontDirs...),
	}
	var pieces []reel.Piece
	var shapes []reel.Shape
	name := redact.Players(cat, q.Names)[player.ID]
	drawn, err := d.drawnOnClips(ctx, shown)
	if err != nil {
		return done, err
	}
	for _, m := range shown {
		a, err := d.shownAs(ctx, m.clip.ID)
		if err != nil {
			return done, err
		}
		pieces = append(pieces, reel.Piece{
			Source: d.source(m.clip.ID), Shown: a, From: m.from, To: m.to, Moment: m.frame, Drawn: m.drawn(drawn[m.clip.ID], a, q.Names), Caption: m.caption(name),
		})
		s := reel.Shape{Width: m.clip.Width, Height: m.clip.Height}
		if a.Rotation%2 == 1 {
			s.Width, s.Height = s.Height, s.Width
		}
		if m.clip.Seconds > 0 {
			s.Rate = float64(m.clip.Frames) / m.clip.Seconds
		}
		shapes = append(shapes, s)
	}
	o.Width, o.Height, o.Rate = reel.Format(shapes)
	uncut := 0
	if q.CutOut {
		var part image.Point
		if part, uncut, err = d.cutOut(ctx, shown, pieces, progress); err != nil {
			return done, err
		}
		if uncut < len(pieces) {
			o.Width, o.Height = sized(part, o.Width, o.Height)
		}
	}
	origin, err := d.origin(ctx, cat)
	if err != nil {
		return done, err
	}
	o.Closing = closing(shown, name, origin.Lines())
	var n int
	err = d.listed(ctx, []planned{{path, []club.ID{player.ID}}}, "film", func() (err error) {
		n, err = reel.Write(ctx, path, pieces, o)
		return err
	})
	if errors.Is(err, reel.ErrNothing) {
		return done, nothingToShow(q)
	}
	if err != nil {
		return done, sentence.File("write", path, err)
	}
	done = ReelDone{Path: path, Pieces: len(shown), Seconds: o.Rate.Seconds(int64(n))}
	if missing > 0 {
		done.Say = fmt.Sprintf("%d of %d pieces were left out: their clips are not in their place.", missing, len(found))
	}
	done.Say = strings.TrimSpace(done.Say + whole(uncut, len(shown)) + d.remarks(ctx, shown))
	return done, nil
}

// remarks are what is to be told of the clips that a film shows.
func (d *Documents) remarks(ctx context.Context, shown []moment) (say string) {
	seen := map[club.ID]bool{}
	for _, m := range shown {
		if seen[m.clip.ID] {
			continue
		}
		seen[m.clip.ID] = true
		for _, n := range d.footage.Notices(ctx, m.clip.ID) {
			say += fmt.Sprintf(" %s: %s", club.Isolated(m.clip.Name), n)
		}
	}
	return say
}

func noConsent(consent club.Consent) error {
	why := "No consent to film this player is on record"
	if consent == club.Over {
		why = "The consent to film this player is over"
	}
	return &club.Problem{Field: "consent", Say: why + ": write down under Club that there is one, or ask for the film all the same."}
}

func nothingToShow(q ReelQuery) error {
	if q.Good {
		return &club.Problem{Say: fmt.Sprintf("There is no stretch of %d good strokes without a mark to show: log more strokes, or choose a longer period.", leastStretch)}
	}
	return &club.Problem{Say: "There is no mark to show: choose another fault or a longer period, or mark some first."}
}

// source opens a clip of the library for cutting.
func (d *Documents) source(id club.ID) reel.Source {
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

// moments finds what the film shows, in order of time, the latest Most marks or the
// longest Most stretches.
func (d *Documents) moments(ctx context.Context, cat club.Catalogue, q ReelQuery) ([]moment, error) {
	turns, err := d.lib.Record(ctx, store.Filter{Players: []club.ID{q.Player}, From: q.From, To: q.To})
	if err != nil {
		return nil, err
	}
	clips, err := d.lib.Clips(ctx)
	if err != nil {
		return nil, err
	}
	films := map[club.ID]club.Clip{}
	for _, c := range clips {
		films[c.ID] = c
	}
	faults, drills := map[club.ID]club.Fault{}, map[club.ID]club.Drill{}
	for _, f := range cat.Faults {
		faults[f.ID] = f
	}
	for _, r := range cat.Drills {
		drills[r.ID] = r
	}
	var list []moment
	for _, r := range turns {
		drill := drills[r.DrillID]
		base := moment{clip: films[r.ClipID], frame: -1, drill: drill.Name, date: r.Date}
		if q.Good {
			list = append(list, base.stretches(r, drill, faults, q)...)
		} else {
			list = append(list, base.marks(r, faults, q)...)
		}
	}
	inTime := func(a, b moment) int {
		return cmp.Or(cmp.Compare(a.date, b.date), cmp.Compare(a.clip.ID, b.clip.ID), cmp.Compare(a.from, b.from))
	}
	slices.SortStableFunc(list, inTime)
	if q.Good {
		slices.SortStableFunc(list, func(a, b moment) int { return b.length - a.length })
		list = list[:min(len(list), q.Most)]
		slices.SortStableFunc(list, inTime)
	}
	return list[max(0, len(list)-q.Most):], nil
}

// marks are the moments of a turn's marks; marks of one fault at nearly the same
// moment, by two coaches, count once, with the sign that one of them drew.
func (m moment) marks(r club.TurnRecord, faults map[club.ID]club.Fault, q ReelQuery) (list []moment) {
	last := map[club.ID]int{} // place in list
	for _, k := range r.Marks {
		if q.Fault != "" && k.FaultID != q.Fault {
			continue
		}
		at := r.Base.Seconds(k.Ticks - m.clip.FirstTicks)
		if i, ok := last[k.FaultID]; ok && at-list[i].from-q.Lead < sameMoment {
			if s := picture.OfSign(k); list[i].sign == nil && s != nil {
				list[i].frame, list[i].sign = k.Frame, s
			}
			continue
		}
		n := m
		n.fault, n.frame, n.sign = faults[k.FaultID], k.Frame, picture.OfSign(k)
		n.from, n.to = at-q.Lead, at+q.Follow
		last[k.FaultID] = len(list)
		list = append(list, n)
	}
	return list
}

// stretches are the runs of good strokes without a mark in a turn. The stroke in
// the middle is repeated in slow motion.
func (m moment) stretches(r club.TurnRecord, drill club.Drill, faults map[club.ID]club.Fault, q ReelQuery) (list []moment) {
	sides := r.Sides(drill.Pattern)
	marked := make([]bool, len(r.Strokes))
	for _, k := range r.Marks {
		if i := aim.HangOn(&r, k, faults[k.FaultID], sides); i >= 0 {
			marked[i] = true
		}
	}
	seconds := func(i int) float64 { return r.Base.Seconds(r.Strokes[i].Ticks - m.clip.FirstTicks) }
	for i := 0; i < len(r.Strokes); i++ {
		first := i
		for i < len(r.Strokes) && r.Strokes[i].Outcome == club.Good && !marked[i] {
			i++
		}
		if i-first < leastStretch {
			continue
		}
		n := m
		n.length = i - first
		n.from, n.to = seconds(first)-q.Lead, seconds(i-1)+q.Follow
		n.to = min(n.to, n.from+longestStretch)
		middle := first
		for middle+1 < i && seconds(middle+1) < (n.from+n.to)/2 {
			middle++
		}
		n.frame = r.Strokes[middle].Frame
		list = append(list, n)
	}
	return list
}

func (m moment) caption(name string) reel.Caption {
	c := reel.Caption{Code: m.fault.Code, Title: m.fault.Label, Cue: m.fault.Cue, Foot: name + " · " + m.drill + " · " + dayText(m.date)}
	if m.length > 0 {
		c.Title = fmt.Sprintf("%d good strokes in a row", m.length)
	}
	return c
}

func dayText(d club.Date) string {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return string(d)
	}
	return t.Format("2 January 2006")
}

// closing is the card at the end: whose film it is, what the codes mean, and what
// it was made from.
func closing(shown []moment, name string, origin []string) []string {
	lines := []string{fmt.Sprintf("%s: %d moments", name, len(shown))}
	if len(shown) == 1 {
		lines[0] = name + ": one moment"
	}
	var codes []string
	for _, m := range shown {
		if text := m.fault.Code + ": " + m.fault.Label; m.fault.Code != "" && !slices.Contains(codes, text) {
			codes = append(codes, text)
		}
	}
	if len(codes) > 0 {
		lines = append(lines, strings.Join(codes, "; "))
	}
	return append(lines, origin...)
}

// inPlace leaves out what lies in clips that are not there, and counts it.
func (d *Documents) inPlace(ctx context.Context, found []moment) (shown []moment, missing int, err error) {
	there := map[club.ID]bool{}
	for _, m := range found {
		if _, asked := there[m.clip.ID]; !asked {
			row, err := d.place.Locate(ctx, m.clip)
			if ctx.Err() != nil {
				return nil, 0, ctx.Err()
			}
			there[m.clip.ID] = err == nil && d.place.InPlace(row)
		}
		if there[m.clip.ID] {
			shown = append(shown, m)
		} else {
			missing++
		}
	}
	return shown, missing, nil
}
