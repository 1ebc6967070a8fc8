package cli

import (
	"path/filepath"
	"strings"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// The code of a sign-off that its inspector kept says whether the bundle still holds what was signed.
func TestVerifySignOffByItsCode(t *testing.T) {
	s, dir := record(t)
	builder, inspector := histtest.NewDevice(5, "Odo S.", history.Builder), histtest.NewDevice(6, "M. Oduya", history.Inspector)
	var all []history.Entry
	put := func(d *histtest.Device, draft history.Draft) history.Entry {
		for _, e := range all {
			d.Saw(e)
		}
		e := d.Put(draft)
		keep(t, s, e)
		all = append(all, e)
		return e
	}
	project := put(builder, history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 3"}}).ID
	spec := histtest.ShopHead()
	part := put(builder, history.Draft{Kind: history.KindPart, Project: project, Data: history.PartData{Name: "Corner gusset", Spec: &spec}}).ID
	ids, digest := history.Covers(part, all)
	data := history.SignOffData{Covers: ids, Digest: digest, Name: "M. Oduya"}
	put(inspector, history.Draft{Kind: history.KindSignOff, Project: project, Part: part, Data: data})
	export := func(name string) string {
		t.Helper()
		out := filepath.Join(t.TempDir(), name)
		if st, _, err := ask("export", "--data", dir, "--project", "Tarn 3", "--all", out); st != 0 && !strings.Contains(err, "photo") {
			t.Fatal(err)
		}
		return out
	}
	whole := export("a.zip")
	code := data.Code()
	if st, out, err := ask("verify", "--sign-off", strings.ToUpper(code), whole); st != 0 || !strings.Contains(out, "it covers exactly what is here") {
		t.Errorf("as it was signed: %d %s %s", st, out, err)
	}
	if st, out, _ := ask("verify", "--sign-off", "2-dead-beef-dead-beef", whole); st != 1 || !strings.Contains(out, "No sign-off in the bundle has the code") {
		t.Errorf("another code: %d %s", st, out)
	}
	put(builder, history.Draft{Kind: history.KindNote, Project: project, Part: part, Data: history.NoteData{Text: "deburred"}})
	if st, out, _ := ask("verify", "--sign-off", code, export("b.zip")); st != 1 || !strings.Contains(out, "it is outdated") {
		t.Errorf("after another entry: %d %s", st, out)
	}
}
