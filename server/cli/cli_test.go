package cli

import (
	"bytes"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
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
		{[]string{"--version"}, 0, "bucktail ", ""},
		{[]string{"help", "verify"}, 0, "usage: bucktail verify", ""},
		{[]string{"help", "help"}, 0, "usage: bucktail COMMAND", ""},
		{[]string{"help", "frobnicate"}, 2, "", `there is no command "frobnicate"`},
		{[]string{"check", "--frobnicate"}, 2, "", "not defined: --frobnicate"},
		{[]string{"bend", "--frobnicate"}, 2, "", "not defined: --frobnicate\nbucktail help bend"},
		{[]string{"shape", "-u", "wide"}, 2, "", "for flag -u"},
		{[]string{"backup"}, 2, "", "bucktail backup [--data FOLDER] [--passphrase] FILE"},
		{[]string{"link", "--data", "nowhere"}, 1, "", "no server of this user runs"},
		{[]string{"completion", "cmd"}, 2, "", `not "cmd"`},
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

// Help goes to the output, names flags with two dashes and fits a terminal of 80 columns.
func TestHelpOfEveryCommand(t *testing.T) {
	for _, cmd := range commands() {
		for _, args := range [][]string{{cmd.name, "-h"}, {cmd.name, "--help"}, {"help", cmd.name}} {
			var out, err bytes.Buffer
			if status := Run(args, strings.NewReader(""), &out, &err); status != 0 || err.Len() > 0 {
				t.Errorf("%q: status %d, error output %q", args, status, err.String())
			}
			if !strings.HasPrefix(out.String(), "usage: bucktail "+cmd.name) {
				t.Errorf("%q says %q", args, out.String())
			}
			for line := range strings.Lines(out.String()) {
				if strings.HasPrefix(line, "  -") && !strings.HasPrefix(line, "  --") && len(strings.Fields(line)[0]) > 2 {
					t.Errorf("%q: a flag with one dash: %q", args, line)
				}
				if n := utf8.RuneCountInString(line) - 1; n > 80 {
					t.Errorf("%q: a line of %d columns: %q", args, n, line)
				}
			}
		}
	}
}

// Completions and the manual page hold every command and flag, and programs of others read them.
func TestCompletionsAndManual(t *testing.T) {
	for _, c := range []struct {
		args  []string
		flag  string
		check []string // reads standard input, says nothing where all is well
	}{
		{[]string{"completion", "bash"}, "--card-scale", []string{"bash", "-n"}},
		{[]string{"completion", "zsh"}, "--card-scale", []string{"zsh", "-n"}},
		{[]string{"completion", "fish"}, "-l card-scale", []string{"fish", "--no-execute"}},
		{[]string{"man"}, `\-\-card\-scale`, []string{"man", "--warnings", "-E", "UTF-8", "-l", "-Tutf8", "-Z", "-"}},
	} {
		var out, errs bytes.Buffer
		if status := Run(c.args, strings.NewReader(""), &out, &errs); status != 0 {
			t.Fatalf("%q: status %d, %s", c.args, status, errs.String())
		}
		for _, cmd := range commands() {
			if !strings.Contains(out.String(), cmd.name) {
				t.Errorf("%q lacks %s", c.args, cmd.name)
			}
		}
		if !strings.Contains(out.String(), c.flag) {
			t.Errorf("%q lacks %s", c.args, c.flag)
		}
		if _, err := exec.LookPath(c.check[0]); err != nil {
			continue // not everybody has every shell
		}
		check := exec.Command(c.check[0], c.check[1:]...)
		check.Stdin = &out
		var said bytes.Buffer
		check.Stderr = &said
		if err := check.Run(); err != nil || said.Len() > 0 {
			t.Errorf("%q: %v: %s", c.check, err, said.String())
		}
	}
}

// What zsh and fish say of a flag is what its help says, colons too.
func TestWhatFishAndZshSay(t *testing.T) {
	const text = "https, for phones in the workshop’s network (default :8443)"
	// To zsh a colon ends a part, unless it is escaped.
	if want := "'*--tls-addr[" + strings.ReplaceAll(text, ":", `\:`) + `]:HOST\:PORT:_files'`; !strings.Contains(zsh(), want) {
		t.Errorf("%s is not in what zsh reads", want)
	}
	if _, err := exec.LookPath("fish"); err != nil {
		t.Skip(err)
	}
	got, err := exec.Command("fish", "--no-config", "-c", fish()+`complete -C "bucktail serve --tls"`).Output()
	if want := "--tls-addr\t" + text; err != nil || strings.TrimSpace(string(got)) != want {
		t.Errorf("fish offers %q, want %q, %v", got, want, err)
	}
}

// The manual page fits a terminal of 80 columns and names flags as help does.
func TestManualFitsTheTerminal(t *testing.T) {
	if _, err := exec.LookPath("man"); err != nil {
		t.Skip(err)
	}
	show := exec.Command("man", "-E", "UTF-8", "-P", "cat", "-l", "-")
	show.Env = append(show.Environ(), "MANWIDTH=80", "GROFF_NO_SGR=1", "MANROFFOPT=-c")
	show.Stdin = strings.NewReader(manual(time.Time{}))
	page, err := show.Output()
	if err != nil {
		t.Fatal(err)
	}
	text := regexp.MustCompile(".\x08").ReplaceAllString(string(page), "") // bold is struck twice
	for line := range strings.Lines(text) {
		if n := utf8.RuneCountInString(line) - 1; n > 80 {
			t.Errorf("%d columns: %q", n, line)
		}
	}
	for _, want := range []string{"\n       --card-scale SX", "\n       -v "} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the page", want)
		}
	}
}

// What shells offer: commands, also after help; a command's flags; the shells that completion knows.
func TestWhatBashOffers(t *testing.T) {
	if _, err := exec.LookPath("bash"); err != nil {
		t.Skip(err)
	}
	for line, want := range map[string]string{
		"bucktail mea": "measure", "bucktail help ver": "verify version", "bucktail he": "help",
		"bucktail completion ": "bash zsh fish", "bucktail measure --card-t": "--card-thickness", "bucktail shape -u": "-u",
	} {
		words := strings.Split(line, " ")
		script := bash() + "COMP_WORDS=('" + strings.Join(words, "' '") + "'); COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _bucktail; echo \"${COMPREPLY[@]}\""
		got, err := exec.Command("bash", "--norc", "-c", script).Output()
		if err != nil || strings.TrimSpace(string(got)) != want {
			t.Errorf("%q: %q, %v", line, got, err)
		}
	}
}
