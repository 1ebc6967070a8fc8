package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// term is a constant of the vocabulary.
type term struct{ name, value string }

// terms gives the constants of a type, as the package in a folder declares them: the list that
// nobody can forget to lengthen.
func terms(t *testing.T, folder, typeName string) []term {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", folder, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	var out []term
	for _, path := range files {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			v, ok := n.(*ast.ValueSpec)
			if !ok || len(v.Names) != len(v.Values) {
				return true
			}
			for i, name := range v.Names {
				is, value := v.Type, v.Values[i]
				if c, ok := value.(*ast.CallExpr); ok && len(c.Args) == 1 { // X = Quantity("x")
					is, value = c.Fun, c.Args[0]
				}
				id, ok := is.(*ast.Ident)
				lit, text := value.(*ast.BasicLit)
				if !ok || id.Name != typeName || !text {
					continue
				}
				s, err := strconv.Unquote(lit.Value)
				if err != nil {
					t.Fatal(err)
				}
				out = append(out, term{name.Name, s})
			}
			return true
		})
	}
	if len(out) < 2 {
		t.Fatalf("%s declares %d constants of type %s", folder, len(out), typeName)
	}
	return out
}

// section is what stands in a file between two texts, of which "" is its beginning or its end.
func section(t *testing.T, path, from, to string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", filepath.FromSlash(path)))
	if err != nil {
		t.Fatal(err)
	}
	_, s, ok := strings.Cut(string(b), from)
	end := true
	if to != "" {
		s, _, end = strings.Cut(s, to)
	}
	if !ok || !end {
		t.Fatalf("%s: nothing stands between %q and %q", path, from, to)
	}
	return s
}

// place is where each word of a kind must be known.
type place struct {
	file, from, to string
	exempt         string // "NAME: why" of those that need not stand there, or the file that has them, one a line
}

// missingAt names the words that a place lacks. In Go they may stand by their names, elsewhere
// they stand as the value that files hold.
func missingAt(t *testing.T, p place, words []term) (missing []string) {
	t.Helper()
	s := section(t, p.file, p.from, p.to)
	for _, w := range words {
		spelled := regexp.QuoteMeta(w.value)
		if strings.HasSuffix(p.file, ".go") {
			spelled = `((qc\.)?` + w.name + `|` + spelled + `)`
		}
		found := regexp.MustCompile(`(^|[^\w-])` + spelled + `($|[^\w-])`).MatchString(s)
		_, why, exempt := strings.Cut("\n"+p.exempt, "\n"+w.name+": ")
		why, _, _ = strings.Cut(why, "\n")
		switch {
		case strings.HasSuffix(why, ".go") && !strings.Contains(section(t, why, "package", ""), "qc."+w.name):
			missing = append(missing, w.name+" is not in "+why+" either")
		case found && exempt:
			missing = append(missing, w.name+" is exempt from "+p.file+" and stands there")
		case !found && !exempt:
			missing = append(missing, w.name+" ("+w.value+") is not in "+p.file+" after "+strconv.Quote(p.from))
		}
	}
	return missing
}

const ofTool = "LegDistance: a tool's room is judged by it, no drawing's limit"

// That the app knows it is held by TestTheAppKnowsGosWords; its texts there are asked for by
// TypeScript's compiler.
var quantityPlaces = []place{
	{"qc/quantity.go", "var quantityWords", "\n}\n", ""},
	{"qc/own.go", "func (l OwnLimit) sides()", "\n}\n", ofTool},
	{"qc/report/FORMAT.txt", "What a reading is of stands", "record.json must fit", ""},
	{"pwa/src/screens/place/gaugeable.ts", "const all", "];", "LegDistance: it is entered with the tool, and stands in the finding's note"},
	{"imaging/annotate/list.go", "var quantityWords", "\n}\n", ofTool},
	{"server/cli/measuretable.go", "diameters = []column", "// kindNames", `HeadDMean: the least and the greatest stand there, which limits judge
HoleDMean: the least and the greatest stand there, which limits judge
OutOfRound: it is the difference of two columns; said where a limit judges it
` + ofTool},
	{"imaging/accuracy/report_test.go", "var words", "\n}\n", `OutOfRound: imaging/measure/geometry_test.go
MandrelOff: imaging/measure/geometry_test.go
HeadHeight: imaging/together/views_test.go
LegDistance: an edge distance, moved by a known sheet's thickness`},
}

var kindPlaces = []place{
	{"qc/kind.go", "var Kinds", "}\n", ""},
	{"qc/report/record.schema.json", `"spec": {`, `"nominal_mm": {`, ""},
	{"qc/report/record.schema.json", `"own_limit": {`, `"size": {`, ""},
	{"qc/report/look.go", "var kindWords", "\n}\n", ""},
	{"imaging/annotate/list.go", "var kindWords", "\n}\n", ""},
	{"imaging/measure/measure.go", "var words", "}\n", ""},
	{"imaging/measure/budget.go", "var contourUs", "\n}\n", ""},
	{"imaging/accuracy/truth_test.go", "var kindOf", "}\n", ""},
	{"server/cli/measuretable.go", "var kindNames", "\n}\n", ""},
	{"README.md", "`--what` says what stands there", ". ", ""},
}

// Entries: what each holds and who may write it, and what the app takes it for.
var entryPlaces = []place{
	{"qc/history/kind.go", "var kindRules", "\n}\n", ""},
	{"pwa/src/bridge/types/entrydata.ts", "interface DataOf {", "\n}\n", ""},
}

// layouts gives the names of the card layouts.
func layouts(t *testing.T) (out []term) {
	t.Helper()
	for _, m := range regexp.MustCompile(`"name": "([^"]*)"`).FindAllStringSubmatch(section(t, "imaging/card/layouts.json", `"layouts"`, ""), -1) {
		out = append(out, term{m[1], m[1]})
	}
	if len(out) < 3 {
		t.Fatalf("%d card layouts", len(out))
	}
	return out
}

// Cards: what may be asked for on the command line, by a request and by the app.
var layoutPlaces = []place{
	{"server/measuring/words.go", `"card", "auto"`, "\n", ""},
	{"server/measuring/words.go", `"--card %q is not known`, "\n", ""},
	{"server/api/openapi.yaml", "    Card: {name: card", "}", ""},
	{"pwa/src/bridge/types/measuring.ts", "card?: ", ";", ""},
}

// Whoever adds a quantity, a kind of fastener, a kind of entry or a card is told of each place that
// must know it: report, the bundle's description, app, command line, picture, own limits, how
// accuracy is shown.
func TestEveryWordIsKnownEverywhere(t *testing.T) {
	quantities := terms(t, "qc", "Quantity")
	for _, p := range quantityPlaces {
		for _, m := range missingAt(t, p, quantities) {
			t.Error(m)
		}
	}
	for _, c := range []struct {
		places []place
		words  []term
	}{{kindPlaces, terms(t, "qc", "Kind")}, {entryPlaces, terms(t, "qc/history", "Kind")}, {layoutPlaces, layouts(t)}} {
		for _, p := range c.places {
			for _, m := range missingAt(t, p, c.words) {
				t.Error(m)
			}
		}
	}
	form := section(t, "pwa/src/words/parts.ts", "quantities: {", "}")
	for _, q := range quantities {
		// The form has one line for a head's or a hole's diameters.
		whole := regexp.MustCompile("_(mean|max|min)$").ReplaceAllString(q.value, "")
		if q.name != "LegDistance" && !strings.Contains(form, whole+": ") { // see ofTool
			t.Errorf("%s (%s) is not in the form for own limits: pwa/src/words/parts.ts", q.name, whole)
		}
	}
}

// What the app takes for one of few words is what Go writes, no more and no less.
func TestTheAppKnowsGosWords(t *testing.T) {
	for _, c := range []struct {
		types       []string // of vocabulary.ts, together
		folder, are string
	}{
		{[]string{"Verdict", "Whole"}, "qc", "Verdict"},
		{[]string{"Kind"}, "qc", "Kind"},
		{[]string{"Quantity"}, "qc", "Quantity"},
		{[]string{"How"}, "qc", "How"},
		{[]string{"Stage"}, "qc", "Stage"},
		{[]string{"Prep"}, "qc", "Prep"},
		{[]string{"Disposition"}, "qc", "Disposition"},
		{[]string{"Seen"}, "qc", "Seen"},
		{[]string{"Role"}, "qc/history", "Role"},
		{[]string{"WorkKind"}, "qc/history", "WorkKind"},
		{[]string{"Next"}, "qc/standing", "Next"},
		{[]string{"Origin"}, "qc/standing", "Origin"},
	} {
		var app, goes []string
		for _, name := range c.types {
			for _, m := range regexp.MustCompile(`"([^"]*)"`).FindAllStringSubmatch(section(t, "pwa/src/bridge/types/vocabulary.ts", "export type "+name+" =", ";"), -1) {
				app = append(app, m[1])
			}
		}
		for _, w := range terms(t, c.folder, c.are) {
			goes = append(goes, w.value)
		}
		slices.Sort(app)
		slices.Sort(goes)
		if !slices.Equal(app, goes) {
			t.Errorf("%s: the app knows %q, Go writes %q", c.are, app, goes)
		}
	}
}

// A word that was made up is missed at every place.
func TestAWordThatIsForgottenIsCaught(t *testing.T) {
	for _, p := range slices.Concat(quantityPlaces, kindPlaces, entryPlaces, layoutPlaces) {
		if m := missingAt(t, place{p.file, p.from, p.to, ""}, []term{{"ShankLean", "shank_lean"}}); len(m) != 1 {
			t.Errorf("%s lets a made-up word pass: %q", p.file, m)
		}
	}
	if m := missingAt(t, place{"qc/kind.go", "var Kinds", "}\n", "Hole: told wrongly"}, []term{{"Hole", "hole"}}); len(m) != 1 {
		t.Errorf("an exemption that is not needed passes: %q", m)
	}
}
