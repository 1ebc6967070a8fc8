package licences

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write licences.txt anew")

const sqlite = "SQLite, which github.com/mattn/go-sqlite3 holds, is in the public domain\n(https://www.sqlite.org/copyright.html).\n"

// component is something that the program holds, and the folder where it says its licence.
type component struct{ name, dir string }

// linked gives the modules of a program.
func linked(t *testing.T, program string, env ...string) []component {
	t.Helper()
	cmd := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}{{end}}", program)
	cmd.Dir, cmd.Env = filepath.Join("..", ".."), append(os.Environ(), env...)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list %s: %v", program, err)
	}
	var all []component
	for line := range strings.Lines(string(out)) {
		if name, dir, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
			all = append(all, component{name, dir})
		}
	}
	return all
}

// ofTheApp gives the libraries of the app that are no test's.
func ofTheApp(t *testing.T) (all []component) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "pwa", "package-lock.json"))
	if err != nil {
		t.Fatal(err)
	}
	var lock struct {
		Packages map[string]struct {
			Version string
			Dev     bool
		}
	}
	if err := json.Unmarshal(b, &lock); err != nil {
		t.Fatal(err)
	}
	for place, p := range lock.Packages {
		if name, ok := strings.CutPrefix(place, "node_modules/"); ok && !p.Dev {
			all = append(all, component{name + " " + p.Version, filepath.Join("..", "..", "pwa", filepath.FromSlash(place))})
		}
	}
	return all
}

// said gives what a folder says of its licence.
func said(t *testing.T, c component) string {
	t.Helper()
	files, err := os.ReadDir(c.dir)
	if err != nil {
		t.Skipf("%s is not here (%v): make app fetches it", c.name, err)
	}
	var text string
	for _, f := range files {
		name := strings.ToUpper(f.Name())
		if !f.IsDir() && (strings.HasPrefix(name, "LICENSE") || strings.HasPrefix(name, "LICENCE") || strings.HasPrefix(name, "COPYING") || strings.HasPrefix(name, "NOTICE")) {
			b, err := os.ReadFile(filepath.Join(c.dir, f.Name()))
			if err != nil {
				t.Fatal(err)
			}
			text += strings.TrimSpace(strings.ReplaceAll(string(b), "\r\n", "\n")) + "\n"
		}
	}
	if text == "" {
		t.Errorf("%s says nothing of its licence", c.name)
	}
	return text
}

func TestLicencesAreThoseOfWhatIsLinked(t *testing.T) {
	all := linked(t, "./server")
	all = append(all, linked(t, "./pwa/wasm", "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")...)
	all = append(all, linked(t, "./pwa/wasm/papers", "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")...)
	all = append(all, ofTheApp(t)...)
	slices.SortFunc(all, func(a, b component) int { return strings.Compare(a.name, b.name) })
	all = slices.Compact(all)
	covers := map[string][]string{}
	var texts []string
	add := func(name, text string) {
		if covers[text] == nil {
			texts = append(texts, text)
		}
		covers[text] = append(covers[text], name)
	}
	add("Bucktail", said(t, component{"Bucktail", filepath.Join("..", "..")}))
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	add("Go, its compiler's libraries", said(t, component{"Go", strings.TrimSpace(string(root))}))
	for _, c := range all {
		add(c.name, said(t, c))
	}
	var b strings.Builder
	for _, text := range texts {
		fmt.Fprintf(&b, "%s\n%s\n\n%s\n", strings.Repeat("=", 80), strings.Join(covers[text], "\n"), text)
	}
	fmt.Fprintf(&b, "%s\n%s", strings.Repeat("=", 80), sqlite)
	if *update {
		if err := os.WriteFile("licences.txt", []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if b.String() != Text {
		t.Error("licences.txt is not what the program is made of: go test ./server/licences -update")
	}
}
