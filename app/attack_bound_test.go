package main

import (
	"cmp"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"math/rand/v2"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"strokeledger/internal/club"
	"strokeledger/internal/preference"
)

// needWindow are the bound methods that ask for a file or tell the page something:
// they need a real window. They are found by what they call.
func needWindow(t *testing.T) map[string]bool {
	files, err := filepath.Glob("screen_*.go")
	require.NoError(t, err)
	need := map[string]bool{}
	for _, name := range files {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		for _, d := range file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || f.Recv == nil {
				continue
			}
			on := f.Recv.List[0].Type.(*ast.StarExpr).X.(*ast.Ident).Name
			ast.Inspect(f.Body, func(n ast.Node) bool {
				if s, ok := n.(*ast.SelectorExpr); ok {
					of, _ := s.X.(*ast.Ident)
					if of != nil && of.Name == "runtime" || slices.Contains([]string{"emit", "askWhere", "askFolder", "askFilms", "openWith", "showInFolder", "swap", "closed"}, s.Sel.Name) {
						need[on+"."+f.Name.Name] = true
					}
				}
				return true
			})
		}
	}
	return need
}

// drawn draws values that a page gone wrong may send.
type drawn struct {
	*rand.Rand
	texts []string
}

func (d drawn) fill(v reflect.Value, depth int) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(d.texts[d.IntN(len(d.texts))])
	case reflect.Int, reflect.Int64:
		v.SetInt([]int64{-1, 0, 1, 5, 7, 35, 60, 74, 75, 1e9, math.MaxInt64, math.MinInt64}[d.IntN(12)])
	case reflect.Float64:
		v.SetFloat([]float64{0, 0.5, 1, -1, 1e300, math.NaN(), math.Inf(1), math.Inf(-1)}[d.IntN(8)])
	case reflect.Bool:
		v.SetBool(d.IntN(2) == 0)
	case reflect.Slice:
		if n := d.IntN(4); n > 0 && depth < 4 {
			v.Set(reflect.MakeSlice(v.Type(), n, n))
			for i := range n {
				d.fill(v.Index(i), depth+1)
			}
		}
	case reflect.Pointer:
		if d.IntN(2) == 0 && depth < 4 {
			v.Set(reflect.New(v.Type().Elem()))
			d.fill(v.Elem(), depth+1)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				d.fill(v.Field(i), depth+1)
			}
		}
	}
}

// Whatever the page sends to whatever bound method: an answer, or one plain sentence,
// and a ledger that is whole.
func TestEveryBoundMethodTakesBadInput(t *testing.T) {
	g := newTarget(t)
	s := newShell(g.library)
	s.start(t.Context())
	defer s.stop()
	_, d, err := s.open()
	require.NoError(t, err)
	cat, err := d.Library.Catalogue(t.Context())
	require.NoError(t, err)
	led, err := d.Library.OfClip(t.Context(), club.ID(g.clip))
	require.NoError(t, err)
	texts := []string{"", "nothing", "\xff", "\x00", "a\nb", strings.Repeat("n", 1e5), "../../x", "0000-00-00", "2026-03-14", "9999999-01-01", "good", "missed", "forehand", "arrow", "html",
		g.player, g.clip, string(cat.Faults[0].ID), string(cat.Drills[0].ID), string(cat.Coaches[0].ID), string(led.Turns[0].ID), string(led.Strokes[0].ID), string(led.Marks[0].ID)}
	known := []string{g.clip, string(led.Turns[0].ID), string(led.Strokes[0].ID), string(led.Marks[0].ID)} // what most methods ask for first
	need, called, took := needWindow(t), 0, map[string]int{}
	random := drawn{rand.New(rand.NewPCG(11, uint64(*attacks))), texts}
	type method struct {
		name string
		call reflect.Value
		last bool // takes away what others need
	}
	var methods []method
	for _, screen := range screens(s, preference.In(filepath.Join(t.TempDir(), "preferences.json"))) {
		v := reflect.ValueOf(screen)
		for i := range v.NumMethod() {
			short := v.Type().Method(i).Name
			if name := v.Elem().Type().Name() + "." + short; !need[name] {
				methods = append(methods, method{name, v.Method(i), strings.HasPrefix(short, "Remove") || strings.HasPrefix(short, "Forget") || short == "Undo"})
			}
		}
	}
	slices.SortStableFunc(methods, func(a, b method) int { return cmp.Compare(fmt.Sprint(a.last), fmt.Sprint(b.last)) })
	for _, m := range methods {
		for range 120 / *attacks {
			var args []reflect.Value
			for k := range m.call.Type().NumIn() {
				arg := reflect.New(m.call.Type().In(k)).Elem()
				if k == 0 && arg.Kind() == reflect.String && random.IntN(2) == 0 {
					arg.SetString(known[random.IntN(len(known))])
				} else {
					random.fill(arg, 0)
				}
				args = append(args, arg)
			}
			out := m.call.Call(args)
			called++
			err, failed := out[len(out)-1].Interface().(error)
			if !failed {
				took[m.name]++
				continue
			}
			say := coded(err).(string)
			require.NotContains(t, say, "not foreseen", "%s(%.500v): %+v", m.name, args, err)
			require.NotContains(t, say, "\n", "%s(%.500v)", m.name, args)
			require.Regexp(t, `^(failed|unknown|problem(/\w+)?): .*\.$`, say, "%s(%.500v)", m.name, args)
		}
	}
	ledger, _, err := d.Check(t.Context())
	require.NoError(t, err)
	require.Empty(t, ledger)
	require.Greater(t, len(took), 30, "most methods were given something that they take, too")
	t.Logf("%d calls, %d methods took one; %d need a window", called, len(took), len(need))
}
