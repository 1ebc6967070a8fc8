package history

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"
)

// Canonical writes a JSON value after RFC 8785. Numbers become IEEE 754 doubles; an object
// with the same member twice, invalid UTF-8, half of a surrogate pair or anything that is not JSON is
// an error. The phone carries this program, and a library for it would bring 76 kB more to its
// download for one regular expression; the tests hold this against that library.
func Canonical(b []byte) ([]byte, error) {
	if !json.Valid(b) { // also bounds the nesting
		return nil, errors.New("not JSON")
	}
	if !utf8.Valid(b) {
		return nil, errors.New("not UTF-8")
	}
	c := canonical{in: b}
	return c.value(make([]byte, 0, len(b)))
}

// canonical reads what is known to be valid JSON.
type canonical struct {
	in    []byte
	at    int
	aside []byte // room to put members in order
}

// next gives the next character that is no white space, without reading it.
func (c *canonical) next() byte {
	for c.in[c.at] == ' ' || c.in[c.at] == '\t' || c.in[c.at] == '\n' || c.in[c.at] == '\r' {
		c.at++
	}
	return c.in[c.at]
}

// value reads one value and writes it to out.
func (c *canonical) value(out []byte) ([]byte, error) {
	switch ch := c.next(); ch {
	case '{':
		return c.object(out)
	case '[':
		c.at++
		out = append(out, '[')
		for first := true; c.next() != ']'; first = false {
			if !first {
				c.at++ // the comma
				out = append(out, ',')
			}
			var err error
			if out, err = c.value(out); err != nil {
				return nil, err
			}
		}
		c.at++
		return append(out, ']'), nil
	case '"':
		s, err := c.text()
		return quote(out, s), err
	case 't', 'f', 'n':
		n := 4
		if ch == 'f' {
			n = 5
		}
		c.at += n
		return append(out, c.in[c.at-n:c.at]...), nil
	}
	from := c.at
	for c.at < len(c.in) && bytes.IndexByte([]byte("+-.0123456789eE"), c.in[c.at]) >= 0 {
		c.at++
	}
	v, err := strconv.ParseFloat(string(c.in[from:c.at]), 64)
	if err != nil {
		return nil, fmt.Errorf("the number %.40s is too large", c.in[from:c.at])
	}
	return number(out, v), nil
}

// object reads an object and writes its members sorted by the UTF-16 code units of their names. They
// are written as they come, and put in order where they are not: what lies deep is copied no more often
// than it must be.
func (c *canonical) object(out []byte) ([]byte, error) {
	type member struct {
		name     string
		key      []uint16
		from, to int // in out, without its comma
	}
	var members []member
	c.at++
	out = append(out, '{')
	base := len(out)
	for c.next() != '}' {
		if len(members) > 0 {
			c.at++ // the comma
			c.next()
			out = append(out, ',')
		}
		name, err := c.text()
		if err != nil {
			return nil, err
		}
		c.next()
		c.at++ // the colon
		m := member{name: name, key: utf16.Encode([]rune(name)), from: len(out)}
		if out, err = c.value(append(quote(out, name), ':')); err != nil {
			return nil, err
		}
		m.to = len(out)
		members = append(members, m)
	}
	c.at++
	inOrder := func(a, b member) int { return slices.Compare(a.key, b.key) }
	if !slices.IsSortedFunc(members, inOrder) {
		slices.SortFunc(members, inOrder)
		c.aside = append(c.aside[:0], out[base:]...)
		out = out[:base]
		for i, m := range members {
			if i > 0 {
				out = append(out, ',')
			}
			out = append(out, c.aside[m.from-base:m.to-base]...)
		}
	}
	for i := 1; i < len(members); i++ {
		if members[i].name == members[i-1].name {
			return nil, fmt.Errorf("the member %.40q stands there twice", members[i].name)
		}
	}
	return append(out, '}'), nil
}

// text reads a string.
func (c *canonical) text() (string, error) {
	var s []byte
	for c.at++; c.in[c.at] != '"'; c.at++ {
		if c.in[c.at] != '\\' {
			s = append(s, c.in[c.at])
			continue
		}
		c.at++
		switch ch := c.in[c.at]; ch {
		case 'b', 'f', 'n', 'r', 't':
			s = append(s, "\b\f\n\r\t"[bytes.IndexByte([]byte("bfnrt"), ch)])
		case 'u':
			r := c.unit()
			if utf16.IsSurrogate(r) {
				low := rune(-1)
				if c.in[c.at+1] == '\\' && c.in[c.at+2] == 'u' {
					c.at += 2
					low = c.unit()
				}
				if r = utf16.DecodeRune(r, low); r == utf8.RuneError {
					return "", errors.New("half of a surrogate pair")
				}
			}
			s = utf8.AppendRune(s, r)
		default:
			s = append(s, ch)
		}
	}
	c.at++
	return string(s), nil
}

// unit reads four hex digits behind a "u", and stands on the last of them.
func (c *canonical) unit() rune {
	v, _ := strconv.ParseUint(string(c.in[c.at+1:c.at+5]), 16, 32)
	c.at += 4
	return rune(v)
}

// quote writes a string with the shortest escapes (RFC 8785, 3.2.2.2).
func quote(out []byte, s string) []byte {
	out = append(out, '"')
	for i := range len(s) {
		ch := s[i]
		switch k := bytes.IndexByte([]byte("\b\f\n\r\t\"\\"), ch); {
		case k >= 0:
			out = append(out, '\\', "bfnrt\"\\"[k])
		case ch < 0x20:
			out = append(out, "\\u00"...)
			out = append(out, "0123456789abcdef"[ch>>4], "0123456789abcdef"[ch&15])
		default:
			out = append(out, ch)
		}
	}
	return append(out, '"')
}

// number writes a double as ECMAScript does (RFC 8785, 3.2.2.3): the shortest digits that read back,
// plain from 1e-6 to below 1e21.
func number(out []byte, v float64) []byte {
	if v == 0 {
		return append(out, '0') // also −0
	}
	if a := math.Abs(v); a >= 1e-6 && a < 1e21 {
		return strconv.AppendFloat(out, v, 'f', -1, 64)
	}
	n := len(out)
	out = strconv.AppendFloat(out, v, 'e', -1, 64)
	// Go writes e-07, ECMAScript e-7.
	if e := n + bytes.IndexByte(out[n:], 'e'); out[e+2] == '0' {
		out = append(out[:e+2], out[e+3:]...)
	}
	return out
}
