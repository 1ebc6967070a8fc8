package workshop

import (
	"encoding/json"
	"errors"
	"net/url"
	"os"
	"os/exec"
	"reflect"
	"testing"
)

// The server answers as the command line does, word for word but for the photo's name.
func TestMeasureAnswersAsTheCommandLine(t *testing.T) {
	const photo = "../../testdata/photos/dev-08.jpg"
	data, err := os.ReadFile(photo)
	if err != nil {
		t.Fatal(err)
	}
	bin, err := program()
	if err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(bin, "measure", "--json", "--what=shop-head", "--rivet=6", "--card-scale=0.99701,0.99744", "--card-thickness=0.255", photo).Output()
	var exit *exec.ExitError
	if err != nil && !(errors.As(err, &exit) && exit.ExitCode() == 1) { // 1: something asks for help
		t.Fatal(err)
	}
	var want, got map[string]any
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatal(err)
	}
	o := options(t)
	r := startRun(t, o)
	m := &member{Client: r.browser(), base: "https://" + o.TLSAddr}
	q := url.Values{"what": {"shop-head"}, "rivet": {"6"}, "card-scale": {"0.99701,0.99744"}, "card-thickness": {"0.255"}, "photo": {photo}}
	status, body, err := m.send("POST", "/api/measure?"+q.Encode(), "image/jpeg", data)
	if err != nil || status != 200 {
		t.Fatalf("%d %v %s", status, err, body)
	}
	if err := json.Unmarshal(body, &got); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("the server says\n%.1000s\nthe command line\n%.1000s", body, out)
	}
	if l := got["locations"].([]any); len(l) == 0 {
		t.Error("nothing was found on the photo")
	}
	r.end()
}
