// Package history is the record: what an entry is, how entries link into chains, how two
// sets of entries join, and what they add up to. It has no clock, no random source, no
// files and no network: callers pass what they know. The same code runs on the server and
// on the phone. Start with [Maker], which writes entries, and [State], which adds them up.
//
// # An entry
//
// An entry says that something happened: a part was made, a shot taken, a rivet measured,
// drilled out, confirmed. Entries are never changed and never removed. A mistake is put
// right by another entry that names it in "supersedes"; both stay visible.
//
// On the wire and on disk an entry is one JSON object:
//
//	{"at":"2026-11-13T10:05:00.25Z","by":"Ines K.","data":{…},"device":"…","format":1,
//	 "id":"…","kind":"finding","location":"…","part":"…","prev":"…","role":"builder","seq":42}
//
//	format      1; a greater number is kept and shown as written by a newer version
//	id          UUID version 7 (RFC 9562), made where the entry is made; see [NextMS]
//	device      UUID of the device whose chain this is
//	seq         1, 2, 3 … in that chain
//	prev        SHA-256, 64 hex digits, of the canonical bytes of the entry before it in
//	            the chain; left out when seq is 1
//	at          the device's clock, RFC 3339 in UTC, to the millisecond
//	by, role    who, as typed, and as what: "builder" or "inspector"
//	kind        what happened; "data" holds what goes with it ([Kind])
//	project, part, location    what it is about: the id of the entry that made that thing
//	sig         signature by the device's key over the canonical bytes without this member; chains
//	            from before devices had keys have none (sign.go)
//	supersedes  ids of entries that this one takes the place of; "why" says the reason
//
// # Canonical bytes and the hash
//
// The canonical bytes are the object written after RFC 8785 (JSON Canonicalization
// Scheme): UTF-8, no white space, members sorted by their UTF-16 code units, shortest
// escapes, numbers as ECMAScript writes the IEEE 754 double. The hash of an entry is the
// SHA-256 of those bytes; nothing is left out and the hash is not written inside. Whoever
// receives an entry, in whatever white space or order, makes the canonical bytes first and
// keeps those. Members that this version does not know are part of the bytes like all
// others: they are kept, hashed, handed on unchanged and can be listed ([Entry.Unknown]).
// A later version may add members and kinds; a new value of a member that is there today, or
// a new meaning, raises "format". No two members of one object differ in capitals alone.
//
// # Order
//
// All entries of a record stand in one fixed order: by id, then by hash. Ids begin with
// milliseconds that never run behind any entry the writer had seen, so an entry sorts
// after everything it could know of, even when the device's clock is years off. An id whose
// time lies beyond the year 9999 leaves no room for a next one: it counts for nothing in that,
// and where entries are added up, one that bears it stands where its "at" says. What the
// entries add up to is a function of the set alone: no order of arrival, no repetition and
// no missing piece that comes later changes the result.
//
// # Chains and forks
//
// Each device writes one chain. Two entries at the same place of a chain, or one whose
// "prev" fits no entry before it, mean that a past was changed or copied. Such entries are
// kept, take part like all others, and are named by [CheckChain]; nothing is merged
// silently.
package history
