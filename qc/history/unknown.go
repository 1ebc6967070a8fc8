package history

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// Unknown lists the members of the entry that this version does not know, as paths
// ("data.readings.0.colour"), sorted. They are kept and hashed like all others.
func (e Entry) Unknown() []string {
	var raw map[string]json.RawMessage
	if json.Unmarshal(e.raw, &raw) != nil {
		return nil
	}
	var s shape
	s.object("", raw, reflect.TypeFor[Head]())
	if rule, ok := kindRules[e.Kind]; ok && e.Format <= Format {
		s.value("data", e.Data, rule.data)
	}
	slices.Sort(s.unknown)
	return s.unknown
}

// lookalike finds a member whose name differs from a known one in nothing but capitals.
// encoding/json would take it for the known one, so two readers could see two values.
func (e Entry) lookalike() error {
	var raw map[string]json.RawMessage
	if err := json.Unmarshal(e.raw, &raw); err != nil {
		return refuse("entry-not-json", "the entry is not a JSON object", "send it again; if that fails, export it and report it")
	}
	var s shape
	s.object("", raw, reflect.TypeFor[Head]())
	if rule, ok := kindRules[e.Kind]; ok && e.Format <= Format {
		s.value("data", e.Data, rule.data)
	}
	if len(s.alike) > 0 {
		slices.Sort(s.alike)
		return refuse("entry-form", fmt.Sprintf("member %q differs from a known one in capitals alone", s.alike[0]), "write the name as this version writes it")
	}
	return nil
}

// shape compares JSON with the Go type that it is read into.
type shape struct{ unknown, alike []string }

func (s *shape) value(path string, raw json.RawMessage, t reflect.Type) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch t.Kind() {
	case reflect.Struct:
		if t.Implements(reflect.TypeFor[json.Unmarshaler]()) || reflect.PointerTo(t).Implements(reflect.TypeFor[json.Unmarshaler]()) {
			return
		}
		var m map[string]json.RawMessage
		if json.Unmarshal(raw, &m) == nil {
			s.object(path+".", m, t)
		}
	case reflect.Slice, reflect.Array:
		var l []json.RawMessage
		if json.Unmarshal(raw, &l) == nil {
			for i, v := range l {
				s.value(fmt.Sprintf("%s.%d", path, i), v, t.Elem())
			}
		}
	case reflect.Map:
		var m map[string]json.RawMessage
		if json.Unmarshal(raw, &m) == nil {
			for k, v := range m {
				s.value(path+"."+k, v, t.Elem())
			}
		}
	}
}

func (s *shape) object(prefix string, m map[string]json.RawMessage, t reflect.Type) {
	known := map[string]reflect.Type{}
	fields(t, known)
	for name, raw := range m {
		if ft, ok := known[name]; ok {
			s.value(prefix+name, raw, ft)
			continue
		}
		s.unknown = append(s.unknown, prefix+name)
		for k := range known {
			if strings.EqualFold(k, name) {
				s.alike = append(s.alike, prefix+name)
			}
		}
	}
}

// fields lists the JSON members of a struct type, embedded structs included.
func fields(t reflect.Type, into map[string]reflect.Type) {
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-":
		case f.Anonymous && name == "" && f.Type.Kind() == reflect.Struct:
			fields(f.Type, into)
		case !f.IsExported():
		case name == "":
			into[f.Name] = f.Type
		default:
			into[name] = f.Type
		}
	}
}
