// Package sheet writes pages that are one HTML file: what the pages for families, for the
// wall and of two pictures have in common.
package sheet

import (
	"bytes"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"net/http"

	"strokeledger/internal/picture"
	"strokeledger/internal/report/drawn"
)

//go:embed still.gohtml still.css
var common embed.FS

// Write writes what page.gohtml of files makes of view; the template has as css what
// page.css of files says beside the style of stills, and as "still" what shows a [Still].
// Nothing is written where that fails. It is safe for concurrent use.
func Write(w io.Writer, files fs.FS, view any) error {
	css, err := fs.ReadFile(common, "still.css")
	if err != nil {
		return err
	}
	own, err := fs.ReadFile(files, "page.css")
	if err != nil {
		return err
	}
	css = append(css, own...)
	t, err := template.New("page.gohtml").Funcs(template.FuncMap{
		"css": func() template.CSS { return template.CSS(css) },
	}).ParseFS(common, "still.gohtml")
	if err == nil {
		t, err = t.ParseFS(files, "page.gohtml")
	}
	if err != nil {
		return err
	}
	// Into memory first, so that a failure leaves no half page behind.
	var b bytes.Buffer
	if err := t.Execute(&b, view); err != nil {
		return err
	}
	_, err = b.WriteTo(w)
	return err
}

// Still is a picture as the page itself holds it, with what is drawn over it.
type Still struct {
	Source  template.URL
	Caption string
	Drawn   *drawn.Layer
}

// Show makes a still of a JPEG and of drawings whose places are parts of it. What is no JPEG
// is an error.
func Show(jpeg []byte, caption string, drawings []picture.Drawing) (Still, error) {
	if kind := http.DetectContentType(jpeg); kind != "image/jpeg" {
		return Still{}, fmt.Errorf("a picture is not a JPEG but %s", kind)
	}
	over, err := drawn.On(jpeg, drawings)
	return Still{template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(jpeg)), caption, over}, err
}
