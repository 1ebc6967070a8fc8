// Command wasm is the same measuring, judging and adding up as on the laptop, built for the
// browser. It hands one function to JavaScript,
//
//	bucktail(name, json, bytes) -> {json, bytes} or {refusal} or {fault}
//
// and decides nothing itself: it unpacks, calls the packages that decide, and packs. A
// refusal is about what was given (a photo without a card); a fault is about the call. A
// panic ends the program, and with it the worker that it runs in.
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"syscall/js"

	"bucktail/qc"
)

// call is one function that JavaScript may ask for: JSON and bytes in, a value for JSON and
// bytes out.
type call func(in string, data []byte) (out any, bytes []byte, err error)

var calls = map[string]call{}

// on registers a call whose answer is JSON alone. Members that T does not have are a fault,
// so that a misspelt option can't pass unseen.
func on[T any](name string, f func(in T, data []byte) (any, error)) {
	onBytes(name, func(in T, data []byte) (any, []byte, error) {
		out, err := f(in, data)
		return out, nil, err
	})
}

// onBytes registers a call that also answers with bytes.
func onBytes[T any](name string, f func(in T, data []byte) (any, []byte, error)) {
	if calls[name] != nil {
		panic("two calls are named " + name)
	}
	calls[name] = func(in string, data []byte) (any, []byte, error) {
		var v T
		dec := json.NewDecoder(strings.NewReader(in))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&v); err != nil {
			return nil, nil, fmt.Errorf("the question to %q can't be read: %w", name, err)
		}
		return f(v, data)
	}
}

// none is the question of a call that needs none.
type none struct{}

func main() {
	array := js.Global().Get("Uint8Array")
	js.Global().Set("bucktail", js.FuncOf(func(_ js.Value, args []js.Value) any {
		f := calls[args[0].String()]
		if f == nil {
			return map[string]any{"fault": fmt.Sprintf("there is no call %q; there are %q", args[0].String(), slices.Sorted(maps.Keys(calls)))}
		}
		var data []byte
		if len(args) > 2 && args[2].Truthy() {
			data = make([]byte, args[2].Get("byteLength").Int())
			js.CopyBytesToGo(data, args[2])
		}
		out, raw, err := f(args[1].String(), data)
		var b []byte
		if err == nil {
			b, err = json.Marshal(out)
		}
		if err != nil {
			var r *qc.Refusal
			if errors.As(err, &r) {
				return map[string]any{"refusal": map[string]any{"code": r.Code, "text": r.Text, "do": r.Do}}
			}
			return map[string]any{"fault": err.Error()}
		}
		answer := map[string]any{"json": string(b)}
		if raw != nil {
			u := array.New(len(raw))
			js.CopyBytesToJS(u, raw)
			answer["bytes"] = u
		}
		return answer
	}))
	select {}
}
