package main

import (
	"bytes"
	"encoding/json"
	"net/url"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"bucktail/qc"
)

// The server answers as the command line does, word for word but for the photo's name.
func TestMeasureAnswersAsTheCommandLine(t *testing.T) {
	const photo = "../testdata/photos/dev-08.jpg"
	data, err := os.ReadFile(photo)
	if err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	args := []string{"measure", "--json", "--what=shop-head", "--rivet=6", "--card-scale=0.99701,0.99744", "--card-thickness=0.255", photo}
	if status := dispatch(console{strings.NewReader(""), &out, &errs}, args); status > 1 {
		t.Fatalf("%d %s", status, errs.String())
	}
	var want, got map[string]any
	if err := json.Unmarshal(out.Bytes(), &want); err != nil {
		t.Fatal(err)
	}
	o := options(t)
	r := startRun(t, o)
	m := &member{Client: r.browser(), base: "https://" + o.tlsAddr}
	q := url.Values{"what": {"shop-head"}, "rivet": {"6"}, "card-scale": {"0.99701,0.99744"}, "card-thickness": {"0.255"}, "photo": {photo}}
	status, body, err := m.send("POST", "/api/measure?"+q.Encode(), "image/jpeg", data)
	if err != nil || status != 200 {
		t.Fatalf("%d %v %s", status, err, body)
	}
	if err := json.Unmarshal(body, &got); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("the server says\n%.1000s\nthe command line\n%.1000s", body, out.String())
	}
	if l := got["locations"].([]any); len(l) == 0 {
		t.Error("nothing was found on the photo")
	}
	r.end()
}

// No word of a request reaches the file system, and what makes no sense is said.
func TestMeasureRefusesOptions(t *testing.T) {
	secret := filepath.Join(t.TempDir(), "limits.json")
	if err := os.WriteFile(secret, []byte(`{"name":"hidden words"}`), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ query, want string }{
		{"what=shop-head", "rivet is missing"},
		{"rivet=6", "what"},
		{"what=shop-head&rivet=6&limits=" + url.QueryEscape(secret), "is not a published set"},
		{"what=shop-head&rivet=6&limits=", "is not a published set"},
		{"what=shop-head&rivet=6&annotate=/tmp/x.jpg", "no option"},
		{"what=shop-head&rivet=6&json=true", "no option"},
		{"what=shop-head&rivet=6&h=1", "no option"},
		{"what=shop-head&rivet=6&tap=1", "u,v"},
		{"what=shop-head&rivet=6&tap=NaN,1", "no number"},
		{"what=shop-head&rivet=6&card-thickness=-1", "outside"},
		{"what=shop-head&rivet=6&own={", "own limits"},
		{"what=shop-head&rivet=6&card=none", "another scale"},
	} {
		q, err := url.ParseQuery(c.query)
		if err != nil {
			t.Fatal(err)
		}
		_, err = measureFor(t.Context(), nil, q)
		r, ok := err.(*qc.Refusal)
		if !ok || r.Code != "bad-options" || !strings.Contains(r.Text, c.want) || strings.Contains(r.Text, "hidden words") {
			t.Errorf("%s: %v", c.query, err)
		}
	}
	// A picture that is none.
	_, err := measureFor(t.Context(), []byte("nothing of the kind"), url.Values{"what": {"shop-head"}, "rivet": {"6"}})
	if r, ok := err.(*qc.Refusal); !ok || !strings.HasPrefix(r.Code, "photo-") {
		t.Errorf("%v", err)
	}
}
