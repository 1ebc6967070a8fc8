package cli

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// The same files make the same archive, whenever they are packed.
func TestAnArchiveMadeTwiceIsTheSame(t *testing.T) {
	for _, name := range []string{"bash", "python3", "touch"} {
		if _, err := exec.LookPath(name); err != nil {
			t.Skip(err)
		}
	}
	var archives [2][]byte
	for i := range archives {
		dir := t.TempDir()
		folder, out := filepath.Join(dir, "bucktail-1.2.0"), filepath.Join(dir, "out.zip")
		if err := os.Mkdir(folder, 0o755); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"bucktail.exe", "LICENSE"} {
			file := filepath.Join(folder, name)
			if err := os.WriteFile(file, []byte(name), 0o644); err != nil {
				t.Fatal(err)
			}
			built := time.Date(2026, 11, 13+i, 9, 0, 0, 0, time.UTC)
			if err := os.Chtimes(file, built, built); err != nil {
				t.Fatal(err)
			}
		}
		zip := exec.Command("bash", "../../.ci/zip", folder, out)
		zip.Env = append(zip.Environ(), "SOURCE_DATE_EPOCH=1790000000", "TZ="+[]string{"UTC", "Asia/Tokyo"}[i])
		if said, err := zip.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, said)
		}
		var err error
		if archives[i], err = os.ReadFile(out); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(archives[0], archives[1]) {
		t.Error("packed another day, in another time zone, the archive is another")
	}
}

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
