//go:build !js

package report

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/gowebpki/jcs"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// signingKey signs entries as a device does.
type signingKey struct {
	*ecdsa.PrivateKey
	public string
}

func newSigningKey(t *testing.T) signingKey {
	t.Helper()
	k, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := k.PublicKey.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return signingKey{k, base64.RawURLEncoding.EncodeToString(raw)}
}

func (k signingKey) put(t *testing.T, d *histtest.Device, draft history.Draft) history.Entry {
	t.Helper()
	e := d.Put(draft)
	b, err := e.SignedBytes()
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(b)
	r, s, err := ecdsa.Sign(rand.Reader, k.PrivateKey, sum[:])
	if err != nil {
		t.Fatal(err)
	}
	sig := make([]byte, 64)
	r.FillBytes(sig[:32])
	s.FillBytes(sig[32:])
	if e, err = e.WithSignature(sig); err != nil {
		t.Fatal(err)
	}
	d.Prev = e.Hash()
	return e
}

// checked asks the program that was written from FORMAT.txt alone.
func checked(t *testing.T, data []byte) (string, bool) {
	t.Helper()
	name := filepath.Join(t.TempDir(), "b.zip")
	if err := os.WriteFile(name, data, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("python3", "testdata/check.py", name).CombinedOutput()
	return string(out), err == nil
}

// The checker writes numbers as RFC 8785 does, the smallest contributions too: 0.000001, but 1e-7.
func TestCheckerWritesNumbers(t *testing.T) {
	numbers := "[6.321771918171848e-07,1e-06,1.5e-05,0.0001,1e-07,123456.5,1e+20,1e+21,2.5e+22,-4.2e-09,-0.00003]"
	want, err := jcs.Transform([]byte(numbers))
	if err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("python3", "-c", `
import json, sys
text = open("testdata/check.py").read()
exec(text[text.index("def canonical"):text.index("z = zipfile")])
print(canonical(json.loads(sys.argv[1])))`, numbers).CombinedOutput()
	if got := strings.TrimSpace(string(out)); err != nil || got != string(want) {
		t.Errorf("%v: %s, want %s", err, got, want)
	}
}

// Whoever keeps the record rewrites a whole bundle with a decision in an inspector's name: both
// programs that check bundles name it.
func TestAForgedDecisionIsNamed(t *testing.T) {
	builder, salo := histtest.NewDevice(1, "Ines K.", history.Builder), histtest.NewDevice(2, "E. Salo", history.Inspector)
	key := newSigningKey(t)
	p := builder.Put(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}})
	part := builder.Put(history.Draft{Kind: history.KindPart, Project: p.ID, Data: history.PartData{Name: "Gusset"}})
	vouched := builder.Put(history.Draft{Kind: history.KindMember, Data: history.MemberData{Device: salo.Maker.Device, What: "key", Name: "E. Salo's phone", Role: history.Inspector, Key: key.public}})
	told := key.put(t, salo, history.Draft{Kind: history.KindDevice, Data: history.DeviceData{Name: "E. Salo's phone", Key: key.public}})
	at := histtest.Place{Project: p.ID, Part: part.ID}
	before := []history.Entry{p, part, vouched, told}
	ids, digest := history.Covers(part.ID, before)
	signOff := at.Draft(history.KindSignOff, history.SignOffData{Covers: ids, Digest: digest, Name: "E. Salo", Seen: []string{}})
	where := *salo.Maker
	good := key.put(t, salo, signOff)

	bundle := func(last history.Entry) []byte {
		var b bytes.Buffer
		if _, err := Bundle(context.Background(), &b, history.StateOf(append(before, last)), Scope{Project: p.ID}, made, BundleOptions{}); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	whole := bundle(good)
	v := verify(t, whole)
	if !v.Whole() || len(v.Signers) != 1 || v.Signers[0].Entries != 2 || !v.Signers[0].Vouched || v.Signers[0].Fingerprint != history.Fingerprint(key.public) {
		t.Errorf("%+v", v)
	}
	if len(v.SignOffs) != 1 || !v.SignOffs[0].Current || !strings.HasPrefix(v.SignOffs[0].Code, "1-") {
		t.Errorf("%+v", v.SignOffs)
	}
	if out, ok := checked(t, whole); !ok {
		t.Errorf("check.py: %s", out)
	}
	other := newSigningKey(t)
	for name, forge := range map[string]func() history.Entry{
		"unsigned":          func() history.Entry { return salo.Put(signOff) },
		"with another key":  func() history.Entry { return other.put(t, salo, signOff) },
		"with an old one's": func() history.Entry { e, _ := salo.Put(signOff).WithSignature(sigOf(t, told)); return e },
	} {
		*salo.Maker = where
		forged := bundle(forge())
		if v := verify(t, forged); v.Whole() {
			t.Errorf("%s: it passes", name)
		}
		if out, ok := checked(t, forged); ok || !strings.Contains(out, "signature") {
			t.Errorf("%s: check.py: %s", name, out)
		}
	}
}

func sigOf(t *testing.T, e history.Entry) []byte {
	t.Helper()
	b, err := base64.RawURLEncoding.DecodeString(e.Sig)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
