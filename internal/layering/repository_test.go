package layering

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// maxLines keeps a file to one idea.
const maxLines = 450

// source visits every file of the project that people write: not what is
// fetched, built or generated.
func source(t *testing.T, visit func(name string, content []byte)) {
	t.Helper()
	top := root(t)
	made := []string{".git", "frontend/node_modules", "frontend/dist", "build/bin", "build/tools"}
	err := filepath.WalkDir(top, func(path string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, _ := filepath.Rel(top, path)
		name = filepath.ToSlash(name)
		switch made := slices.Contains(made, name); { // .git is a file in a second work tree
		case made && e.IsDir():
			return fs.SkipDir
		case made || !e.Type().IsRegular():
			return nil
		}
		content, err := os.ReadFile(path)
		if err != nil || bytes.HasPrefix(content, []byte("// Code generated ")) {
			return err
		}
		visit(name, content)
		return nil
	})
	require.NoError(t, err)
}

func TestTopLevel(t *testing.T) {
	entries, err := os.ReadDir(root(t))
	require.NoError(t, err)
	allowed := strings.Fields("app frontend internal build testdata README.md DEVELOPERS.md LICENSE go.mod go.sum wails.json")
	var found []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			found = append(found, e.Name())
		}
	}
	require.Subset(t, allowed, found, "the top level takes no more: find it a place below")
	require.Subset(t, found, allowed, "something of the top level is gone")
}

func TestFilesAreShort(t *testing.T) {
	written := []string{".go", ".ts", ".svelte", ".css", ".sh", ".mjs", ".c", ".h", ".sql"}
	seen := 0
	source(t, func(name string, content []byte) {
		if !slices.Contains(written, filepath.Ext(name)) {
			return
		}
		seen++
		if n := bytes.Count(content, []byte("\n")); n > maxLines {
			t.Errorf("%s has %d lines: split it by idea, to at most %d", name, n, maxLines)
		}
	})
	require.Greater(t, seen, 50)
}

// A committed file names no place that exists on one machine only. The words are
// put together here so that this file does not name them either.
func TestNoMachineIsNamed(t *testing.T) {
	places := regexp.MustCompile(strings.Join([]string{
		`/wo` + `rk/`, `/ro` + `ot/`, `/ho` + `me/\w`, `file:/` + `//`,
		`regis` + `try\.npm`, `pro` + `xy\.golang`, `su` + `m\.golang`, `deb\.` + `debian`, `snapshot\.` + `debian`,
	}, "|"))
	source(t, func(name string, content []byte) {
		if bytes.IndexByte(content, 0) >= 0 {
			return // media and pictures
		}
		for i, line := range strings.Split(string(content), "\n") {
			if found := places.FindString(line); found != "" {
				t.Errorf("%s:%d names %q, a place of one machine", name, i+1, found)
			}
		}
	})
}

// No init, and no package-level variable that something could be put into:
// what a package needs comes in as a value. Sentinel errors, compiled patterns,
// embedded files, tables and interface checks stay.
func TestNoHiddenState(t *testing.T) {
	files := 0
	source(t, func(name string, content []byte) {
		if filepath.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return
		}
		files++
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, name, content, parser.ParseComments)
		require.NoError(t, err)
		for _, d := range f.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if d.Recv == nil && d.Name.Name == "init" {
					t.Errorf("%s has an init: call it by its name where the program is put together", set.Position(d.Pos()))
				}
			case *ast.GenDecl:
				if d.Tok == token.VAR {
					for _, s := range d.Specs {
						checkVar(t, set, d, s.(*ast.ValueSpec))
					}
				}
			}
		}
	})
	require.Greater(t, files, 20)
}

func checkVar(t *testing.T, set *token.FileSet, d *ast.GenDecl, s *ast.ValueSpec) {
	t.Helper()
	if embedded(d.Doc) || embedded(s.Doc) || s.Names[0].Name == "_" {
		return
	}
	for i, n := range s.Names {
		if i >= len(s.Values) || !constant(n.Name, s.Values[i]) {
			t.Errorf("%s: the package-level variable %s can hold state: pass it in as a value", set.Position(n.Pos()), n.Name)
		}
	}
}

func embedded(doc *ast.CommentGroup) bool {
	return doc != nil && slices.ContainsFunc(doc.List, func(c *ast.Comment) bool { return strings.HasPrefix(c.Text, "//go:embed ") })
}

// constant reports whether a value is one that nobody changes by habit: a table,
// an error, a compiled pattern or template.
func constant(name string, v ast.Expr) bool {
	switch v := v.(type) {
	case *ast.BasicLit:
		return true // set by the linker, if at all
	case *ast.CompositeLit:
		return len(v.Elts) > 0
	case *ast.UnaryExpr: // an error with its facts
		return v.Op == token.AND && strings.HasPrefix(strings.ToLower(name), "err") && constant(name, v.X)
	case *ast.CallExpr:
		var call bytes.Buffer
		ast.Inspect(v.Fun, func(n ast.Node) bool {
			if id, ok := n.(*ast.Ident); ok {
				call.WriteString("." + id.Name)
			}
			return true
		})
		return regexp.MustCompile(`\.(errors\.New|fmt\.Errorf|\w*\.Must\w*|\w*\.NewReplacer)$|\.template\.Must|^\.Error$`).MatchString(call.String())
	}
	return false
}
