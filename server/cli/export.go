package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"time"

	"bucktail/imaging/outgoing"
	"bucktail/qc"
	"bucktail/qc/history"
	"bucktail/qc/paper"
	"bucktail/qc/report"
	"bucktail/server/workshop"
	"bucktail/store"
)

// exportBundle is the subcommand export.
func exportBundle(c console, args []string) int {
	f := newFlags("export")
	all := f.Bool("all", false, "export all parts of the project")
	project := f.String("project", "", "`PROJECT`, by name or id; needed where the record holds several")
	size := f.String("paper", "", "`PAPER` of the report: a4 or letter (default: as the project is set)")
	units := f.String("units", "", "`UNITS`: mm, in or fractions (default: as the project is set)")
	usage := "export [FLAGS] PART... OUT.zip\n       bucktail export --all [FLAGS] OUT.zip\n\n" +
		"Writes a bundle for the inspector: report, tables, photos without location data, all entries,\n" +
		"and what is needed to check them with bucktail verify. PART is a part's name or id."
	data, status, done := recordFlags(c, f, usage, args, -1)
	if done {
		return status
	}
	if *all != (f.NArg() == 1) { // either all parts, or some that are named
		return misused(c, "export", errors.New("name parts, or give --all; and the bundle's file last"))
	}
	q := outgoing.Ask{Paper: *size, Units: *units}
	if *units != "" && *units != "mm" && *units != "in" && *units != "fractions" {
		fmt.Fprintf(c.err, "bucktail: units %q are not known: write mm, in or fractions\n", *units)
		return 2
	}
	if *size != "" {
		if _, err := paper.ParseSize(*size); err != nil {
			fmt.Fprintln(c.err, "bucktail:", err)
			return 2
		}
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	out := f.Arg(f.NArg() - 1)
	made, err := exportTo(ctx, c, data, out, *project, f.Args()[:f.NArg()-1], q)
	if err != nil {
		return fail(c, err)
	}
	fmt.Fprintf(c.out, "%s: %d entries\n", out, made.entries)
	fmt.Fprintf(c.out, "SHA-256 of its SHA256SUMS, to tell the recipient by another channel:\n%s\n", made.sum)
	for _, w := range made.wrong {
		fmt.Fprintf(c.err, "bucktail: the record is damaged, and the bundle holds what is whole of it: %s\n", w)
	}
	for _, m := range made.missing {
		fmt.Fprintf(c.err, "bucktail: photo %s is not in the bundle, which says so: %s\n", m.Original, m.Why)
	}
	if len(made.wrong) > 0 {
		return 1
	}
	return 0
}

// exported is what a bundle that was written holds, and what it lacks.
type exported struct {
	sum     string // SHA-256 of its SHA256SUMS
	entries int
	wrong   []string // with the record
	missing []report.MissingPhoto
}

// exportTo writes under a temporary name beside the file, so that a bundle is whole or not
// there.
func exportTo(ctx context.Context, c console, data, name, project string, parts []string, q outgoing.Ask) (made exported, err error) {
	if _, err := os.Stat(name); err == nil {
		return made, fmt.Errorf("%q is there already: choose another name, a bundle is never overwritten", name)
	}
	step, wipe := bar(c.err)
	defer wipe()
	s, wrong, err := store.OpenDamaged(ctx, data, filepath.Dir(name), store.Options{}, step)
	if err != nil {
		return made, err
	}
	defer s.Close()
	m, err := workshop.Maker(ctx, s, time.Now(), step)
	if err != nil {
		return made, err
	}
	if q.Project, err = projectNamed(m.State, project); err != nil {
		return made, err
	}
	for _, part := range parts {
		id, err := partNamed(m.State, q.Project, part)
		if err != nil {
			return made, err
		}
		q.Parts = append(q.Parts, id)
	}
	out, err := os.CreateTemp(filepath.Dir(name), filepath.Base(name)+".part-")
	if err != nil {
		return made, fmt.Errorf("export: %w", err)
	}
	defer os.Remove(out.Name()) // gone already when all went well
	defer out.Close()
	sum, err := m.Bundle(ctx, out, q)
	if err != nil {
		return made, err
	}
	if err := errors.Join(out.Sync(), out.Close(), os.Rename(out.Name(), name)); err != nil {
		return made, fmt.Errorf("export: %w", err)
	}
	return exported{sum, len(m.State.Entries()), wrong, m.Missing}, nil
}

// projectNamed finds a project by id or name; "" stays open.
func projectNamed(st *history.State, name string) (string, error) {
	if name == "" {
		return "", nil
	}
	var found []string
	for _, p := range st.Projects() {
		if p.ID == name {
			return p.ID, nil
		}
		if strings.EqualFold(p.Name, name) {
			found = append(found, p.ID)
		}
	}
	return only("project", name, found)
}

// partNamed finds a part by id or name, in one project or in all.
func partNamed(st *history.State, project, name string) (string, error) {
	var found []string
	for _, pr := range st.Projects() {
		if project != "" && pr.ID != project {
			continue
		}
		for _, id := range st.Parts(pr.ID) {
			p, _, _ := st.Part(id)
			if id == name {
				return id, nil
			}
			if strings.EqualFold(p.Name, name) {
				found = append(found, id)
			}
		}
	}
	return only("part", name, found)
}

func only(what, name string, found []string) (string, error) {
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return "", &qc.Refusal{Code: "no-" + what, Text: fmt.Sprintf("there is no %s %q in the record", what, name), Do: "write its name as the app shows it, or its id"}
	}
	return "", &qc.Refusal{Code: "which-" + what, Text: fmt.Sprintf("%d %ss are called %q", len(found), what, name), Do: "name one by its id: " + strings.Join(found, ", ")}
}
