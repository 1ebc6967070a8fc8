// Package pwa holds the built web app. `make run` builds it into dist; a fresh clone has only a
// placeholder there, so that the program can be compiled without it.
package pwa

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var dist embed.FS

// Files gives the app's files with index.html at the top, or nil if it was not built.
func Files() fs.FS {
	files, err := fs.Sub(dist, "dist")
	if err != nil {
		panic("the embedded folder has another name: " + err.Error())
	}
	if _, err := fs.Stat(files, "index.html"); err != nil {
		return nil
	}
	return files
}
