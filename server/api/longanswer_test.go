package api

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"net/url"
	"testing"
	"time"

	"bucktail/qc/history"
)

// An answer that takes longer than a request's body may is whole, and the connection is good
// for the next request (HTTP/1.1, on which net/http reads ahead while a handler works).
func TestAnswersOutliveTheTimeForTheBody(t *testing.T) {
	const grace = 200 * time.Millisecond
	part := bytes.Repeat([]byte("x"), 64<<10)
	slowly := func(ctx context.Context, done func() error) error {
		for range 8 {
			select {
			case <-ctx.Done():
				return context.Cause(ctx)
			case <-time.After(grace / 2):
			}
			if err := done(); err != nil {
				return err
			}
		}
		return nil
	}
	w := newWorkshop(t, func(c *Config) {
		c.Exports = []Export{{"slow.bin", "Slow", "application/octet-stream", func(ctx context.Context, to io.Writer, _ ExportQuery) error {
			return slowly(ctx, func() error { _, err := to.Write(part); return err })
		}}}
		measure := c.Measure
		c.Measure = func(ctx context.Context, photo []byte, q url.Values, phone string) (any, error) {
			if err := slowly(ctx, func() error { return nil }); err != nil {
				return nil, err
			}
			return measure(ctx, photo, q, phone)
		}
	})
	w.api.pace.grace = grace
	b := w.pair(history.Builder, true)
	picture, _ := shot(t, 64, 48)
	client := &http.Client{Transport: &http.Transport{MaxConnsPerHost: 1}}
	for _, try := range []struct {
		method, path string
		body         any
		bytes        int // of the answer; 0: not counted
	}{
		{"GET", "/api/exports/slow.bin", nil, 8 * len(part)},
		{"GET", "/api/projects", nil, 0},
		{"POST", "/api/measure", picture, 0},
		{"GET", "/api/projects", nil, 0},
	} {
		resp, err := client.Do(b.request(try.method, try.path, try.body))
		if err != nil {
			t.Fatalf("%s: %v", try.path, err)
		}
		got, err := io.ReadAll(resp.Body)
		resp.Body.Close()
		if err != nil || resp.StatusCode != http.StatusOK {
			t.Errorf("%s: %d, %v after %d bytes: %.200s", try.path, resp.StatusCode, err, len(got), got[:min(len(got), 200)])
		} else if try.bytes > 0 && len(got) != try.bytes {
			t.Errorf("%s: %d bytes, want %d", try.path, len(got), try.bytes)
		}
	}
}
