package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"syscall"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"bucktail/imaging/annotate"
	"bucktail/imaging/answer"
	"bucktail/imaging/measure"
	"bucktail/imaging/photo"
	"bucktail/qc"
)

// measurePhotos is the subcommand measure.
func measurePhotos(c console, args []string) int {
	job, err := parseMeasure(args, c.out)
	if errors.Is(err, flag.ErrHelp) {
		return 0
	}
	if err != nil {
		return misused(c, "measure", err)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// After the first Ctrl-C the second one ends the program as usual.
	context.AfterFunc(ctx, stop)
	if job.together {
		return job.runTogether(ctx, c)
	}
	return job.run(ctx, c)
}

// measured is what came of one photo.
type measured struct {
	doc   *answer.Document
	saved string // the annotated picture; "" where none was written
	// unsaved tells why no annotated picture was written though one was asked for.
	unsaved error
	usage   error // about the options: no photo can be measured with them
	skipped bool  // not begun before the user stopped it
}

// atOnce is how many photos are measured at the same time. One of 12 megapixels takes up to
// 400 MB while it is measured, so that two fit a small laptop.
func atOnce() int { return min(2, runtime.GOMAXPROCS(0)) }

// run measures all photos and prints each as soon as those before it are printed.
func (job *measureJob) run(ctx context.Context, c console) int {
	results := make([]chan measured, len(job.photos))
	for i := range results {
		results[i] = make(chan measured, 1)
	}
	go func() {
		room := make(chan struct{}, atOnce())
		for i := range job.photos {
			room <- struct{}{}
			if ctx.Err() != nil {
				results[i] <- measured{skipped: true}
				<-room
				continue
			}
			go func() {
				results[i] <- job.one(c.in, i)
				<-room
			}()
		}
	}()
	bar := progress(c.err, len(job.photos))
	table := newTable(c.out, job)
	status, done := 0, 0
	for i, name := range job.photos {
		m := <-results[i]
		switch {
		case m.skipped:
			_ = bar.Clear()
			fmt.Fprintf(c.err, "bucktail: stopped: %d of %d photos measured, from %s on not\n", done, len(job.photos), name)
			return 1
		case m.usage != nil:
			_ = bar.Clear()
			fmt.Fprintf(c.err, "bucktail: %v\n", m.usage)
			return 2
		}
		done++
		_ = bar.Clear()
		if err := job.print(c, table, name, m); err != nil {
			fmt.Fprintf(c.err, "bucktail: writing the result: %v\n", err)
			return 1
		}
		if !m.doc.Measured() || m.doc.SizeDoubted() || m.unsaved != nil {
			status = 1
		}
		_ = bar.Add(1)
	}
	_ = bar.Clear()
	if !job.json && !job.short {
		table.end()
	}
	return status
}

// print writes one photo's answer: the document or its table to out, what failed to err.
func (job *measureJob) print(c console, table *table, name string, m measured) error {
	var err error
	switch {
	case job.json:
		err = printJSON(c.out, m.doc)
	case job.short && len(m.doc.Locations) > 0:
		err = table.short(m.doc)
	default:
		err = table.photo(m.doc, m.saved)
	}
	for _, line := range unmeasured(m.doc) {
		if job.json || len(m.doc.Locations) == 0 { // else the table says it
			fmt.Fprintf(c.err, "bucktail: %s: %s\n", name, line)
		}
	}
	if m.unsaved != nil {
		fmt.Fprintf(c.err, "bucktail: %s: no annotated photo: %v\n", name, m.unsaved)
	}
	return err
}

// unmeasured tells what could not be measured, a line each.
func unmeasured(doc *answer.Document) []string {
	var out []string
	for i := range doc.Problems {
		out = append(out, doc.Problems[i].Error())
	}
	for i, l := range doc.Locations {
		if l.Ask != nil {
			out = append(out, fmt.Sprintf("%d not measured: %v", i+1, l.Ask))
		}
	}
	return out
}

// one measures a photo and writes its annotated copy where that is wanted.
func (job *measureJob) one(in io.Reader, i int) measured {
	name := job.photos[i]
	opt := job.options
	opt.Photo = name
	data, refusal := readPhoto(in, name)
	if refusal != nil {
		return measured{unsaved: job.unsaved("the photo could not be read"), doc: &answer.Document{Photo: name, Method: measure.Method,
			Spec: opt.Spec, Locations: []answer.Location{}, Warnings: []measure.Note{}, Problems: []qc.Refusal{*refusal}}}
	}
	doc, err := answer.Measure(data, opt)
	if err != nil {
		return measured{usage: err}
	}
	m := measured{doc: doc}
	switch {
	case job.annotate == nil:
	case doc.Scale == nil:
		m.unsaved = job.unsaved("without a scale there is nothing to draw")
	default:
		if m.unsaved = writeAnnotated(job.annotate[i], data, doc, annotate.Options{Units: job.units}); m.unsaved == nil {
			m.saved = job.annotate[i]
		}
	}
	return m
}

func (job *measureJob) unsaved(why string) error {
	if job.annotate == nil {
		return nil
	}
	return errors.New(why)
}

// readPhoto reads a file no larger than a photo may be, or what is piped in; a refusal tells why
// not.
func readPhoto(in io.Reader, name string) ([]byte, *qc.Refusal) {
	fail := func(code, text, do string) ([]byte, *qc.Refusal) {
		return nil, &qc.Refusal{Code: code, Text: text, Do: do}
	}
	if name == standardInput {
		b, err := io.ReadAll(io.LimitReader(in, photo.MaxBytes+1))
		if err != nil {
			return fail("unreadable", "standard input: "+err.Error(), "check what is piped in")
		}
		return b, nil
	}
	f, err := os.Open(name)
	if errors.Is(err, os.ErrNotExist) {
		return fail("no-file", "there is no such file", "check the name")
	}
	if err != nil {
		return fail("unreadable", err.Error(), "check the file and who may read it")
	}
	defer f.Close()
	info, err := f.Stat()
	switch {
	case err != nil:
		return fail("unreadable", err.Error(), "check the file")
	case info.IsDir():
		return fail("no-file", "this is a folder", "name the photos in it")
	case info.Size() > photo.MaxBytes:
		return fail("photo-too-many-bytes", fmt.Sprintf("%q has %d MiB, more than the %d MiB that can be read", name, info.Size()>>20, photo.MaxBytes>>20),
			"save the photo as a JPEG of at most 50 megapixels, without an attached video")
	}
	// One byte more than allowed shows a file that grew, or a pipe, and the decoder refuses it.
	var buf bytes.Buffer
	if _, err := io.Copy(&buf, io.LimitReader(f, photo.MaxBytes+1)); err != nil {
		return fail("unreadable", err.Error(), "check the file")
	}
	return buf.Bytes(), nil
}

// printJSON writes a document on one line.
func printJSON(w io.Writer, doc *answer.Document) error {
	var line bytes.Buffer
	e := json.NewEncoder(&line)
	e.SetEscapeHTML(false)
	if err := e.Encode(doc); err != nil {
		return err
	}
	_, err := w.Write(line.Bytes())
	return err
}

// progress shows how far it is, on a terminal and for several photos alone.
func progress(w io.Writer, n int) *progressbar.ProgressBar {
	f, ok := w.(*os.File)
	if n < 2 || !ok || !term.IsTerminal(int(f.Fd())) {
		return progressbar.DefaultSilent(int64(n))
	}
	return progressbar.NewOptions(n, progressbar.OptionSetWriter(f), progressbar.OptionShowCount(),
		progressbar.OptionSetDescription("measuring"), progressbar.OptionSetPredictTime(true),
		progressbar.OptionSetRenderBlankState(true), progressbar.OptionClearOnFinish())
}
