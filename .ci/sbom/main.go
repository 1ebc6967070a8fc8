// Command sbom says what a program is made of, as a CycloneDX 1.6 document: the Go modules that
// are linked into it, by its own word, and the app's libraries, by their lock file.
//
//	go run .ci/sbom/main.go -version 1.2 build/bucktail pwa/package-lock.json
package main

import (
	"debug/buildinfo"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"flag"
	"fmt"
	"net/url"
	"os"
	"slices"
	"strings"
)

type component struct {
	Type    string `json:"type"`
	Name    string `json:"name"`
	Version string `json:"version"`
	PURL    string `json:"purl,omitempty"`
	Hashes  []hash `json:"hashes,omitempty"`
}

type hash struct {
	Alg     string `json:"alg"`
	Content string `json:"content"`
}

func main() {
	version := flag.String("version", "", "of the program")
	flag.Parse()
	parts, err := parts(flag.Arg(0), flag.Arg(1))
	if err != nil {
		fmt.Fprintln(os.Stderr, "sbom:", err)
		os.Exit(1)
	}
	e := json.NewEncoder(os.Stdout)
	e.SetIndent("", "  ")
	err = e.Encode(map[string]any{"bomFormat": "CycloneDX", "specVersion": "1.6", "version": 1,
		"metadata":   map[string]any{"component": component{Type: "application", Name: "bucktail", Version: *version}},
		"components": parts})
	if err != nil {
		fmt.Fprintln(os.Stderr, "sbom:", err)
		os.Exit(1)
	}
}

func parts(program, lockFile string) ([]component, error) {
	info, err := buildinfo.ReadFile(program)
	if err != nil {
		return nil, err
	}
	all := []component{{Type: "library", Name: "std", Version: strings.TrimPrefix(info.GoVersion, "go"), PURL: "pkg:golang/std@" + strings.TrimPrefix(info.GoVersion, "go")}}
	for _, m := range info.Deps {
		all = append(all, component{Type: "library", Name: m.Path, Version: m.Version, PURL: "pkg:golang/" + m.Path + "@" + url.PathEscape(m.Version)})
	}
	b, err := os.ReadFile(lockFile)
	if err != nil {
		return nil, err
	}
	var lock struct {
		Packages map[string]struct {
			Version, Integrity string
			Dev                bool
		}
	}
	if err := json.Unmarshal(b, &lock); err != nil {
		return nil, err
	}
	for place, p := range lock.Packages {
		name, ok := strings.CutPrefix(place, "node_modules/")
		if !ok || p.Dev {
			continue
		}
		sum, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(p.Integrity, "sha512-"))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		all = append(all, component{Type: "library", Name: name, Version: p.Version, PURL: "pkg:npm/" + strings.Replace(name, "@", "%40", 1) + "@" + p.Version,
			Hashes: []hash{{"SHA-512", hex.EncodeToString(sum)}}})
	}
	slices.SortFunc(all, func(a, b component) int { return strings.Compare(a.PURL, b.PURL) })
	return all, nil
}
