package workshop

import (
	"strings"
	"testing"

	"bucktail/server/api"
)

// What is drawn in the terminal is the code, with the light margin around it, in both ways.
func TestTerminalQR(t *testing.T) {
	m, err := api.QR("http://192.168.1.20:8444/")
	if err != nil {
		t.Fatal(err)
	}
	if m.Size != 25 { // version 2 holds 26 bytes at level M (ISO/IEC 18004, table 7)
		t.Errorf("%d modules", m.Size)
	}
	for _, colours := range []bool{false, true} {
		s := terminalQR(m, colours)
		if strings.Contains(s, "\x1b") != colours {
			t.Errorf("colours %v: %q", colours, s[:40])
		}
		s = strings.NewReplacer("\x1b[38;5;231;48;5;16m", "", "\x1b[0m", "").Replace(s)
		var rows [][]bool // dark
		for _, line := range strings.Split(strings.TrimRight(s, "\n"), "\n") {
			var top, bottom []bool
			for _, c := range strings.TrimPrefix(line, "     ") {
				top = append(top, c == ' ' || c == '▄')
				bottom = append(bottom, c == ' ' || c == '▀')
			}
			rows = append(rows, top, bottom)
		}
		const quiet = 4
		for y := range m.Size + 2*quiet {
			for x := range m.Size + 2*quiet {
				want := x >= quiet && y >= quiet && x < m.Size+quiet && y < m.Size+quiet && m.Rows[y-quiet][x-quiet] == '1'
				if rows[y][x] != want {
					t.Fatalf("module %d, %d is dark %v", x-quiet, y-quiet, rows[y][x])
				}
			}
		}
	}
	if terminalQR(nil, true) != "" {
		t.Error("something is drawn for no code")
	}
}
