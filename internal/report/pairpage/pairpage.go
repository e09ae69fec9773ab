// Package pairpage writes a page with two pictures beside each other. It is pure.
package pairpage

import (
	"embed"
	"fmt"
	"html/template"
	"io"
	"time"

	"strokeledger/internal/report/drawn"
	"strokeledger/internal/report/plain"
	"strokeledger/internal/report/sheet"

	"strokeledger/internal/picture"
)

//go:embed page.gohtml page.css
var files embed.FS

// Page is what goes onto the page: two pictures and what is said of them. All texts are
// data.
type Page struct {
	Title       string
	Left, Right Picture
	Made        time.Time
}

// Picture is one of the two.
type Picture struct {
	JPEG    []byte
	Caption string
	Drawn   []picture.Drawing // over it, their places as it is shown
}

// Longest texts that a page has room for, in characters.
const (
	longestTitle   = 120
	longestCaption = 200
)

// view is the page as the template shows it.
type view struct {
	Title, Made string
	Pictures    [2]shown
}

type shown struct {
	Source  template.URL
	Caption string
	Drawn   *drawn.Layer
}

// Write writes the page as one HTML file that refers to nothing outside itself, runs no
// script and prints on one side of A4 or Letter, across.
func Write(w io.Writer, p Page) error {
	v := view{Title: plain.Text(p.Title, longestTitle), Made: p.Made.Format("2 January 2006")}
	for i, one := range []Picture{p.Left, p.Right} {
		source, err := sheet.Picture(one.JPEG)
		if err != nil {
			return fmt.Errorf("write a page of two pictures: %w", err)
		}
		s := shown{Source: source, Caption: plain.Text(one.Caption, longestCaption)}
		if s.Drawn, err = drawn.On(one.JPEG, one.Drawn); err != nil {
			return fmt.Errorf("write a page of two pictures: %w", err)
		}
		v.Pictures[i] = s
	}
	if err := sheet.Write(w, files, v); err != nil {
		return fmt.Errorf("write a page of two pictures: %w", err)
	}
	return nil
}
