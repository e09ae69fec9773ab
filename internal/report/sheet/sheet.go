// Package sheet writes pages that are one HTML file: what the pages for families, for the
// wall and of two pictures have in common.
package sheet

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"net/http"
)

// Write writes what page.gohtml of files makes of view; the template has page.css of files
// as css. Nothing is written where that fails. It is safe for concurrent use.
func Write(w io.Writer, files fs.FS, view any) error {
	css, err := fs.ReadFile(files, "page.css")
	if err != nil {
		return err
	}
	t, err := template.New("page.gohtml").Funcs(template.FuncMap{
		"css": func() template.CSS { return template.CSS(css) },
	}).ParseFS(files, "page.gohtml")
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

// Picture is a JPEG as the page itself holds it. What is no JPEG is an error.
func Picture(jpeg []byte) (template.URL, error) {
	if kind := http.DetectContentType(jpeg); kind != "image/jpeg" {
		return "", fmt.Errorf("a picture is not a JPEG but %s", kind)
	}
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(jpeg)), nil
}
