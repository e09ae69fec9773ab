package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/store"
)

func TestGuardCatches(t *testing.T) {
	err := func() (err error) {
		defer guard(&err)
		panic("broken")
	}()
	require.ErrorContains(t, err, "broken")
	require.Equal(t, "failed: Something went wrong that was not foreseen (broken): try again, and start the program anew if it happens once more.", coded(err))
	require.Equal(t, "problem/key: Pick another.", coded(&club.Problem{Field: "key", Say: "Pick another."}))
}

// Every bound method has to turn a panic into an error, or the page would wait
// for ever for its answer.
func TestEveryBoundMethodIsGuarded(t *testing.T) {
	files, err := filepath.Glob("screen_*.go")
	require.NoError(t, err)
	seen := 0
	for _, name := range files {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		for _, d := range file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || f.Recv == nil || !f.Name.IsExported() {
				continue
			}
			seen++
			require.Contains(t, []string{"answer", "asked", "do", "guard"}, begins(f.Body.List[0]), "%s.%s does not start with a guard", name, f.Name)
		}
	}
	require.Greater(t, seen, 20)
}

// begins is the name of what a statement calls.
func begins(s ast.Stmt) string {
	var called ast.Expr
	switch s := s.(type) {
	case *ast.DeferStmt:
		called = s.Call.Fun
	case *ast.ReturnStmt:
		if call, ok := s.Results[0].(*ast.CallExpr); ok {
			called = call.Fun
		}
	}
	switch f := called.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		return f.Sel.Name
	}
	return ""
}

// The page may ask before the library is open, and the window may close while it
// is being opened, or while files are added.
func TestWindowOpensAndCloses(t *testing.T) {
	clips, err := filepath.Glob("../testdata/clips/a*")
	require.NoError(t, err)
	for range 5 {
		s := newShell(filepath.Join(t.TempDir(), "library"))
		var asked sync.WaitGroup
		asked.Go(func() {
			_, err := (&Library{s}).State()
			require.NoError(t, err)
		})
		time.Sleep(time.Millisecond)
		s.start(t.Context())
		asked.Wait()
		asked.Go(func() {
			_, d, err := s.open()
			require.NoError(t, err)
			_, err = d.Sessions.Add(t.Context(), "2026-03-14", clips, nil)
			require.Error(t, err)
		})
		time.Sleep(20 * time.Millisecond)
		begun := time.Now()
		s.stop()
		require.Less(t, time.Since(begun), 3*time.Second)
		asked.Wait()
		_, err := (&Library{s}).State()
		require.ErrorIs(t, err, errNoLibrary)
	}
}

func TestSwapWhileAdding(t *testing.T) {
	clips, err := filepath.Glob("../testdata/clips/a*")
	require.NoError(t, err)
	s := newShell(filepath.Join(t.TempDir(), "one"))
	s.start(t.Context())
	defer s.stop()
	done := make(chan error)
	go func() {
		_, d, _ := s.open()
		_, err := d.Sessions.Add(t.Context(), "2026-03-14", clips, nil)
		done <- err
	}()
	time.Sleep(20 * time.Millisecond)
	require.NoError(t, s.swap(filepath.Join(t.TempDir(), "two")))
	require.Equal(t, "failed: Stopped.", coded(<-done))
	st, err := (&Library{s}).State()
	require.NoError(t, err)
	require.Equal(t, "two", st.Name)
}

// A damaged library is taken up with its error, is put right while it is closed,
// and is open afterwards; a backup that is none leaves things as they were.
func TestDamagedLibraryIsPutRight(t *testing.T) {
	dir, ctx := filepath.Join(t.TempDir(), "library"), t.Context()
	s := newShell(dir)
	s.start(ctx)
	defer s.stop()
	safety := &Safety{s}
	_, d, err := s.open()
	require.NoError(t, err)
	require.NoError(t, d.Library.KeepBackup(ctx))
	sh, err := safety.Status()
	require.NoError(t, err)
	require.False(t, sh.Damaged)
	require.Len(t, sh.Backups, 1)
	found, err := safety.Check()
	require.NoError(t, err)
	require.Empty(t, append(found.Ledger, found.Files...))

	require.ErrorContains(t, safety.Restore(filepath.Join(dir, "nothing.db")), "choose another file")
	_, _, err = s.open()
	require.NoError(t, err, "it is open again")

	other := filepath.Join(t.TempDir(), "other")
	require.NoError(t, s.swap(other))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "ledger.db"), append([]byte("SQLite format 3\x00"), make([]byte, 8000)...), 0o600))
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "ledger.db-wal")))
	require.Error(t, s.swap(filepath.Join(dir, "ledger.db")), "no folder")
	require.Equal(t, other, s.folder())
	require.ErrorIs(t, s.swap(dir), store.ErrDamaged)
	sh, err = safety.Status()
	require.NoError(t, err)
	require.True(t, sh.Damaged)
	require.Equal(t, dir, sh.Dir)
	require.NoError(t, safety.Restore(sh.Backups[0].Path))
	_, err = (&Library{s}).State()
	require.NoError(t, err)
}
