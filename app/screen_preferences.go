package main

import (
	"context"
	"encoding/json"
	"os"

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
	"strokeledger/internal/document"
	"strokeledger/internal/preference"
	"strokeledger/internal/sentence"
)

// Preferences are how the coach likes to work on this computer: keys, text size, speed. The
// page decides what it keeps.
type Preferences struct {
	s    *shell
	file *preference.File
}

// All returns what is kept, by its keys.
func (p *Preferences) All() (map[string]string, error) {
	return answer(func() (map[string]string, error) { return p.file.All(), nil })
}

// Keep keeps a value under a key; an empty one takes it away.
func (p *Preferences) Keep(key, value string) (err error) {
	defer guard(&err)
	if key == placePreference {
		return &club.Problem{Say: "The place of the window is kept by the window itself."}
	}
	return sentence.File("write", "the preferences", p.file.Keep(key, value))
}

// SaveCard asks where the card of the keys goes, writes it, a page that prints, and opens it;
// it returns the file, "" where none was chosen.
func (p *Preferences) SaveCard(page string) (string, error) {
	return answer(func() (string, error) {
		path, err := p.s.askWhere("Card of the keys", "keys.html")
		if err != nil || path == "" {
			return "", err
		}
		err = document.Write(path, func(f *os.File) error {
			_, err := f.WriteString(page)
			return err
		})
		return path, err
	})
}

// placePreference is the key of where the window was.
const placePreference = "window"

// windowPlace is where the window was when it was closed, in pixels of the desktop.
type windowPlace struct {
	X         int  `json:"x"`
	Y         int  `json:"y"`
	Width     int  `json:"width"`
	Height    int  `json:"height"`
	Maximised bool `json:"maximised"`
}

// putBack puts the window where it was when it was closed last.
func putBack(ctx context.Context, file *preference.File) {
	var p windowPlace
	if err := json.Unmarshal([]byte(file.All()[placePreference]), &p); err != nil || p.Width < minWidth || p.Height < minHeight {
		return // the size at first stays
	}
	runtime.WindowSetSize(ctx, p.Width, p.Height)
	// Where a screen has gone since, the window is not put where nobody sees it.
	width, height := 0, 0
	if screens, err := runtime.ScreenGetAll(ctx); err == nil {
		for _, s := range screens {
			width, height = width+s.Size.Width, height+s.Size.Height
		}
	}
	const grip = 200 // pixels of it that have to be in sight to move it (common practice, no source)
	if p.X+grip < width && p.Y+grip < height {
		runtime.WindowSetPosition(ctx, max(0, p.X), max(0, p.Y))
	}
	if p.Maximised {
		runtime.WindowMaximise(ctx)
	}
}

// keepPlace remembers where the window is, which is not worth keeping it open.
func keepPlace(ctx context.Context, file *preference.File) {
	var p windowPlace
	if json.Unmarshal([]byte(file.All()[placePreference]), &p) != nil {
		p = windowPlace{}
	}
	// Of a window that fills the screen the size before it did is kept.
	if p.Maximised = runtime.WindowIsMaximised(ctx) || runtime.WindowIsFullscreen(ctx); !p.Maximised || p.Width == 0 {
		p.Width, p.Height = runtime.WindowGetSize(ctx)
		p.X, p.Y = runtime.WindowGetPosition(ctx)
	}
	if raw, err := json.Marshal(p); err == nil {
		_ = file.Keep(placePreference, string(raw))
	}
}
