package api

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"net/http"
	"strings"
	"testing"
	"time"

	"bucktail/qc/history"
)

func newKey(t *testing.T) (key *ecdsa.PrivateKey, public string) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	if public, err = history.PublicKey(key); err != nil {
		t.Fatal(err)
	}
	return key, public
}

func (d *device) tell(key string) answer {
	d.w.t.Helper()
	return d.do("PUT", "/api/me/key", map[string]string{"key": key})
}

// members gives what the laptop's own chain says of devices, oldest first.
func (w *workshop) members() (out []history.MemberData) {
	w.t.Helper()
	page, err := w.store.EntriesSince(w.t.Context(), "", 0)
	if err != nil {
		w.t.Fatal(err)
	}
	for _, e := range page.Entries {
		if m, err := history.DataOf[history.MemberData](e); err == nil && e.Kind == history.KindMember {
			out = append(out, m)
		}
	}
	return out
}

// A device tells one key: the laptop enters it, takes it again, and no other one.
func TestDeviceTellsItsKey(t *testing.T) {
	w := newWorkshop(t)
	phone := w.pair(history.Builder, false)
	_, first := newKey(t)
	_, second := newKey(t)
	w.stranger().tell(first).want(http.StatusUnauthorized, "")
	for _, bad := range []string{"", "AAAA", first[:80], strings.Replace(first, first[:1], "!", 1)} {
		phone.tell(bad).want(http.StatusBadRequest, "bad-value")
	}
	phone.tell(first).want(http.StatusOK, "")
	phone.tell(first).want(http.StatusOK, "")
	phone.tell(second).want(http.StatusConflict, "device-known")
	entered := 0
	for _, m := range w.members() {
		if m.Device == phone.id && m.What == "key" {
			if entered++; m.Key != first {
				t.Errorf("the laptop entered another key: %+v", m)
			}
		}
	}
	if entered != 1 {
		t.Errorf("the laptop entered the key %d times", entered)
	}
}

// Once its chain tells a key, what a device sends must be signed with it.
func TestUnsignedIsRefusedOnceAKeyIsTold(t *testing.T) {
	w := newWorkshop(t)
	phone := w.pair(history.Builder, false)
	key, public := newKey(t)
	other, _ := newKey(t)
	phone.tell(public).want(http.StatusOK, "")
	sign := func(e history.Entry, k *ecdsa.PrivateKey) history.Entry {
		e, err := e.Signed(k, rand.Reader)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	push := func(e history.Entry) string {
		var got struct {
			Results []struct {
				Status string `json:"status"`
			} `json:"results"`
		}
		a := phone.do("POST", "/api/entries", map[string]any{"entries": []history.Entry{e}})
		a.read(&got)
		if len(got.Results) != 1 {
			t.Fatalf("%s", a.body)
		}
		return got.Results[0].Status
	}
	first := phone.write(history.Draft{Kind: history.KindDevice, Data: history.DeviceData{Name: "phone", Key: public}})
	if status := push(sign(first, other)); status != "refused" {
		t.Errorf("signed by another, the chain's beginning is %s", status)
	}
	first = sign(first, key)
	if status := push(first); status != "new" {
		t.Errorf("signed, it is %s", status)
	}
	phone.maker.Prev = first.Hash()
	next := phone.write(history.Draft{Kind: history.KindProject, Data: history.ProjectData{Name: "Tarn 2"}})
	for what, e := range map[string]history.Entry{"unsigned": next, "signed by another": sign(next, other)} {
		if status := push(e); status != "refused" {
			t.Errorf("%s, the next one is %s", what, status)
		}
	}
	if status := push(sign(next, key)); status != "new" {
		t.Errorf("signed, the next one is %s", status)
	}
}

// A device that lost its key is invited again by the laptop, and goes on under another id, in a
// chain of its own that names the one before.
func TestRejoinedWithANewKeyBeginsANewChain(t *testing.T) {
	w := newWorkshop(t)
	owner := w.pair(history.Builder, true)
	phone := w.pair(history.Builder, false)
	_, first := newKey(t)
	_, second := newKey(t)
	phone.tell(first).want(http.StatusOK, "")
	w.later(time.Minute)
	_, code, _, err := w.api.book.invite(owner.id, history.Builder, false, phone.id)
	if err != nil {
		t.Fatal(err)
	}
	a := w.stranger().do("POST", "/api/pairings/redeem", map[string]string{"code": code, "name": "the same phone"})
	a.want(http.StatusCreated, "")
	again := &device{w: w, cookie: a.Cookies()[0]}
	phone.tell(first).want(http.StatusUnauthorized, "") // its old cookie is good no more
	var me meView
	b := again.tell(second)
	b.want(http.StatusOK, "")
	b.read(&me)
	if me.Device.ID == phone.id {
		t.Error("with another key it goes on in the old chain")
	}
	last := w.members()[len(w.members())-1]
	if last.What != "rejoined" || last.Before != phone.id || last.Device != me.Device.ID || last.Key != second {
		t.Errorf("the laptop entered %+v", last)
	}
	again.tell(first).want(http.StatusConflict, "device-known")
}
