// Package licences holds the licences of what this program is made of: its own, the libraries'
// that are linked into it, and those of the app's libraries. Start with [Text].
package licences

import _ "embed"

// Text is all of them, each after the names of what it covers. licences_test.go writes it and
// holds it against what the program is made of.
//
//go:embed licences.txt
var Text string
