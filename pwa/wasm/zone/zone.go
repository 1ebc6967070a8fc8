// Package zone makes a time zone of what a browser tells. Go knows only the offset of this moment
// there, which would put entries of the summer an hour off in winter.
package zone

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"time"
)

// step is how often the offset is asked for, s. Summer time lasts for months everywhere, but for
// pauses of a month in Ramadan.
const step = 7 * 24 * 3600

// Of makes the zone for times between from and to. offsetS gives the seconds east of UTC at a
// time in seconds since 1970. Zones are called by their offset: "UTC+02".
func Of(from, to time.Time, offsetS func(unixS int64) int) *time.Location {
	at := from.Unix() - step
	changes := []change{{at, offsetS(at)}}
	for ; at < to.Unix(); at += step {
		before, after := changes[len(changes)-1].offsetS, offsetS(at+step)
		if before == after {
			continue
		}
		lo, hi := at, at+step
		for hi-lo > 1 {
			if mid := (lo + hi) / 2; offsetS(mid) == before {
				lo = mid
			} else {
				hi = mid
			}
		}
		changes = append(changes, change{hi, after})
	}
	if !plausible(changes) {
		return time.UTC
	}
	loc, err := time.LoadLocationFromTZData("Local", tzif(changes))
	if err != nil {
		return time.UTC
	}
	return loc
}

// plausible tells a time zone from nonsense: offsets as RFC 8536, 3.2 has them, and not more of
// them than a byte can count in the file.
func plausible(changes []change) bool {
	const most = 16 // no place has had half as many since 1970
	of := map[int]bool{}
	for _, c := range changes {
		if c.offsetS < -25*3600 || c.offsetS > 26*3600 {
			return false
		}
		of[c.offsetS] = true
	}
	return len(of) <= most
}

// change is an offset from UTC and since when it holds.
type change struct {
	unixS   int64
	offsetS int
}

// tzif writes the changes as a time zone file, the only form in which Go takes one.
//
// Source: RFC 8536, The Time Zone Information Format (TZif), version 2.
func tzif(changes []change) []byte {
	type kind struct {
		offsetS int32
		_       byte // whether it is summer time
		name    byte // where it begins in names
	}
	var names bytes.Buffer
	var kinds []kind
	of := map[int]byte{}
	for _, c := range changes {
		if _, known := of[c.offsetS]; !known {
			of[c.offsetS] = byte(len(kinds))
			kinds = append(kinds, kind{offsetS: int32(c.offsetS), name: byte(names.Len())})
			names.WriteString(name(c.offsetS) + "\x00")
		}
	}
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, binary.BigEndian, v) } // a bytes.Buffer takes everything
	head := func(times, kinds, names int) {
		b.WriteString("TZif2" + string(make([]byte, 15)))
		put([]uint32{0, 0, 0, uint32(times), uint32(kinds), uint32(names)})
	}
	head(0, 1, 1) // the old, 32-bit block, which must be there: one kind, unused
	b.Write(make([]byte, 6+1))
	head(len(changes), len(kinds), names.Len())
	for _, c := range changes {
		put(c.unixS)
	}
	for _, c := range changes {
		put(of[c.offsetS])
	}
	put(kinds)
	b.Write(names.Bytes())
	b.WriteString("\n\n") // no rule for later
	return b.Bytes()
}

// name is the offset as ISO 8601 writes it: "UTC+02", "UTC-03:30"; without one it is "UTC", as on
// the laptop.
func name(offsetS int) string {
	if offsetS == 0 {
		return "UTC"
	}
	sign := '+'
	if offsetS < 0 {
		sign, offsetS = '-', -offsetS
	}
	if m := offsetS / 60 % 60; m != 0 {
		return fmt.Sprintf("UTC%c%02d:%02d", sign, offsetS/3600, m)
	}
	return fmt.Sprintf("UTC%c%02d", sign, offsetS/3600)
}
