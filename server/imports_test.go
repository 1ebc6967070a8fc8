package main

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const module = "bucktail"

// rooms say what a folder of ours may import of ours. The first that fits counts;
// "x/..." is x and all below it.
var rooms = []struct {
	folder string
	may    []string
	why    string
}{
	{"qc/...", []string{"qc/..."}, "the domain stands alone: it knows no pixels, so that it can judge hand gauges as well as photos"},
	{"imaging/answer/...", []string{"imaging/...", "qc/..."}, "it joins readings with their checks, once for the command line, the server and the phone"},
	{"imaging/geom/...", nil, "the frames stand below everything"},
	{"imaging/fit/...", nil, "points to curves, in whatever frame"},
	{"imaging/convnet/...", []string{"imaging/cores"}, "numbers to numbers: what they mean is its caller's"},
	{"imaging/fastener/outline/...", []string{"imaging/geom", "imaging/fit", "qc"}, "the form of a head is the same however it is seen; it sees no pictures"},
	{"imaging/...", []string{"imaging/...", "qc/..."}, "pixels to geometry; no disk, no network, so that the same code runs in the browser"},
	{"store/...", []string{"store/...", "qc", "qc/history/..."}, "it keeps what it is given and never looks into a photo"},
	{"pwa/wasm/...", []string{"pwa/wasm/...", "qc/...", "imaging/..."}, "the bridge unpacks and packs; there is no server in a browser"},
	{"pwa/build/...", []string{"server/demo/photos", "imaging/...", "qc/..."}, "it measures the sample's photos once for all phones"},
	{"pwa/...", nil, "it holds the built web app as files, or builds it"},
	{"server/look/...", nil, "the pages' common looks"},
	{"server/licences/...", nil, "a text"},
	{"server/localca/...", nil, "an authority for any server: it knows nothing of rivets"},
	{"server/trust/...", []string{"server/look"}, "what strangers may see: it can't show what it can't reach"},
	{"server/measuring/...", []string{"imaging/...", "qc/..."}, "words in, readings out: the command line and the server use it, and it knows neither"},
	{"server/api/...", []string{"server/look", "store", "imaging/...", "qc/..."}, "it translates between HTTP and what it was given; who starts it stays outside"},
	{"server/demo/photos/...", []string{"imaging/...", "qc/..."}, "photos and what is read off them, without a record"},
	{"server/demo/...", []string{"server/demo/...", "store", "imaging/...", "qc/..."}, "it tells a story to a record; who shows it stays outside"},
	{"server/workshop/...", []string{"server/api", "server/localca", "server/measuring", "server/trust", "store", "imaging/...", "qc/..."},
		"it opens the doors and wires what answers behind them; how it was started stays outside"},
	{"server/cli/...", []string{"server/...", "store", "pwa", "imaging/...", "qc/..."}, "the one place that wires all parts together"},
	{"server", []string{"server/cli"}, "a few lines that start the command line"},
}

// outside says where a package of others may be imported in what we ship; tests may
// use any.
var outside = []struct {
	path string
	only []string
	why  string
}{
	{"github.com/gorilla/mux", []string{"server/api/..."}, "routes belong to the HTTP interface"},
	{"github.com/mattn/go-sqlite3", []string{"store/..."}, "the only cgo in the house stays at its rim"},
	{"database/sql", []string{"store/..."}, "nobody else speaks SQL"},
	{"github.com/disintegration/imaging", []string{"imaging/photo"}, "a bad picture makes it panic where nobody can recover; photo only gives it its own"},
	{"github.com/rwcarlsen/goexif", []string{"imaging/photo"}, "hostile EXIF makes it ask for gigabytes; photo has the guard"},
	{"gonum.org/v1/gonum", nil, "a quarter more to download for the phone, for what a few pages of our own do"},
	{"net/http", []string{"server/api/...", "server/trust/...", "server/workshop/...", "pwa", "pwa/build"}, "measuring and judging work without a network, and so does the command line"},
	{"os/exec", []string{"pwa/build/..."}, "what is shipped starts no programs"},
	{"flag", []string{"server/cli/...", "server/measuring/...", "pwa/build/..."}, "words of the command line end at its rim"},
	{module + "/imaging/fastener", []string{"imaging/fastener/...", "imaging/measure", "imaging/together"}, "outlines and edges know nothing of each other; measuring joins them, of one photo or several"},
	{module + "/imaging/sheetedge", []string{"imaging/sheetedge/...", "imaging/measure", "imaging/together"}, "outlines and edges know nothing of each other; measuring joins them, of one photo or several"},
	{module + "/imaging/synth", []string{"imaging/synth/..."}, "rendered photos are for tests and the demo; a measurement that could reach them could know the truth"},
}

// pkg is what the go command tells of a package.
type pkg struct {
	ImportPath, Name, Dir              string
	Imports, TestImports, XTestImports []string
	Deps                               []string
}

// folder is the package's place in our tree; ok is false for others' packages.
func folder(path string) (string, bool) {
	if path == module {
		return "", true
	}
	return strings.CutPrefix(path, module+"/")
}

func fits(folder, pattern string) bool {
	if pattern == "..." {
		return true
	}
	if base, all := strings.CutSuffix(pattern, "/..."); all {
		return folder == base || strings.HasPrefix(folder, base+"/")
	}
	return folder == pattern
}

func fitsAny(folder string, patterns []string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool { return fits(folder, p) })
}

// list asks the go command for our packages as one platform sees them.
func list(t *testing.T, env ...string) []pkg {
	t.Helper()
	cmd := exec.Command("go", "list", "-e", "-json=ImportPath,Name,Dir,Imports,TestImports,XTestImports,Deps", module+"/...")
	cmd.Env = append(os.Environ(), env...)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []pkg
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p pkg
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	if len(all) < 5 {
		t.Fatalf("only %d packages listed", len(all))
	}
	return all
}

// broken gives what p's imports break, shipped and in tests.
func broken(p pkg) []string {
	var bad []string
	from, _ := folder(p.ImportPath)
	test := append(slices.Clone(p.TestImports), p.XTestImports...)
	for _, path := range append(slices.Clone(p.Imports), test...) {
		to, ours := folder(path)
		if !ours {
			continue
		}
		for _, r := range rooms {
			if !fits(from, r.folder) {
				continue
			}
			if to != from && !fitsAny(to, r.may) {
				bad = append(bad, from+" imports "+path+"; "+r.folder+": "+r.why)
			}
			break
		}
	}
	for _, path := range p.Imports {
		for _, o := range outside {
			if (path == o.path || strings.HasPrefix(path, o.path+"/")) && !fitsAny(from, o.only) {
				bad = append(bad, from+" imports "+path+": "+o.why)
			}
		}
	}
	return bad
}

func TestImportsGoOneWay(t *testing.T) {
	for _, platform := range [][]string{nil, {"GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0"}} {
		for _, p := range list(t, platform...) {
			from, _ := folder(p.ImportPath)
			if !slices.ContainsFunc(rooms, func(r struct {
				folder string
				may    []string
				why    string
			}) bool {
				return fits(from, r.folder)
			}) {
				t.Errorf("%s has no place in the table of rooms", p.ImportPath)
			}
			for _, b := range broken(p) {
				t.Error(b)
			}
			if p.Name == "main" && from != "server" && !fits(from, "pwa/wasm/...") && !fits(from, "pwa/build/...") {
				t.Errorf("%s is a program; server is the only one, beside the browser's half and its build", p.ImportPath)
			}
		}
	}
}

// The table itself is held: each of these breaks it.
func TestImportRulesCatch(t *testing.T) {
	for _, c := range []struct {
		from, to string
		test     bool
	}{
		{"qc", "imaging/geom", false}, {"qc/report", "store", false}, {"imaging/photo", "store", false}, {"store", "imaging/photo", false},
		{"store", "server/api", false}, {"pwa", "qc", false}, {"pwa/wasm", "server/api", false}, {"imaging/measure", "imaging/synth", false},
		{"qc", "imaging/geom", true}, {"imaging/fastener/outline", "imaging/raster", false}, {"imaging/convnet", "imaging/geom", false},
		{"server/api", "server/cli", false}, {"server/api", "server/workshop", false},
		{"server/workshop", "server/cli", false}, {"server/measuring", "store", false}, {"server/trust", "store", false},
		{"server/localca", "qc", false}, {"server", "store", false}, {"server/cli", "pwa/build", false},
	} {
		p := pkg{ImportPath: module + "/" + c.from}
		if c.test {
			p.TestImports = []string{module + "/" + c.to}
		} else {
			p.Imports = []string{module + "/" + c.to}
		}
		if len(broken(p)) == 0 {
			t.Errorf("%s may import %s", c.from, c.to)
		}
	}
	for from, to := range map[string]string{
		"server/workshop": "github.com/gorilla/mux", "server/cli": "net/http", "server/localca": "flag", "imaging/card": "github.com/disintegration/imaging", "qc": "net/http",
		"imaging/fit": "gonum.org/v1/gonum/mat", "imaging/sheetedge/face": module + "/imaging/fastener/outline", "imaging/measure": "github.com/rwcarlsen/goexif/exif", "qc/history": "database/sql",
	} {
		if len(broken(pkg{ImportPath: module + "/" + from, Imports: []string{to}})) == 0 {
			t.Errorf("%s may import %s", from, to)
		}
	}
}

// What runs in the browser reaches neither the network nor C, by any way.
func TestBrowserHalfStaysSmall(t *testing.T) {
	for _, p := range list(t, "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0") {
		from, _ := folder(p.ImportPath)
		if !fits(from, "imaging/...") && !fits(from, "qc/...") && !fits(from, "pwa/wasm/...") {
			continue
		}
		for _, dep := range []string{"net/http", "net", "runtime/cgo", "database/sql"} {
			if slices.Contains(p.Deps, dep) {
				t.Errorf("%s reaches %s: it is measured and judged on a phone without a network", p.ImportPath, dep)
			}
		}
	}
}

// qc and imaging have no clock and no files: the caller passes the time and the bytes,
// so that the same input gives the same answer for ever.
func TestNoClockAndNoFilesInside(t *testing.T) {
	forbidden := map[string][]string{
		"time": {"Now", "Since", "Until", "Sleep", "After", "Tick", "NewTimer", "NewTicker"},
		"os":   nil, // all of it
	}
	for _, root := range []string{"qc", "imaging"} {
		err := filepath.WalkDir(filepath.Join("..", root), func(path string, d fs.DirEntry, err error) error {
			if err == nil && path == filepath.Join("..", "imaging", "training") {
				return fs.SkipDir // of no program: it writes what the networks are trained on
			}
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
			if err != nil {
				return err
			}
			ast.Inspect(f, func(n ast.Node) bool {
				sel, ok := n.(*ast.SelectorExpr)
				if !ok {
					return true
				}
				x, ok := sel.X.(*ast.Ident)
				if !ok || x.Obj != nil { // a variable of that name is no package
					return true
				}
				if names, ok := forbidden[x.Name]; ok && (names == nil || slices.Contains(names, sel.Sel.Name)) {
					t.Errorf("%s uses %s.%s", path, x.Name, sel.Sel.Name)
				}
				return true
			})
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// DEVELOPERS.md lists every package once, and none that is not there.
func TestEveryPackageIsListed(t *testing.T) {
	text, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(text), "## The packages\n")
	section, _, _ = strings.Cut(section, "\n## ")
	listed := map[string]int{}
	for line := range strings.Lines(section) {
		if entry, ok := strings.CutPrefix(line, "    "); ok {
			listed[strings.Fields(entry)[0]]++
		}
	}
	for _, platform := range [][]string{nil, {"GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0"}} {
		for _, p := range list(t, platform...) {
			if name, _ := folder(p.ImportPath); listed[name] != 1 {
				t.Errorf("%s is listed %d times, want once", name, listed[name])
			}
		}
	}
	for name := range listed {
		if files, err := filepath.Glob(filepath.Join("..", name, "*.go")); err != nil || len(files) == 0 {
			t.Errorf("%s is listed and is no package", name)
		}
	}
}
