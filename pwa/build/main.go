// Command build makes the web app in pwa/dist: the Go bridge as WebAssembly, the scripts and
// styles in one file each, the service worker with its list of files, and packed copies of
// all that gains by it. Run it from the top of the repository:
//
//	go run ./pwa/build
//
// It fetches the app's few libraries where they are missing, prints what each file costs to
// download and fails where that is over the budget.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
)

func main() {
	out := flag.String("o", "pwa/dist", "folder for the app")
	unit := flag.String("unit", "", "bundle the unit tests into this folder instead, for node --test")
	quick := flag.Bool("quick", false, "pack fast and not well; sizes are then neither told nor held to the budget")
	sizes := flag.Bool("sizes", false, "with -quick: tell and hold sizes all the same, to what such packing may come to")
	flag.Parse()
	var err error
	switch {
	case flag.NArg() > 0:
		err = fmt.Errorf("unexpected argument %q", flag.Arg(0))
	case missing("go.mod") || missing("pwa/src/main.tsx"):
		err = fmt.Errorf("this is not the top of the repository: there is no go.mod beside pwa/src")
	case *unit != "":
		err = bundleTests(*unit)
	default:
		err = build(*out, *quick, *sizes || !*quick)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "build:", err)
		os.Exit(1)
	}
}

func missing(name string) bool {
	_, err := os.Stat(filepath.FromSlash(name))
	return err != nil
}

// build makes everything in another folder and then takes its place, so that a failed build
// leaves the old app as it was.
func build(out string, quick, sizes bool) error {
	if err := libraries("pwa", os.Stdout); err != nil {
		return err
	}
	if err := os.MkdirAll("build", 0o755); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("build", "app-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if err := os.Chmod(dir, 0o755); err != nil {
		return err
	}
	a := app{dir: dir, quick: quick}
	for _, step := range []func() error{a.modules, a.scripts, a.publicFiles, a.sampleRecord, a.page, a.serviceWorker, a.pack} {
		if err := step(); err != nil {
			return err
		}
	}
	// The placeholder keeps the folder in a fresh clone.
	if b, err := os.ReadFile(filepath.Join(out, "placeholder")); err == nil {
		if err := os.WriteFile(filepath.Join(a.dir, "placeholder"), b, 0o644); err != nil {
			return err
		}
	}
	if err := os.RemoveAll(out); err != nil {
		return err
	}
	if err := os.Rename(a.dir, out); err != nil {
		return err
	}
	if !sizes {
		return nil
	}
	return a.report(os.Stdout)
}
