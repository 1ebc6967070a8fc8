package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"mime"
	"net/http"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v3"
)

// description is openapi.yaml, ready to hold answers against. Every request that a test of this
// package makes goes through it.
type description struct {
	doc      map[string]any
	compiler *jsonschema.Compiler
	mu       sync.Mutex
	seen     map[string]bool // "GET /api/ping 200": answers that came in tests
}

var described = readDescription()

const docURL = "file:///openapi.json"

func readDescription() *description {
	var v any
	if err := yaml.Unmarshal(openAPI, &v); err != nil {
		panic(err)
	}
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		panic(err)
	}
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020) // what OpenAPI 3.1 schemas are (section 4.8.24)
	c.AssertFormat()
	if err := c.AddResource(docURL, doc); err != nil {
		panic(err)
	}
	return &description{doc: doc.(map[string]any), compiler: c, seen: map[string]bool{}}
}

func (d *description) paths() map[string]any { return d.doc["paths"].(map[string]any) }

var variable = regexp.MustCompile(`\\\{[^}]*\\\}`) // in a quoted path

// find gives the described path that a request's path belongs to.
func (d *description) find(path string) (string, bool) {
	var found string
	for p := range d.paths() {
		re := regexp.MustCompile("^" + variable.ReplaceAllString(regexp.QuoteMeta(p), "[^/]+") + "$")
		// A path without variables goes before one with (section 4.8.8.1).
		if re.MatchString(path) && (found == "" || strings.Contains(found, "{") && !strings.Contains(p, "{")) {
			found = p
		}
	}
	return found, found != ""
}

// check holds an answer of a described operation against its description.
func (d *description) check(t *testing.T, req *http.Request, a answer) {
	t.Helper()
	path, ok := d.find(req.URL.Path)
	if !ok {
		return
	}
	method := strings.ToLower(req.Method)
	if method == "head" {
		method = "get"
	}
	op, ok := d.paths()[path].(map[string]any)[method].(map[string]any)
	if !ok {
		if a.StatusCode < 400 {
			t.Errorf("%s %s answers %d and is not described", req.Method, path, a.StatusCode)
		}
		return
	}
	responses := op["responses"].(map[string]any)
	status := fmt.Sprint(a.StatusCode)
	pointer := docURL + "#/paths/" + escape(path) + "/" + method + "/responses/" + status
	r, ok := responses[status]
	if !ok {
		if a.StatusCode < 400 {
			t.Errorf("%s %s: answer %s is not described", req.Method, path, status)
			return
		}
		if r, ok = responses["default"]; !ok { // 421 and the like, of any operation
			r = map[string]any{"$ref": "#/components/responses/Problem"}
		}
		pointer = docURL + "#/paths/" + escape(path) + "/" + method + "/responses/default"
	}
	if ref, ok := r.(map[string]any)["$ref"].(string); ok {
		pointer = docURL + ref
		r = d.doc["components"].(map[string]any)["responses"].(map[string]any)[ref[strings.LastIndex(ref, "/")+1:]]
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.seen[strings.ToUpper(method)+" "+path+" "+status] = true
	contents, _ := r.(map[string]any)["content"].(map[string]any)
	if len(a.body) == 0 || req.Method == http.MethodHead {
		return
	}
	media, _, _ := mime.ParseMediaType(a.Header.Get("Content-Type"))
	content, ok := contents[media].(map[string]any)
	if !ok {
		t.Errorf("%s %s: %s is sent as %q, which is not described", req.Method, path, status, media)
		return
	}
	if _, ok := content["schema"]; !ok || !strings.HasSuffix(media, "json") {
		return
	}
	schema, err := d.compiler.Compile(pointer + "/content/" + escape(media) + "/schema")
	if err != nil {
		t.Errorf("%s %s: %v", req.Method, path, err)
		return
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(a.body))
	if err == nil {
		err = schema.Validate(v)
	}
	if err != nil {
		t.Errorf("%s %s %s: %v\n%.500s", req.Method, path, status, err, a.body)
	}
}

// escape writes a path into a JSON pointer in a URL fragment (RFC 6901, section 6).
func escape(s string) string {
	return strings.NewReplacer("~", "~0", "/", "~1", "{", "%7B", "}", "%7D").Replace(s)
}

// The table of routes and the description name the same operations, with the same access.
func TestRoutesAreDescribed(t *testing.T) {
	w := newWorkshop(t)
	have := map[string]bool{} // described operations that were found
	for _, rt := range w.api.routes() {
		path, ok := described.find(pathOf(rt.path))
		if !ok {
			t.Errorf("%s %s is not described", rt.method, rt.path)
			continue
		}
		op, ok := described.paths()[path].(map[string]any)[strings.ToLower(rt.method)].(map[string]any)
		if !ok {
			t.Errorf("%s %s is not described", rt.method, path)
			continue
		}
		have[rt.method+" "+path] = true
		security, own := op["security"].([]any)
		if open := own && len(security) == 0; open != (rt.need == anyone) {
			t.Errorf("%s %s: open to strangers %v in the description", rt.method, path, open)
		}
		if summary := op["summary"].(string); rt.need == builder && !strings.Contains(summary, "(builder)") {
			t.Errorf("%s %s: the summary does not say that it is a builder's: %s", rt.method, path, summary)
		}
	}
	methods := []string{"get", "put", "post", "patch", "delete", "head"}
	for path, ops := range described.paths() {
		for method := range ops.(map[string]any) {
			if m := strings.ToUpper(method); slices.Contains(methods, method) && !have[m+" "+path] {
				t.Errorf("%s %s is described and not there", m, path)
			}
		}
	}
}

// The description is held against the schema that the OpenAPI Initiative publishes for 3.1.
func TestDescriptionIsOpenAPI(t *testing.T) {
	f, err := os.Open("testdata/openapi-3.1-schema-2022-10-07.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	meta, err := jsonschema.UnmarshalJSON(f)
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("https://spec.openapis.org/oas/3.1/schema/2022-10-07", meta); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("https://spec.openapis.org/oas/3.1/schema/2022-10-07")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(any(described.doc)); err != nil {
		t.Error(err)
	}
	bad := map[string]any{"openapi": "3.1.0", "info": map[string]any{"title": "x"}}
	if s.Validate(any(bad)) == nil {
		t.Error("the schema takes a description without a version")
	}
}

// All schemas compile, also those that no answer in a test reaches.
func TestSchemasCompile(t *testing.T) {
	for name := range described.doc["components"].(map[string]any)["schemas"].(map[string]any) {
		if _, err := described.compiler.Compile(docURL + "#/components/schemas/" + name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}
