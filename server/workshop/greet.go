package workshop

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"bucktail/server/api"
)

// greet tells how to get in, from the laptop and from a phone.
func (s *serving) greet(w io.Writer, link string) {
	r := s.reach()
	fmt.Fprintf(w, "\nBucktail is running. The record is kept in %s\n", s.o.Data)
	if s.o.App == nil {
		fmt.Fprint(w, "The web app is not built into this program. Stop it and run: make run\n")
	}
	fmt.Fprintf(w, "\nON THIS LAPTOP\n\n  Open this once, within five minutes. Press Enter here for a new one.\n    %s\n  From then on: %s\n", link, r.Loopback)
	if !r.LAN {
		fmt.Fprint(w, "\nNothing is served on the network (--no-lan).\n\nStop with Ctrl+C.\n")
		return
	}
	fmt.Fprint(w, "\nON A PHONE\n\n  1. Join this laptop's Wi-Fi with the phone and scan this code. The page tells how\n     to trust this laptop; that is needed once for each phone.\n\n")
	fmt.Fprint(w, terminalQR(r.TrustQR, isTerminal(w)))
	fmt.Fprintf(w, "\n     Can't scan? Type %s\n", strings.Join(r.TrustURLs, " or "))
	fmt.Fprint(w, "     The page shows this fingerprint. Compare all of it:\n\n")
	for _, l := range pairs(r.Fingerprint) {
		fmt.Fprintf(w, "       %s\n", l)
	}
	fmt.Fprintf(w, "\n  2. Then let it join: %slaptop shows a second code.\n", r.Loopback)
	fmt.Fprintf(w, "     The app is at %s\n", strings.Join(r.URLs, "\n                or "))
	fmt.Fprint(w, "\nOnly the private network is served, nothing goes to the internet. Stop with Ctrl+C.\n\n")
}

// newLinks makes a new link for the laptop's own browser at each press of Enter. It ends with
// the input.
func (s *serving) newLinks(c Terminal) {
	ignoreBackgroundRead()
	in := bufio.NewScanner(c.In)
	for in.Scan() {
		link, err := s.api.OwnerLink()
		if err != nil {
			fmt.Fprintln(c.Err, "bucktail: no new link:", err)
			continue
		}
		fmt.Fprintf(c.Out, "Open this once, within five minutes:\n  %s\n", link)
	}
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// terminalQR draws a code with half blocks, two lines of modules in one of text, and the four
// light modules around it that readers need (ISO/IEC 18004). On a terminal it is black on white
// whatever the colours there; elsewhere it is drawn for a dark ground.
func terminalQR(m *api.Matrix, colours bool) string {
	if m == nil {
		return ""
	}
	const quiet = 4
	dark := func(x, y int) bool {
		x, y = x-quiet, y-quiet
		return x >= 0 && y >= 0 && x < m.Size && y < m.Size && m.Rows[y][x] == '1'
	}
	var b strings.Builder
	for y := 0; y < m.Size+2*quiet; y += 2 {
		b.WriteString("     ")
		if colours {
			b.WriteString("\x1b[38;5;231;48;5;16m") // white on black: blocks are the light modules
		}
		for x := 0; x < m.Size+2*quiet; x++ {
			switch top, bottom := dark(x, y), dark(x, y+1); {
			case top && bottom:
				b.WriteByte(' ')
			case top:
				b.WriteRune('▄')
			case bottom:
				b.WriteRune('▀')
			default:
				b.WriteRune('█')
			}
		}
		if colours {
			b.WriteString("\x1b[0m")
		}
		b.WriteByte('\n')
	}
	return b.String()
}
