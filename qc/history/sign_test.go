package history_test

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"strings"
	"testing"

	"bucktail/qc/history"
	"bucktail/qc/history/histtest"
)

// signer is a device with a key.
type signer struct {
	*histtest.Device
	t      *testing.T
	key    *ecdsa.PrivateKey
	public string
}

func newSigner(t *testing.T, seed uint64, by string, role history.Role) *signer {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := key.PublicKey.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return &signer{histtest.NewDevice(seed, by, role), t, key, base64.RawURLEncoding.EncodeToString(raw)}
}

// put writes an entry and signs it.
func (s *signer) put(d history.Draft) history.Entry {
	s.t.Helper()
	e := s.Put(d)
	b, err := e.SignedBytes()
	if err != nil || string(b) != string(e.Bytes()) {
		s.t.Fatalf("an unsigned entry's bytes are not what is signed: %v", err)
	}
	sum := sha256.Sum256(b)
	r, v, err := ecdsa.Sign(rand.Reader, s.key, sum[:])
	if err != nil {
		s.t.Fatal(err)
	}
	sig := make([]byte, 64)
	r.FillBytes(sig[:32])
	v.FillBytes(sig[32:])
	if e, err = e.WithSignature(sig); err != nil {
		s.t.Fatal(err)
	}
	s.Prev = e.Hash()
	return e
}

func TestSignaturesAreTested(t *testing.T) {
	s := newSigner(t, 71, "E. Salo", history.Inspector)
	old := s.Put(history.Draft{Kind: history.KindDevice, Data: history.DeviceData{Name: "phone"}}) // from before it had a key
	key := s.put(history.Draft{Kind: history.KindDevice, Data: history.DeviceData{Name: "phone", Key: s.public}})
	place := histtest.Place{Project: "01928f00-0000-7000-8000-000000000001", Part: "01928f00-0000-7000-8000-000000000002"}
	note := s.put(place.Draft(history.KindNote, history.NoteData{Text: "a gap at R7"}))
	good := []history.Entry{old, key, note}
	faults, unsigned := history.CheckSignatures(good)
	if len(faults) > 0 || unsigned[s.Maker.Device] != 1 {
		t.Errorf("%+v, %v", faults, unsigned)
	}
	if chain := history.CheckChain(good); len(chain) > 0 {
		t.Errorf("%+v", chain)
	}
	h := note.Head
	for name, change := range map[string]func(){
		"another word": func() { h.Data = []byte(`{"text":"no gap at R7"}`) },
		"another role": func() { h.Role = history.Builder },
		"no signature": func() { h.Sig = "" },
		"another's":    func() { h.Sig = key.Sig },
	} {
		h = note.Head
		change()
		e, err := parseHead(h)
		if err != nil {
			t.Fatal(err)
		}
		if faults, _ := history.CheckSignatures([]history.Entry{old, key, e}); len(faults) != 1 {
			t.Errorf("%s: %+v", name, faults)
		}
	}
	// Somebody who keeps the record writes a decision into the inspector's chain, with a key of his.
	forger := newSigner(t, 71, "E. Salo", history.Inspector)
	forger.Seq, forger.Prev = s.Seq, s.Prev
	forged := forger.put(place.Draft(history.KindNote, history.NoteData{Text: "all good"}))
	if faults, _ := history.CheckSignatures(append(good, forged)); len(faults) != 1 || faults[0].Kind != history.BadSignature {
		t.Errorf("forged: %+v", faults)
	}
	laptop := histtest.NewDevice(72, "laptop", history.Builder)
	vouched := laptop.Put(history.Draft{Kind: history.KindMember, Data: history.MemberData{Device: s.Maker.Device, What: "key", Name: "phone", Role: history.Inspector, Key: forger.public}})
	if faults, _ := history.CheckSignatures(append(good, vouched)); len(faults) != 1 || faults[0].Kind != history.OtherKey {
		t.Errorf("another key vouched for: %+v", faults)
	}
}

func TestFingerprintsAndCodes(t *testing.T) {
	s := newSigner(t, 73, "E. Salo", history.Inspector)
	if f := history.Fingerprint(s.public); len(f) != 39 || strings.Count(f, " ") != 7 || history.Fingerprint("?") != "" {
		t.Errorf("%q", f)
	}
	d := history.SignOffData{Covers: make([]string, 137), Digest: "e79bc13dbc84001122334455"}
	if d.Code() != "137-e79b-c13d-bc84-0011" || !history.SameCode(" 137 E79B c13d bc84 0011", d.Code()) || history.SameCode("137-e79b-c13d-bc84-0012", d.Code()) {
		t.Error(d.Code())
	}
}
