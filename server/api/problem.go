package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"unicode"
	"unicode/utf8"

	"bucktail/qc"
	"bucktail/store"
)

// Problem is an error as the caller sees it (RFC 9457): what is wrong and what to do next.
type Problem struct {
	Type    string `json:"type"`
	Title   string `json:"title"`
	Status  int    `json:"status"`
	Detail  string `json:"detail,omitempty"`
	Code    string `json:"code"`
	Do      string `json:"do,omitempty"`
	Request string `json:"request,omitempty"` // number of the request in the log
}

func (p *Problem) Error() string { return p.Code + ": " + p.Title + " " + p.Detail }

// kind is a sort of problem, as /api/problems/{code} tells it.
type kind struct {
	Code   string `json:"code"`
	Status int    `json:"status"`
	Title  string `json:"title"`
	Do     string `json:"do,omitempty"`
}

// with makes a problem of this kind; detail tells what is particular about it.
func (k kind) with(format string, args ...any) *Problem {
	return &Problem{Type: "/api/problems/" + k.Code, Title: k.Title, Status: k.Status, Code: k.Code, Do: k.Do, Detail: fmt.Sprintf(format, args...)}
}

// kinds lists all; a kind is made by define, so that none is left out.
var kinds = map[string]kind{}

func define(code string, status int, title, do string) kind {
	k := kind{code, status, title, do}
	if _, twice := kinds[code]; twice {
		panic("two kinds of problem bear the code " + code)
	}
	kinds[code] = k
	return k
}

var (
	badPath       = define("bad-path", http.StatusBadRequest, "This address is not one that the laptop knows how to read.", "Use the addresses as they are shown.")
	badValue      = define("bad-value", http.StatusBadRequest, "Something in the request is not right.", "Correct it and send it again.")
	badJSON       = define("bad-json", http.StatusBadRequest, "What was sent can't be read.", "Load the app anew; if that does not help, the phone's version and the laptop's do not fit together.")
	noToken       = define("no-token", http.StatusUnauthorized, "This device has not joined the workshop.", "Scan the code on the laptop's page.")
	revoked       = define("device-revoked", http.StatusUnauthorized, "This device was removed from the workshop's list.", "What waits on it is safe. Let the builder invite it again.")
	notAllowed    = define("not-allowed", http.StatusForbidden, "This device may not do that.", "Do it on the laptop itself, or on a device that may.")
	foreign       = define("other-origin", http.StatusForbidden, "Another site has sent this request. It was not carried out.", "Open Bucktail itself and do it there.")
	codeWrong     = define("code-wrong", http.StatusForbidden, "This code is not right, or it is older than five minutes.", "Compare it with the laptop's page, or have a new one made there.")
	codeElsewhere = define("code-elsewhere", http.StatusForbidden, "This link is good on the laptop itself only.", "Open it in a browser on the laptop. For a phone, have a code made on the laptop's page.")
	codeUsed      = define("code-used", http.StatusGone, "This code was used already. It is good for one device.", "Have a new one made on the laptop's page. If it was not you who used it, take that device off the list there.")
	codeOld       = define("code-old", http.StatusGone, "This code is older than five minutes.", "Have a new one made on the laptop's page.")
	deviceKnown   = define("device-known", http.StatusConflict, "A device with this number has joined before.", "Let the builder choose it in the list of devices and invite it again, so that it keeps its place.")
	unnamed       = define("photo-unnamed", http.StatusConflict, "No entry of the record names this photo.", "Send the entry that belongs to it first.")
	nothingHere   = define("not-found", http.StatusNotFound, "There is nothing under this address.", "Go back and look again; it may not have come to the laptop yet.")
	wrongMethod   = define("wrong-method", http.StatusMethodNotAllowed, "That can't be done with this address.", "")
	tooSlow       = define("too-slow", http.StatusRequestTimeout, "The sending stopped or was too slow.", "Move nearer to the Wi-Fi and send again. Nothing is lost on the phone.")
	noLength      = define("length-missing", http.StatusLengthRequired, "The request does not say how long the photo is.", "Send it with a Content-Length.")
	tooLarge      = define("too-large", http.StatusRequestEntityTooLarge, "This is more than the laptop takes in one piece.", "Send it in smaller pieces; a photo may be up to 40 MiB.")
	wrongMedia    = define("wrong-media", http.StatusUnsupportedMediaType, "This is not the kind of content that belongs here.", "Photos are JPEG or PNG, everything else is JSON.")
	otherHost     = define("other-host", http.StatusMisdirectedRequest, "The laptop does not answer under this name.", "Use one of the addresses that it shows.")
	badRange      = define("bad-range", http.StatusRequestedRangeNotSatisfiable, "The photo has no such part.", "Ask for it from the start.")
	otherBytes    = define("other-bytes", http.StatusUnprocessableEntity, "What arrived is not what was announced.", "Send it again. Nothing of it was kept.")
	refusedKind   = define("refused", http.StatusUnprocessableEntity, "It was looked at and refused, for the reason given.", "")
	tooMany       = define("too-many", http.StatusTooManyRequests, "Too many requests at once.", "Wait a moment; the app does so by itself.")
	ours          = define("internal", http.StatusInternalServerError, "Something went wrong on the laptop.", "What was acknowledged is safe. Try again; the laptop's terminal says more.")
	damaged       = define("record-damaged", http.StatusInternalServerError, "The record on the laptop can't be read as it was written.", "Stop the server and run: bucktail check")
	stopping      = define("stopping", http.StatusServiceUnavailable, "The laptop is stopping.", "Try again when it is back. What waits is safe.")
	diskFull      = define("disk-full", http.StatusInsufficientStorage, "The laptop's disk is full. Nothing new was kept; what was acknowledged before is safe.", "Make room on the laptop, then send again.")
)

// problemOf turns any error into what the caller may see. What is not the caller's business
// becomes "internal"; the log has it in full.
func problemOf(err error) *Problem {
	var p *Problem
	var r *qc.Refusal
	var tooLong *http.MaxBytesError
	switch {
	case errors.As(err, &p):
		return p
	case errors.As(err, &r):
		return refusal(r)
	case errors.As(err, &tooLong):
		return tooLarge.with("at most %d bytes", tooLong.Limit)
	case isTimeout(err):
		return tooSlow.with("")
	case errors.Is(err, store.ErrFull):
		return diskFull.with("")
	case errors.Is(err, store.ErrDamaged):
		return damaged.with("")
	case errors.Is(err, store.ErrMismatch):
		return otherBytes.with("")
	case errors.Is(err, store.ErrNotFound):
		return nothingHere.with("")
	}
	return ours.with("")
}

// refusal keeps the refusal's own code and words.
func refusal(r *qc.Refusal) *Problem {
	return &Problem{Type: "/api/problems/" + refusedKind.Code, Status: refusedKind.Status, Code: r.Code, Title: sentence(r.Text), Do: sentence(r.Do)}
}

// sentence gives a text a capital and a full stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	c, n := utf8.DecodeRuneInString(s)
	s = string(unicode.ToUpper(c)) + s[n:]
	if last, _ := utf8.DecodeLastRuneInString(s); last != '.' && last != '?' {
		s += "."
	}
	return s
}

func (p *Problem) write(w http.ResponseWriter) {
	h := w.Header()
	for _, k := range []string{"Content-Length", "Content-Disposition", "ETag", "Last-Modified", "Repr-Digest", "Content-Encoding"} {
		h.Del(k)
	}
	h.Set("Content-Type", "application/problem+json")
	h.Set("Cache-Control", "no-store")
	w.WriteHeader(p.Status)
	_ = json.NewEncoder(w).Encode(p) // the caller may be gone
}
