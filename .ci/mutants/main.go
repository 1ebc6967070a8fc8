// Command mutants plants small faults, one at a time, and says which no test notices.
//
//	go run .ci/mutants/main.go [-only REGEXP] [-timeout 5m] [-list FILE]
//
// The faults are in list.txt, which tells its own form. Each is laid over the tree by
// go test -overlay, so that no file is touched. The tests named with a fault run until the
// first that fails: it is killed. Those tests must pass without it. The status is 1 when a
// fault survives, no longer fits its file or does not compile.
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"time"
)

// fault is one entry of the list.
type fault struct {
	id, file string
	old, new []string // lines
	packages []string // whose tests must notice
	run      string   // tests to try first; the whole packages follow
	skip     string   // tests that do not count
	line     int      // in the list
}

func main() {
	only := flag.String("only", "", "plant those whose id fits this `REGEXP`")
	list := flag.String("list", ".ci/mutants/list.txt", "`FILE` with the faults")
	timeout := flag.Duration("timeout", 5*time.Minute, "for the tests of one package; a fault that makes them hang is killed")
	flag.Parse()
	bad, err := run(*list, *only, *timeout)
	if err != nil {
		fmt.Fprintln(os.Stderr, "mutants:", err)
		os.Exit(2)
	}
	if bad > 0 {
		os.Exit(1)
	}
}

func run(list, only string, timeout time.Duration) (bad int, err error) {
	fits, err := regexp.Compile(only)
	if err != nil {
		return 0, err
	}
	b, err := os.ReadFile(list)
	if err != nil {
		return 0, err
	}
	faults, err := parse(string(b))
	if err != nil {
		return 0, fmt.Errorf("%s: %w", list, err)
	}
	dir, err := os.MkdirTemp("", "mutants-")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(dir)
	t := tester{dir: dir, timeout: timeout, sound: map[string]bool{}}
	var killed int
	for _, f := range faults {
		if !fits.MatchString(f.id) {
			continue
		}
		begun := time.Now()
		verdict, by, err := t.plant(f)
		if err != nil {
			return bad, fmt.Errorf("%s: %w", f.id, err)
		}
		if verdict == "killed" {
			killed++
		} else {
			bad++
		}
		fmt.Printf("%-9s %-34s %s (%.0f s)\n", verdict, f.id, by, time.Since(begun).Seconds())
	}
	fmt.Printf("%d killed, %d not\n", killed, bad)
	if killed+bad == 0 {
		return 0, fmt.Errorf("no fault fits %q", only)
	}
	return bad, nil
}

// parse reads entries of "key: value" lines with empty lines between; # begins a comment line.
func parse(text string) ([]fault, error) {
	var all []fault
	var f fault
	ids := map[string]bool{}
	end := func() error {
		if f.id == "" && f.file == "" && f.old == nil {
			f = fault{}
			return nil
		}
		if f.id == "" || f.file == "" || f.old == nil || len(f.packages) == 0 || ids[f.id] {
			return fmt.Errorf("line %d: an entry needs an id of its own, file, old and test", f.line)
		}
		ids[f.id] = true
		all = append(all, f)
		f = fault{}
		return nil
	}
	for i, line := range strings.Split(text, "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		if strings.TrimSpace(line) == "" {
			if err := end(); err != nil {
				return nil, err
			}
			continue
		}
		key, value, _ := strings.Cut(line, ":")
		value = strings.TrimPrefix(value, " ")
		if f.line == 0 {
			f.line = i + 1
		}
		switch key {
		case "id":
			f.id = value
		case "file":
			f.file = value
		case "old":
			f.old = append(f.old, value)
		case "new":
			f.new = append(f.new, value)
		case "test":
			f.packages = strings.Fields(value)
		case "run":
			f.run = value
		case "skip":
			f.skip = value
		default:
			return nil, fmt.Errorf("line %d: there is no key %q", i+1, key)
		}
	}
	return all, end()
}

type tester struct {
	dir     string
	timeout time.Duration
	sound   map[string]bool // what passes without a fault
}

// plant lays a fault over the tree and gives what became of it, and by what it was killed.
func (t *tester) plant(f fault) (verdict, by string, err error) {
	src, err := os.ReadFile(f.file)
	if err != nil {
		return "gone", err.Error(), nil
	}
	old := strings.Join(f.old, "\n")
	if n := strings.Count(string(src), old); n != 1 {
		return "gone", fmt.Sprintf("its text is %d times in %s", n, f.file), nil
	}
	mutant := filepath.Join(t.dir, "mutant.go")
	if err := os.WriteFile(mutant, []byte(strings.Replace(string(src), old, strings.Join(f.new, "\n"), 1)), 0o600); err != nil {
		return "", "", err
	}
	path, err := filepath.Abs(f.file)
	if err != nil {
		return "", "", err
	}
	overlay, err := json.Marshal(map[string]map[string]string{"Replace": {path: mutant}})
	if err != nil {
		return "", "", err
	}
	name := filepath.Join(t.dir, "overlay.json")
	if err := os.WriteFile(name, overlay, 0o600); err != nil {
		return "", "", err
	}
	var tries [][]string
	if f.run != "" {
		tries = append(tries, []string{"-run", f.run, f.packages[0]})
	}
	for _, p := range f.packages {
		tries = append(tries, []string{p})
	}
	for _, try := range tries {
		if f.skip != "" {
			try = append([]string{"-skip", f.skip}, try...)
		}
		if err := t.mustPass(try); err != nil {
			return "", "", err
		}
		out, failed, err := t.test(append([]string{"-count=1", "-overlay", name}, try...))
		switch {
		case err != nil:
			return "", "", err
		case failed && strings.Contains(out, "[build failed]"):
			return "broken", "it does not compile: " + first(out), nil
		case failed:
			return "killed", "by " + failing(out) + " in " + try[len(try)-1], nil
		}
	}
	return "SURVIVED", strings.Join(f.packages, " "), nil
}

// mustPass makes sure that the tests pass by themselves. Go remembers that they did.
func (t *tester) mustPass(try []string) error {
	key := strings.Join(try, " ")
	if t.sound[key] {
		return nil
	}
	out, failed, err := t.test(try)
	if err == nil && failed {
		err = fmt.Errorf("go test %s fails without any fault:\n%s", key, out)
	}
	t.sound[key] = err == nil
	return err
}

func (t *tester) test(args []string) (out string, failed bool, err error) {
	cmd := exec.Command("go", append([]string{"test", "-vet=off", "-failfast", "-timeout", t.timeout.String()}, args...)...)
	var b bytes.Buffer
	cmd.Stdout, cmd.Stderr = &b, &b
	var exit *exec.ExitError
	if err = cmd.Run(); errors.As(err, &exit) {
		return b.String(), true, nil
	}
	return b.String(), false, err
}

var testName = regexp.MustCompile(`(?m)^\s*--- FAIL: (\S+)`)

// failing names the test that failed first.
func failing(out string) string {
	if m := testName.FindStringSubmatch(out); m != nil {
		return m[1]
	}
	if strings.Contains(out, "panic: test timed out") {
		return "the time limit"
	}
	return first(out)
}

func first(out string) string {
	for _, l := range strings.Split(out, "\n") {
		if l = strings.TrimSpace(l); l != "" && !strings.HasPrefix(l, "#") {
			return l
		}
	}
	return "a failing run"
}
