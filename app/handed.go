package main

import (
	"fmt"
	"net/http"
	"net/url"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	"strokeledger/internal/club"
)

// handed is what the window has handed over: the places that the coach has chosen for
// documents, which alone it opens, and the page that is looked at before it is printed. It
// lasts as long as the window and is safe for concurrent use.
type handed struct {
	mu     sync.Mutex
	places map[string]bool
	page   []byte
	number int // of page, so that a page of before is not taken for it
}

// chose remembers a place that the coach has chosen.
func (h *handed) chose(path string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.places == nil {
		h.places = map[string]bool{}
	}
	h.places[path] = true
}

// known refuses what this window has not written: the page may not open just anything.
func (h *handed) known(path string) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !h.places[path] {
		return &club.Problem{Say: "This window has not written that file: open it from its folder."}
	}
	return nil
}

// show keeps a page for looking at, in place of the one before, and returns its address.
func (h *handed) show(page []byte) string {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.page = page
	h.number++
	return fmt.Sprintf("/media/page/%d", h.number)
}

// ServeHTTP answers with the page that is shown, once more and no older one. It may be
// framed by this program's own page, and runs and fetches nothing.
func (h *handed) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h.mu.Lock()
	page, number := h.page, h.number
	h.mu.Unlock()
	if page == nil || r.PathValue("n") != fmt.Sprint(number) {
		http.Error(w, "This page is not shown any more.", http.StatusNotFound)
		return
	}
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'self'")
	_ = send(w, "text/html; charset=utf-8", page) // nobody is left to tell
}

// openWith has the desktop open a file or a folder with what it opens such with.
func openWith(path string) error {
	name, args := "xdg-open", []string{path}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", path}
	}
	cmd := exec.Command(name, args...)
	if err := cmd.Start(); err != nil {
		return &club.Problem{Say: fmt.Sprintf("The desktop has no program (%s) to open it with: open %q yourself.", name, path), Cause: err}
	}
	go func() { _ = cmd.Wait() }() // what it says is between it and the coach
	return nil
}

// showInFolder has the file manager show a file; where it cannot pick one out, its folder.
func showInFolder(path string) error {
	var cmd *exec.Cmd
	switch runtime.GOOS {
	case "darwin":
		cmd = exec.Command("open", "-R", path)
	case "windows":
		cmd = exec.Command("explorer", "/select,", path)
	default:
		// The file managers' own interface (freedesktop.org, File Manager DBus Interface). A
		// comma would part two addresses.
		address := strings.ReplaceAll((&url.URL{Scheme: "file", Path: path}).String(), ",", "%2C")
		cmd = exec.Command("dbus-send", "--session", "--print-reply", "--reply-timeout=3000", "--dest=org.freedesktop.FileManager1",
			"/org/freedesktop/FileManager1", "org.freedesktop.FileManager1.ShowItems", "array:string:"+address, "string:")
	}
	if err := cmd.Run(); err == nil || runtime.GOOS == "windows" { // which tells of a failure that is none
		return nil
	}
	return openWith(filepath.Dir(path))
}
