// Package layering holds no code: its tests prove the rules by which the rest is
// laid out, so that a change that breaks one fails here, with the reason.
package layering

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"maps"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const module = "strokeledger/"

// arrows says which packages of ours each package may import. A package that is not
// named here has no place yet: give it one. Arrows point down, and the adapters never
// know each other.
func arrows() map[string][]string {
	domain := []string{"internal/club", "internal/timecode"}
	written, cached := "internal/atomicfile", "internal/cache"
	with := func(more ...string) []string { return append(more, domain...) }
	may := map[string][]string{
		"frontend":             {},
		"internal/layering":    {},
		"internal/timecode":    {},
		"internal/atomicfile":  {},
		"internal/cache":       {},
		"internal/canvas":      {},
		"internal/club":        {"internal/timecode"},
		"internal/alike":       {},
		"internal/roster":      {"internal/alike", "internal/club"},
		"internal/sighting":    {"internal/club"},
		"internal/picture":     {"internal/club"},
		"internal/merge":       {"internal/alignment", "internal/alike", "internal/club", "internal/picture", "internal/sighting", "internal/standard"},
		"internal/standard":    {"internal/club"},
		"internal/aim":         domain,
		"internal/alignment":   {"internal/club"},
		"internal/redact":      {"internal/club"},
		"internal/tally":       with("internal/aim", "internal/redact"),
		"internal/table":       {},
		"internal/layer":       {},
		"internal/measure":     with("internal/table", "internal/layer"),
		"internal/pose/neural": {},
		"internal/pose":        {"internal/club", "internal/pose/neural"},
		"internal/contact":     domain,
		"internal/proposal":    {"internal/club", "internal/contact"},
		"internal/swing":       {"internal/club", "internal/layer", "internal/measure"},
		"internal/joined":      {"internal/contact"},
		"internal/job":         {"internal/club"},
		"internal/drive":       {},
		"internal/preference":  {written},
		"internal/scratch":     {"internal/drive"},
		"internal/store":       with(written, cached, "internal/alike", "internal/alignment", "internal/merge", "internal/picture", "internal/sighting", "internal/standard", "internal/drive", "internal/scratch"),
		"internal/clip/av":     with(written),
		"internal/clip":        with("internal/clip/av", "internal/picture", cached),
		"internal/sentence":    {"internal/club"},
		"internal/document":    {written, "internal/club", "internal/scratch", "internal/sentence", "internal/store"},
		"internal/report":      with(inside("tally", "advice contrast group rate reading verdict wording", "alignment", "picture", "tally", "sighting", "standard", "report/plain", "report/drawn")...),
		"internal/report/reel": with("internal/clip/av", "internal/picture"),
		"internal/demo":        with("internal/contact", "internal/picture"),
		"internal/demo/hall":   {"internal/contact"},
		"internal/demo/second": {"internal/club", "internal/demo"},
		"internal/demo/film":   with("internal/demo", "internal/demo/hall", "internal/clip/av"),

		"internal/report/plain":    {"internal/club"},
		"internal/report/drawn":    {"internal/picture", "internal/report/plain"},
		"internal/report/family":   with(inside("tally", "advice group meaning verdict wording", "picture", "report/plain", "report/sheet", "tally")...),
		"internal/report/pairpage": with("internal/picture", "internal/report/plain", "internal/report/sheet"),
		"internal/report/sheet":    {"internal/picture", "internal/report/drawn"},
		"internal/report/wall":     {"internal/club", "internal/picture", "internal/report/plain", "internal/report/sheet"},
		// What goes from library to library, as data.
		"internal/report/record": with("internal/standard", "internal/alignment", "internal/merge", "internal/picture", "internal/report", "internal/sighting", "internal/tally"),
		// The desk puts its rooms together. What the two hand out are values of the
		// packages below.
		"internal/desk":            with("internal/standard", "internal/demo/second", "internal/clip", "internal/demo", "internal/demo/film", "internal/document", "internal/sentence", "internal/store"),
		"internal/cache/cachetest": {}, // for tests alone

		"app": with("internal/demo/second", "internal/standard", "internal/tally/agreement", "internal/tally/wording", "internal/alike", "internal/canvas", "internal/desk", "internal/clip", "internal/document", "internal/merge", "internal/picture", "internal/pose", "internal/preference", "internal/redact", "internal/sentence", "internal/sighting", "internal/store", "internal/tally", "frontend"),
	}
	for name, below := range numbers() {
		may["internal/tally/"+name] = below
		may["internal/tally"] = append(may["internal/tally"], "internal/tally/"+name)
	}
	for room, below := range rooms() {
		may["internal/desk/"+room] = below
		may["internal/desk"] = append(may["internal/desk"], "internal/desk/"+room)
		may["app"] = append(may["app"], "internal/desk/"+room)
	}
	return may
}

// inside names packages of a folder, and others.
func inside(folder, names string, others ...string) (all []string) {
	for _, n := range strings.Fields(names) {
		all = append(all, "internal/"+folder+"/"+n)
	}
	for _, o := range others {
		all = append(all, "internal/"+o)
	}
	return all
}

// numbers says of each package below the tally which others it may import.
func numbers() map[string][]string {
	return map[string][]string{
		"interval": {},
		"wording":  {},
		"streak":   {},
		"prior":    inside("tally", "interval"),
		"rate":     inside("tally", "interval wording"),
		"verdict":  inside("tally", "rate"),
		"contrast": inside("tally", "interval rate wording", "club"),
		"group":    inside("tally", "contrast prior rate wording", "club"),
		"reading":  inside("tally", "interval wording", "club"),
		"climb":    inside("tally", "rate streak verdict wording", "club"),
		"advice":   inside("tally", "climb contrast group rate verdict wording", "club"),

		"meaning":   {},
		"trial":     inside("tally", "interval wording", "club"),
		"agreement": inside("tally", "interval wording", "aim", "club"),
	}
}

// rooms says of each room of the desk which other rooms it may import, and which
// packages below them.
func rooms() map[string][]string {
	room := func(others string, below ...string) []string { return inside("desk", others, append(below, "club")...) }
	return map[string][]string{
		"backup":    room("", "store"),
		"library":   room("", "standard", "job", "merge", "sentence", "store"),
		"place":     room("library", "clip", "sentence"),
		"footage":   room("library place", "clip", "job", "store"),
		"listening": room("library footage", "cache", "clip", "contact", "proposal", "sentence", "store"),
		"body":      room("", "clip", "picture", "pose"),
		"seen":      room("footage", "cache", "clip", "measure", "store"),
		"heard":     room("library footage listening seen", "clip", "contact", "joined", "measure", "proposal", "store", "swing"),
		"entry":     room("library footage pairing", "aim", "picture", "store"),
		"look":      room("library footage", "store"),
		"proposed":  room("library footage heard", "contact", "proposal", "store"),
		"pairing":   room("library footage listening", "alignment", "clip", "contact", "store"),
		"burst":     room("library listening heard", "contact", "proposal"),
		"ready":     room("library heard proposed entry", "proposal", "store"),
		"measured":  room("library footage seen heard ruler camera", "cache", "clip", "clip/av", "contact", "aim", "measure", "pose", "proposal", "sentence", "sighting", "store", "table", "tally/reading"),
		"pass":      room("library footage listening heard look ready entry measured", "aim", "store"),
		"relink":    room("library place footage", "clip", "store"),
		"session":   room("library place footage relink", "clip", "sentence", "store"),
		"camera":    room("footage", "clip", "sighting", "table"),
		"ruler":     room("library footage camera", "sighting", "store"),
		"pictures":  room("library footage", "picture", "standard", "store"),
		"catalogue": room("library", "alike", "roster", "store"),
		"ladder":    room("library", "store"),
		"consent":   room("library"),
		"erase":     room("library place footage burst", "clip", "store"),
		"summary":   room("library ladder", "cache", "picture", "sentence", "store", "tally", "tally/climb", "tally/contrast", "tally/group", "tally/meaning", "tally/rate", "tally/reading", "standard"),
		"todo":      room("library", "store"),
		"publish":   room("library place footage ladder consent summary body ruler", "alignment", "aim", "document", "merge", "picture", "pose", "redact", "report", "report/family", "report/record", "report/reel", "sentence", "store", "tally", "tally/group"),
		"beside":    room("library footage pictures consent publish", "document", "picture", "redact", "report/pairpage", "report/reel", "sentence"),
		"exchange":  room("library place footage ladder relink publish summary", "atomicfile", "clip", "document", "merge", "redact", "report/record", "sentence"),

		"secondlook": room("library", "aim", "standard", "store", "tally/agreement"),
		"agreed":     room("library", "standard", "store", "tally/agreement"),
		"trial":      room("library agreed", "standard", "store", "tally/agreement", "tally/trial", "tally/wording"),
		"definition": room("library footage pairing", "standard", "store"),
		"wall":       room("library footage consent pictures definition publish summary body", "picture", "pose", "report/wall", "standard", "store"),
	}
}

// owners says who alone may import what reaches outside Go, so that a new
// version of it touches one package.
func owners() map[string][]string {
	return map[string][]string{
		"github.com/wailsapp/wails/":     {"app"},
		"github.com/asticode/go-astiav":  {"internal/clip/av"},
		"github.com/mattn/go-sqlite3":    {"internal/store"},
		"database/sql":                   {"internal/store"},
		"github.com/alecthomas/kong":     {"app"},
		"github.com/xuri/excelize":       {"internal/report"},
		"github.com/asticode/go-astisub": {"internal/report"},
	}
}

// pure packages hold values and rules: no C, no files, no network.
func pure() []string {
	return []string{"internal/timecode", "internal/club", "internal/tally", "internal/contact", "internal/proposal", "internal/redact", "internal/sighting", "internal/picture", "internal/cache", "internal/joined", "internal/layer", "internal/swing", "internal/table", "internal/measure", "internal/pose", "internal/roster", "internal/alike", "internal/aim", "internal/alignment", "internal/merge", "internal/standard"}
}

type pkg struct {
	ImportPath                         string
	Imports, TestImports, XTestImports []string
	CgoFiles                           []string
}

func (p pkg) place() string { return strings.TrimPrefix(p.ImportPath, module) }

// list asks the go command about packages, under the tags with which the
// program is built.
func list(t *testing.T, env []string, args ...string) []pkg {
	t.Helper()
	var out, complaint bytes.Buffer
	cmd := exec.Command("go", append([]string{"list", "-json"}, args...)...)
	cmd.Dir = root(t)
	cmd.Env = append(cmd.Environ(), env...)
	cmd.Stdout, cmd.Stderr = &out, &complaint
	require.NoError(t, cmd.Run(), complaint.String())
	var all []pkg
	for d := json.NewDecoder(&out); ; {
		var p pkg
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else {
			require.NoError(t, err)
		}
		all = append(all, p)
	}
}

func root(t *testing.T) string {
	t.Helper()
	dir, err := filepath.Abs("../..")
	require.NoError(t, err)
	return dir
}

// ours lists every package of the module with what it imports under any of the
// ways of building it.
func ours(t *testing.T) []pkg {
	t.Helper()
	whole := map[string]pkg{}
	for _, tags := range []string{"desktop,production,webkit2_41", "dev,webkit2_41"} {
		for _, p := range list(t, nil, "-tags", tags, "./...") {
			w := whole[p.ImportPath]
			w.ImportPath = p.ImportPath
			w.Imports = union(w.Imports, p.Imports)
			w.TestImports = union(w.TestImports, p.TestImports)
			w.XTestImports = union(w.XTestImports, p.XTestImports)
			w.CgoFiles = union(w.CgoFiles, p.CgoFiles)
			whole[p.ImportPath] = w
		}
	}
	require.Greater(t, len(whole), 10)
	return slices.SortedFunc(maps.Values(whole), func(a, b pkg) int { return strings.Compare(a.ImportPath, b.ImportPath) })
}

func union(a, b []string) []string {
	return slices.Compact(slices.Sorted(slices.Values(append(a, b...))))
}

func TestArrowsPointDown(t *testing.T) {
	may, there := arrows(), map[string]bool{}
	for _, p := range ours(t) {
		there[p.place()] = true
		allowed, placed := may[p.place()]
		if !placed {
			t.Errorf("%s has no place among the layers: give it one in arrows or rooms", p.place())
			continue
		}
		for _, imported := range p.Imports {
			name, inside := strings.CutPrefix(imported, module)
			if !inside || slices.Contains(allowed, name) {
				continue
			}
			t.Errorf("%s imports %s, which is not below it", p.place(), name)
		}
	}
	for name, allowed := range may {
		for _, p := range append(allowed, name) {
			if !there[p] {
				t.Errorf("%s has a place among the layers and is not there: take it out of arrows", p)
			}
		}
	}
}

func TestEachBindingHasOneOwner(t *testing.T) {
	for _, p := range ours(t) {
		for _, imported := range union(p.Imports, union(p.TestImports, p.XTestImports)) {
			for lib, who := range owners() {
				if strings.HasPrefix(imported+"/", strings.TrimSuffix(lib, "/")+"/") && !slices.Contains(who, p.place()) {
					t.Errorf("%s imports %s, which belongs to %s alone", p.place(), imported, strings.Join(who, ", "))
				}
			}
		}
	}
}

// C belongs where FFmpeg is, where the window is drawn on, and in the arithmetic of
// networks, which takes ten times as long without and does without where there is none.
func TestCLivesInThreePackages(t *testing.T) {
	may := []string{"internal/canvas", "internal/clip/av", "internal/pose/neural"}
	for _, p := range ours(t) {
		if !slices.Contains(may, p.place()) && len(p.CgoFiles) > 0 {
			t.Errorf("%s has C in %s: C belongs in %s", p.place(), strings.Join(p.CgoFiles, ", "), strings.Join(may, " and "))
		}
	}
}

func TestPurePackagesArePure(t *testing.T) {
	forbidden := []string{"os", "os/exec", "io/fs", "net", "net/http", "path/filepath", "syscall", "unsafe", "C"}
	args := []string{"-deps"}
	for _, p := range pure() {
		args = append(args, "./"+p+"/...")
	}
	seen := 0
	for _, p := range list(t, []string{"CGO_ENABLED=0"}, args...) {
		if !strings.HasPrefix(p.ImportPath, module) {
			continue
		}
		seen++
		if !slices.ContainsFunc(pure(), func(s string) bool { return p.place() == s || strings.HasPrefix(p.place(), s+"/") }) {
			t.Errorf("a pure package needs %s, which is not pure", p.place())
		}
		for _, imported := range p.Imports {
			if slices.Contains(forbidden, imported) {
				t.Errorf("%s imports %s: a pure package knows no files, no network and no C", p.place(), imported)
			}
		}
	}
	require.GreaterOrEqual(t, seen, len(pure()))

	build := exec.Command("go", append([]string{"build"}, args[1:]...)...)
	build.Dir = root(t)
	build.Env = append(build.Environ(), "CGO_ENABLED=0")
	out, err := build.CombinedOutput()
	require.NoError(t, err, string(out))
}
