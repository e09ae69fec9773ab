package layering

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mostExported is how many names a room of the desk may show to others: a room with
// more has become two.
const mostExported = 30

// storeExports is how many names the store shows: it is several nouns round one file yet,
// and may only become smaller.
const storeExports = 99

func TestRoomsAreSmall(t *testing.T) {
	shown := map[string]int{}
	source(t, func(name string, content []byte) {
		dir := path.Dir(name)
		if !strings.HasPrefix(name, "internal/desk/") && dir != "internal/store" || filepath.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, content, 0)
		require.NoError(t, err)
		for _, d := range f.Decls {
			shown[dir] += exported(d)
		}
	})
	require.LessOrEqual(t, shown["internal/store"], storeExports, "the store grows: unexport what nobody else uses, or give a noun a package")
	delete(shown, "internal/store")
	require.Len(t, shown, len(rooms())+1)
	for room, n := range shown {
		if n > mostExported {
			t.Errorf("%s shows %d names: part it, to at most %d", room, n, mostExported)
		}
	}
}

// exported counts the names that a declaration shows to other packages.
func exported(d ast.Decl) (n int) {
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
