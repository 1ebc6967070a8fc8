package report

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"bucktail/qc/history"
)

// ofBundle tells whether a bundle may hold a file of that name.
func ofBundle(name string) bool {
	return photoName(name) != "" || slices.Contains(fileNames, name)
}

// photoName gives the SHA-256 of the original in a photo's name; empty where it is none.
func photoName(name string) string {
	h, ok := strings.CutPrefix(name, photoFolder)
	for _, end := range []string{".jpg", ".png"} {
		if t, cut := strings.CutSuffix(h, end); ok && cut && history.IsPhotoHash(t) {
			return t
		}
	}
	return ""
}

// what names a file for people.
func what(name string) string {
	if h, ok := strings.CutPrefix(name, photoFolder); ok {
		return "photo " + quoted(h)
	}
	return quoted(name)
}

// quoted keeps a strange name from playing tricks on a terminal.
func quoted(name string) string {
	for _, r := range name {
		if r < ' ' || r > '~' {
			return fmt.Sprintf("%q", short(name))
		}
	}
	if strings.Contains(name, "..") || strings.HasPrefix(name, "/") || strings.Contains(name, `\`) || len(name) > 120 {
		return fmt.Sprintf("%q", short(name))
	}
	return name
}

func short(s string) string {
	if len(s) > 120 {
		s = strings.ToValidUTF8(s[:117], "") + "…"
	}
	return strings.ToValidUTF8(s, string(utf8.RuneError))
}
