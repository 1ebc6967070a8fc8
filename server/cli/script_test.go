package cli

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"bucktail": func() { os.Exit(Run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }})
}

// What a person types, and what comes back: testdata/script.
func TestScripts(t *testing.T) {
	data, err := filepath.Abs(filepath.Join("..", "..", "testdata"))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:  filepath.Join("testdata", "script"),
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
		Setup: func(e *testscript.Env) error {
			e.Setenv("PHOTOS", filepath.Join(data, "photos"))
			e.Setenv("NASTY", filepath.Join(data, "nasty"))
			return os.MkdirAll(e.WorkDir, 0o777)
		},
	})
}

// exits runs a command and wants one of some statuses: "exits 0|1 bucktail measure x.jpg".
// Which heads a photo lets the program measure may change with its methods, that it answers may not.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS[|STATUS] COMMAND [ARGS]")
	}
	status := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		status = exit.ExitCode()
	}
	for _, s := range strings.Split(args[0], "|") {
		if s == strconv.Itoa(status) {
			return
		}
	}
	ts.Fatalf("status %d, want %s", status, args[0])
}
