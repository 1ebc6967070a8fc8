// Package photo turns the bytes of a photograph into an upright picture for
// measuring, with what the camera wrote about itself.
//
// Start with [Decode] and [Photo]. JPEG and PNG are recognised by content, never by
// name, and decoded by the standard library on the server and in the browser alike,
// so that both measure the same pixels. Sizes are checked before pixels are
// allocated. A picture that cannot be used is answered with a *qc.Refusal; damaged
// EXIF is a warning. [Open] decodes parts alone, [Preview] and [Crop] make pictures for
// people, [StripLocation] makes the copy that may leave the house.
package photo

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"bucktail/imaging/raster"
	"bucktail/qc"
)

// The limits of what is accepted. 50 MP and 40 MiB hold the largest pictures of
// today's phones; what is larger would only cost memory, since a card at the
// greatest useful scale (60 px per mm) fits into 50 MP. No camera's picture has a longer side;
// one of few very long rows would make tables along its rows as large as itself.
const (
	MaxBytes  = 40 << 20
	MaxPixels = 50_000_000
	MaxSide   = 20_000
)

// Photo is one decoded photograph.
type Photo struct {
	Picture *raster.Picture // upright; (0, 0) is the centre of the first pixel
	SHA256  string          // of the bytes as they came, hex
	Format  string          // "jpeg" or "png"

	Width, Height int // of the upright picture, px
	Orientation   int // EXIF orientation 1..8 that was applied; 1 when none was recorded

	FocalMM           float64 // focal length, mm; 0 unknown
	Focal35MM         float64 // 35 mm equivalent, mm; 0 unknown
	DigitalZoom       float64 // how many times the middle was enlarged; 0 or 1: not
	FocalPlanePxPerMM float64 // pixels of this picture per mm on the sensor; 0 unknown
	Camera            string  // maker and model as the camera wrote them; "" unknown
	Lens              string  // lens model; "" unknown
	Taken             string  // local time "2006-01-02T15:04:05", with the offset when recorded; "" unknown

	Warnings []Warning
}

// Warning says something about a usable photo that its user should know.
type Warning struct {
	Code string `json:"code"` // stable, for programs: "exif-damaged"
	Text string `json:"text"` // for people: lower case start, no full stop
}

// Decode reads a JPEG or PNG photo and turns it upright.
//
// An error is a *qc.Refusal about the picture: what is wrong with it and what to do.
// Memory stays under [MaxBytes] of input plus a fixed budget for pixels, whatever
// the file's header claims. data is not kept.
func Decode(data []byte) (*Photo, error) {
	if err := checkBytes(data); err != nil {
		return nil, err
	}
	p := &Photo{Orientation: 1}
	var facts exifFacts
	var planes *planes
	var err error
	switch kind := sniff(data); kind {
	case kindJPEG:
		p.Format = "jpeg"
		head := scanJPEG(data)
		if planes, err = decodeJPEG(data, head); err == nil {
			facts = readExif(head.exif, head.exifSeen)
		}
	case kindPNG:
		p.Format = "png"
		if planes, err = decodePNG(data); err == nil {
			block, seen := exifOfPNG(data)
			facts = readExif(block, seen)
		}
	default:
		return nil, refuseKind(kind)
	}
	if err != nil {
		return nil, err
	}

	sum := sha256.Sum256(data)
	p.SHA256 = hex.EncodeToString(sum[:])
	p.take(facts, planes.w, planes.h)
	p.Picture = planes.upright(p.Orientation)
	p.Width, p.Height = p.Picture.Bounds()
	return p, nil
}

// checkBytes refuses a file by its length.
func checkBytes(data []byte) error {
	if len(data) == 0 {
		return refuse("photo-empty", "the file is empty", "send the photo again; the transfer was probably cut off")
	}
	if len(data) > MaxBytes {
		return refuse("photo-too-many-bytes",
			fmt.Sprintf("the file is %.1f MiB; the limit is %d MiB", float64(len(data))/(1<<20), MaxBytes>>20),
			"save the photo as a JPEG of at most 50 megapixels, without an attached video")
	}
	return nil
}

func refuse(code, text, do string) *qc.Refusal {
	return &qc.Refusal{Code: code, Text: text, Do: do}
}

// checkSize refuses a picture by its header: w × h pixels that would need need bytes.
func checkSize(w, h int, need int64) error {
	switch {
	case w <= 0 || h <= 0:
		return refuse("photo-damaged", fmt.Sprintf("the picture claims to be %d × %d pixels", w, h), redo)
	case int64(w)*int64(h) > MaxPixels:
		return refuse("photo-too-many-pixels",
			fmt.Sprintf("the picture has %d × %d pixels (%.0f megapixels); the limit is %d megapixels",
				w, h, float64(w)*float64(h)/1e6, MaxPixels/1_000_000),
			"set the camera to 12 megapixels, or save a smaller copy")
	case max(w, h) > MaxSide:
		return refuse("photo-too-long",
			fmt.Sprintf("the picture has %d × %d pixels; the limit for a side is %d", w, h, MaxSide),
			"send the photo itself, not a panorama or a strip cut from it")
	case need > memoryBudget:
		return refuse("photo-too-much-memory",
			fmt.Sprintf("decoding this %d × %d picture would take %d MiB of memory; the limit is %d MiB", w, h, need>>20, memoryBudget>>20),
			"save it as an ordinary (baseline) JPEG, or set the camera to 12 megapixels")
	}
	return nil
}

const redo = "take the photo again, or send the original file again"
