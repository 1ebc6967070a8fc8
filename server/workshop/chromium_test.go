package workshop

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// tab is a page of a real Chromium, driven over its debugging pipe (Chrome DevTools Protocol):
// JSON messages with a zero byte behind each, in on descriptor 3 and out on 4.
type tab struct {
	t       *testing.T
	to      io.Writer
	from    *bufio.Reader
	next    int
	session string
}

// chromium starts a browser whose own profile trusts the authority in caPEM ("" for none) and
// which finds all .local names and example.com at the loopback address.
//
// CHROMIUM names the program; else it is looked for in PATH. The tests that need one run with
// BUCKTAIL_BROWSER=1, as make test sets it, and then fail where there is none.
func chromium(t *testing.T, caPEM string) *tab {
	t.Helper()
	bin := os.Getenv("CHROMIUM")
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil && bin == "" {
			bin = p
		}
	}
	if bin == "" {
		t.Fatal("no Chromium is installed: apt-get install chromium, or name one with CHROMIUM=")
	}
	home, err := os.MkdirTemp("", "bucktail-chromium-")
	if err != nil {
		t.Fatal(err)
	}
	if caPEM != "" {
		certutil, err := exec.LookPath("certutil")
		if err != nil {
			t.Fatal("certutil is not installed: apt-get install libnss3-tools")
		}
		db := filepath.Join(home, ".pki", "nssdb")
		if err := os.MkdirAll(db, 0o700); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"-N", "--empty-password"}, {"-A", "-t", "C,,", "-n", "workshop", "-i", caPEM}} {
			if out, err := exec.Command(certutil, append([]string{"-d", "sql:" + db}, args...)...).CombinedOutput(); err != nil {
				t.Fatalf("certutil: %v %s", err, out)
			}
		}
	}
	inR, inW, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	outR, outW, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(bin, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage", "--remote-debugging-pipe",
		"--host-resolver-rules=MAP *.local 127.0.0.1,MAP example.com 127.0.0.1", "--user-data-dir="+filepath.Join(home, "profile"))
	cmd.Env = append(os.Environ(), "HOME="+home)
	cmd.ExtraFiles = []*os.File{inR, outW}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	inR.Close()
	outW.Close()
	b := &tab{t: t, to: inW, from: bufio.NewReader(outR)}
	limit := time.AfterFunc(3*time.Minute, func() { cmd.Process.Kill() })
	t.Cleanup(func() {
		limit.Stop()
		fmt.Fprint(inW, `{"id":1000000,"method":"Browser.close"}`+"\x00")
		go io.Copy(io.Discard, b.from)
		done := make(chan bool)
		go func() { cmd.Wait(); close(done) }()
		select {
		case <-done:
		case <-time.After(10 * time.Second):
			cmd.Process.Kill()
			<-done
		}
		inW.Close()
		outR.Close()
		os.RemoveAll(home)
	})
	var target struct{ TargetID string }
	b.call("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var attached struct{ SessionID string }
	b.call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &attached)
	b.session = attached.SessionID
	return b
}

// call sends one command and waits for its answer; what the browser tells in between is not
// asked for.
func (b *tab) call(method string, params, result any) {
	b.t.Helper()
	b.next++
	msg := map[string]any{"id": b.next, "method": method, "params": params}
	if b.session != "" {
		msg["sessionId"] = b.session
	}
	j, err := json.Marshal(msg)
	if err != nil {
		b.t.Fatal(err)
	}
	if _, err := b.to.Write(append(j, 0)); err != nil {
		b.t.Fatalf("%s: the browser is gone: %v", method, err)
	}
	for {
		raw, err := b.from.ReadBytes(0)
		if err != nil {
			b.t.Fatalf("%s: the browser is gone: %v", method, err)
		}
		var in struct {
			ID     int
			Error  json.RawMessage
			Result json.RawMessage
		}
		if err := json.Unmarshal(bytes.TrimRight(raw, "\x00"), &in); err != nil {
			b.t.Fatal(err)
		}
		if in.ID != b.next {
			continue
		}
		if in.Error != nil {
			b.t.Fatalf("%s: %s", method, in.Error)
		}
		if result != nil {
			if err := json.Unmarshal(in.Result, result); err != nil {
				b.t.Fatal(err)
			}
		}
		return
	}
}

// open goes to an address and gives the browser's error, "" when the page was loaded.
func (b *tab) open(url string) string {
	b.t.Helper()
	var v struct{ ErrorText string }
	b.call("Page.navigate", map[string]any{"url": url}, &v)
	if v.ErrorText == "" { // scripts of the page have run, and what they listen to is set
		b.waitFor(`document.readyState`, "complete")
	}
	return v.ErrorText
}

// eval runs a script in the page, waits for its promise and gives the value as text.
func (b *tab) eval(script string) string {
	b.t.Helper()
	var v struct {
		Result           struct{ Value any }
		ExceptionDetails json.RawMessage
	}
	b.call("Runtime.evaluate", map[string]any{"expression": script, "awaitPromise": true, "returnByValue": true}, &v)
	if v.ExceptionDetails != nil {
		return "exception: " + string(v.ExceptionDetails)
	}
	return fmt.Sprint(v.Result.Value)
}

// waitFor runs a script until it gives want, for 20 seconds at most, and gives its last value.
func (b *tab) waitFor(script, want string) string {
	b.t.Helper()
	var got string
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		if got = b.eval(script); got == want {
			break
		}
	}
	return got
}
