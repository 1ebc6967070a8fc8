package paper

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"unicode/utf16"
)

// update writes a finished PDF and behind it what it lacks: pictures, structure tree, metadata, output intent, and
// the pages, resources and catalog with what points to them, in a second cross-reference
// section (ISO 32000-1, 7.5.6 and 14.7).
func (t *tree) update(w io.Writer, pdf []byte) error {
	x, err := readXref(pdf)
	if err != nil {
		return err
	}
	root, err := x.object(pdf, x.root)
	if err != nil {
		return err
	}
	pages, err := x.pages(pdf, root)
	if err != nil {
		return err
	}
	if len(pages) != len(t.marks) {
		return fmt.Errorf("%d pages were tagged, the file has %d", len(t.marks), len(pages))
	}
	up := update{w: bufio.NewWriter(w), at: map[int]int{}}
	up.write(pdf)
	treeRoot, parents, metadata, intent, profile := x.size, x.size+1, x.size+2, x.size+3, x.size+4
	firstPicture := x.size + 5
	first := firstPicture + len(t.pictures)
	names := ""
	for i, p := range t.pictures {
		up.begin(firstPicture + i)
		up.write([]byte(p.head() + "\nstream\n"))
		up.write(p.data)
		p.data = nil // most of a report: written, it need not be held
		up.write([]byte("\nendstream\nendobj\n"))
		names += fmt.Sprintf("/Bt%d %d 0 R\n", i, firstPicture+i)
	}
	res, err := x.object(pdf, resourcesObject)
	if err != nil {
		return err
	}
	dict := []byte("/XObject <<\n")
	if bytes.Count(res, dict) != 1 {
		return fmt.Errorf("the PDF library's resources are not as expected")
	}
	up.put(resourcesObject, string(bytes.Replace(res, dict, append(dict, names...), 1)))

	info, err := x.object(pdf, x.info)
	if err != nil {
		return err
	}
	up.put(x.info, string(datesRE.ReplaceAll(info, []byte("(D:${1}Z)"))))
	if m := outlinesRE.FindSubmatch(root); m != nil {
		if err := up.outlines(x, pdf, number(m[1])); err != nil {
			return err
		}
	}

	up.stream(metadata, "/Type /Metadata /Subtype /XML", t.info.metadata())
	up.stream(profile, "/N 3", sRGB())
	up.put(intent, fmt.Sprintf("<</Type /OutputIntent /S /GTS_PDFA1 /OutputConditionIdentifier (sRGB) /Info (sRGB, IEC 61966-2-1) /DestOutputProfile %d 0 R>>", profile))
	up.put(treeRoot, fmt.Sprintf("<</Type /StructTreeRoot /K [%d 0 R] /ParentTree %d 0 R /ParentTreeNextKey %d>>", first, parents, len(pages)))
	up.begin(parents)
	up.write([]byte("<</Nums [\n"))
	for p, marks := range t.marks {
		list := ""
		for _, e := range marks {
			list += fmt.Sprintf("%d 0 R ", first+e)
		}
		up.write(fmt.Appendf(nil, "%d [%s]\n", p, list))
	}
	up.write([]byte("]>>\nendobj\n"))
	for i, e := range t.all {
		up.put(first+i, e.object(first, treeRoot, pages))
	}
	for i, n := range pages {
		obj, err := x.object(pdf, n)
		if err != nil {
			return err
		}
		up.put(n, into(obj, fmt.Sprintf("/StructParents %d /Tabs /S", i)))
	}
	scaling := ""
	if t.info.TrueSize {
		scaling = " /PrintScaling /None"
	}
	up.put(x.root, into(namesRE.ReplaceAll(root, nil), fmt.Sprintf("/Version /1.7 /StructTreeRoot %d 0 R /MarkInfo <</Marked true>> /ViewerPreferences <</DisplayDocTitle true%s>> /Metadata %d 0 R /OutputIntents [%d 0 R]",
		treeRoot, scaling, metadata, intent)))
	return up.close(x, first+len(t.all), identifier(pdf))
}

// outlines writes the root of the bookmarks with the number of those that show at first, which are
// its own: the library writes each of them closed (ISO 32000-1, 12.3.3).
func (u *update) outlines(x xref, pdf []byte, n int) error {
	obj, err := x.object(pdf, n)
	if err != nil {
		return err
	}
	m, own := firstRE.FindSubmatch(obj), 0
	if m == nil {
		return fmt.Errorf("the PDF library's bookmarks name no first one")
	}
	for i := number(m[1]); i < n; i++ {
		item, err := x.object(pdf, i)
		if err != nil {
			return err
		}
		if bytes.Contains(item, fmt.Appendf(nil, "/Parent %d 0 R", n)) {
			own++
		}
	}
	u.put(n, into(obj, fmt.Sprintf(" /Count %d", own)))
	return nil
}

// resourcesObject is the one dictionary of resources that the library gives all pages.
const resourcesObject = 2

func (e element) object(first, treeRoot int, pages []int) string {
	up := treeRoot
	if e.up >= 0 {
		up = first + e.up
	}
	s := fmt.Sprintf("<</Type /StructElem /S /%s /P %d 0 R", e.role, up)
	if e.alt != "" {
		s += " /Alt " + textString(e.alt)
	}
	if e.role == Header {
		s += " /A <</O /Table /Scope /Column>>"
	}
	if e.mcid >= 0 {
		return s + fmt.Sprintf(" /Pg %d 0 R /K %d>>", pages[e.page-1], e.mcid)
	}
	s += " /K ["
	for i, k := range e.kids {
		if i > 0 {
			s += " "
		}
		s += fmt.Sprintf("%d 0 R", first+k)
	}
	return s + "]>>"
}

// textString writes a text string as UTF-16BE in hex (7.9.2.2).
func textString(s string) string {
	out := "<FEFF"
	for _, u := range utf16.Encode([]rune(s)) {
		out += fmt.Sprintf("%04X", u)
	}
	return out + ">"
}

// into adds members to a dictionary.
func into(obj []byte, members string) string {
	i := bytes.LastIndex(obj, []byte(">>"))
	return string(obj[:i]) + members + string(obj[i:])
}

// update writes objects and keeps where they stand.
type update struct {
	w   *bufio.Writer
	n   int // bytes written
	at  map[int]int
	err error
}

func (u *update) write(b []byte) {
	if u.err == nil {
		_, u.err = u.w.Write(b)
		u.n += len(b)
	}
}

func (u *update) begin(obj int) {
	u.at[obj] = u.n
	u.write(fmt.Appendf(nil, "%d 0 obj\n", obj))
}

func (u *update) put(obj int, body string) {
	u.begin(obj)
	u.write([]byte(body + "\nendobj\n"))
}

func (u *update) close(x xref, size int, id string) error {
	start := u.n
	nums := slices.Sorted(maps.Keys(u.at))
	u.write([]byte("xref\n"))
	for i := 0; i < len(nums); {
		j := i
		for j < len(nums) && nums[j] == nums[i]+j-i {
			j++
		}
		u.write(fmt.Appendf(nil, "%d %d\n", nums[i], j-i))
		for _, n := range nums[i:j] {
			u.write(fmt.Appendf(nil, "%010d 00000 n \n", u.at[n]))
		}
		i = j
	}
	u.write(fmt.Appendf(nil, "trailer\n<</Size %d /Root %d 0 R /Info %d 0 R /Prev %d /ID %s>>\nstartxref\n%d\n%%%%EOF\n", size, x.root, x.info, x.start, id, start))
	if u.err != nil {
		return u.err
	}
	return u.w.Flush()
}

// xref is the cross-reference table of a file that the PDF library wrote: one section, no
// streams.
type xref struct {
	start, size, root, info int
	offset                  []int
}

var (
	startRE    = regexp.MustCompile(`startxref\s+(\d+)\s+%%EOF\s*$`)
	trailerRE  = regexp.MustCompile(`/Size (\d+)\s+/Root (\d+) 0 R\s+/Info (\d+) 0 R`)
	headRE     = regexp.MustCompile(`^xref\s+0 (\d+)\s+`)
	pagesRE    = regexp.MustCompile(`/Pages (\d+) 0 R`)
	kidsRE     = regexp.MustCompile(`/Kids \[([^\]]*)\]`)
	namesRE    = regexp.MustCompile(`/Names <<\s*/EmbeddedFiles << /Names \[\s*\] >>\s*>>\n?`) // of no files
	datesRE    = regexp.MustCompile(`\(D:(\d{14})\)`)                                          // of UTC, which the metadata say and these do not
	firstRE    = regexp.MustCompile(`/First (\d+) 0 R`)
	outlinesRE = regexp.MustCompile(`/Outlines (\d+) 0 R`)
	refRE      = regexp.MustCompile(`(\d+) 0 R`)
)

func readXref(pdf []byte) (xref, error) {
	var x xref
	bad := fmt.Errorf("the PDF library's file is not as expected")
	m := startRE.FindSubmatch(pdf[max(0, len(pdf)-100):])
	if m == nil {
		return x, bad
	}
	x.start = number(m[1])
	if x.start < 0 || x.start >= len(pdf) {
		return x, bad
	}
	section := pdf[x.start:]
	m, tr := headRE.FindSubmatch(section), trailerRE.FindSubmatch(section)
	if m == nil || tr == nil {
		return x, bad
	}
	x.size, x.root, x.info = number(tr[1]), number(tr[2]), number(tr[3])
	rows := section[len(m[0]):]
	n := number(m[1])
	if n != x.size || len(rows) < 20*n {
		return x, bad
	}
	for i := range n {
		x.offset = append(x.offset, number(rows[20*i:20*i+10]))
	}
	return x, nil
}

func number(b []byte) int {
	n, err := strconv.Atoi(string(b))
	if err != nil {
		return -1
	}
	return n
}

// object gives the body of an object that holds no stream.
func (x xref) object(pdf []byte, n int) ([]byte, error) {
	head := fmt.Appendf(nil, "%d 0 obj\n", n)
	if n < 1 || n >= len(x.offset) || x.offset[n] <= 0 || x.offset[n] >= len(pdf) || !bytes.HasPrefix(pdf[x.offset[n]:], head) {
		return nil, fmt.Errorf("the PDF library's object %d is not where its table says", n)
	}
	body := pdf[x.offset[n]+len(head):]
	end := bytes.Index(body, []byte("endobj"))
	if end < 0 {
		return nil, fmt.Errorf("the PDF library's object %d does not end", n)
	}
	return bytes.TrimSpace(body[:end]), nil
}

// pages gives the objects of the pages in order.
func (x xref) pages(pdf, root []byte) ([]int, error) {
	m := pagesRE.FindSubmatch(root)
	if m == nil {
		return nil, fmt.Errorf("the PDF library's catalog names no pages")
	}
	obj, err := x.object(pdf, number(m[1]))
	if err != nil {
		return nil, err
	}
	kids := kidsRE.FindSubmatch(obj)
	if kids == nil {
		return nil, fmt.Errorf("the PDF library's page tree is not flat")
	}
	var out []int
	for _, r := range refRE.FindAllSubmatch(kids[1], -1) {
		out = append(out, number(r[1]))
	}
	return out, nil
}
