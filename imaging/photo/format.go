package photo

import (
	"bytes"

	"bucktail/qc"
)

type kind int

const (
	kindUnknown kind = iota
	kindJPEG
	kindPNG
	kindBadPNG // a PNG whose first bytes were altered
	kindHEIC
	kindAVIF
	kindVideo
	kindWebP
	kindGIF
	kindBMP
	kindTIFF
	kindPDF
	kindJXL
	kindJP2
	kindPSD
	kindText
)

const pngMagic = "\x89PNG\r\n\x1a\n"

// sniff tells what data is by its first bytes.
func sniff(data []byte) kind {
	has := func(s string) bool { return bytes.HasPrefix(data, []byte(s)) }
	at := func(i int, s string) bool { return len(data) >= i+len(s) && string(data[i:i+len(s)]) == s }
	switch {
	case has("\xff\xd8"):
		return kindJPEG
	case has(pngMagic):
		return kindPNG
	case at(4, "ftyp"):
		return sniffBoxes(data)
	case has("RIFF") && at(8, "WEBP"):
		return kindWebP
	case has("GIF87a"), has("GIF89a"):
		return kindGIF
	case has("II*\x00"), has("MM\x00*"):
		return kindTIFF
	case has("%PDF-"):
		return kindPDF
	case has("\xff\x0a"), at(4, "JXL \r\n\x87\n"):
		return kindJXL
	case at(4, "jP  \r\n\x87\n"), has("\xff\x4f\xff\x51"):
		return kindJP2
	case has("8BPS"):
		return kindPSD
	case bytes.Contains(data[:min(len(data), 32)], []byte("IHDR")):
		return kindBadPNG // before BMP and text: its first bytes can be anything
	case has("BM"):
		return kindBMP
	case looksLikeText(data):
		return kindText
	}
	return kindUnknown
}

// sniffBoxes reads the brands of an ISO base media file (ISO/IEC 14496-12 §4.3):
// the major brand, then the compatible ones, since "mif1" is shared by HEIC and AVIF.
func sniffBoxes(data []byte) kind {
	end := min(len(data), 64)
	if n := int(data[2])<<8 | int(data[3]); data[0] == 0 && data[1] == 0 && n >= 16 {
		end = min(end, n)
	}
	found := kindVideo
	for i := 8; i+4 <= end; i += 4 {
		switch string(data[i : i+4]) {
		case "avif", "avis":
			return kindAVIF
		case "heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1":
			found = kindHEIC
		}
	}
	return found
}

// looksLikeText is true for pages and error messages saved under a picture's name.
func looksLikeText(data []byte) bool {
	head := data[:min(len(data), 64)]
	for _, b := range head {
		if b < 0x09 || b > 0x0d && b < 0x20 || b == 0x7f || b > 0xf4 { // UTF-8 ends at f4
			return false
		}
	}
	return true
}

const cameraToJPEG = "on an iPhone: Settings, Camera, Formats, \"Most Compatible\"; " +
	"on Android: in the camera settings turn off HEIF or \"high efficiency pictures\"; then take the photo again"

// refuseKind says what a file is that is no photo for us, and what to do about it.
func refuseKind(k kind) *qc.Refusal {
	const save = "save or export it as JPEG or PNG at full size"
	switch k {
	case kindHEIC:
		return refuse("photo-heic", "this is a HEIC picture; only JPEG and PNG can be read", cameraToJPEG)
	case kindAVIF:
		return refuse("photo-avif", "this is an AVIF picture; only JPEG and PNG can be read", cameraToJPEG)
	case kindVideo:
		return refuse("photo-video", "this is a video; only single photos can be read", "take a photo instead of a video")
	case kindWebP:
		return refuse("photo-webp", "this is a WebP picture; only JPEG and PNG can be read",
			"send the camera's original, not a copy that went through a messenger or a web page")
	case kindGIF:
		return refuse("photo-gif", "this is a GIF; its 256 colours are too coarse to measure on", "send the camera's original photo")
	case kindBMP:
		return refuse("photo-bmp", "this is a BMP picture; only JPEG and PNG can be read", save)
	case kindTIFF:
		return refuse("photo-tiff", "this is a TIFF or a camera raw file; only JPEG and PNG can be read",
			"set the camera to JPEG (not RAW, not ProRAW), or "+save)
	case kindPDF:
		return refuse("photo-pdf", "this is a PDF, not a photo", "send the photo itself")
	case kindJXL:
		return refuse("photo-jxl", "this is a JPEG XL picture; only JPEG and PNG can be read",
			"choose JPEG as the camera's format and take the photo again")
	case kindJP2:
		return refuse("photo-jp2", "this is a JPEG 2000 picture; only JPEG and PNG can be read", save)
	case kindPSD:
		return refuse("photo-psd", "this is a document of a picture editor; only JPEG and PNG can be read", save)
	case kindBadPNG:
		return refuse("photo-damaged", "this is a PNG whose first bytes were altered, as happens in a transfer in text mode", redo)
	case kindText:
		return refuse("photo-text", "this is text, not a picture", "send the photo itself")
	}
	return refuse("photo-unknown", "this is not a kind of picture that is known here; only JPEG and PNG can be read",
		"send the camera's original photo, set to JPEG")
}
