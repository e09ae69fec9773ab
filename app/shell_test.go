package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
)

func TestGuardCatches(t *testing.T) {
	err := func() (err error) {
		defer guard(&err)
		panic("broken")
	}()
	require.ErrorContains(t, err, "broken")
	require.Equal(t, "failed: Unexpected: broken.", coded(err))
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
			deferred, ok := f.Body.List[0].(*ast.DeferStmt)
			require.True(t, ok, "%s.%s does not start with a guard", name, f.Name)
			require.Equal(t, "guard", deferred.Call.Fun.(*ast.Ident).Name)
		}
	}
	require.Greater(t, seen, 20)
}
