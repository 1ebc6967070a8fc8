// Command wasm is the same measuring, judging and adding up as on the laptop, built for the
// browser.
package main

import "bucktail/pwa/wasm/bridge"

func main() { bridge.Serve() }
