package cli

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// Whoever has taken the program away is told where the record lies, without asking the program.
func TestUninstallSaysWhereTheRecordStays(t *testing.T) {
	if _, err := exec.LookPath("make"); err != nil {
		t.Skip(err)
	}
	plan, err := exec.Command("make", "-n", "-C", "../..", "uninstall").Output()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(plan), "~/.local/share/bucktail") || strings.Contains(string(plan), "bucktail help") {
		t.Errorf("%s", plan)
	}
}

// The program's path is one word of the user unit, whatever stands in it.
func TestInstalledUnitQuotesItsProgram(t *testing.T) {
	for _, name := range []string{"make", "sed", "sh"} {
		if _, err := exec.LookPath(name); err != nil {
			t.Skip(err)
		}
	}
	units := t.TempDir()
	plan, err := exec.Command("make", "-n", "-C", "../..", "install", "PREFIX=/opt/rivet tools", "UNITS="+units, "DESTDIR=").Output()
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(plan)) {
		if !strings.HasPrefix(line, "sed ") || !strings.Contains(line, "ExecStart") {
			continue
		}
		sed := exec.Command("sh", "-c", line)
		sed.Dir = "../.."
		if out, err := sed.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
	}
	unit, err := os.ReadFile(filepath.Join(units, "bucktail.service"))
	if err != nil {
		t.Fatal(err)
	}
	if want := "\nExecStart=\"/opt/rivet tools/bin/bucktail\" serve\n"; !strings.Contains(string(unit), want) {
		t.Errorf("%q is not in\n%s", want, unit)
	}
}
