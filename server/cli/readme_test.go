package cli

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// commandsIn gives the commands of README.md's indented blocks, without their comments, and the
// file that its JSON block is.
func commandsIn(text string) (commands []string, own string) {
	comment := regexp.MustCompile(`\s+#.*$`)
	for line := range strings.Lines(text) {
		if c, ok := strings.CutPrefix(line, "    "); ok && !strings.HasPrefix(c, " ") && !strings.HasPrefix(c, "- ") {
			commands = append(commands, comment.ReplaceAllString(strings.TrimSpace(c), ""))
		}
	}
	_, own, _ = strings.Cut(text, "```json\n")
	own, _, _ = strings.Cut(own, "```")
	return commands, own
}

// Every command of README.md does what it says: those of the program run, in the order in which
// they stand, on the demonstration's record; those of make are known to the Makefile.
func TestEveryCommandInREADME(t *testing.T) {
	root, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	commands, own := commandsIn(string(text))
	if len(commands) < 20 {
		t.Fatalf("only %d commands were found: %q", len(commands), commands)
	}
	dir := t.TempDir()
	for _, name := range []string{"server", "testdata"} {
		if err := os.Symlink(filepath.Join(root, name), filepath.Join(dir, name)); err != nil {
			t.Skip("no links here: ", err)
		}
	}
	t.Chdir(dir)
	t.Setenv("BUCKTAIL_DATA", filepath.Join(dir, "record"))
	if err := fillDemo(context.Background(), filepath.Join(dir, "record")); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("own.json", []byte(own), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range commands {
		args := strings.Fields(c)
		switch args[0] {
		case "bucktail":
			var out, errs bytes.Buffer
			status := Run(args[1:], strings.NewReader(""), &out, &errs)
			// Measuring says 1 where it asks about something; nothing else may.
			if status != 0 && (status != 1 || args[1] != "measure") || out.Len() == 0 || errs.Len() > 0 {
				t.Errorf("%s: status %d\n%s%s", c, status, out.String(), errs.String())
			}
		case "make":
			make, err := exec.LookPath("make")
			if err != nil {
				t.Log("no make here: ", c)
				continue
			}
			cmd := exec.Command(make, append([]string{"-n", "-C", root}, args[1:]...)...)
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Errorf("%s: %v\n%s", c, err, out)
			}
		case "sudo", "git": // how to get here
		default:
			t.Errorf("%s: no program of ours", c)
		}
	}
}

// The pictures that README.md shows are there.
func TestPicturesOfREADME(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	shown := regexp.MustCompile(`!\[[^\]]*\]\(([^)]*)\)`).FindAllStringSubmatch(string(text), -1)
	if len(shown) < 4 {
		t.Errorf("only %d pictures", len(shown))
	}
	for _, m := range shown {
		if _, err := os.Stat(filepath.Join("..", "..", m[1])); err != nil {
			t.Error(err)
		}
	}
}
