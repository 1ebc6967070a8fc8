// Command papers makes what leaves the house on the phone itself: report, form, tables, bundle,
// cards. It is a program of its own beside the measuring one, read only when a file is asked for.
//
// Photos come from JavaScript while a file is made, and the file goes back in pieces, so that
// neither all photos nor a whole bundle lie in this program's memory:
//
//	bucktailPhoto(sha256, "original", "copy" or "preview") -> promise of a Uint8Array, or of null
//	bucktailPiece(Uint8Array)
//	bucktailProgress(what, done, of)
package main

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"runtime/debug"
	"sync"
	"syscall/js"
	"time"

	"bucktail/imaging/outgoing"
	"bucktail/pwa/wasm/bridge"
	"bucktail/pwa/wasm/kept"
	"bucktail/pwa/wasm/zone"
	"bucktail/qc/history"
	"bucktail/qc/report"
)

type makeIn struct {
	Kind string `json:"kind"` // report.pdf, …
	outgoing.Ask
}

// madeOut tells of the photos that are not on this phone.
type madeOut struct {
	Missing  int `json:"missing"`
	Previews int `json:"previews"` // of these, pictures were made from a preview
}

// pieceBytes are handed over at once.
const pieceBytes = 1 << 18

func main() {
	// A phone ends a page that takes much: collect often, at the price of time.
	debug.SetGCPercent(40)
	var state history.State
	bridge.On("record.load", func(in []kept.Entry, _ []byte) (any, error) {
		return map[string]any{"damaged": kept.Load(&state, in)}, nil
	})
	bridge.OnWaiting("make", func(in makeIn) (any, error) {
		var had album
		m := &outgoing.Maker{State: &state, Photo: had.original, Preview: had.preview, Now: time.Now(), Zone: zoneOf(&state), Step: progress()}
		w := bufio.NewWriterSize(pieces{}, pieceBytes)
		if err := m.Make(context.Background(), w, in.Kind, in.Ask); err != nil {
			return nil, err
		}
		return had.made(), w.Flush()
	})
	bridge.Serve()
}

// oldestYears bounds how far back the clock of an entry is believed for the sake of time zones.
const oldestYears = 20

// zoneOf is the phone's time zone since the first entry.
func zoneOf(s *history.State) *time.Location {
	now := time.Now()
	from := now
	for _, e := range s.Entries() {
		if e.At.Before(from) {
			from = e.At
		}
	}
	if least := now.AddDate(-oldestYears, 0, 0); from.Before(least) {
		from = least
	}
	date := js.Global().Get("Date")
	return zone.Of(from, now.AddDate(1, 0, 0), func(unixS int64) int {
		return -60 * date.New(float64(unixS)*1000).Call("getTimezoneOffset").Int()
	})
}

// pieces hands over what is written.
type pieces struct{}

func (pieces) Write(b []byte) (int, error) {
	js.Global().Call("bucktailPiece", bridge.Uint8Array(b))
	return len(b), nil
}

// progress tells only what a person can see.
func progress() func(what string, done, of int64) {
	var last int64 = -1
	return func(what string, done, of int64) {
		if of > 0 && done*200/of != last {
			last = done * 200 / of
			js.Global().Call("bucktailProgress", what, done, of)
		}
	}
}

// album asks for photos and counts those that are not here.
type album struct {
	mu                sync.Mutex
	previews, missing map[string]bool
}

func (a *album) made() madeOut { return madeOut{len(a.missing), len(a.previews)} }

// original gives the photo as taken, or else the laptop's copy of it without places: the pixels
// are the same.
func (a *album) original(_ context.Context, hash string) ([]byte, error) {
	b, err := ask(hash, "original")
	if sum := sha256.Sum256(b); err == nil && hex.EncodeToString(sum[:]) != hash {
		err = fmt.Errorf("%w: this phone's copy is damaged", report.ErrNoPhoto)
	}
	if err == nil {
		return b, nil
	}
	if b, no := ask(hash, "copy"); no == nil {
		return b, nil
	}
	a.note(&a.missing, hash)
	return nil, err
}

func (a *album) preview(_ context.Context, hash string) ([]byte, error) {
	b, err := ask(hash, "preview")
	if err == nil {
		a.note(&a.previews, hash)
	}
	return b, err
}

func (a *album) note(in *map[string]bool, hash string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if *in == nil {
		*in = map[string]bool{}
	}
	(*in)[hash] = true
}

// ask waits for the page to give a photo.
func ask(hash, want string) ([]byte, error) {
	v, err := bridge.Await(js.Global().Call("bucktailPhoto", hash, want))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", report.ErrNoPhoto, err)
	}
	if !v.Truthy() {
		return nil, fmt.Errorf("%w: this phone does not have it", report.ErrNoPhoto)
	}
	return bridge.Bytes(v), nil
}
