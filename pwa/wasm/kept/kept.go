// Package kept reads entries back from a phone's disk.
package kept

import (
	"encoding/hex"

	"bucktail/qc/history"
)

// Entry is an entry as the phone keeps it: its canonical bytes as text, and its hash in hex.
type Entry struct {
	Raw  string `json:"raw"`
	Hash string `json:"hash"`
}

// Load adds entries to a state. It gives the hashes of those whose bytes no longer fit.
func Load(s *history.State, in []Entry) (damaged []string) {
	damaged = []string{}
	for _, k := range in {
		var want history.Hash
		if n, err := hex.Decode(want[:], []byte(k.Hash)); err != nil || n != len(want) {
			damaged = append(damaged, k.Hash)
			continue
		}
		e, err := history.ParseKept([]byte(k.Raw), want)
		if err != nil {
			damaged = append(damaged, k.Hash)
			continue
		}
		s.Add(e)
	}
	return damaged
}
