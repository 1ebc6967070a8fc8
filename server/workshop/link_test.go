package workshop

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"bucktail/store"
)

// A second program of the same user gets a link that lets a browser in once; after the end, and
// for anybody who may not open the folder's files, there is none.
func TestAskLink(t *testing.T) {
	o := options(t)
	o.NoLAN = true
	r := startRun(t, o)
	link, err := AskLink(o.Data)
	if err != nil {
		t.Fatal(err)
	}
	to, err := url.Parse(link)
	if err != nil || to.Hostname() != "localhost" || to.Path != "/join" {
		t.Fatalf("link %q, %v", link, err)
	}
	join(t, http.DefaultClient, "http://"+o.Addr, to.Fragment)
	info, err := os.Stat(filepath.Join(o.Data, "link.sock"))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the socket is %v, %v", info, err)
	}
	r.end()
	if _, err := AskLink(o.Data); err == nil || !strings.Contains(err.Error(), "no server of this user runs") {
		t.Errorf("after the end: %v", err)
	}
}

// What a server that was killed left behind stands in nobody's way.
func TestLinkAfterAKill(t *testing.T) {
	o := options(t)
	o.NoLAN = true
	s, err := store.Open(o.Data, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(linkSocket(o.Data), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	r := startRun(t, o)
	if _, err := AskLink(o.Data); err != nil {
		t.Error(err)
	}
	r.end()
}

// The demonstration goes by another host than a record of one's own.
func TestHostOfTheLink(t *testing.T) {
	o := options(t)
	o.NoLAN, o.Host = true, "127.0.0.1"
	r := startRun(t, o)
	if out := r.out.String(); !strings.Contains(out, "http://127.0.0.1:") || strings.Contains(out, "http://localhost") {
		t.Errorf("%s", out)
	}
	if status, _ := get(t, http.DefaultClient, "http://"+o.Addr+"/api/me"); status != 401 {
		t.Errorf("by the number: %d", status)
	}
	r.end()
}
