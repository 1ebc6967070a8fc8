package history_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"bucktail/qc/history"
)

// No text in any kind of entry may read one way and be another, whether it is typed by hand or
// not: each of those in the wire files is turned around once.
func TestNoTextOfAnyEntryIsTurnedAround(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(wireDir, "*.entry.json"))
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	tried := 0
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		e, err := history.Parse(b)
		if err != nil {
			t.Fatal(err)
		}
		var data any
		if err := json.Unmarshal(e.Data, &data); err != nil {
			t.Fatal(err)
		}
		if !e.Known() { // kept as they are: a newer version's rules hold for them
			continue
		}
		texts("data", data, func(path string, set func(string), was string) {
			tried++
			defer set(was)
			set(was + "\u202e")
			h := e.Head
			if h.Data, err = json.Marshal(data); err != nil {
				t.Fatal(err)
			}
			raw, err := json.Marshal(h)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := history.Parse(raw); err == nil {
				t.Errorf("%s: %s is taken", filepath.Base(name), path)
			}
		})
	}
	if tried < 300 {
		t.Errorf("only %d texts were tried", tried)
	}
}

// texts visits every string below a JSON value that is an object or a list.
func texts(path string, v any, visit func(path string, set func(string), was string)) {
	each := func(path string, v any, set func(string)) {
		if s, ok := v.(string); ok {
			visit(path, set, s)
		} else {
			texts(path, v, visit)
		}
	}
	switch x := v.(type) {
	case map[string]any:
		for k, y := range x {
			each(path+"."+k, y, func(s string) { x[k] = s })
		}
	case []any:
		for i, y := range x {
			each(fmt.Sprintf("%s[%d]", path, i), y, func(s string) { x[i] = s })
		}
	}
}
