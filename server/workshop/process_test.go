package workshop

import (
	"bufio"
	"bytes"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"bucktail/qc/history"
	"bucktail/store"
)

// program builds bucktail once for the tests that need a process of its own.
var program = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "bucktail-test-")
	if err != nil {
		return "", err
	}
	name := filepath.Join(dir, "bucktail")
	out, err := exec.Command("go", "build", "-ldflags", "-s -w", "-o", name, "bucktail/server").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return name, nil
})

// process is `bucktail serve` as a process.
type process struct {
	t    testing.TB
	o    Options
	cmd  *exec.Cmd
	link string // code for the laptop's browser
}

// startProcess starts the program on the folder and ports of o and waits until it answers. This
// machine's own name and addresses stand on the certificate, and localhost always does.
func startProcess(t testing.TB, o Options) *process {
	t.Helper()
	bin, err := program()
	if err != nil {
		t.Fatal(err)
	}
	p := &process{t: t, o: o}
	p.cmd = exec.Command(bin, "serve", "--data", o.Data, "--addr", o.Addr, "--tls-addr", o.TLSAddr, "--trust-addr", o.TrustAddr)
	var errs bytes.Buffer
	p.cmd.Stderr = &errs
	out, err := p.cmd.StdoutPipe()
	if err == nil {
		err = p.cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	ready := make(chan bool, 1)
	go func() {
		s := bufio.NewScanner(out)
		for s.Scan() {
			if m := ownerLink.FindStringSubmatch(s.Text()); m != nil {
				p.link = m[1]
			}
			if strings.Contains(s.Text(), "Stop with Ctrl+C") {
				ready <- true
			}
		}
		close(ready)
	}()
	select {
	case ok := <-ready:
		if !ok {
			p.cmd.Wait()
			t.Fatalf("it did not start: %s", errs.String())
		}
	case <-time.After(30 * time.Second):
		p.kill()
		t.Fatal("it does not start")
	}
	return p
}

func (p *process) kill() {
	p.cmd.Process.Kill()
	p.cmd.Wait()
}

func (p *process) interrupt() {
	p.t.Helper()
	p.cmd.Process.Signal(os.Interrupt)
	if err := p.cmd.Wait(); err != nil {
		p.t.Errorf("stopping: %v", err)
	}
}

func (p *process) base() string { return "https://" + p.o.TLSAddr }

// member is somebody who has joined: a client with its cookie and its chain.
type member struct {
	*http.Client
	base  string
	maker *history.Maker
}

func joined(t testing.TB, p *process, code string) *member {
	t.Helper()
	m := &member{Client: join(t, trusting(t, p.o), p.base(), code), base: p.base()}
	_, body := get(t, m.Client, p.base()+"/api/me")
	var me struct {
		Device struct{ ID, Role string }
	}
	if err := json.Unmarshal([]byte(body), &me); err != nil {
		t.Fatalf("%v: %s", err, body)
	}
	m.maker = &history.Maker{Device: me.Device.ID, By: "Ines K.", Role: history.Role(me.Device.Role)}
	return m
}

// invite lets another builder's phone in.
func (m *member) invite(t testing.TB, p *process) *member {
	t.Helper()
	status, body, err := m.send("POST", "/api/pairings", "application/json", []byte(`{"role":"builder"}`))
	var in struct{ Code string }
	if err == nil {
		err = json.Unmarshal(body, &in)
	}
	if err != nil || status != 201 {
		t.Fatalf("invite: %d %v %s", status, err, body)
	}
	return joined(t, p, in.Code)
}

func (m *member) send(method, path, media string, body []byte) (int, []byte, error) {
	req, err := http.NewRequest(method, m.base+path, bytes.NewReader(body))
	if err != nil {
		return 0, nil, err
	}
	req.Header.Set("Content-Type", media)
	resp, err := m.Do(req)
	if err != nil {
		return 0, nil, err
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	return resp.StatusCode, b, err
}

func (m *member) make(t testing.TB, d history.Draft) history.Entry {
	e, err := m.maker.Make(d, time.Now(), rand.Reader)
	if err != nil {
		t.Error(err)
	}
	return e
}

// push sends entries and says whether all of them were acknowledged.
func (m *member) push(entries []history.Entry) error {
	body, err := json.Marshal(map[string]any{"entries": entries})
	if err != nil {
		return err
	}
	status, answer, err := m.send("POST", "/api/entries", "application/json", body)
	if err != nil {
		return err
	}
	if status != 200 {
		return fmt.Errorf("push: %d %s", status, answer)
	}
	var v struct{ Results []store.Result }
	if err := json.Unmarshal(answer, &v); err != nil {
		return err
	}
	for i, r := range v.Results {
		if r.Status == store.Refused || r.Hash != entries[i].Hash().String() {
			return fmt.Errorf("entry %d: %+v", i, r)
		}
	}
	return nil
}

func (m *member) put(data []byte, hash string) error {
	status, answer, err := m.send("PUT", "/api/photos/"+hash, "image/jpeg", data)
	if err == nil && status != 201 && status != 200 {
		err = fmt.Errorf("put: %d %s", status, answer)
	}
	return err
}

// pull gives the hashes of all entries that the server has.
func (m *member) pull(t testing.TB) map[string]bool {
	t.Helper()
	have, after := map[string]bool{}, ""
	for {
		status, body := get(t, m.Client, m.base+"/api/entries?after="+after)
		var p store.Page
		if err := json.Unmarshal([]byte(body), &p); err != nil || status != 200 {
			t.Fatalf("pull: %d %v %.200s", status, err, body)
		}
		for _, e := range p.Entries {
			if e.By != "This laptop" { // what it enters itself of who joined
				have[e.Hash().String()] = true
			}
		}
		if after = p.Cursor; !p.More {
			return have
		}
	}
}
