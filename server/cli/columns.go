package cli

import (
	"bytes"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"
)

// columnsOf gives how many characters a line of the terminal takes that w is, 0 where it is none.
func columnsOf(w io.Writer) int {
	f, ok := w.(*os.File)
	if !ok {
		return 0
	}
	cols, _, err := term.GetSize(int(f.Fd()))
	if err != nil || cols <= 0 {
		return 0
	}
	return max(cols, 32)
}

// fitted breaks lines longer than the terminal between words; what is broken off goes on deeper
// than its line began. What is no terminal, a file or another program, gets its lines whole.
func fitted(w io.Writer) io.Writer {
	if width := columnsOf(w); width > 0 {
		return &breaker{w: w, width: width}
	}
	return w
}

// breaker passes on whole lines; what follows the last line's end waits for its own.
type breaker struct {
	w     io.Writer
	width int
	rest  []byte
}

func (b *breaker) Write(p []byte) (int, error) {
	b.rest = append(b.rest, p...)
	end := bytes.LastIndexByte(b.rest, '\n') + 1
	var out strings.Builder
	for line := range strings.Lines(string(b.rest[:end])) {
		indent := strings.Repeat(" ", len(line)-len(strings.TrimLeft(line, " "))+4)
		for {
			at := breakAt(line, b.width)
			if at < 0 {
				break
			}
			out.WriteString(strings.TrimRight(line[:at], " ") + "\n")
			line = indent + strings.TrimLeft(line[at:], " ")
		}
		out.WriteString(line)
	}
	b.rest = append(b.rest[:0], b.rest[end:]...)
	if _, err := io.WriteString(b.w, out.String()); err != nil {
		return 0, err
	}
	return len(p), nil
}

// breakAt gives where a line is to be broken so that width characters hold what stands before:
// the last space that will do, behind the line's indent, or the end of a word that is longer;
// -1 where it need not or cannot be.
func breakAt(line string, width int) int {
	text := strings.TrimRight(line, "\n")
	if utf8.RuneCountInString(text) <= width {
		return -1
	}
	begun := len(text) - len(strings.TrimLeft(text, " "))
	at, n := -1, 0
	for i, r := range text {
		if n > width && at >= 0 {
			break
		}
		if r == ' ' && i > begun {
			at = i
		}
		n++
	}
	return at
}
