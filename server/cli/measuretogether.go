package cli

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"bucktail/imaging/annotate"
	"bucktail/imaging/answer"
)

// runTogether measures all photos as views of one place and prints one answer. Photos are measured one
// after the other, as two at once would take twice the memory.
func (job *measureJob) runTogether(ctx context.Context, c console) int {
	names := shortNames(job.photos)
	var files [][]byte
	for i, name := range job.photos {
		data, refusal := readPhoto(c.in, name)
		if refusal != nil {
			fmt.Fprintf(c.err, "bucktail: %s: %v\n", names[i], refusal)
			return 1
		}
		files = append(files, data)
	}
	bar := progress(c.err, len(job.photos))
	doc, err := answer.Together(files, names, job.options, func(int, *answer.Document) error {
		_ = bar.Add(1)
		return ctx.Err()
	})
	_ = bar.Clear()
	switch {
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(c.err, "bucktail: stopped: nothing was measured")
		return 1
	case err != nil:
		fmt.Fprintf(c.err, "bucktail: %v\n", err)
		return 2
	}
	status := 0
	if !doc.Measured() {
		status = 1
	}
	saved, unsaved := job.annotateTogether(files, doc)
	if job.json {
		err = printJSON(c.out, doc)
	} else {
		t := newTable(c.out, job)
		if err = t.photo(doc, saved); err == nil {
			t.end()
		}
	}
	if err != nil {
		fmt.Fprintf(c.err, "bucktail: writing the result: %v\n", err)
		return 1
	}
	if job.json {
		for _, line := range unmeasured(doc) {
			fmt.Fprintf(c.err, "bucktail: %s\n", line)
		}
	}
	for _, err := range unsaved {
		fmt.Fprintf(c.err, "bucktail: %v\n", err)
		status = 1
	}
	return status
}

// annotateTogether draws the answer on each photo that has a part in it, and tells what was not drawn.
func (job *measureJob) annotateTogether(files [][]byte, doc *answer.Document) (saved string, unsaved []error) {
	if job.annotate == nil {
		return "", nil
	}
	for i := range files {
		var err error
		if i >= len(doc.Photos) {
			break
		}
		if in := doc.In(i); in == nil {
			err = errors.New("it has no part in the answer")
		} else {
			err = writeAnnotated(job.annotate[i], files[i], in, annotate.Options{Units: job.units})
		}
		switch {
		case err != nil:
			unsaved = append(unsaved, fmt.Errorf("%s: no annotated photo: %w", doc.Photos[i].Name, err))
		case saved == "":
			saved = job.annotate[i]
		default:
			saved += ", " + job.annotate[i]
		}
	}
	return saved, unsaved
}

// shortNames gives the photos' base names, or the names as given where two are alike.
func shortNames(photos []string) []string {
	var names []string
	for _, p := range photos {
		names = append(names, filepath.Base(p))
	}
	sorted := slices.Sorted(slices.Values(names))
	if len(slices.Compact(sorted)) < len(names) {
		return photos
	}
	return names
}
