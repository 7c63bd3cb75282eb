// Package arch holds the house together: arrows between packages point inward,
// and what must be pure is pure. It has no code, only tests.
package arch

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const module = "velamen/"

// layer says what packages of a folder may import, besides packages of the
// same folder tree. The first matching folder counts. Standard library
// packages are free unless std lists those allowed.
type layer struct {
	folder string
	own    []string // folders of this module
	others []string // modules of others
	std    []string // nil: all
}

var pureStd = []string{"cmp", "errors", "fmt", "iter", "maps", "math", "math/bits", "math/cmplx", "slices", "sort", "strconv", "strings", "time", "unicode", "unicode/utf8"}

var layers = []layer{
	{folder: "science", own: []string{"science"}, others: []string{"gonum.org/v1/gonum"}, std: pureStd},
	{folder: "internal/culture", own: []string{"science"}, others: []string{"golang.org/x/text"}},
	{folder: "internal/care", own: []string{"science", "internal/culture"}, std: pureStd},
	{folder: "internal/plan", own: []string{"science", "internal/care"}, std: pureStd},
	{folder: "internal/casefile", own: []string{"science", "internal/culture", "internal/care", "internal/plan"}, others: []string{"github.com/pelletier/go-toml/v2"}},
	{folder: "internal/plot", own: []string{"science", "internal/culture", "internal/care", "internal/plan"}, others: []string{}},
	{folder: "internal/paper", own: []string{"science", "internal/culture", "internal/care", "internal/plan"}, others: []string{"codeberg.org/go-pdf/fpdf", "github.com/boombuler/barcode", "github.com/go-fonts/liberation", "golang.org/x/image/font", "golang.org/x/text/unicode/norm"}},
	{folder: "internal/calendar", own: []string{"science", "internal/culture", "internal/care", "internal/plan"}, others: []string{}},
	{folder: "internal/demo", own: []string{"science", "internal/culture", "internal/care", "internal/plan", "internal/casefile"}, others: []string{}},
	{folder: "internal/book", own: []string{"science", "internal/culture", "internal/care", "internal/plan"}, others: []string{}},
	{folder: "internal/store", own: []string{"science", "internal/culture", "internal/care", "internal/plan"}, others: []string{"modernc.org/sqlite", "github.com/mattn/go-sqlite3", "github.com/pressly/goose/v3", "github.com/google/uuid"}},
	{folder: "internal/readings", own: []string{"science", "internal/culture", "internal/care", "internal/plan", "internal/store/intake"}, others: []string{"github.com/eclipse/paho.golang", "github.com/pelletier/go-toml/v2"}},
	{folder: "internal/photo", own: []string{"science"}, others: []string{"golang.org/x/image"}},
	{folder: "internal/checktable", own: []string{}, others: []string{}},
	{folder: "internal/web", own: []string{"science", "internal/culture", "internal/care", "internal/plan", "internal/book", "internal/plot", "internal/photo", "internal/readings", "internal/store", "internal/demo", "internal/casefile", "internal/paper", "internal/calendar"}, others: []string{"github.com/google/uuid", "github.com/emersion/go-webdav", "github.com/emersion/go-ical", "github.com/alexedwards/scs/v2", "golang.org/x/crypto", "golang.org/x/time"}},
	{folder: "internal/cli", own: []string{"science", "internal"}, others: []string{"github.com/alecthomas/kong", "github.com/google/uuid"}},
	{folder: "cmd", own: []string{"internal/cli"}, others: []string{}},
	{folder: "e2e", own: []string{}, others: []string{}},
	{folder: "bench", own: []string{"science", "internal"}, others: []string{"github.com/alexedwards/scs/v2"}},
	{folder: "faults", own: []string{"science", "internal"}, others: []string{"github.com/google/uuid"}},
	{folder: "internal/arch", own: []string{}, others: []string{}},
}

type pkg struct {
	path    string
	dir     string
	imports []string
}

func packages(t *testing.T) []pkg {
	t.Helper()
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}}|{{.Dir}}|{{join .Imports " "}}`, module+"...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var list []pkg
	for line := range strings.Lines(string(out)) {
		parts := strings.Split(strings.TrimSpace(line), "|")
		list = append(list, pkg{path: strings.TrimPrefix(parts[0], module), dir: parts[1], imports: strings.Fields(parts[2])})
	}
	if len(list) < 5 {
		t.Fatalf("go list found only %d packages", len(list))
	}
	return list
}

func inside(path, folder string) bool {
	return path == folder || strings.HasPrefix(path, folder+"/")
}

func (l layer) allows(imported string) bool {
	if own, ok := strings.CutPrefix(imported, module); ok {
		return slices.ContainsFunc(append(l.own, l.folder), func(folder string) bool { return inside(own, folder) })
	}
	first, _, _ := strings.Cut(imported, "/")
	if strings.Contains(first, ".") {
		return slices.ContainsFunc(l.others, func(other string) bool { return inside(imported, other) })
	}
	return l.std == nil || slices.Contains(l.std, imported)
}

func TestArrowsPointInward(t *testing.T) {
	for _, p := range packages(t) {
		i := slices.IndexFunc(layers, func(l layer) bool { return inside(p.path, l.folder) })
		if i < 0 {
			t.Errorf("%s stands in no known folder; say in this test what it may import", p.path)
			continue
		}
		for _, imported := range p.imports {
			if !layers[i].allows(imported) {
				t.Errorf("%s must not import %s", p.path, imported)
			}
		}
	}
}

// What helps tests stays out of the program. Measuring is no part of it.
func TestOnlyTestsImportWhatHelpsTests(t *testing.T) {
	for _, p := range packages(t) {
		if p.path == "bench" {
			continue
		}
		for _, helper := range []string{"internal/checktable", "internal/store/storetest"} {
			if slices.Contains(p.imports, module+helper) {
				t.Errorf("%s must not import %s, except in tests", p.path, helper)
			}
		}
	}
}

// The rule of the arrows must be able to fail.
func TestForbiddenArrowsAreSeen(t *testing.T) {
	for _, c := range []struct {
		from, to string
	}{
		{"science", "os"}, {"science", "math/rand"}, {"science", "velamen/internal/care"},
		{"internal/care", "velamen/internal/cli"}, {"internal/care", "database/sql"},
		{"internal/culture", "velamen/internal/care"}, {"cmd", "github.com/alecthomas/kong"},
	} {
		i := slices.IndexFunc(layers, func(l layer) bool { return l.folder == c.from })
		if layers[i].allows(c.to) {
			t.Errorf("%s may import %s, but must not", c.from, c.to)
		}
	}
}

// In science, care and plan the time is an argument, and nothing runs beside
// what was called: the race detector has nothing to find there, and the test
// command leaves them out of its run.
func TestThePureReadNoClockAndStartNothing(t *testing.T) {
	pure := []string{"science", "internal/culture", "internal/care", "internal/plan"}
	clock := []string{"Now", "Since", "Until", "Sleep", "After", "Tick", "NewTimer", "NewTicker", "Local"}
	for _, p := range packages(t) {
		if !slices.ContainsFunc(pure, func(folder string) bool { return inside(p.path, folder) }) {
			continue
		}
		files, err := filepath.Glob(filepath.Join(p.dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			if strings.HasSuffix(file, "_test.go") {
				continue
			}
			set := token.NewFileSet()
			tree, err := parser.ParseFile(set, file, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(tree, func(n ast.Node) bool {
				if aside, ok := n.(*ast.GoStmt); ok {
					t.Errorf("%s starts a goroutine: leave that to the caller", set.Position(aside.Pos()))
				}
				sel, ok := n.(*ast.SelectorExpr)
				if !ok {
					return true
				}
				if x, ok := sel.X.(*ast.Ident); ok && x.Name == "time" && slices.Contains(clock, sel.Sel.Name) {
					t.Errorf("%s reads the clock: take the time as an argument", set.Position(sel.Pos()))
				}
				return true
			})
		}
	}
}
