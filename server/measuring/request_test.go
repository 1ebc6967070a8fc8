package measuring

import (
	"context"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/qc"
)

var none = Studies(func(context.Context) ([]qc.Proof, error) { return nil, nil })

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
		_, err = none.ByRequest(t.Context(), nil, q, "")
		var r *qc.Refusal
		if !errors.As(err, &r) || r.Code != "bad-options" || !strings.Contains(r.Text, c.want) || strings.Contains(r.Text, "hidden words") {
			t.Errorf("%s: %v", c.query, err)
		}
	}
	// A picture that is none.
	_, err := none.ByRequest(t.Context(), []byte("nothing of the kind"), url.Values{"what": {"shop-head"}, "rivet": {"6"}}, "")
	var r *qc.Refusal
	if !errors.As(err, &r) || !strings.HasPrefix(r.Code, "photo-") {
		t.Errorf("%v", err)
	}
}
