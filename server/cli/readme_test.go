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
	for _, name := range []string{"server", "testdata", "imaging"} {
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

// What README.md tells to look for when something goes wrong is what the program, or what builds
// it, says in that case.
func TestMessagesOfREADMEAreSaid(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, table, _ := strings.Cut(string(text), "\n## When something goes wrong\n")
	table, _, _ = strings.Cut(table, "\n## ")
	var said []byte
	for _, pattern := range []string{"*.go", "../workshop/*.go", "../../.ci/need", "../../.ci/fetch", "../../imaging/measure/*.go"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			t.Fatal(pattern, err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			said = append(said, b...)
		}
	}
	messages := regexp.MustCompile("(?m)^\\| `([^`]+)` \\|").FindAllStringSubmatch(table, -1)
	if len(messages) < 8 {
		t.Errorf("only %d messages", len(messages))
	}
	for _, m := range messages {
		for part := range strings.SplitSeq(m[1], "…") {
			// need and fetch put their names before what they say.
			part = strings.TrimPrefix(strings.TrimPrefix(strings.TrimSpace(part), "need: "), "fetch: ")
			if !bytes.Contains(said, []byte(part)) {
				t.Errorf("%q of README.md is said nowhere", part)
			}
		}
	}
}

// sentencesIn gives the sentences that stand in README.md's paragraphs, lists and tables.
func sentencesIn(text string) (sentences []string) {
	own := regexp.MustCompile("(?s)```.*?```")
	item := regexp.MustCompile(`^(- |\d+\. )`)
	end := regexp.MustCompile(`[.!?]["*)]*( |$)`)
	for line := range strings.Lines(own.ReplaceAllString(text, "")) {
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "    ") && !item.MatchString(strings.TrimSpace(line)) {
			continue
		}
		for cell := range strings.SplitSeq(strings.TrimSpace(line), "|") {
			from := 0
			for _, at := range end.FindAllStringIndex(cell, -1) {
				sentences = append(sentences, cell[from:at[1]])
				from = at[1]
			}
			sentences = append(sentences, cell[from:])
		}
	}
	return sentences
}

// No sentence of README.md is longer than can be read in one breath.
func TestSentencesOfREADMEAreShort(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	isWord := regexp.MustCompile(`[\pL\pN]`)
	sentences := 0
	for _, s := range sentencesIn(string(text)) {
		words := 0
		for _, w := range strings.Fields(s) {
			if isWord.MatchString(w) {
				words++
			}
		}
		if words > 0 {
			sentences++
		}
		if words >= 25 {
			t.Errorf("%d words: %s", words, s)
		}
	}
	if sentences < 200 {
		t.Errorf("only %d sentences were found", sentences)
	}
}
