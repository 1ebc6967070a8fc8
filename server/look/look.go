// Package look is the style of the pages that the server itself shows: the trust page, the one
// on which a phone joins, and the laptop's. The app has its own.
package look

import _ "embed"

// CSS is the one style sheet of these pages.
//
//go:embed look.css
var CSS []byte
