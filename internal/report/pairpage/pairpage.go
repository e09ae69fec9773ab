// Package pairpage writes a page with two pictures beside each other. It is pure.
package pairpage

import (
	"embed"
	"fmt"
	"io"
	"time"

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
	Pictures    [2]sheet.Still
}

// Write writes the page as one HTML file that refers to nothing outside itself, runs no
// script and prints on one side of A4 or Letter, across.
func Write(w io.Writer, p Page) error {
	v := view{Title: plain.Text(p.Title, longestTitle), Made: p.Made.Format("2 January 2006")}
	for i, one := range []Picture{p.Left, p.Right} {
		s, err := sheet.Show(one.JPEG, plain.Text(one.Caption, longestCaption), one.Drawn)
		if err != nil {
			return fmt.Errorf("write a page of two pictures: %w", err)
		}
		v.Pictures[i] = s
	}
	if err := sheet.Write(w, files, v); err != nil {
		return fmt.Errorf("write a page of two pictures: %w", err)
	}
	return nil
}
