//go:build training

package training

import (
	"bufio"
	"fmt"
	"os"
	"testing"
)

// Seeds gives the scenes BUCKTAIL_SEEDS=FROM:TO, TO not among them.
func Seeds(t testing.TB) (from, to int) {
	t.Helper()
	if _, err := fmt.Sscanf(os.Getenv("BUCKTAIL_SEEDS"), "%d:%d", &from, &to); err != nil {
		t.Fatal("BUCKTAIL_SEEDS must be FROM:TO")
	}
	return from, to
}

// Create makes a file that is complete when the test ends.
func Create(t testing.TB, name string) *bufio.Writer {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(f)
	t.Cleanup(func() {
		if err := w.Flush(); err != nil {
			t.Error(err)
		}
		f.Close()
	})
	return w
}
