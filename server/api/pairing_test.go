package api

import (
	"crypto/rand"
	"encoding/base64"
	"net/http"
	"strings"
	"testing"
	"time"

	"bucktail/qc/history"
	"bucktail/store"
)

func (d *device) redeem(code string) answer {
	return d.do("POST", "/api/pairings/redeem", map[string]string{"code": code, "name": "phone"})
}

func (d *device) invite(role history.Role, more ...string) invitation {
	d.w.t.Helper()
	in := map[string]string{"role": string(role)}
	if len(more) > 0 {
		in["device"] = more[0]
	}
	a := d.do("POST", "/api/pairings", in)
	a.want(201, "")
	var v invitation
	a.read(&v)
	return v
}

func (d *device) state(id string) pairingView {
	d.w.t.Helper()
	var v pairingView
	d.do("GET", "/api/pairings/"+id, nil).read(&v)
	return v
}

func TestPairing(t *testing.T) {
	w := newWorkshop(t)
	owner := w.pair(history.Builder, true)
	in := owner.invite(history.Inspector)
	if raw, err := base64.RawURLEncoding.DecodeString(in.Code); err != nil || len(raw) < 16 {
		t.Errorf("the code has %d bytes, fewer than 128 bits", len(raw))
	}
	if want := "https://" + lanHost + "/join#" + in.Code; in.URL != want {
		t.Errorf("url %s", in.URL)
	}
	if in.QR.Size < 21 || len(in.QR.Rows) != in.QR.Size || in.ExpiresAt.Sub(w.clock()) != 5*time.Minute {
		t.Errorf("%+v", in)
	}
	if s := owner.state(in.ID); s.State != "waiting" || !s.Typed {
		t.Errorf("%+v", s)
	}
	d := w.stranger()
	a := d.redeem(in.Code)
	a.want(201, "")
	c := a.Cookies()[0]
	if !c.HttpOnly || !c.Secure || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || c.Domain != "" || c.MaxAge < 300*24*3600 {
		t.Errorf("cookie %+v", c)
	}
	if raw, err := base64.RawURLEncoding.DecodeString(c.Value); err != nil || len(raw) != 32 {
		t.Errorf("token of %d bytes", len(raw))
	}
	d.cookie = c
	var me meView
	d.do("GET", "/api/me", nil).read(&me)
	if me.Device.Role != history.Inspector || me.Device.Owner || me.Record != w.store.ID() {
		t.Errorf("%+v", me)
	}
	if s := owner.state(in.ID); s.State != "used" || s.Device != me.Device.ID {
		t.Errorf("%+v", s)
	}
	// Replayed, also in its typed form, by another and by the same device.
	w.stranger().redeem(in.Code).want(http.StatusGone, "code-used")
	d.redeem(in.Code).want(http.StatusGone, "code-used")
	w.stranger().redeem(in.Typed).want(http.StatusGone, "code-used")
	// The token is nowhere on the disk.
	devices, err := w.store.Devices(t.Context())
	if err != nil || len(devices) != 2 {
		t.Fatalf("%v %v", devices, err)
	}
}

func TestTypedCode(t *testing.T) {
	w := newWorkshop(t)
	owner := w.pair(history.Builder, true)
	in := owner.invite(history.Builder)
	if len(in.Typed) != 14 || strings.Trim(in.Typed, typedAlphabet+"-") != "" {
		t.Errorf("typed form %q", in.Typed)
	}
	sloppy := strings.ToLower(strings.ReplaceAll(in.Typed, "-", " "))
	sloppy = strings.NewReplacer("0", "o", "1", "l").Replace(sloppy)
	w.stranger().redeem(" "+sloppy).want(201, "")

	// Five wrong ones end the typed form; the scanned one stays good.
	in = owner.invite(history.Builder)
	for range typedTries {
		w.stranger().redeem("AAAA-BBBB-CCCC").want(403, "code-wrong")
	}
	w.stranger().redeem(in.Typed).want(403, "code-wrong")
	if s := owner.state(in.ID); s.State != "waiting" || s.Typed {
		t.Errorf("%+v", s)
	}
	w.stranger().redeem(in.Code).want(201, "")
}

func TestGuessedCodes(t *testing.T) {
	w := newWorkshop(t)
	owner := w.pair(history.Builder, true)
	in := owner.invite(history.Builder)
	limited := false
	for i := range 200 {
		guess := base64.RawURLEncoding.EncodeToString(append([]byte{byte(i)}, make([]byte, codeBytes-1)...))
		a := w.stranger().redeem(guess)
		if limited = a.StatusCode == http.StatusTooManyRequests; limited {
			break
		}
		a.want(403, "code-wrong")
	}
	if !limited {
		t.Error("200 guesses at once were all looked at")
	}
	w.api.joins = newRates(1000, 1000) // go on without waiting
	for _, guess := range []string{"", "x", in.Code[:20], in.Code + "x", strings.ToUpper(in.Code), strings.Repeat("A", 10_000)} {
		if a := w.stranger().redeem(guess); a.StatusCode != 403 && a.StatusCode != 429 {
			t.Errorf("%.30q: %d", guess, a.StatusCode)
		}
	}
}

func TestCodesEnd(t *testing.T) {
	w := newWorkshop(t)
	owner := w.pair(history.Builder, true)
	in := owner.invite(history.Builder)
	w.later(codeLife - time.Second)
	if s := owner.state(in.ID); s.State != "waiting" {
		t.Errorf("%+v", s)
	}
	w.later(time.Second)
	w.stranger().redeem(in.Code).want(http.StatusGone, "code-old")
	w.stranger().redeem(in.Typed).want(http.StatusGone, "code-old")
	if s := owner.state(in.ID); s.State != "expired" || s.Typed {
		t.Errorf("%+v", s)
	}
	w.later(2 * time.Hour)
	w.stranger().redeem(in.Code).want(403, "code-wrong") // forgotten

	in = owner.invite(history.Builder)
	owner.do("DELETE", "/api/pairings/"+in.ID, nil).want(204, "")
	w.stranger().redeem(in.Code).want(http.StatusGone, "code-old")
	owner.do("DELETE", "/api/pairings/01928f00-0000-7000-8000-000000000000", nil).want(404, "not-found")
}

// A code lets one device in, however many try at the same moment.
func TestCodeIsForOneDevice(t *testing.T) {
	w := newWorkshop(t)
	w.api.joins = newRates(1000, 1000)
	owner := w.pair(history.Builder, true)
	in := owner.invite(history.Builder)
	results := make(chan int)
	for range 16 {
		go func() { results <- w.stranger().redeem(in.Code).StatusCode }()
	}
	count := map[int]int{}
	for range 16 {
		count[<-results]++
	}
	if count[201] != 1 || count[410] != 15 {
		t.Errorf("%v", count)
	}
}

// The owner's link is good on the laptop alone, once.
func TestOwnerLink(t *testing.T) {
	w := newWorkshop(t)
	link, err := w.api.OwnerLink()
	if err != nil {
		t.Fatal(err)
	}
	base, code, _ := strings.Cut(link, "#")
	if base != "http://localhost:8442/join" {
		t.Errorf("link %s", base)
	}
	err = w.api.book.redeem(code, false, func(pairing) (string, error) { t.Error("it was good from the network"); return "", nil })
	if p := problemOf(err); p.Code != "code-elsewhere" || p.Status != 403 {
		t.Errorf("%+v", p)
	}
	a := w.stranger().redeem(code) // the test comes from the loopback address
	a.want(201, "")
	var me meView
	a.read(&me)
	if !me.Device.Owner || me.Device.Role != history.Builder {
		t.Errorf("%+v", me)
	}
	w.stranger().redeem(code).want(http.StatusGone, "code-used")
	// Being local is not enough for anything.
	w.stranger().do("GET", "/api/me", nil).want(401, "no-token")
}

func TestDeviceBringsItsOwnNumber(t *testing.T) {
	w := newWorkshop(t)
	owner := w.pair(history.Builder, true)
	const number = "8f14e45f-ceea-467f-9575-3c2b1f2d4e01"
	join := func(code, device string) answer {
		return w.stranger().do("POST", "/api/pairings/redeem", map[string]string{"code": code, "name": "Ines's phone", "device": device})
	}
	join(owner.invite(history.Builder).Code, "not-a-number").want(400, "bad-value")
	in := owner.invite(history.Builder)
	a := join(in.Code, number)
	a.want(201, "")
	phone := w.stranger()
	phone.cookie, phone.id = a.Cookies()[0], number
	phone.maker = &history.Maker{Device: number, By: "Ines K.", Role: history.Builder}
	entries, _, _, _ := phone.part(1)
	phone.push(entries...).want(200, "")

	// Nobody takes its place without being invited to it; the code stays good.
	in = owner.invite(history.Builder)
	join(in.Code, number).want(409, "device-known")
	join(in.Code, "").want(201, "")
	join(owner.invite(history.Inspector).Code, number).want(409, "device-known")
	owner.do("POST", "/api/pairings", map[string]string{"role": "inspector", "device": number}).want(400, "bad-value")
	owner.do("POST", "/api/pairings", map[string]string{"role": "builder", "device": owner.id}).want(400, "bad-value")
	owner.do("POST", "/api/pairings", map[string]string{"role": "builder", "device": "8f14e45f-ceea-467f-9575-3c2b1f2d4e02"}).want(404, "not-found")

	// Invited again it goes on where it was, and its old token is over.
	owner.do("POST", "/api/devices/"+number+"/revoke", map[string]string{}).want(200, "")
	again := owner.invite(history.Builder, number)
	a = join(again.Code, "")
	a.want(201, "")
	phone.do("GET", "/api/me", nil).want(401, "no-token")
	phone.cookie = a.Cookies()[0]
	var me meView
	phone.do("GET", "/api/me", nil).read(&me)
	if me.Device.ID != number || me.Device.RevokedAt != nil {
		t.Errorf("%+v", me)
	}
	var chain struct{ Seq int64 }
	phone.do("GET", "/api/chains/"+number, nil).read(&chain)
	if chain.Seq != phone.maker.Seq {
		t.Errorf("chain at %d, not %d", chain.Seq, phone.maker.Seq)
	}
}

// A chain that came by a file belongs to nobody here; an inspector can't take it over.
func TestInspectorTakesNoChainOver(t *testing.T) {
	w := newWorkshop(t)
	owner := w.pair(history.Builder, true)
	const number = "8f14e45f-ceea-467f-9575-3c2b1f2d4e05"
	stranded := &device{w: w, id: number, maker: &history.Maker{Device: number, By: "Ines K.", Role: history.Builder}}
	entries, _, _, _ := stranded.part(1)
	if got := owner.do("POST", "/api/entries?handed-in=yes", map[string]any{"entries": entries}).statuses(); got[0] != store.New {
		t.Fatalf("%v", got)
	}
	in := owner.invite(history.Inspector)
	w.stranger().do("POST", "/api/pairings/redeem", map[string]string{"code": in.Code, "name": "x", "device": number}).want(409, "device-known")
}

func TestDevicesAreListedAndRenamed(t *testing.T) {
	w := newWorkshop(t)
	owner := w.pair(history.Builder, true)
	w.later(time.Second)
	phone := w.pair(history.Builder, false)
	w.later(10 * time.Minute)
	phone.do("GET", "/api/me", nil).want(200, "")
	phone.do("PATCH", "/api/devices/"+phone.id, map[string]string{"name": "  Ines's phone "}).want(200, "")
	for _, bad := range []string{"", "   ", "a\x00b", strings.Repeat("a", 101)} {
		phone.do("PATCH", "/api/devices/"+phone.id, map[string]string{"name": bad}).want(400, "bad-value")
	}
	var l struct{ Devices []deviceView }
	owner.do("GET", "/api/devices", nil).read(&l)
	if len(l.Devices) != 2 || !l.Devices[0].Owner || !l.Devices[0].This || l.Devices[1].Name != "Ines's phone" {
		t.Fatalf("%+v", l.Devices)
	}
	if seen := l.Devices[1].SeenAt; seen == nil || !seen.Equal(w.clock()) {
		t.Errorf("last seen %v, now %v", seen, w.clock())
	}
	owner.do("GET", "/api/devices/"+phone.id, nil).want(405, "wrong-method")
	owner.do("POST", "/api/devices/01928f00-0000-7000-8000-000000000000/revoke", map[string]string{}).want(404, "not-found")
}

// Typed forms are drawn evenly from the alphabet, and no two codes are alike.
func TestCodesAreRandom(t *testing.T) {
	b := newBook(time.Now, rand.Reader)
	seen, letters := map[string]bool{}, map[rune]int{}
	for range maxCodes {
		_, code, typed, err := b.invite("", history.Builder, false, "")
		if err != nil || seen[code] || seen[typed] {
			t.Fatalf("%v %s %s", err, code, typed)
		}
		seen[code], seen[typed] = true, true
		for _, c := range strings.ReplaceAll(typed, "-", "") {
			letters[c]++
		}
	}
	if len(letters) != 32 { // of 600 drawn; that one is missing has a chance of 2e-7
		t.Errorf("%d letters came up", len(letters))
	}
	if _, _, _, err := b.invite("", history.Builder, false, ""); problemOf(err).Code != "too-many" {
		t.Errorf("no end of codes: %v", err)
	}
}
