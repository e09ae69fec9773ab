package report

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"strings"

	"strokeledger/internal/club"
	"strokeledger/internal/picture"
	"strokeledger/internal/report/plain"
	"strokeledger/internal/tally"
	"strokeledger/internal/tally/group"
)

//go:embed page.gohtml page.css
var files embed.FS

// Document is what goes into one HTML file.
type Document struct {
	Summary tally.Summary
	Origin  Origin // when and from what it was made
	// ShowNames shows players by name. Left false, which is right for everything
	// that leaves the team, they appear by alias (see tally.Summary.Aliased).
	ShowNames bool
	// Stills are pictures by the mark that they show; see Wanted.
	Stills map[club.ID]Still
}

// Still is one picture of a document.
type Still struct {
	JPEG    []byte
	Drawn   []picture.Drawing // over it, their places as the picture is shown
	Caption string            // where it is from: drill, date, frame; never the player's name, which the document adds in the form that it shows
}

// featured is how many faults of a player a document shows with a picture.
const featured = 3

// alternatives is how many marks are offered for one picture.
const alternatives = 8

// Wanted lists, for each picture that the document would show, the marks that
// would do, best first. Give Document.Stills a picture of the first mark of each
// list whose clip can be read.
func Wanted(s tally.Summary) [][]club.ID {
	var lists [][]club.ID
	for _, p := range s.Players {
		for _, f := range top(p.All) {
			lists = append(lists, candidates(f))
		}
	}
	return lists
}

// top is the faults of a group that get a card.
func top(g group.Group) []group.FaultLine {
	var list []group.FaultLine
	for _, f := range g.Faults {
		if f.Marks > 0 && len(list) < featured {
			list = append(list, f)
		}
	}
	return list
}

// candidates is the latest marks of a fault, the latest first.
func candidates(f group.FaultLine) []club.ID {
	var list []club.ID
	for i := len(f.MarkIDs) - 1; i >= 0 && len(list) < alternatives; i-- {
		list = append(list, f.MarkIDs[i])
	}
	return list
}

// HTML writes the document as one file that refers to nothing outside itself,
// runs no script and prints on A4 and Letter.
func HTML(w io.Writer, d Document) error {
	css, err := files.ReadFile("page.css")
	if err != nil {
		return fmt.Errorf("write summary as HTML: %w", err)
	}
	// Numbers that belong together stay on one line.
	together := strings.NewReplacer("–", "\u2060–\u2060", " %", "\u00a0%", " (", "\u00a0(", " to ", "\u00a0to\u00a0")
	t, err := template.New("page.gohtml").Funcs(template.FuncMap{
		"css":   func() template.CSS { return template.CSS(css) },
		"name":  func(s string) string { return plain.Text(s, club.MaxName) },
		"short": func(s string) string { return plain.Text(s, 24) },
		"cue":   func(s string) string { return plain.Text(s, 400) },
		"keep":  together.Replace,
		// The decoration of the head: a row of dots, some of them hollow.
		"motifDots": func() []bool {
			return []bool{false, false, true, false, false, false, false, true, false, false, false, false}
		},
		"along": func(i int) int { return 10 + 29*i },
	}).ParseFS(files, "page.gohtml")
	if err != nil {
		return fmt.Errorf("write summary as HTML: %w", err)
	}
	p, err := newPage(d)
	if err != nil {
		return fmt.Errorf("write summary as HTML: %w", err)
	}
	// Into memory first, so that a failure leaves no half document behind.
	var b bytes.Buffer
	if err := t.Execute(&b, p); err != nil {
		return fmt.Errorf("write summary as HTML: %w", err)
	}
	_, err = b.WriteTo(w)
	return err
}

// source is the picture as data; it refuses what is not JPEG.
func (s Still) source() (template.URL, error) {
	if kind := http.DetectContentType(s.JPEG); kind != "image/jpeg" {
		return "", fmt.Errorf("the picture %q is not a JPEG but %s", plain.Text(s.Caption, 60), kind)
	}
	// Base64 holds nothing that could end the attribute or the address.
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(s.JPEG)), nil
}
