// Package pairpage writes a page with two pictures beside each other. It is pure.
package pairpage

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"time"

	"strokeledger/internal/report/drawn"
	"strokeledger/internal/report/plain"

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
	css, err := files.ReadFile("page.css")
	if err != nil {
		return fmt.Errorf("write a page of two pictures: %w", err)
	}
	t, err := template.New("page.gohtml").Funcs(template.FuncMap{
		"css": func() template.CSS { return template.CSS(css) },
	}).ParseFS(files, "page.gohtml")
	if err != nil {
		return fmt.Errorf("write a page of two pictures: %w", err)
	}
	v := view{Title: plain.Text(p.Title, longestTitle), Made: p.Made.Format("2 January 2006")}
	for i, one := range []Picture{p.Left, p.Right} {
		if kind := http.DetectContentType(one.JPEG); kind != "image/jpeg" {
			return fmt.Errorf("write a page of two pictures: one is not a JPEG but %s", kind)
		}
		s := shown{Source: template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(one.JPEG)), Caption: plain.Text(one.Caption, longestCaption)}
		if s.Drawn, err = drawn.On(one.JPEG, one.Drawn); err != nil {
			return fmt.Errorf("write a page of two pictures: %w", err)
		}
		v.Pictures[i] = s
	}
	// Into memory first, so that a failure leaves no half page behind.
	var b bytes.Buffer
	if err := t.Execute(&b, v); err != nil {
		return fmt.Errorf("write a page of two pictures: %w", err)
	}
	_, err = b.WriteTo(w)
	return err
}
