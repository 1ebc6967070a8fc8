package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// engines are what the app runs on: WebAssembly, service workers and IndexedDB are much older,
// but persistent storage came to Safari with 15.2 and private methods are used throughout.
var engines = []api.Engine{{Name: api.EngineSafari, Version: "15.4"}, {Name: api.EngineChrome, Version: "100"}, {Name: api.EngineFirefox, Version: "100"}}

// wasmExec lets scripts import "wasm_exec": Go's own half of the bridge, which must be that of the
// compiler and is never copied into the project.
func wasmExec() (api.Plugin, error) {
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return api.Plugin{}, fmt.Errorf("ask where Go is: %w", err)
	}
	name := filepath.Join(strings.TrimSpace(string(out)), "lib", "wasm", "wasm_exec.js")
	if _, err := os.Stat(name); err != nil {
		return api.Plugin{}, fmt.Errorf("find the compiler's wasm_exec.js: %w", err)
	}
	return api.Plugin{Name: "wasm_exec", Setup: func(b api.PluginBuild) {
		b.OnResolve(api.OnResolveOptions{Filter: `^wasm_exec$`}, func(api.OnResolveArgs) (api.OnResolveResult, error) {
			return api.OnResolveResult{Path: name, SideEffects: api.SideEffectsTrue}, nil
		})
	}}, nil
}

func options(defines map[string]string) (api.BuildOptions, error) {
	exec, err := wasmExec()
	if err != nil {
		return api.BuildOptions{}, err
	}
	return api.BuildOptions{
		Bundle: true, Charset: api.CharsetUTF8, Engines: engines, Define: defines,
		MinifyWhitespace: true, MinifyIdentifiers: true, MinifySyntax: true, LegalComments: api.LegalCommentsNone,
		JSX: api.JSXAutomatic, JSXImportSource: "preact", Plugins: []api.Plugin{exec}, LogLevel: api.LogLevelSilent,
		Loader: map[string]api.Loader{".svg": api.LoaderText},
	}, nil
}

// bundle puts one script into one classic file, which is what workers are everywhere. The answer
// has the file names without folders.
func bundle(entry string, defines map[string]string) (map[string][]byte, error) {
	o, err := options(defines)
	if err != nil {
		return nil, err
	}
	o.EntryPoints, o.Format, o.Outdir = []string{entry}, api.FormatIIFE, "out"
	return run(o)
}

func run(o api.BuildOptions) (map[string][]byte, error) {
	res := api.Build(o)
	if len(res.Errors) > 0 || len(res.Warnings) > 0 {
		text := append(api.FormatMessages(res.Errors, api.FormatMessagesOptions{Kind: api.ErrorMessage}),
			api.FormatMessages(res.Warnings, api.FormatMessagesOptions{Kind: api.WarningMessage})...)
		return nil, errors.New("bundle the scripts:\n" + strings.Join(text, ""))
	}
	out := map[string][]byte{}
	for _, f := range res.OutputFiles {
		out[filepath.Base(f.Path)] = f.Contents
	}
	return out, nil
}

// scripts bundles the page and the worker. Parts of the page that are imported when they are
// needed come out as files of their own.
func (a *app) scripts() error {
	worker, err := bundle("pwa/src/bridge/worker.ts", nil)
	if err != nil {
		return err
	}
	if a.worker, err = a.add("worker.js", worker["worker.js"], true); err != nil {
		return err
	}
	o, err := options(map[string]string{"__WORKER__": fmt.Sprintf("%q", "/"+a.worker), "__MODULE__": fmt.Sprintf("%q", "/"+a.module), "__PAPERS__": fmt.Sprintf("%q", "/"+a.papers)})
	if err != nil {
		return err
	}
	o.EntryPoints, o.Format, o.Outdir, o.Splitting = []string{"pwa/src/main.tsx"}, api.FormatESModule, "out", true
	o.EntryNames, o.ChunkNames, o.AssetNames = "app-[hash]", "part-[name]-[hash]", "[name]-[hash]"
	out, err := run(o)
	if err != nil {
		return err
	}
	for name, b := range out {
		if _, err := a.add(name, b, false); err != nil { // the bundler has put a hash into the name
			return err
		}
		switch {
		case strings.HasPrefix(name, "app-") && strings.HasSuffix(name, ".js"):
			a.script = name
		case strings.HasPrefix(name, "app-") && strings.HasSuffix(name, ".css"):
			a.style = name
		case strings.HasSuffix(name, ".css"):
			return fmt.Errorf("no page loads the style of a part: import it in main.tsx, not where %s comes from", name)
		}
	}
	if a.script == "" || a.style == "" {
		return fmt.Errorf("the bundle lacks its script (%q) or its style (%q)", a.script, a.style)
	}
	return nil
}

// bundleTests makes each unit test a module that Node can run, with the Go side of the app as it was
// built.
func bundleTests(to string) error {
	tests, err := filepath.Glob("pwa/test/unit/*.test.ts")
	if err != nil || len(tests) == 0 {
		return fmt.Errorf("no unit tests in pwa/test/unit")
	}
	if err := os.RemoveAll(to); err != nil {
		return err
	}
	if err := os.MkdirAll(to, 0o755); err != nil {
		return err
	}
	module, err := builtFile("bucktail-*.wasm")
	if err != nil {
		return err
	}
	papers, err := builtFile("papers-*.wasm")
	if err != nil {
		return err
	}
	o, err := options(map[string]string{"__WORKER__": `""`, "__MODULE__": fmt.Sprintf("%q", module), "__PAPERS__": fmt.Sprintf("%q", papers)})
	if err != nil {
		return err
	}
	o.EntryPoints, o.Format, o.Platform, o.Engines = tests, api.FormatESModule, api.PlatformNode, nil
	o.Outdir, o.OutExtension, o.Write = to, map[string]string{".js": ".mjs"}, true
	o.MinifyWhitespace, o.MinifyIdentifiers, o.MinifySyntax = false, false, false
	o.Sourcemap = api.SourceMapInline
	if _, err = run(o); err != nil {
		return err
	}
	return bundleHarness(to)
}

// bundleHarness makes the app without its screens, for the browser tests.
func bundleHarness(to string) error {
	define := map[string]string{}
	for name, pattern := range map[string]string{"__WORKER__": "worker-*.js", "__MODULE__": "bucktail-*.wasm", "__PAPERS__": "papers-*.wasm"} {
		file, err := builtFile(pattern)
		if err != nil {
			return err
		}
		define[name] = fmt.Sprintf("%q", "/"+filepath.Base(file))
	}
	out, err := bundle("pwa/test/harness.ts", define)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(to, "harness.js"), out["harness.js"], 0o644)
}

// builtFile gives the whole path of a file of the app as it was built, by the pattern of its name.
func builtFile(pattern string) (string, error) {
	found, err := filepath.Glob("pwa/dist/" + pattern)
	if err != nil || len(found) != 1 {
		return "", fmt.Errorf("pwa/dist has %d files %s, not one: build the app first", len(found), pattern)
	}
	return filepath.Abs(found[0])
}
