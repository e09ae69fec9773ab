package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"github.com/wailsapp/wails/v2/pkg/runtime"

	"strokeledger/internal/club"
)

// lastFolder is the folder in which the coach chose files last; the next question of
// its kind starts there. It lasts as long as the window.
type lastFolder struct {
	mu  sync.Mutex
	dir string
}

// start is the folder where a question starts, "" where it is not there any more.
func (p *lastFolder) start() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	if st, err := os.Stat(p.dir); err != nil || !st.IsDir() {
		return ""
	}
	return p.dir
}

func (p *lastFolder) keep(file string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.dir = filepath.Dir(file)
}

// askFilms lets the coach choose media files; none where none was chosen.
func (s *shell) askFilms(title string) ([]string, error) {
	paths, err := runtime.OpenMultipleFilesDialog(s.window(), runtime.OpenDialogOptions{Title: title, Filters: filmFilter(), DefaultDirectory: s.films.start()})
	if err == nil && len(paths) > 0 {
		s.films.keep(paths[0])
	}
	return paths, err
}

// askWhere lets the coach choose where a document goes, under a name that is
// suggested; it returns "" where nothing was chosen.
func (s *shell) askWhere(title, name string) (string, error) {
	path, err := runtime.SaveFileDialog(s.window(), runtime.SaveDialogOptions{Title: title, DefaultFilename: name, DefaultDirectory: s.documents.start()})
	if err != nil || path == "" {
		return "", err
	}
	s.documents.keep(path)
	if path, err = withEnding(path, filepath.Ext(name)); err == nil {
		s.handed.chose(path)
	}
	return path, err
}

// askFolder lets the coach choose a folder for several documents; it returns "" where
// nothing was chosen.
func (s *shell) askFolder(title string) (string, error) {
	dir, err := runtime.OpenDirectoryDialog(s.window(), runtime.OpenDialogOptions{Title: title, DefaultDirectory: s.documents.start(), CanCreateDirectories: true})
	if err != nil || dir == "" {
		return "", err
	}
	s.documents.keep(filepath.Join(dir, "page")) // the folder itself
	s.handed.chose(dir)
	return dir, nil
}

// withEnding is a path with the ending without which the desktop cannot open the
// file. The dialog has asked about the name as it was typed: what is there already
// under the whole one is not replaced.
func withEnding(path, ending string) (string, error) {
	if strings.EqualFold(filepath.Ext(path), ending) {
		return path, nil
	}
	path += ending
	if _, err := os.Lstat(path); err == nil {
		return "", &club.Problem{Say: fmt.Sprintf("There is a file %q already: choose it with its ending to replace it, or another name.", filepath.Base(path))}
	}
	return path, nil
}
