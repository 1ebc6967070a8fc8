package cli

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// Lines longer than the terminal go on below, deeper than they began, and lose no word; a word
// longer than a line stays whole.
func TestLinesFitTheTerminal(t *testing.T) {
	const long = "  hole width, least          at least 3.18 mm     a document; derived: from the -3 row: Ø + 0.009 in\n"
	for _, c := range []struct {
		writes []string
		want   string
	}{
		{[]string{"short\n"}, "short\n"},
		{[]string{"exactly, to the letter, forty characters\n"}, "exactly, to the letter, forty characters\n"},
		{[]string{long}, "  hole width, least          at least\n      3.18 mm     a document; derived:\n      from the -3 row: Ø + 0.009 in\n"},
		{[]string{long[:50], long[50:]}, "  hole width, least          at least\n      3.18 mm     a document; derived:\n      from the -3 row: Ø + 0.009 in\n"},
		{[]string{strings.Repeat("x", 50) + "\n"}, strings.Repeat("x", 50) + "\n"},
		{[]string{"a " + strings.Repeat("x", 50) + " b\n"}, "a\n    " + strings.Repeat("x", 50) + "\n    b\n"},
		{[]string{"\n", "two\nlines\n"}, "\ntwo\nlines\n"},
	} {
		var out strings.Builder
		b := &breaker{w: &out, width: 40}
		for _, w := range c.writes {
			if n, err := b.Write([]byte(w)); n != len(w) || err != nil {
				t.Errorf("%q: %d written, %v", w, n, err)
			}
		}
		if out.String() != c.want {
			t.Errorf("%q becomes\n%s", c.writes, out.String())
		}
		for line := range strings.Lines(out.String()) {
			if n := utf8.RuneCountInString(line) - 1; n > 40 && strings.Contains(strings.TrimSpace(line), " ") {
				t.Errorf("%d characters: %q", n, line)
			}
		}
	}
}
