package cli

import (
	"bytes"
	"strings"
	"testing"
)

func TestRun(t *testing.T) {
	for _, c := range []struct {
		args     []string
		status   int
		out, err string // what each must contain; "" means that it stays empty
	}{
		{nil, 2, "", "usage: bucktail"},
		{[]string{"--help"}, 0, "usage: bucktail", ""},
		{[]string{"help"}, 0, "version", ""},
		{[]string{"frobnicate", "x"}, 2, "", `there is no command "frobnicate"`},
		{[]string{"version"}, 0, "bucktail ", ""},
		{[]string{"version", "please"}, 2, "", `not ["please"]`},
	} {
		var out, err bytes.Buffer
		status := Run(c.args, strings.NewReader(""), &out, &err)
		if status != c.status {
			t.Errorf("%q: status %d, want %d", c.args, status, c.status)
		}
		for _, s := range []struct{ name, got, want string }{{"out", out.String(), c.out}, {"err", err.String(), c.err}} {
			if !strings.Contains(s.got, s.want) || s.want == "" && s.got != "" {
				t.Errorf("%q: %s is %q, want %q in it", c.args, s.name, s.got, s.want)
			}
		}
	}
}

// Every command is in the usage once, with a summary and something to run.
func TestCommandsAreComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, cmd := range commands() {
		if seen[cmd.name] || cmd.summary == "" || cmd.run == nil {
			t.Errorf("%q is double or incomplete", cmd.name)
		}
		seen[cmd.name] = true
	}
}
