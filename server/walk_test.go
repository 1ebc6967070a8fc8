package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "move DEVELOPERS.md's links to the lines where things stand now")

var codeLink = regexp.MustCompile(`\[([A-Za-z.]+)\]\(([^)#]+\.go)#L(\d+)\)`)

// lineOf gives the line where a file declares a function, or first says the name where it is no
// function of its own; 0 where it does not.
func lineOf(text, name string) int {
	declares := regexp.MustCompile(`^func (\([^)]*\) )?` + regexp.QuoteMeta(name) + `\(`)
	first := 0
	for i, line := range strings.Split(text, "\n") {
		if declares.MatchString(line) {
			return i + 1
		}
		if first == 0 && strings.Contains(line, name+"(") {
			first = i + 1
		}
	}
	return first
}

// nearLines is how far a link may be off before it has to be moved: still on the same screen.
const nearLines = 25

// A photo's walk through the code leads to the lines that it names.
func TestWalkThroughTheCode(t *testing.T) {
	const name = "../DEVELOPERS.md"
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	links, far := 0, false
	now := codeLink.ReplaceAllStringFunc(string(text), func(link string) string {
		links++
		m := codeLink.FindStringSubmatch(link)
		code, err := os.ReadFile(filepath.Join("..", m[2]))
		if err != nil {
			t.Error(err)
			return link
		}
		n := lineOf(string(code), m[1])
		if n == 0 {
			t.Errorf("%s has no %s", m[2], m[1])
		}
		said, err := strconv.Atoi(m[3])
		far = far || err != nil || said < n-nearLines || said > n+nearLines
		return fmt.Sprintf("[%s](%s#L%d)", m[1], m[2], n)
	})
	if links < 10 {
		t.Errorf("only %d links", links)
	}
	if !*update {
		if far {
			t.Error("the links of DEVELOPERS.md are behind the code: go test ./server -run Walk -update")
		}
		return
	}
	if err := os.WriteFile(name, []byte(now), 0o644); err != nil {
		t.Fatal(err)
	}
}
