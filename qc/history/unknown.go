package history

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"
)

// Unknown lists the members of the entry that this version does not know, as paths
// ("data.readings.0.colour"), sorted. They are kept and hashed like all others.
func (e Entry) Unknown() []string {
	s := e.shape()
	slices.Sort(s.unknown)
	return s.unknown
}

// lookalike finds a member whose name differs from a known one in nothing but capitals.
// encoding/json would take it for the known one, so two readers could see two values.
func (e Entry) lookalike() error {
	s := e.shape()
	if len(s.alike) > 0 {
		return refuse("entry-form", fmt.Sprintf("member %q differs from a known one in capitals alone", slices.Min(s.alike)), "write the name as this version writes it")
	}
	return nil
}

// shape walks through the entry's JSON beside the Go types that it is read into.
func (e Entry) shape() *shape {
	s := &shape{dec: json.NewDecoder(bytes.NewReader(e.raw))}
	var data reflect.Type
	if rule, ok := kindRules[e.Kind]; ok && e.Format <= Format {
		data = rule.data
	}
	s.value("", headType, data)
	return s
}

var headType = reflect.TypeFor[Head]()

// shape compares JSON with the Go type that it is read into, in one pass.
type shape struct {
	dec            *json.Decoder
	unknown, alike []string
}

// value reads one value. A type of nil, or one that reads itself, knows all that is below it.
// data is the type of the head's member "data".
func (s *shape) value(path string, t, data reflect.Type) {
	tok, err := s.dec.Token()
	if err != nil {
		return // the entry was read already: it is JSON
	}
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch tok {
	case json.Delim('{'):
		s.members(path, t, data)
	case json.Delim('['):
		var elem reflect.Type
		if t != nil && (t.Kind() == reflect.Slice || t.Kind() == reflect.Array) {
			elem = t.Elem()
		}
		for i := 0; s.dec.More(); i++ {
			s.value(fmt.Sprintf("%s.%d", path, i), elem, nil)
		}
		s.dec.Token()
	}
}

func (s *shape) members(path string, t, data reflect.Type) {
	var known map[string]reflect.Type
	var any reflect.Type // of a map's values
	if t != nil && t.Kind() == reflect.Map {
		any = t.Elem()
	} else if t != nil && t.Kind() == reflect.Struct && !readsItself(t) {
		known = membersOf(t)
	}
	for s.dec.More() {
		tok, err := s.dec.Token()
		name, ok := tok.(string)
		if err != nil || !ok {
			return
		}
		at := name
		if path != "" {
			at = path + "." + name
		}
		next := any
		if known != nil {
			if next, ok = known[name]; !ok {
				s.unknown = append(s.unknown, at)
				for k := range known {
					if strings.EqualFold(k, name) {
						s.alike = append(s.alike, at)
					}
				}
			} else if t == headType && name == "data" {
				next = data
			}
		}
		s.value(at, next, nil)
	}
	s.dec.Token()
}

func readsItself(t reflect.Type) bool {
	u := reflect.TypeFor[json.Unmarshaler]()
	return t.Implements(u) || reflect.PointerTo(t).Implements(u)
}

// members of each struct type, found once.
var memberCache sync.Map // reflect.Type to map[string]reflect.Type

func membersOf(t reflect.Type) map[string]reflect.Type {
	if m, ok := memberCache.Load(t); ok {
		return m.(map[string]reflect.Type)
	}
	m := map[string]reflect.Type{}
	fields(t, m)
	memberCache.Store(t, m)
	return m
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
