// Package bridge hands Go functions to JavaScript. A program gives it its calls and serves them
// as one function,
//
//	bucktail(name, json, bytes) -> {json, bytes} or {refusal} or {fault}, or a promise of one
//
// and decides nothing itself: it unpacks, calls the packages that decide, and packs. A
// refusal is about what was given (a photo without a card); a fault is about the call. A
// panic ends the program, and with it the worker that it runs in.
package bridge

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
type call struct {
	do func(in string, data []byte) (out any, bytes []byte, err error)
	// A call that waits for JavaScript can't run inside its event: it answers with a promise.
	waits bool
}

var calls = map[string]call{}

// On registers a call whose answer is JSON alone. Members that T does not have are a fault,
// so that a misspelt option can't pass unseen.
func On[T any](name string, f func(in T, data []byte) (any, error)) {
	OnBytes(name, func(in T, data []byte) (any, []byte, error) {
		out, err := f(in, data)
		return out, nil, err
	})
}

// OnBytes registers a call that also answers with bytes.
func OnBytes[T any](name string, f func(in T, data []byte) (any, []byte, error)) {
	register(name, false, f)
}

// OnWaiting registers a call that may wait for JavaScript, see [Await].
func OnWaiting[T any](name string, f func(in T) (any, error)) {
	register(name, true, func(in T, _ []byte) (any, []byte, error) {
		out, err := f(in)
		return out, nil, err
	})
}

func register[T any](name string, waits bool, f func(in T, data []byte) (any, []byte, error)) {
	if _, taken := calls[name]; taken {
		panic("two calls are named " + name)
	}
	calls[name] = call{waits: waits, do: func(in string, data []byte) (any, []byte, error) {
		var v T
		dec := json.NewDecoder(strings.NewReader(in))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&v); err != nil {
			return nil, nil, fmt.Errorf("the question to %q can't be read: %w", name, err)
		}
		return f(v, data)
	}}
}

// None is the question of a call that needs none.
type None struct{}

// Serve hands the calls to JavaScript and never returns.
func Serve() {
	js.Global().Set("bucktail", js.FuncOf(func(_ js.Value, args []js.Value) any {
		f, known := calls[args[0].String()]
		if !known {
			return map[string]any{"fault": fmt.Sprintf("there is no call %q; there are %q", args[0].String(), slices.Sorted(maps.Keys(calls)))}
		}
		var data []byte
		if len(args) > 2 && args[2].Truthy() {
			data = Bytes(args[2])
		}
		in := args[1].String()
		if !f.waits {
			return answer(f.do(in, data))
		}
		return promise(func() any { return answer(f.do(in, data)) })
	}))
	select {}
}

func answer(out any, raw []byte, err error) any {
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
	a := map[string]any{"json": string(b)}
	if raw != nil {
		a["bytes"] = Uint8Array(raw)
	}
	return a
}

// promise runs f beside the event loop and resolves to what it gives.
func promise(f func() any) js.Value {
	var executor js.Func
	executor = js.FuncOf(func(_ js.Value, args []js.Value) any {
		resolve := args[0]
		go func() {
			defer executor.Release()
			resolve.Invoke(f())
		}()
		return nil
	})
	return js.Global().Get("Promise").New(executor)
}

// Await waits for a promise, from a call registered by [OnWaiting]. The error holds what it was
// rejected with.
func Await(p js.Value) (js.Value, error) {
	type settled struct {
		v   js.Value
		err error
	}
	done := make(chan settled, 1)
	then := js.FuncOf(func(_ js.Value, args []js.Value) any {
		done <- settled{v: args[0]}
		return nil
	})
	defer then.Release()
	failed := js.FuncOf(func(_ js.Value, args []js.Value) any {
		done <- settled{err: errors.New(js.Global().Get("String").Invoke(args[0]).String())}
		return nil
	})
	defer failed.Release()
	p.Call("then", then, failed)
	s := <-done
	return s.v, s.err
}

// Bytes copies a Uint8Array.
func Bytes(v js.Value) []byte {
	b := make([]byte, v.Get("byteLength").Int())
	js.CopyBytesToGo(b, v)
	return b
}

// Uint8Array copies bytes to JavaScript.
func Uint8Array(b []byte) js.Value {
	u := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(u, b)
	return u
}
