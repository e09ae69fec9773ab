package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/desk/camera"
	"strokeledger/internal/sighting"
)

type rulerCmd struct {
	Clip    string   `arg:"" help:"Name or id of a clip in the library, or a media file."`
	Frame   int      `help:"Frame in which the table is looked at, from 0." placeholder:"N"`
	Corners string   `help:"The table's four corners in display pixels, in order round it, the two of the near end line first: outer edges, the centre of the first pixel is .5. Without them the ruler that is laid on the clip is used." placeholder:"\"X,Y X,Y X,Y X,Y\""`
	Tops    string   `help:"Outer ends of the net's top, one or both." placeholder:"\"X,Y X,Y\""`
	Find    bool     `help:"Look for the table without corners."`
	Wide    bool     `help:"The lens is a wide-angle one."`
	ClickSD float64  `name:"click-sd" default:"2" help:"By how many pixels corners and points may be off: their standard deviation." placeholder:"PX"`
	Point   []string `help:"A point where a foot meets the floor; may be given again." sep:"none" placeholder:"X,Y"`
	Keep    bool     `help:"Lay this ruler on the clip in the library."`
	JSON    bool     `help:"Print one JSON object."`
}

type rulerJSON struct {
	Frame    int          `json:"frame"`
	Support  float64      `json:"support"`
	Good     bool         `json:"good"`
	Snapped  bool         `json:"snapped"`
	Say      string       `json:"say"`
	Focal    float64      `json:"focal_px"`
	Position [3]float64   `json:"position_m"` // of the camera; see the README for the axes
	Corners  [][2]float64 `json:"corners"`
	Tops     [][2]float64 `json:"tops"`
	Moved    string       `json:"camera_moved"` // when, in words; empty: it did not, or nobody can tell
	Holds    [2]int       `json:"holds_frames"` // the first and the last frame in which this camera holds
	Points   []pointJSON  `json:"points"`
	Apart    []apartJSON  `json:"apart"` // each point but the first beside the one before it
}

// pointJSON leaves out what is not known to within 25 cm.
type pointJSON struct {
	X        float64  `json:"x"`
	Y        float64  `json:"y"`
	EndLine  *float64 `json:"end_line_cm,omitempty"` // behind it; below 0: towards the net
	EndHalf  *float64 `json:"end_line_half,omitempty"`
	SideLine *float64 `json:"side_line_cm,omitempty"` // from the nearer one
	SideHalf *float64 `json:"side_line_half,omitempty"`
	Side     string   `json:"side_line,omitempty"` // "right" or "left", as the near player sees it
	Outside  bool     `json:"outside"`
	Say      string   `json:"say"`
}

type apartJSON struct {
	Behind     *float64 `json:"behind_cm,omitempty"`
	BehindHalf *float64 `json:"behind_half,omitempty"`
	Left       *float64 `json:"left_cm,omitempty"`
	LeftHalf   *float64 `json:"left_half,omitempty"`
	Say        string   `json:"say"`
}

// Run prints the camera by the table's corners, and how far points of the floor are from
// its lines. A library is needed only for the ruler of one of its clips.
func (r *rulerCmd) Run(c *command) error {
	placed, points, err := r.given()
	if err != nil {
		return err
	}
	fitted, holds, err := r.fit(c, placed)
	if err != nil {
		return err
	}
	v, m := fitted.View(), fitted.Measure(points, r.ClickSD)
	if !r.JSON {
		for _, say := range []string{v.Say, v.Far, holds.Say} {
			if say != "" {
				fmt.Fprintln(c.out, say)
			}
		}
		at := v.Position
		fmt.Fprintf(c.out, "The camera stands %.2f m behind the near end line, %.2f m from the right side line to the left, %.2f m above the floor.\n", -at[0], at[1], at[2])
		for i, s := range m.Spots {
			fmt.Fprintf(c.out, "%g,%g: %s\n", s.At.X, s.At.Y, s.Say)
			if i > 0 {
				fmt.Fprintf(c.out, "  than the point before: %s\n", m.Apart[i-1].Say)
			}
		}
		return nil
	}
	e := json.NewEncoder(c.out)
	e.SetIndent("", " ")
	out := rulerAsJSON(v, m)
	out.Moved, out.Holds = holds.Say, [2]int{holds.First, holds.Last}
	return e.Encode(out)
}

func rulerAsJSON(v camera.View, m camera.Measured) rulerJSON {
	out := rulerJSON{
		Frame: v.Placed.Frame, Support: round(v.Support, 1e3), Good: v.Good, Snapped: v.Snapped, Say: v.Say, Focal: round(v.Focal, 10),
		Corners: pairs(v.Corners), Tops: pairs(v.Placed.Tops), Points: make([]pointJSON, len(m.Spots)), Apart: make([]apartJSON, len(m.Apart)),
	}
	for i, x := range v.Position {
		out.Position[i] = round(x, 1e4)
	}
	told := func(d *camera.Distance) (cm, half *float64) {
		if d == nil {
			return nil, nil
		}
		a, b := round(d.CM, 10), round(d.Half, 10)
		return &a, &b
	}
	for i, s := range m.Spots {
		p := pointJSON{X: s.At.X, Y: s.At.Y, Outside: s.Outside, Say: s.Say}
		p.EndLine, p.EndHalf = told(s.EndLine)
		if p.SideLine, p.SideHalf = told(s.SideLine); s.SideLine != nil {
			p.Side = map[bool]string{true: "left", false: "right"}[s.Left]
		}
		out.Points[i] = p
	}
	for i, a := range m.Apart {
		out.Apart[i].Say = a.Say
		out.Apart[i].Behind, out.Apart[i].BehindHalf = told(a.Behind)
		out.Apart[i].Left, out.Apart[i].LeftHalf = told(a.Left)
	}
	return out
}

func pairs(places []sighting.Place) [][2]float64 {
	out := make([][2]float64, len(places))
	for i, p := range places {
		out[i] = [2]float64{round(p.X, 100), round(p.Y, 100)}
	}
	return out
}

// given reads the places of the command line.
func (r *rulerCmd) given() (p camera.Placed, points []sighting.Place, err error) {
	p = camera.Placed{Frame: r.Frame, Wide: r.Wide, SD: r.ClickSD}
	if p.Corners, err = places("--corners", r.Corners); err != nil {
		return p, nil, err
	}
	if p.Tops, err = places("--tops", r.Tops); err != nil {
		return p, nil, err
	}
	for _, text := range r.Point {
		one, err := places("--point", text)
		if err != nil {
			return p, nil, err
		}
		if len(one) != 1 {
			return p, nil, wrongUse("A --point is one pair of numbers, X,Y: give --point again for the next.")
		}
		points = append(points, one[0])
	}
	switch {
	case r.Find && r.Corners != "":
		err = wrongUse("Give --corners, or let the table be looked for with --find, not both.")
	case r.Corners == "" && (r.Tops != "" || r.Wide):
		err = wrongUse("The tops of the net posts and a wide lens go with the corners: give --corners too.")
	case r.Keep && r.Corners == "" && !r.Find:
		err = wrongUse("There is nothing to keep: give --corners, or --find.")
	case r.Corners != "" && len(p.Corners) != 4:
		err = wrongUse("A table has four corners: give --corners four pairs of numbers, X,Y X,Y X,Y X,Y.")
	case !(r.ClickSD > 0):
		err = wrongUse("--click-sd is a number of pixels above 0.")
	}
	return p, points, err
}

// places reads pairs of numbers.
func places(flag, text string) (all []sighting.Place, err error) {
	for _, word := range strings.Fields(text) {
		x, y, _ := strings.Cut(word, ",")
		if !plainNumber.MatchString(x) || !plainNumber.MatchString(y) {
			return nil, wrongUse("%s wants pairs of numbers such as 412.5,230, with a space between pairs, but got %q.", flag, word)
		}
		var p sighting.Place
		if p.X, err = strconv.ParseFloat(x, 64); err == nil {
			p.Y, err = strconv.ParseFloat(y, 64)
		}
		if err != nil {
			return nil, wrongUse("%s got a number that is too large: %q.", flag, word)
		}
		all = append(all, p)
	}
	return all, nil
}

// fit takes a file where there is one of that name, which needs no library unless its
// ruler is asked for; else a clip of the library.
func (r *rulerCmd) fit(c *command, p camera.Placed) (f *camera.Fitted, holds camera.Stretch, err error) {
	if _, err := os.Stat(r.Clip); err == nil && (r.Corners != "" || r.Find) && !r.Keep {
		film, err := clip.Open(c.ctx, r.Clip, clip.Options{Video: -1, Sound: -1})
		if err != nil {
			return nil, holds, err
		}
		defer film.Close()
		return r.look(c, film, p)
	}
	d, err := c.open(false)
	if err != nil {
		return nil, holds, err
	}
	defer d.Close()
	id, err := r.inLibrary(c, d)
	if err != nil {
		return nil, holds, err
	}
	if r.Corners == "" && !r.Find {
		return r.laid(c, d, id)
	}
	film, release, err := d.Footage.Open(c.ctx, id)
	if err != nil {
		return nil, holds, err
	}
	defer release()
	f, holds, err = r.look(c, film, p)
	if err == nil && r.Keep {
		err = d.Rulers.Keep(c.ctx, id, f)
	}
	return f, holds, err
}

// laid is the ruler of a clip of the library. Where its film is away nobody can tell
// whether the camera moved.
func (r *rulerCmd) laid(c *command, d *desk.Desk, id club.ID) (f *camera.Fitted, holds camera.Stretch, err error) {
	if f, err = d.Rulers.Of(c.ctx, id); err != nil {
		return nil, holds, err
	}
	if f == nil {
		return nil, holds, &club.Problem{Say: fmt.Sprintf("No ruler is laid on %q: give the table's corners with --corners, or let it be looked for with --find.", r.Clip)}
	}
	row, err := d.Library.Clip(c.ctx, id)
	if err != nil {
		return nil, holds, err
	}
	if holds, err = d.Rulers.Holds(c.ctx, id); err != nil {
		return f, camera.Stretch{Last: row.Frames - 1}, nil //lint:ignore nilerr distances need no film
	}
	return f, holds, nil
}

// look fits the camera to a picture of a film.
func (r *rulerCmd) look(c *command, film *clip.Clip, p camera.Placed) (f *camera.Fitted, holds camera.Stretch, err error) {
	if err := film.Indexed(c.ctx); err != nil {
		return nil, holds, err
	}
	if f, err = r.see(c, film, p); err != nil {
		return nil, holds, err
	}
	holds, err = f.Holds(c.ctx, film)
	return f, holds, err
}

func (r *rulerCmd) see(c *command, film *clip.Clip, p camera.Placed) (*camera.Fitted, error) {
	if r.Find {
		f, err := camera.FindInFilm(c.ctx, film, r.Frame)
		if err == nil && f == nil {
			err = &club.Problem{Say: "The table was not found for sure: give its four corners with --corners."}
		}
		return f, err
	}
	info := film.Info()
	f, err := camera.Fit(info.Width, info.Height, p)
	if err != nil {
		return nil, err
	}
	img, err := camera.Picture(c.ctx, film, p.Frame)
	if err != nil {
		return nil, err
	}
	return f.Pull(img)
}

// inLibrary is the clip of the library that is meant: by its file, else by id or name.
func (r *rulerCmd) inLibrary(c *command, d *desk.Desk) (club.ID, error) {
	id, err := inLibrary(c, d, r.Clip)
	if errors.Is(err, errNotAdded) {
		err = &club.Problem{Say: fmt.Sprintf("The film %q is not in this library: add it first, or give the table's corners with --corners.", r.Clip)}
	}
	return id, err
}

// errNotAdded is the code of a film that is not in the library.
var errNotAdded = errors.New("a film that is not in the library")

// inLibrary is the clip of the library that is meant: by its file, else by id or name.
func inLibrary(c *command, d *desk.Desk, name string) (club.ID, error) {
	if _, err := os.Stat(name); err != nil {
		return clipNamed(c.ctx, d, name)
	}
	print, _, err := clip.Fingerprint(name)
	if err != nil {
		return "", err
	}
	row, found, err := d.Library.ClipByFingerprint(c.ctx, print)
	if err == nil && !found {
		err = &club.Problem{Code: errNotAdded, Say: fmt.Sprintf("The film %q is not in this library: add it first.", name)}
	}
	return row.ID, err
}
