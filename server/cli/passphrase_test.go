package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A backup with a passphrase holds nothing that can be read, comes back with it and with no other.
func TestBackupWithPassphrase(t *testing.T) {
	// As costly to guess as where age's own program makes it (filippo.io/age, ScryptRecipient).
	if scryptLogN < 18 {
		t.Errorf("a guess costs 2^%d, less than 2^18", scryptLogN)
	}
	defer func(was int) { scryptLogN = was }(scryptLogN)
	scryptLogN = 12
	dir := t.TempDir()
	_, data := record(t)
	run := func(in string, args ...string) (int, string) {
		var out bytes.Buffer
		status := Run(args, strings.NewReader(in), &out, &out)
		return status, out.String()
	}
	file := filepath.Join(dir, "out.zip.age")
	if status, said := run("a long walk by the sea\n", "backup", "--data", data, "--passphrase", file); status != 0 {
		t.Fatal(said)
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(b, sealedHead) || bytes.Contains(b, []byte("PK\x03\x04")) || bytes.Contains(b, []byte("SQLite")) {
		t.Error("the backup is not encrypted")
	}
	// The file says how costly a guess is: "-> scrypt SALT LOG2N" (C2SP, age.md, scrypt stanza).
	if f := bytes.Fields(b); len(f) < 5 || string(f[2]) != "scrypt" || string(f[4]) != "12" {
		t.Errorf("it does not begin with the work factor that was set: %.80q", b)
	}
	for in, want := range map[string]string{"another\n": "does not open", "": "no passphrase"} {
		if status, said := run(in, "restore", "--data", filepath.Join(dir, "no"), file); status == 0 || !strings.Contains(said, want) {
			t.Errorf("with %q: %d %s", in, status, said)
		}
	}
	if status, said := run("a long walk by the sea\n", "verify", file); status != 0 || !strings.Contains(said, "It is whole") {
		t.Errorf("verify: %d %s", status, said)
	}
	again := filepath.Join(dir, "again")
	if status, said := run("a long walk by the sea\n", "restore", "--data", again, file); status != 0 {
		t.Errorf("restore: %s", said)
	}
	if status, said := run("", "check", "--data", again); status != 0 {
		t.Errorf("what was restored: %s", said)
	}
	b[len(b)-20] ^= 1
	bad := filepath.Join(dir, "bad.age")
	if err := os.WriteFile(bad, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if status, said := run("a long walk by the sea\n", "restore", "--data", filepath.Join(dir, "no"), bad); status == 0 || !strings.Contains(said, "was changed or is cut off") {
		t.Errorf("a changed one: %d %s", status, said)
	}
}
