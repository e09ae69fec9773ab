package main

import (
	"context"
	"io/fs"
	"net/http"
	"path/filepath"

	"github.com/adrg/xdg"
	"github.com/wailsapp/wails/v2"
	"github.com/wailsapp/wails/v2/pkg/logger"
	"github.com/wailsapp/wails/v2/pkg/options"
	"github.com/wailsapp/wails/v2/pkg/options/assetserver"
	"github.com/wailsapp/wails/v2/pkg/options/linux"
	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/frontend"
	"strokeledger/internal/preference"
)

type windowCmd struct{}

// The smallest window, in pixels: what the screens are laid out for.
const (
	minWidth  = 1100
	minHeight = 640
)

// Run opens the window and returns when it is closed.
func (*windowCmd) Run(c *command) error {
	page, err := fs.Sub(frontend.Dist, "dist")
	if err != nil {
		return err
	}
	s := newShell(c.library)
	likes := preference.In(filepath.Join(xdg.ConfigHome, "strokeledger", "preferences.json"))
	return wails.Run(&options.App{
		Title:     "Strokeledger",
		Width:     1440,
		Height:    900,
		MinWidth:  minWidth,
		MinHeight: minHeight,
		AssetServer: &assetserver.Options{
			Assets: page,
			// Middleware, not Handler: it answers before the development server does.
			Middleware: func(next http.Handler) http.Handler { return guarded(media(s), next) },
		},
		BackgroundColour:         &options.RGBA{R: 246, G: 244, B: 239, A: 255},
		EnableDefaultContextMenu: false,
		DragAndDrop:              &options.DragAndDrop{EnableFileDrop: true},
		OnStartup: func(ctx context.Context) {
			putBack(ctx, likes)
			fit(ctx)
			s.start(ctx)
		},
		OnBeforeClose: func(ctx context.Context) bool {
			keepPlace(ctx, likes)
			return false // it closes
		},
		OnDomReady:         s.motion.start,
		OnShutdown:         func(context.Context) { s.stop() },
		LogLevelProduction: logger.WARNING,
		ErrorFormatter:     coded,
		Linux: &linux.Options{
			ProgramName: "strokeledger",
			// An empty value would mean Always, which is slower than none where the
			// graphics are drawn by software.
			WebviewGpuPolicy: linux.WebviewGpuPolicyNever,
		},
		Bind: screens(s, likes),
	})
}

// screens are the objects whose methods the page calls.
func screens(s *shell, likes *preference.File) []any {
	return []any{
		&Library{s}, &Catalogue{s}, &Sessions{s}, &Bench{s}, &Strokes{s}, &Turns{s}, &Listening{s},
		&Settling{s}, &Pass{s}, &Bursts{s}, &Ruler{s}, &Measures{s}, &Agreement{s}, &Definitions{s}, &Cameras{s: s}, &Pictures{s}, &Pairs{s}, &Summary{s: s}, &Consent{s}, &Safety{s}, &Documents{s: s}, &Exchange{s}, &Preferences{s, likes},
	}
}

// fit makes the window no larger than the screen that it opens on leaves beside
// the desktop's own bars.
func fit(ctx context.Context) {
	const bars = 90 // pixels: a panel, and the window's own frame (common practice, no source)
	screens, err := runtime.ScreenGetAll(ctx)
	if err != nil {
		return // the size at first stays
	}
	width, height := runtime.WindowGetSize(ctx)
	for _, s := range screens {
		if s.IsCurrent && (s.Size.Width < width || s.Size.Height-bars < height) {
			runtime.WindowSetSize(ctx, min(width, s.Size.Width), min(height, s.Size.Height-bars))
			runtime.WindowCenter(ctx)
		}
	}
}

// guarded sends what is under /media/ to the media handler and the rest to the
// page, with a policy that lets the page reach nothing but this program.
func guarded(media, page http.Handler) http.Handler {
	mux := http.NewServeMux()
	mux.Handle("/media/", media)
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", pagePolicy)
		page.ServeHTTP(w, r)
	})
	return mux
}

// pagePolicy allows the page's own files, inline styles (the charts write them)
// and pictures made in the page; no script but those files, and no connection
// but to the program itself.
const pagePolicy = "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' blob: data:; " +
	"object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
