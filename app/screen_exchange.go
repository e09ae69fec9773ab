package main

import (
	"context"
	"time"

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/desk"
	"strokeledger/internal/desk/exchange"
)

// Exchange carries work to other libraries and from them.
type Exchange struct{ s *shell }

// Handed lists when work was handed over, the latest first.
func (x *Exchange) Handed() ([]exchange.Handed, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) ([]exchange.Handed, error) { return d.Exchange.Handed(ctx) })
}

// HandedOver is a file that was written.
type HandedOver struct {
	Path string `json:"path"` // empty: nothing was written
	exchange.Written
}

// Write asks for a file and hands work over in it.
func (x *Exchange) Write(w exchange.Wanted) (HandedOver, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (out HandedOver, err error) {
		name := "strokeledger-work-" + time.Now().Format(time.DateOnly) + ".json"
		if out.Path, err = x.s.askWhere("Hand work over", name); err != nil || out.Path == "" {
			return out, err
		}
		out.Written, err = d.Exchange.Write(ctx, w, out.Path, x.copied())
		return out, err
	})
}

// Pick asks for a file with the work of another library; empty where none was chosen.
func (x *Exchange) Pick() (string, error) {
	return answer(func() (string, error) {
		path, err := runtime.OpenFileDialog(x.s.window(), runtime.OpenDialogOptions{
			Title: "Work of another library", Filters: []runtime.FileFilter{{DisplayName: "Records (*.json)", Pattern: "*.json"}}, DefaultDirectory: x.s.documents.start(),
		})
		if err == nil && path != "" {
			x.s.documents.keep(path)
		}
		return path, err
	})
}

// Preview tells what taking a file in comes to, with answers to its questions by key.
func (x *Exchange) Preview(file string, choices map[string]string) (exchange.Preview, error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (exchange.Preview, error) {
		return d.Exchange.Preview(ctx, file, choices)
	})
}

// Take takes a file in; with films it asks for the folder to which those beside it are
// copied, and takes nothing in where none is chosen.
func (x *Exchange) Take(file string, choices map[string]string, films bool) (taken bool, err error) {
	return asked(x.s, func(ctx context.Context, d *desk.Desk) (bool, error) {
		folder := ""
		if films {
			var err error
			if folder, err = runtime.OpenDirectoryDialog(x.s.window(), runtime.OpenDialogOptions{Title: "Folder for the films", CanCreateDirectories: true}); err != nil || folder == "" {
				return false, err
			}
		}
		_, err := d.Exchange.Take(ctx, file, choices, folder, x.copied())
		return err == nil, err
	})
}

// copied tells the page how much of the films is copied, in hundredths.
func (x *Exchange) copied() func(float64) {
	last := -1
	return func(part float64) {
		if now := int(100 * part); now > last {
			last = now
			x.s.emit(eventProgress, progressEvent{"films", now, 100, "films"})
		}
	}
}
