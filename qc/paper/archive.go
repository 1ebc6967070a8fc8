package paper

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"math"
	"time"
)

// What makes a file PDF/A-2b (ISO 19005-2:2011), besides fonts that are embedded and nothing that
// is encrypted, transparent or fetched: metadata in XMP with the conformance (6.6), an output
// intent that says which colours are meant (6.2.3), an identifier (6.1.3). Apache PDFBox's Preflight,
// which knows the stricter PDF/A-1b alone, has nothing to say of a report but that its part is 2.

// metadata gives the file's XMP packet; it says the same as the document information.
func (i Info) metadata() []byte {
	esc := func(s string) string {
		var b bytes.Buffer
		_ = xml.EscapeText(&b, []byte(Printable(s))) // a bytes.Buffer takes everything
		return b.String()
	}
	at := i.Made.UTC().Format(time.RFC3339)
	one := func(name, as, s string) string {
		if s == "" {
			return ""
		}
		lang := ""
		if as == "Alt" {
			lang = ` xml:lang="x-default"`
		}
		return fmt.Sprintf("<dc:%s><rdf:%s><rdf:li%s>%s</rdf:li></rdf:%s></dc:%s>\n", name, as, lang, esc(s), as, name)
	}
	return []byte("<?xpacket begin=\"\ufeff\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n" +
		`<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">` + "\n" +
		`<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/" ` +
		`xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">` + "\n" +
		"<pdfaid:part>2</pdfaid:part><pdfaid:conformance>B</pdfaid:conformance>\n" +
		one("title", "Alt", i.Title) + one("creator", "Seq", i.Author) + one("description", "Alt", i.Subject) +
		"<pdf:Producer>Bucktail</pdf:Producer><xmp:CreatorTool>Bucktail</xmp:CreatorTool>" +
		"<xmp:CreateDate>" + at + "</xmp:CreateDate><xmp:ModifyDate>" + at + "</xmp:ModifyDate>\n" +
		"</rdf:Description></rdf:RDF></x:xmpmeta>\n<?xpacket end=\"r\"?>")
}

// sRGB is a colour profile for the colours of IEC 61966-2-1, in the form of ICC.1:2001-04: red,
// green and blue relative to D50 and one curve for all three.
func sRGB() []byte {
	type tag struct {
		name string
		data []byte
	}
	be := binary.BigEndian
	fixed := func(v ...float64) (out []byte) {
		for _, x := range v {
			out = be.AppendUint32(out, uint32(int32(math.Round(x*65536))))
		}
		return out
	}
	xyz := func(v ...float64) []byte { return append([]byte("XYZ \x00\x00\x00\x00"), fixed(v...)...) }
	const name = "sRGB, IEC 61966-2-1\x00"
	desc := append([]byte("desc\x00\x00\x00\x00"), be.AppendUint32(nil, uint32(len(name)))...)
	desc = append(append(desc, name...), make([]byte, 4+4+2+1+67)...) // no names in other scripts
	const points = 1024
	curve := be.AppendUint32([]byte("curv\x00\x00\x00\x00"), points)
	for i := range points {
		v := float64(i) / (points - 1)
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		curve = be.AppendUint16(curve, uint16(math.Round(v*65535)))
	}
	tags := []tag{
		{"desc", desc},
		{"cprt", []byte("text\x00\x00\x00\x00no rights reserved\x00")},
		{"wtpt", xyz(0.9642, 1, 0.8249)},
		{"rXYZ", xyz(0.43607, 0.22249, 0.01392)},
		{"gXYZ", xyz(0.38515, 0.71687, 0.09708)},
		{"bXYZ", xyz(0.14307, 0.06061, 0.71410)},
		{"rTRC", curve}, {"gTRC", nil}, {"bTRC", nil}, // as red
	}
	table := be.AppendUint32(nil, uint32(len(tags)))
	var body []byte
	var at, size int
	for _, t := range tags {
		if t.data != nil {
			for len(body)%4 != 0 {
				body = append(body, 0)
			}
			at, size = 128+4+12*len(tags)+len(body), len(t.data)
			body = append(body, t.data...)
		}
		table = be.AppendUint32(be.AppendUint32(append(table, t.name...), uint32(at)), uint32(size))
	}
	for len(body)%4 != 0 {
		body = append(body, 0)
	}
	head := make([]byte, 128)
	be.PutUint32(head, uint32(128+len(table)+len(body)))
	be.PutUint32(head[8:], 0x02100000)
	copy(head[12:], "mntrRGB XYZ ")
	for i, v := range []uint16{2026, 1, 1} { // of this form
		be.PutUint16(head[24+2*i:], v)
	}
	copy(head[36:], "acsp")
	copy(head[68:], fixed(0.9642, 1, 0.8249))
	return append(append(head, table...), body...)
}

// stream writes a stream object that is not packed.
func (u *update) stream(obj int, members string, data []byte) {
	u.begin(obj)
	u.write(fmt.Appendf(nil, "<<%s /Length %d>>\nstream\n", members, len(data)))
	u.write(data)
	u.write([]byte("\nendstream\nendobj\n"))
}

// identifier names a file by what it holds.
func identifier(pdf []byte) string {
	sum := sha256.Sum256(pdf)
	return fmt.Sprintf("[<%X> <%X>]", sum[:16], sum[:16])
}
