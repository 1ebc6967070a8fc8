package cli

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
	"bucktail/server/api"
	"bucktail/server/workshop"
	"bucktail/store"
)

// gusset is a record with one finding on a photo; the photo is in the store.
func gusset(t *testing.T, shot []byte) (s *store.Store, dir, part string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "data")
	s, err := store.Open(dir, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	me := histtest.NewDevice(1, "Ines K.", history.Builder)
	put := func(at histtest.Place, k history.Kind, data any) history.Entry {
		t.Helper()
		e := me.Put(at.Draft(k, data))
		keep(t, s, e)
		return e
	}
	hash := histtest.PhotoHash(shot)
	if _, _, err := s.PutPhoto(context.Background(), bytes.NewReader(shot), hash, int64(len(shot))); err != nil {
		t.Fatal(err)
	}
	at := histtest.Place{Project: put(histtest.Place{}, history.KindProject, history.ProjectData{Name: "Tarn 2", Builder: "Ines K."}).ID}
	spec := histtest.ShopHead()
	part = put(at, history.KindPart, history.PartData{Name: "Corner gusset, left", Drawing: "BH-112", Spec: &spec}).ID
	at.Part = part
	put(at, history.KindLayout, history.LayoutData{Photo: hash, WidthPx: 100, HeightPx: 100})
	at.Location = put(at, history.KindLocation, history.LocationData{Tag: "R8", Pin: &history.Pin{X: 0.5, Y: 0.5}}).ID
	sh := put(at, history.KindShot, histtest.Shot(shot, "", at.Location))
	put(at, history.KindFinding, histtest.HeadFinding(sh.ID, hash, 6.1, 10.1))
	return s, dir, part
}

func corners(t *testing.T) []byte {
	t.Helper()
	b, err := os.ReadFile("../../testdata/exif/corners_6.jpg")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestExportAndVerify(t *testing.T) {
	_, dir, part := gusset(t, corners(t)) // stays open, as in a running server
	out := t.TempDir()
	for _, args := range [][]string{{"Corner gusset, left"}, {part}, {part, "Corner gusset, left"}, {"--all"}, {"--all", "--paper", "letter", "--units", "fractions"}} {
		name := filepath.Join(out, histtest.PhotoHash([]byte(strings.Join(args, " ")))[:8]+".zip")
		st, said, errs := ask(append(append([]string{"export", "--data", dir}, args...), name)...)
		if st != 0 || errs != "" || !strings.Contains(said, "6 entries") {
			t.Fatalf("export %q: %d %s %s", args, st, said, errs)
		}
		sum := strings.Fields(said)[len(strings.Fields(said))-1]
		st, said, errs = ask("verify", name)
		if st != 0 || !strings.Contains(said, "The bundle is whole") || !strings.Contains(said, sum) || errs != "" {
			t.Fatalf("verify %q: %d %s %s", args, st, said, errs)
		}
		if st, _, errs := ask("export", "--data", dir, "--all", name); st != 1 || !strings.Contains(errs, "never overwritten") {
			t.Errorf("export over a bundle: %d %s", st, errs)
		}
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		i := bytes.Index(b, []byte(`"value_mm":6.1}`))
		b[i+13] = '9'
		if err := os.WriteFile(name+"x", b, 0o600); err != nil {
			t.Fatal(err)
		}
		if st, said, _ := ask("verify", name+"x"); st != 1 || !strings.Contains(said, "finding at R8 by Ines K.") || !strings.Contains(said, "not as it was exported") {
			t.Errorf("a reading was changed: %d %s", st, said)
		}
		if st, said, _ := ask("verify", "--json", name+"x"); st != 1 || !strings.Contains(said, `"change": "changed"`) {
			t.Errorf("as JSON: %d %s", st, said)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(out, "*.part-*")); len(left) != 0 {
		t.Errorf("left over: %v", left)
	}
}

func TestExportSaysWhatIsWrong(t *testing.T) {
	_, dir, _ := gusset(t, corners(t))
	out := filepath.Join(t.TempDir(), "out.zip")
	for want, args := range map[string][]string{
		"there is no part":          {"export", "--data", dir, "Hatch lid", out},
		"there is no project":       {"export", "--data", dir, "--all", "--project", "Other", out},
		"bucktail help export":      {"export", "--data", dir, out},
		"name parts, or give --all": {"export", "--data", dir, "--all", "Corner gusset, left", out},
		"write a4 or letter":        {"export", "--data", dir, "--all", "--paper", "a3", out},
		"write mm, in":              {"export", "--data", dir, "--all", "--units", "cm", out},
		"there is no file":          {"verify", out},
		"is a folder":               {"verify", dir},
		"no zip file":               {"verify", "export_test.go"},
		"bucktail help verify":      {"verify"},
		"bucktail help card":        {"card"},
		"paper \"a5\" is not know":  {"card", "--paper", "a5", out},
	} {
		if st, said, errs := ask(args...); st == 0 || !strings.Contains(errs, want) || said != "" {
			t.Errorf("%q: %d %s%s, not %q", args, st, said, errs, want)
		}
		if _, err := os.Stat(out); err == nil {
			t.Fatalf("%q left a file", args)
		}
	}
}

// TestExportNamesMissingPhotos: a photo still on the phone or damaged does not stop the
// export; the bundle says so.
func TestExportNamesMissingPhotos(t *testing.T) {
	s, dir, _ := gusset(t, []byte("\xff\xd8\xff no picture in it"))
	name := filepath.Join(t.TempDir(), "out.zip")
	if st, _, errs := ask("export", "--data", dir, "--all", name); st != 0 {
		t.Fatal(errs)
	}
	if st, said, _ := ask("verify", name); st != 0 || !strings.Contains(said, "1 photo was not there") {
		t.Errorf("verify: %d %s", st, said)
	}
	// Whatever is wrong with it, the reason is said in full.
	files, err := filepath.Glob(filepath.Join(dir, "photos", "??", "??", "*"))
	for _, f := range files {
		err = errors.Join(err, os.Remove(f))
	}
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	name = filepath.Join(t.TempDir(), "gone.zip")
	if st, _, errs := ask("export", "--data", dir, "--all", name); st != 0 || !strings.Contains(errs, "the file is gone") {
		t.Errorf("export: %d %s", st, errs)
	}
	if st, said, _ := ask("verify", name); st != 0 || !strings.Contains(said, "the file is gone") {
		t.Errorf("verify: %d %s", st, said)
	}
	_ = s
}

func TestCardPage(t *testing.T) {
	for _, size := range []string{"a4", "letter"} {
		name := filepath.Join(t.TempDir(), "card.pdf")
		if st, said, errs := ask("card", "--paper", size, "--sheet", "3", name); st != 0 || errs != "" || !strings.Contains(said, "print at 100 %") {
			t.Fatalf("%d %s %s", st, said, errs)
		}
		if b, err := os.ReadFile(name); err != nil || !bytes.HasPrefix(b, []byte("%PDF-")) {
			t.Errorf("no PDF: %v", err)
		}
	}
}

// TestAppExports makes everything that the app offers.
func TestAppExports(t *testing.T) {
	s, _, part := gusset(t, corners(t))
	want := map[string]string{"report.pdf": "%PDF-", "form.pdf": "%PDF-", "bench.pdf": "%PDF-", "cards.pdf": "%PDF-", "readings.csv": "project,part,", "record.json": "{\n", "bundle.zip": "PK\x03\x04"}
	all := workshop.Exports(s, time.Now)
	if len(all) != len(want) {
		t.Errorf("%d exports", len(all))
	}
	for _, e := range all {
		for _, q := range []api.ExportQuery{{}, {Parts: []string{part}, Paper: "letter", Units: "fractions"}} {
			var b bytes.Buffer
			if err := e.Write(context.Background(), &b, q); err != nil || !strings.HasPrefix(b.String(), want[e.Name]) {
				t.Errorf("%s: %v, begins with %.8q", e.Name, err, b.String())
			}
		}
		var b bytes.Buffer
		if err := e.Write(context.Background(), &b, api.ExportQuery{Parts: []string{"none"}}); e.Name != "cards.pdf" && (err == nil || b.Len() > 0) {
			t.Errorf("%s of an unknown part: %v, %d bytes", e.Name, err, b.Len())
		}
	}
}

// TestNoLocationLeavesTheHouse writes a position into a photo with exiftool, exports, and
// looks for it with exiftool and in the bytes; and lets sha256sum check the bundle.
func TestNoLocationLeavesTheHouse(t *testing.T) {
	if os.Getenv("BUCKTAIL_TOOLS") != "1" {
		t.Skip("set BUCKTAIL_TOOLS=1 to check with outside programs")
	}
	run := func(dir, name string, args ...string) string {
		t.Helper()
		cmd := exec.Command(name, args...)
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%s %q: %v\n%s", name, args, err, out)
		}
		return string(out)
	}
	tmp := t.TempDir()
	shot := filepath.Join(tmp, "shot.jpg")
	if err := os.WriteFile(shot, corners(t), 0o600); err != nil {
		t.Fatal(err)
	}
	run(tmp, "exiftool", "-q", "-overwrite_original", "-GPSLatitude=47.1234", "-GPSLatitudeRef=N", "-GPSLongitude=9.5", "-GPSLongitudeRef=E",
		"-XMP:GPSLatitude=47.1234", "-XMP:City=Nowhereville", "-IPTC:City=Nowhereville", "-Comment=Nowhereville", "-OwnerName=Nowhereville", shot)
	if out := run(tmp, "exiftool", "-a", "-G1", shot); !strings.Contains(out, "GPS Latitude") || !strings.Contains(out, "Nowhereville") {
		t.Fatalf("the position was not written:\n%s", out)
	}
	data, err := os.ReadFile(shot)
	if err != nil {
		t.Fatal(err)
	}
	_, dir, _ := gusset(t, data)
	name := filepath.Join(tmp, "out.zip")
	if st, _, errs := ask("export", "--data", dir, "--all", name); st != 0 {
		t.Fatal(errs)
	}
	z, err := zip.OpenReader(name)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	photos := 0
	into := filepath.Join(tmp, "unpacked")
	if err := os.MkdirAll(filepath.Join(into, "photos"), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		to := filepath.Join(into, filepath.FromSlash(f.Name))
		if err := os.WriteFile(to, b, 0o600); err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(b, []byte("Nowhereville")) {
			t.Errorf("%s tells the place", f.Name)
		}
		if strings.HasPrefix(f.Name, "photos/") {
			photos++
			if out := run(tmp, "exiftool", "-a", "-G1", to); strings.Contains(out, "GPS") || strings.Contains(out, "XMP") || !strings.Contains(out, "Orientation") {
				t.Errorf("%s:\n%s", f.Name, out)
			}
			if f.Name != "photos/"+histtest.PhotoHash(data)+".jpg" {
				t.Errorf("%s is not named by its original", f.Name)
			}
		}
	}
	if photos != 1 {
		t.Errorf("%d photos", photos)
	}
	if out := run(into, "sha256sum", "-c", "SHA256SUMS"); strings.Count(out, ": OK") != len(z.File)-1 {
		t.Errorf("sha256sum: %s", out)
	}
	// The pictures inside the report carry none either.
	run(tmp, "pdfimages", "-all", filepath.Join(into, "report.pdf"), filepath.Join(tmp, "inside"))
	inside, _ := filepath.Glob(filepath.Join(tmp, "inside*"))
	if len(inside) == 0 {
		t.Error("no picture in the report")
	}
	for _, f := range inside {
		if out := run(tmp, "exiftool", "-a", "-G1", f); strings.Contains(out, "GPS") {
			t.Errorf("%s in the report:\n%s", f, out)
		}
	}
}
