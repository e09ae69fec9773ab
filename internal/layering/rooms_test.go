package layering

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mostExported is how many names a package may show to others, as go doc lists them:
// types, functions, and groups of constants and variables; in a room of the desk its
// methods count too. A package with more has become two.
const mostExported = 30

// exceptions are packages that show more, with how many and why. They may only become
// smaller.
func exceptions() map[string]int {
	return map[string]int{
		// The vocabulary of the trade: people, drills, faults, clips, turns and all that
		// is seen in them, which everybody speaks of in one breath. Its rules have packages
		// of their own.
		"internal/club": 50,
		// One owner for each of FFmpeg's things, and what is told of a file.
		"internal/clip/av": 36,
	}
}

// storeMethods is how many names the store shows with its methods: its library is several
// nouns round one file, and may only become smaller. Two of them are what goes from
// library to library.
const storeMethods = 100

func TestPackagesAreSmall(t *testing.T) {
	names, withMethods := map[string]int{}, map[string]int{}
	source(t, func(name string, content []byte) {
		if filepath.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") || strings.HasSuffix(name, "_other.go") { // another system's
			return
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, content, 0)
		require.NoError(t, err)
		for _, d := range f.Decls {
			names[path.Dir(name)] += exported(d)
			withMethods[path.Dir(name)] += exportedWithin(d)
		}
	})
	for _, m := range slices.Sorted(maps.Keys(names)) {
		n := names[m]
		if strings.HasPrefix(m, "internal/desk/") {
			n = withMethods[m]
		}
		switch most, excepted := exceptions()[m]; {
		case excepted && n != most:
			t.Errorf("%s shows %d names, where exceptions says %d: it may only become smaller, and is told so there", m, n, most)
		case !excepted && n > mostExported:
			t.Errorf("%s shows %d names: part it, to at most %d", m, n, mostExported)
		}
	}
	require.LessOrEqual(t, withMethods["internal/store"], storeMethods, "the store grows: unexport what nobody else uses, or give a noun a package")
	for room := range rooms() {
		require.Contains(t, names, "internal/desk/"+room)
	}
	for m := range exceptions() {
		require.Contains(t, names, m)
	}
}

// exported counts what go doc lists of a declaration.
func exported(d ast.Decl) int {
	f, isFunc := d.(*ast.FuncDecl)
	g, isGroup := d.(*ast.GenDecl)
	switch n := exportedWithin(d); {
	case isFunc && f.Recv != nil:
		return 0
	case isGroup && (g.Tok == token.CONST || g.Tok == token.VAR):
		return min(1, n)
	default:
		return n
	}
}

// exportedWithin counts the names that a declaration shows to other packages.
func exportedWithin(d ast.Decl) (n int) {
	count := func(names ...*ast.Ident) {
		for _, id := range names {
			if id.IsExported() {
				n++
			}
		}
	}
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Recv == nil || shows(d.Recv.List[0].Type) {
			count(d.Name)
		}
	case *ast.GenDecl:
		for _, s := range d.Specs {
			switch s := s.(type) {
			case *ast.TypeSpec:
				count(s.Name)
			case *ast.ValueSpec:
				count(s.Names...)
			}
		}
	}
	return n
}

// shows reports whether the type of a receiver is exported.
func shows(recv ast.Expr) bool {
	if star, ok := recv.(*ast.StarExpr); ok {
		recv = star.X
	}
	id, ok := recv.(*ast.Ident)
	return ok && id.IsExported()
}
