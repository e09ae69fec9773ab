package main

import (
	"fmt"
	"os"

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/desk"
	"strokeledger/internal/tally"
)

// Summary is the fault summary screen.
type Summary struct{ s *shell }

// Get sums up what the query asks for.
func (x *Summary) Get(q desk.Query) (out tally.Summary, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return out, err
	}
	return d.Summary(ctx, q)
}

// Marks opens numbers down to their marks.
func (x *Summary) Marks(ids []string) (rows []desk.MarkRow, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return []desk.MarkRow{}, err
	}
	marks := make([]club.ID, len(ids))
	for i, id := range ids {
		marks[i] = club.ID(id)
	}
	return d.MarkRows(ctx, marks)
}

// Export asks for a file and writes the summary to it; it returns the path,
// empty where nothing was written.
func (x *Summary) Export(q desk.Query, format string) (path string, err error) {
	defer guard(&err)
	ctx, d, err := x.s.open()
	if err != nil {
		return "", err
	}
	ending := map[string]string{"html": "html", "csv": "csv", "json": "json", "text": "txt"}[format]
	if ending == "" {
		return "", &club.Problem{Field: "format", Say: fmt.Sprintf("%q is not a format: choose text, html, csv or json.", format)}
	}
	path, err = runtime.SaveFileDialog(x.s.window(), runtime.SaveDialogOptions{
		Title: "Write the summary", DefaultFilename: "fault-summary." + ending,
	})
	if err != nil || path == "" {
		return "", err
	}
	return path, desk.WriteFile(path, func(f *os.File) error { return d.Export(ctx, q, desk.Format(format), f) })
}
