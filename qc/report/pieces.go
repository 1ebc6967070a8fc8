package report

import (
	"archive/zip"
	"crypto/sha256"
	"encoding/hex"
	"hash/crc32"
)

// pieces is a file that is being written, in pieces of one size: a buffer in one would hold a
// large report twice and more while it grows.
type pieces [][]byte

const pieceBytes = 1 << 20

func (p *pieces) Write(b []byte) (int, error) {
	n := len(b)
	for len(b) > 0 {
		last := len(*p) - 1
		if last < 0 || len((*p)[last]) == pieceBytes {
			*p = append(*p, make([]byte, 0, pieceBytes))
			last++
		}
		k := min(len(b), pieceBytes-len((*p)[last]))
		(*p)[last], b = append((*p)[last], b[:k]...), b[k:]
	}
	return n, nil
}

func size(data [][]byte) (n int64) {
	for _, d := range data {
		n += int64(len(d))
	}
	return n
}

// storeFile writes one file in the only form that a bundle has: stored without compression,
// sizes and CRC in front, no date, no attributes. So each byte of the container follows from
// the files, and a changed one shows.
func storeFile(z *zip.Writer, name string, data ...[]byte) error {
	crc := uint32(0)
	for _, d := range data {
		crc = crc32.Update(crc, crc32.IEEETable, d)
	}
	h := &zip.FileHeader{
		Name: name, Method: zip.Store, CRC32: crc,
		CompressedSize64: uint64(size(data)), UncompressedSize64: uint64(size(data)),
		//lint:ignore SA1019 CreateRaw writes this field as it is and does not look at Modified
		ModifiedDate: 1<<5 | 1, // 1 January 1980, the zero of the format
	}
	w, err := z.CreateRaw(h)
	for _, d := range data {
		if err == nil {
			_, err = w.Write(d)
		}
	}
	return err
}

func sha(data ...[]byte) string {
	h := sha256.New()
	for _, d := range data {
		h.Write(d)
	}
	return hex.EncodeToString(h.Sum(nil))
}
