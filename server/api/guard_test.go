package api

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"bucktail/qc/history"
)

func TestTooManyRequests(t *testing.T) {
	w := newWorkshop(t)
	w.api.rates = newRates(1, 20)
	limited := 0
	for range 60 {
		a := w.stranger().do("GET", "/api/ping", nil)
		if a.StatusCode == http.StatusTooManyRequests {
			limited++
			a.want(429, "too-many")
			if a.Header.Get("Retry-After") == "" {
				t.Error("no Retry-After")
			}
		}
	}
	if limited < 20 {
		t.Errorf("of 60 requests at once only %d were refused, where 20 at once are allowed", limited)
	}
}

// A handler that stumbles answers, and the server goes on.
func TestPanicIsAnswered(t *testing.T) {
	w := newWorkshop(t, func(c *Config) {
		c.Exports = append(c.Exports, Export{"broken", "Broken", "text/plain", func(_ context.Context, to io.Writer, _ ExportQuery) error { panic("a slip") }},
			Export{"half", "Half", "text/plain", func(_ context.Context, to io.Writer, _ ExportQuery) error {
				io.WriteString(to, strings.Repeat("x", 100_000))
				return fmt.Errorf("the disk went away")
			}})
	})
	b := w.pair(history.Builder, true)
	a := b.do("GET", "/api/exports/broken", nil)
	a.want(http.StatusInternalServerError, "internal")
	if bytes.Contains(a.body, []byte("a slip")) {
		t.Errorf("the inside shows: %s", a.body)
	}
	// What broke off after its beginning must not look whole.
	req := b.request("GET", "/api/exports/half", nil)
	resp, err := http.DefaultClient.Do(req)
	if err == nil {
		_, err = io.ReadAll(resp.Body)
		resp.Body.Close()
	}
	if err == nil {
		t.Error("half an export looks like a whole one")
	}
	b.do("GET", "/api/me", nil).want(200, "")
	if !strings.Contains(w.log.String(), "a slip") || !strings.Contains(w.log.String(), "the disk went away") {
		t.Error("the log does not have it")
	}
}

func TestOversizedHeadersAndBodies(t *testing.T) {
	w := newWorkshop(t)
	b := w.pair(history.Builder, true)
	b.do("GET", "/api/me?x="+strings.Repeat("a", maxQueryBytes), nil).want(400, "bad-value")
	big := map[string]string{"name": strings.Repeat("a", maxSmallBytes)}
	b.do("PATCH", "/api/devices/"+b.id, big).want(413, "too-large")
	// Chunked, so that no length warns of it.
	b.do("PATCH", "/api/devices/"+b.id, io.MultiReader(strings.NewReader(`{"name":"`), strings.NewReader(strings.Repeat("a", maxSmallBytes))), media("application/json")).want(413, "too-large")
	b.do("POST", "/api/pairings/redeem", big).want(413, "too-large")
	a := raw(t, w, "POST /api/entries HTTP/1.1\r\nHost: workshop.local\r\nContent-Type: application/json\r\nContent-Length: 99999999999\r\nCookie: "+b.cookie.Name+"="+b.cookie.Value+"\r\n\r\n{")
	if !strings.HasPrefix(a, "HTTP/1.1 413 ") {
		t.Errorf("%.100q", a)
	}
	for _, bad := range []string{`{"role":"builder"} x`, `{"role":"builder","owner":true}`, `[]`, `{`, ``, `{"role":1}`, "\xff"} {
		b.do("POST", "/api/pairings", strings.NewReader(bad), media("application/json")).want(400, "bad-json")
	}
	b.do("POST", "/api/pairings", strings.NewReader(`{"role":"owner"}`), media("application/json")).want(400, "bad-value")
	b.do("GET", "/api/me", nil).want(200, "")
}

// A body that dribbles is cut off, whether it pauses or comes too slowly on the whole.
func TestSlowBodies(t *testing.T) {
	w := newWorkshop(t)
	w.api.pace = pace{stall: 200 * time.Millisecond, grace: 400 * time.Millisecond, slowest: 200 << 10}
	b := w.pair(history.Builder, true)
	data, hash := shot(t, 1600, 1200)
	const atOnce = 100_000 // past what is looked at before the photo goes to the disk
	if len(data) < 2*atOnce {
		t.Fatalf("the photo has only %d bytes", len(data))
	}
	for name, every := range map[string]time.Duration{"stalls": time.Hour, "dribbles": 20 * time.Millisecond} {
		c, err := net.Dial("tcp", w.door.Listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		begun := time.Now()
		fmt.Fprintf(c, "PUT /api/photos/%s HTTP/1.1\r\nHost: workshop.local\r\nContent-Type: image/jpeg\r\nContent-Length: %d\r\nCookie: %s=%s\r\n\r\n", hash, len(data), b.cookie.Name, b.cookie.Value)
		stop := make(chan bool)
		go func() {
			c.Write(data[:atOnce])
			for i := range data[atOnce:] {
				select {
				case <-stop:
					return
				case <-time.After(every):
				}
				if _, err := c.Write(data[atOnce+i : atOnce+i+1]); err != nil {
					return
				}
			}
		}()
		c.SetReadDeadline(time.Now().Add(20 * time.Second))
		resp, err := http.ReadResponse(bufio.NewReader(c), nil)
		close(stop)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if resp.StatusCode != http.StatusRequestTimeout {
			body, _ := io.ReadAll(resp.Body)
			t.Errorf("%s: %d %s %s", name, resp.StatusCode, body, w.log.String())
		}
		if took := time.Since(begun); took > 10*time.Second {
			t.Errorf("%s: it took %v", name, took)
		}
		c.Close()
	}
	b.do("GET", "/api/photos/"+hash, nil).want(404, "not-found")
	b.do("PUT", "/api/photos/"+hash, data).want(201, "")
}
