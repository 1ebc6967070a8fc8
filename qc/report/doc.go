// Package report makes what leaves the house from the record: a report as PDF, a form for an
// inspector who takes only paper, a table (CSV), a record for other programs (JSON, after a
// published schema), and a bundle of all of them that can be checked by itself. Start with
// [Build], which adds up a [Record], and [PDF], [Form], [WriteCSV], [WriteJSON], [Bundle] and
// [Verify].
//
// It has no clock, no files and no pixels: callers pass the time, give the pictures of
// findings and the copies of photos without location data ([Options], [BundleOptions]). The
// same record and options give the same bytes.
//
// # The bundle
//
// A bundle is a zip file: FORMAT.txt, report.pdf, readings.csv, record.json,
// record.schema.json, entries.jsonl, photos, manifest.json, SHA256SUMS, in this order.
// FORMAT.txt ([FormatText]) ships in each and says how another program checks it; in short:
//
//   - SHA256SUMS holds the sum of each file in the form of sha256sum; manifest.json holds them
//     too, so that a change of either list shows.
//   - entries.jsonl holds all entries of the record in their canonical bytes, one a line, in
//     the fixed order, with the chains whole: a part's entries alone would have gaps that
//     nobody could tell from a loss. The manifest lists each entry's hash.
//   - Photos are copies without location data, named by the SHA-256 of their originals, which
//     the entries name.
//   - All files are stored, not packed, with nothing between them that does not follow from
//     them: so [Verify] can make the container anew and compare byte by byte. There are no
//     dates in it, and no file can be larger than the bundle.
//   - readings.csv and record.json are functions of the entries and the manifest: [Verify]
//     makes them anew and compares.
//
// What it can't prove: that somebody did not write everything anew, or changed the report, or a
// photo's copy that no entry names, or a text, and wrote both lists anew. Then the record number (on each page) or the
// sum of SHA256SUMS (shown by export and verify) are others; they must be told apart from the
// bundle to be of use. testdata/check.py is a checker written from FORMAT.txt alone.
package report
